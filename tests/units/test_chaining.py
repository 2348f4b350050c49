"""The engine of record: several levels, every justification kept, and an engine that failed is thrown away."""

import dataclasses
from collections.abc import Callable

import pytest

from advisor.engine import chaining
from advisor.engine.chaining import Chainer
from advisor.engine.firing import EngineError
from advisor.faults import Fault, Place
from advisor.loading import Loaded
from advisor.rulecheck import example_site

Small = Callable[[str], Loaded]
TAIL = '  because: B\n  source: invented\n  basis: recalled\n  kind: physics\n  checked: "2026-11"\n'
CHAIN = f"""
- rule: jet
  title: T
  when: [{{wash: {{method: [hose, lance]}}}}]
  derive:
    jet:
      pressure: wash.pressure
      speed: {{by: jets.speed_from_pressure, with: {{pressure: wash.pressure, density: 998 kg/m3}}}}
{TAIL}
- rule: code
  title: T
  when: [{{jet: {{pressure: "> 1 bar"}}}}]
  then: [{{demand: {{topic: ingress.water, item: [IPX5]}}}}]
{TAIL}
- rule: paper
  title: T
  when: [{{demand: {{topic: ingress.water, item: [IPX5]}}}}]
  then: [{{evidence: A report.}}]
{TAIL}
- rule: other
  title: T
  when: [{{wash: {{method: lance}}}}]
  then: [{{demand: {{topic: ingress.water, item: [IPX5]}}}}]
{TAIL}
"""


def test_four_levels_and_every_reason(small: Small) -> None:
    loaded = small(CHAIN)
    site = example_site({"wash": {"method": "lance", "pressure": "10 bar"}}, loaded.book, "x")
    run = Chainer(loaded.rules, loaded.book).run(site.facts(), certain=True)
    jet = next(fact for fact in run.facts.values() if fact.template == "jet")
    assert jet.slots["speed"].low == pytest.approx((2 * 10e5 / 998) ** 0.5, rel=0.05)  # type: ignore[union-attr]
    demand = next(name for name in run.facts if name.startswith("demand ingress.water"))
    assert [why.rule for why in run.justifications[demand]] == ["code", "other"]
    paper = next(name for name in run.facts if name.startswith("demand evidence"))
    assert [why.rule for why in run.justifications[paper]] == ["paper"]
    assert run.justifications[jet.id][0].bound == (("wash", "wash#1"),)


def test_a_stand_in_fires_only_possibly(small: Small) -> None:
    loaded = small(CHAIN)
    facts = example_site({}, loaded.book, "x").facts()
    chainer = Chainer(loaded.rules, loaded.book)
    assert not chainer.run(facts, certain=True).justifications
    assert {why.rule for reasons in chainer.run(facts, certain=False).justifications.values() for why in reasons} == {
        "jet", "code", "paper", "other",
    }  # fmt: skip


def test_an_engine_that_failed_is_not_used_again(small: Small, monkeypatch: pytest.MonkeyPatch) -> None:
    loaded = small(CHAIN)
    chainer = Chainer(loaded.rules, loaded.book)
    facts = example_site({"wash": {"method": "lance", "pressure": "10 bar"}}, loaded.book, "x").facts()
    whole = chainer.run(facts, certain=True)

    def fail(*_: object, **__: object) -> None:
        raise EngineError(Fault(Place("rules"), "cannot be computed"))

    with monkeypatch.context() as patch:
        patch.setattr("advisor.engine.firing.conclude", fail)
        with pytest.raises(EngineError, match="cannot be computed"):
            chainer.run(facts, certain=True)
    again = chainer.run(facts, certain=True)
    assert (again.facts, again.justifications) == (whole.facts, whole.justifications)


def test_two_rules_alike_both_give_their_reason(small: Small) -> None:
    """experta takes two rules with equal conditions for one, unless their functions differ."""
    twin = CHAIN + CHAIN.replace("rule: ", "rule: twin-")
    loaded = small(twin)
    facts = example_site({"wash": {"method": "lance", "pressure": "10 bar"}}, loaded.book, "x").facts()
    run = Chainer(loaded.rules, loaded.book).run(facts, certain=True)
    assert {why.rule for reasons in run.justifications.values() for why in reasons} == {
        f"{prefix}{name}" for prefix in ("", "twin-") for name in ("jet", "code", "paper", "other")
    }


def test_several_tests_on_one_slot_all_count(small: Small) -> None:
    body = f"""
- rule: band
  title: T
  when: [{{wash: {{method: [hose, lance], pressure: "> 5 bar"}}}}]
  unless: [{{wash: {{pressure: "> 50 bar"}}}}]
  then: [{{caution: "At {{wash.pressure}}."}}]
{TAIL}"""
    loaded = small(body)
    chainer = Chainer(loaded.rules, loaded.book)
    for pressure, sure, possible in (
        ("3 bar", 0, 0),
        ("20 bar", 1, 1),
        ("60 bar", 0, 0),
        ("3 .. 20 bar", 0, 1),
        ("20 .. 60 bar", 0, 1),
    ):
        facts = example_site({"wash": {"method": "hose", "pressure": pressure}}, loaded.book, "x").facts()
        counts = [len(chainer.run(facts, certain=certain).justifications) for certain in (True, False)]
        assert counts == [sure, possible], pressure


def test_nothing_but_the_chainer_sees_experta() -> None:
    assert dataclasses.is_dataclass(chaining._Seen)
    assert not hasattr(chaining.collections, "Mapping")
