"""The quick evaluator: figures and intervals through formulas and tables, and rows without a figure."""

from collections.abc import Callable

import pytest

from advisor.engine.bounds import evaluate
from advisor.engine.facts import Run
from advisor.loading import Loaded
from advisor.rulecheck import example_site
from advisor.values import Domain, Span

Small = Callable[[str], Loaded]
TAIL = '  because: B\n  source: invented\n  basis: recalled\n  kind: physics\n  checked: "2026-11"\n'
COLUMN = f"""
- rule: column
  title: T
  when: [{{immersion: {{kind: temporary}}}}]
  derive:
    column:
      pressure:
        by: hydrostatics.gauge_pressure
        with: {{depth: immersion.depth, density: {{row: immersion.liquid, column: density}}, gravity: 9.8 m/s**2}}
{TAIL}"""


def run(loaded: Loaded, *, certain: bool = False, **told: object) -> Run:
    facts = [fact for fact in example_site(told, loaded.book, "x").facts() if fact.certain or not certain]
    return evaluate(loaded.rules, facts, loaded.book, certain=certain)


def pressure(found: Run) -> Domain:
    return next(fact for fact in found.facts.values() if fact.template == "column").slots["pressure"]


@pytest.mark.parametrize(
    ("depth", "liquid", "low", "high"),
    [
        ("2 m", "fresh-water", 19560.8, 19560.8),
        ("2 .. 3 m", "fresh-water", 19560.8, 29341.2),
        ("2 m", "sea-water", 19992, 20188),
        ("2 m", ["fresh-water", "sea-water"], 19560.8, 20188),
    ],
)
def test_intervals_go_through_formula_and_table(
    small: Small, depth: str, liquid: object, low: float, high: float
) -> None:
    found = pressure(run(small(COLUMN), immersion={"kind": "temporary", "depth": depth, "liquid": liquid}))
    assert isinstance(found, Span)
    assert (found.low, found.high) == (pytest.approx(low), pytest.approx(high))
    assert found.told


def test_a_row_without_the_figure_allows_all_that_any_row_has(small: Small) -> None:
    found = run(small(COLUMN), immersion={"kind": "temporary", "depth": "2 m", "liquid": "thick-oil"})
    span = pressure(found)
    assert isinstance(span, Span)
    assert span.low <= 19561
    assert span.high >= 20188
    notes = [note for reasons in found.justifications.values() for why in reasons for _, trace in why.traces
             for _, inner in trace.inputs for note in inner.notes]  # fmt: skip
    assert any("thick" in note for note in notes)


def test_what_rests_on_nothing_told_is_marked(small: Small) -> None:
    span = pressure(run(small(COLUMN), immersion={"kind": "temporary", "liquid": "fresh-water"}))
    assert isinstance(span, Span)
    assert not span.told


def test_a_slot_that_does_not_apply_keeps_the_rule_silent(small: Small) -> None:
    found = run(small(COLUMN), immersion={"kind": "temporary", "pressure": "1 bar", "liquid": "fresh-water"})
    assert not found.justifications


def test_every_pair_of_instances_is_tried(small: Small) -> None:
    body = f"""
- rule: shock
  title: T
  when: [{{"wash as hot": {{temperature: "> 60 degC"}}}}, {{"wash as cold": {{temperature: "< 20 degC"}}}}]
  then: [{{caution: "{{hot.temperature}} then {{cold.temperature}}."}}]
{TAIL}"""
    washes = [{"temperature": f"{degrees} degC"} for degrees in (70, 80, 10)]
    found = run(small(body), certain=True, wash=washes)
    assert sorted(fact.text for fact in found.facts.values() if fact.text) == [
        "70 °C then 10 °C.",
        "80 °C then 10 °C.",
    ]


def test_unless_swaps_the_reading(small: Small) -> None:
    body = f"""
- rule: open
  title: T
  when: [{{wash: {{method: hose}}}}]
  unless: [{{place: {{setting: indoor}}}}]
  then: [{{caution: Open.}}]
{TAIL}"""
    loaded = small(body)
    for setting, sure, possible in (
        ("indoor", 0, 0),
        ("outdoor", 1, 1),
        (["indoor", "outdoor"], 0, 1),
        ("unknown", 0, 1),
    ):
        told = {"wash": {"method": "hose"}, "place": {"setting": setting}}
        assert [len(run(loaded, certain=certain, **told).justifications) for certain in (True, False)] == [
            sure,
            possible,
        ], setting
