"""Joining demands: cover relations with figures, certain against open, and what may be left out."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advise import Advice, Advisor
from advisor.loading import Loaded
from advisor.rulecheck import example_site
from advisor.topics import covers

Small = Callable[[str], Loaded]
TAIL = '  because: B\n  source: invented\n  basis: recalled\n  kind: physics\n  checked: "2026-11"\n'


def rule(name: str, when: str, then: str, more: str = "") -> str:
    return f"- rule: {name}\n  title: {name}\n  when: [{when}]\n  then: [{then}]\n{more}{TAIL}"


def advice(loaded: Loaded, **told: object) -> Advice:
    return Advisor(loaded).advise(example_site(told, loaded.book, "x"))


HOSED = rule("hosed", "{wash: {method: hose}}", "{demand: {topic: ingress.water, item: [IPX5], text: Hosed.}}")
SPLASHED = rule(
    "splashed",
    '{wash: {method: ">= splash"}}',
    "{demand: {topic: ingress.water, item: [IPX4], text: Splashed.}}",
)
DEEP = rule(
    "deep",
    "{immersion: {kind: temporary}}",
    "{demand: {topic: ingress.water, item: [IPX8], with: {depth: immersion.depth}}}",
)
DIPPED = rule("dipped", "{immersion: {kind: temporary}}", "{demand: {topic: ingress.water, item: [IPX7]}}")
HOT = rule("hot", "{wash: {}}", "{demand: {topic: temperature.high, at least: wash.temperature}}")
COLD = rule("cold", "{wash: {}}", "{demand: {topic: temperature.low, at most: wash.temperature}}")
SPARE = rule(
    "spare",
    "{place: {setting: indoor}}",
    "{not needed: {topic: ingress.water, item: [IPX4], text: No water.}}",
)


def shown(found: Advice) -> list[tuple[str, str, object]]:
    return [
        (demand.state, demand.item or demand.topic, demand.value or dict(demand.parameters)) for demand in found.demands
    ]


def test_the_covering_code_stands_for_the_covered_one(small: Small) -> None:
    assert shown(advice(small(HOSED + SPLASHED), wash={"method": "hose"})) == [("certain", "IPX5", {})]


def test_what_only_an_open_answer_asks_is_open(small: Small) -> None:
    found = advice(small(HOSED + SPLASHED), wash={"method": ["splash", "hose"]})
    assert shown(found) == [("certain", "IPX4", {}), ("open", "IPX5", {})]


def test_an_open_demand_under_a_certain_one_is_left_out(small: Small) -> None:
    found = advice(small(HOSED + SPLASHED), wash=[{"method": "hose"}, {"method": ["wipe", "splash"]}])
    assert shown(found) == [("certain", "IPX5", {})]


@pytest.mark.parametrize(
    ("depth", "expected"),
    [
        ("3 m", [("certain", "IPX8", {"depth": 3.0})]),
        ("2 .. 3 m", [("certain", "IPX8", {"depth": 2.0}), ("open", "IPX8", {"depth": 3.0})]),
        (
            "unknown",
            [
                ("certain", "IPX7", {}),
                ("certain", "IPX8", {"depth": 0.0}),
                ("open", "IPX8", {"depth": 11000.0}),
            ],
        ),
    ],
)
def test_a_code_carries_its_figure(small: Small, depth: str, expected: list[object]) -> None:
    found = advice(small(DEEP + DIPPED), wash="none", immersion={"kind": "temporary", "depth": depth})
    assert shown(found) == expected


def test_what_was_never_told_is_marked_as_unknown(small: Small) -> None:
    found = advice(small(DEEP), immersion={"kind": "temporary"})
    assert {demand.unknown for demand in found.demands} == {("depth",)}
    told = advice(small(DEEP), immersion={"kind": "temporary", "depth": "2 .. 3 m"})
    assert {demand.unknown for demand in told.demands} == {()}


def test_the_hardest_figure_stands(small: Small) -> None:
    washes = [{"method": "hose", "temperature": "60 degC"}, {"method": "hose", "temperature": "10 degC"}]
    found = advice(small(HOT + COLD), wash=washes)
    assert shown(found) == [("certain", "temperature.high", 333.15), ("certain", "temperature.low", 283.15)]


def test_a_range_is_certain_to_its_mild_end(small: Small) -> None:
    found = advice(small(HOT + COLD), wash={"method": "hose", "temperature": "40 .. 60 degC"})
    assert shown(found) == [
        ("certain", "temperature.high", 313.15),
        ("open", "temperature.high", 333.15),
        ("certain", "temperature.low", 333.15),
        ("open", "temperature.low", 313.15),
    ]


def test_a_figure_of_which_nothing_is_told_is_never_certain(small: Small) -> None:
    found = advice(small(HOT), wash={"method": "hose"})
    assert [(demand.state, demand.unknown) for demand in found.demands] == [("open", ("value",))]


@pytest.mark.parametrize(
    ("wash", "spared"),
    [("none", ["IPX4"]), ({"method": "splash"}, []), ({"method": "hose"}, []), ("unknown", [])],
)
def test_what_is_demanded_or_may_be_is_never_called_needless(small: Small, wash: object, spared: list[str]) -> None:
    found = advice(small(HOSED + SPLASHED + SPARE), place={"setting": "indoor"}, wash=wash)
    assert [entry.item for entry in found.spares] == spared


def test_equal_notes_of_two_rules_are_one(small: Small) -> None:
    notes = rule("one", "{wash: {method: hose}}", "{caution: Wet.}") + rule("two", "{place: {}}", "{caution: Wet.}")
    (note,) = advice(small(notes), wash={"method": "hose"}).notes["caution"]
    assert (note.state, len(note.facts)) == ("certain", 2)


def test_of_many_firings_the_worst_is_worded(small: Small) -> None:
    body = rule("warm", "{wash: {}}", '{caution: "At {wash.temperature}."}', "  worst: wash.temperature\n")
    washes = [{"method": "hose", "temperature": f"{degrees} degC"} for degrees in (20, 60, 40)]
    assert [note.item for note in advice(small(body), wash=washes).notes["caution"]] == ["At 60 °C."]


def test_clashes_wait_for_the_answers(small: Small) -> None:
    body = rule("clash", '{wash: {temperature: "> 60 degC"}}', "{conflict: Too hot.}", "  certain only: true\n")
    loaded = small(body)
    assert not advice(loaded, wash={"method": "hose"}).notes["conflict"]
    assert advice(loaded, wash={"method": "hose", "temperature": "70 degC"}).notes["conflict"]


@given(st.data())
def test_covering_is_an_order(loaded: Loaded, data: st.DataObject) -> None:
    topics = [topic for topic in loaded.book.vocabulary.topics.values() if topic.join == "codes"]
    topic = data.draw(st.sampled_from(topics))
    table = loaded.book.tables[topic.table or ""]
    codes = st.sampled_from(sorted(table.rows))
    figures = st.dictionaries(st.sampled_from(sorted(topic.parameters) or [""]), st.sampled_from((0.5, 1.0, 2.0)))
    asks = st.tuples(codes, figures if topic.parameters else st.just({}))
    first, second, third = data.draw(asks), data.draw(asks), data.draw(asks)
    assert covers(table, topic, *first, *first)
    if covers(table, topic, *first, *second) and covers(table, topic, *second, *third):
        assert covers(table, topic, *first, *third)


@pytest.mark.parametrize(
    ("code", "covered"),
    [
        ("IPX9", {"IPX9"}),
        ("IPX8", {"IPX7", "IPX8"}),
        ("IPX7", {"IPX7"}),
        ("IPX6", {"IPX1", "IPX2", "IPX3", "IPX4", "IPX5", "IPX6"}),
    ],
)
def test_second_numerals_are_no_single_ladder(loaded: Loaded, code: str, covered: set[str]) -> None:
    """IEC 60529:1989+A1:1999+A2:2013, clause 6: 7 and 8 need not meet 5 and 6, and 9 stands alone."""
    topic = loaded.book.vocabulary.topics["ingress.water"]
    table = loaded.book.tables["water_codes"]
    numerals = [key for key in table.rows if not key.endswith("K")]
    figures = {"depth": 2.0, "duration": 7200.0} if code == "IPX8" else {}
    assert {other for other in numerals if covers(table, topic, code, figures, other, {})} == covered


@pytest.mark.parametrize(("depth", "enough"), [(1.0, False), (2.0, True), (3.0, True)])
def test_a_depth_must_reach_what_is_wanted(loaded: Loaded, depth: float, enough: bool) -> None:
    topic, table = loaded.book.vocabulary.topics["ingress.water"], loaded.book.tables["water_codes"]
    assert covers(table, topic, "IPX8", {"depth": depth}, "IPX8", {"depth": 2.0}) == enough
    assert not covers(table, topic, "IPX8", {}, "IPX8", {"depth": 2.0})
