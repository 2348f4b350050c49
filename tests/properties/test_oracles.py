"""Engine of record and a second opinion, which shares none of its code, demand the same of sites told in full."""

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import strategies
from conftest import DEPTH, ROOT
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st
from oracle_sites import as_told, told_in_full
from oracles import Naive
from strategies import Told

from advisor import yamlfile
from advisor.advise import Advisor
from advisor.engine.facts import Run
from advisor.site import Site
from advisor.values import Span, Words

SCENARIOS = sorted((ROOT / "scenarios").glob("*/site.yaml"))


def rounded(domain: Any) -> tuple[str, ...]:
    """An interval, or words, as it can be compared."""
    ends = domain if isinstance(domain, tuple) else (domain.low, domain.high)
    return tuple(f"{end + 0.0:.6g}" for end in ends[:2])


def of_record(run: Run) -> set[Any]:
    """Everything that the engine's run demands, notes, spares and rules out."""
    found: set[Any] = set()
    for fact in run.facts.values():
        kind, _, topic = fact.template.partition(" ")
        if kind not in ("demand", "spare"):
            continue
        item = fact.slots.get("item")
        if topic == "material":
            assert isinstance(item, Words)
            rating, roles = (fact.slots[name].options for name in ("rating", "roles"))  # type: ignore[union-attr]
            rule = ".".join(fact.id.split("|")[1].split(".")[:2])
            found |= {("material", rule, name, *rating, tuple(sorted(roles))) for name in item.options}
        elif isinstance(item, Words):
            own = tuple(sorted((n, rounded(d)) for n, d in fact.slots.items() if isinstance(d, Span)))
            found |= {(fact.template, word, own) for word in item.options}
        elif fact.slots:
            found.add((fact.template, rounded(fact.slots["value"])))
        else:
            found.add((fact.template, fact.id.split("|")[1]))
    return found


def second_opinion(site: Site, *, sure: bool, without: str = "") -> set[Any]:
    """The same of the naive run, of all rules but one."""
    book = strategies.rulebook().book
    left = replace(book, rules={name: rule for name, rule in book.rules.items() if name != without})
    found: set[Any] = set()
    for key, (template, _, slots) in Naive(left, sure=sure).run(as_told(site)).items():
        if template.partition(" ")[0] not in ("demand", "spare"):
            continue
        if key[0] == "material":
            found.add(key)
        elif "item" in slots:
            own = tuple(sorted((n, rounded(v)) for n, v in slots.items() if n != "item"))
            found |= {(template, word, own) for word in slots["item"]}
        else:
            found.add((template, rounded(slots["value"]) if slots else key[2]))
    return found


def disagreements(advisor: Advisor, site: Site, without: str = "") -> list[str]:
    advice = advisor.advise(site)
    found = []
    for run, sure in ((advice.certain, True), (advice.possible, False)):
        record, other = of_record(run), second_opinion(site, sure=sure, without=without)
        reading = "certain" if sure else "possible"
        found += [f"{reading}, only the engine: {entry}" for entry in listed(record - other)]
        found += [f"{reading}, only the second opinion: {entry}" for entry in listed(other - record)]
    return found


def listed(entries: Iterable[Any]) -> list[str]:
    return sorted(map(str, entries))[:5]


@pytest.mark.parametrize("path", SCENARIOS, ids=[path.parent.name for path in SCENARIOS])
def test_scenarios(advisor: Advisor, path: Path) -> None:
    site = told_in_full(yamlfile.load(path).data, seed=7)
    assert site is not None, "an answer stays in doubt"
    assert disagreements(advisor, site) == []


@pytest.mark.parametrize("rule", ["field-measured", "field-of-one", "condensation-inside", "induction-heating-field"])
def test_a_rule_that_one_side_lacks_is_noticed(advisor: Advisor, rule: str) -> None:
    fields = [{"layout": "measured", "flux": "20 mT", "waveform": name} for name in ("induction", "ac")]
    site = told_in_full({"wash": {"method": "lance", "distance": "2 m"}, "field_source": fields}, seed=3)
    assert site is not None
    assert disagreements(advisor, site, without=rule)


@given(told=strategies.sites(settled=True), seed=st.integers(0, 10_000))
@settings(max_examples=10 * DEPTH, phases=[Phase.explicit, Phase.generate])  # a site is small enough as drawn
def test_random_sites(advisor: Advisor, told: Told, seed: int) -> None:
    site = told_in_full(told, seed)
    assume(site is not None)
    assert disagreements(advisor, site) == []
