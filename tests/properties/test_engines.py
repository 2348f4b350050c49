"""Engine of record, quick evaluator and CLIPS give the same run, fact for fact and reason for reason."""

from pathlib import Path

import pytest
import strategies
from conftest import DEPTH, ROOT
from hypothesis import given, settings
from oracle_clips import ClipsEngine
from strategies import Told, read

from advisor.advise import Advisor
from advisor.engine.bounds import evaluate
from advisor.engine.chaining import Chainer
from advisor.engine.facts import Run
from advisor.site import load_site

SCENARIOS = sorted((ROOT / "scenarios").glob("*/site.yaml"))


@pytest.fixture(scope="module")
def chainer() -> Chainer:
    loaded = strategies.rulebook()
    return Chainer(loaded.rules, loaded.book)


@pytest.fixture(scope="module")
def clips() -> ClipsEngine:
    loaded = strategies.rulebook()
    return ClipsEngine(loaded.rules, loaded.book)


def spelled(run: Run) -> tuple[object, object]:
    """Everything a run holds, texts and computed values too, in its own order."""
    facts = [
        (fact.id, fact.template, dict(fact.slots), fact.certain, fact.label, fact.text) for fact in run.facts.values()
    ]
    reasons = [
        (
            fact,
            [(why.key, [(name, trace.result, trace.notes) for name, trace in why.traces]) for why in reasons],
        )
        for fact, reasons in run.justifications.items()
    ]
    return facts, reasons


@pytest.mark.parametrize("certain", [True, False], ids=["certain", "possible"])
@given(told=strategies.sites())
@settings(max_examples=10 * DEPTH)
def test_both_engines_agree(chainer: Chainer, certain: bool, told: Told) -> None:
    loaded, facts = strategies.rulebook(), read(told).facts()
    given_facts = [fact for fact in facts if fact.certain or not certain]
    quick = evaluate(loaded.rules, given_facts, loaded.book, certain=certain)
    assert spelled(chainer.run(facts, certain=certain)) == spelled(quick)


@pytest.mark.parametrize("certain", [True, False], ids=["certain", "possible"])
@given(told=strategies.sites())
@settings(max_examples=10 * DEPTH)
def test_clips_agrees_on_random_sites(clips: ClipsEngine, certain: bool, told: Told) -> None:
    loaded, facts = strategies.rulebook(), read(told).facts()
    given_facts = [fact for fact in facts if fact.certain or not certain]
    quick = evaluate(loaded.rules, given_facts, loaded.book, certain=certain)
    assert spelled(clips.run(facts, certain=certain)) == spelled(quick)


@pytest.mark.parametrize("path", SCENARIOS, ids=[path.parent.name for path in SCENARIOS])
def test_clips_agrees_on_scenarios(clips: ClipsEngine, advisor: Advisor, path: Path) -> None:
    site = load_site(path, advisor.book)
    advice = advisor.advise(site)
    assert spelled(clips.run(site.facts(), certain=True)) == spelled(advice.certain)
    assert spelled(clips.run(site.facts(), certain=False)) == spelled(advice.possible)


def test_a_network_used_again_forgets_the_last_site(chainer: Chainer) -> None:
    wet = read({"wash": {"method": "lance", "pressure": "100 bar"}}).facts()
    dry = read({"wash": "none", "immersion": "none"}).facts()
    first = spelled(chainer.run(dry, certain=False))
    chainer.run(wet, certain=False)
    assert spelled(chainer.run(dry, certain=False)) == first
