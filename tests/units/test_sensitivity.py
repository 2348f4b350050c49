"""How far a figure may move: the ends lie at the thresholds of the rules, and close ones are flagged."""

from collections.abc import Callable

import pytest

from advisor.advise import Advisor
from advisor.sensitivity import Hold, holds
from advisor.site import Site

HOSE = """
place: {setting: indoor}
unit: {kind: sensor, inside: filled}
wash: {method: hose, pressure: PRESSURE, distance: 2 m, temperature: 15 degC, nozzle: fan}
others: none
"""


@pytest.fixture
def hold(advisor: Advisor, site_of: Callable[[str], Site]) -> Callable[[str, str], Hold]:
    def find(pressure: str, slot: str) -> Hold:
        found = holds(advisor, site_of(HOSE.replace("PRESSURE", pressure)))
        return next(own for own in found if own.slot.slot == slot)

    return find


def test_the_interval_ends_where_a_rule_has_its_threshold(hold: Callable[[str, str], Hold]) -> None:
    """`pressure-above-tests` asks for a note beyond 100 bar; the next rung above 100 is 102."""
    found = hold("60 bar", "pressure")
    assert found.high.said == "100 bar"
    assert any("102 bar" in shift.after for shift in found.high.shifts)
    assert found.text == f"holds from {found.low.said} to 100 bar"
    assert found.low.value < 60e5 < found.high.value
    assert found.margin == pytest.approx(min(60e5 - found.low.value, 40e5) / 60e5)


def test_both_sides_of_an_end_differ(hold: Callable[[str, str], Hold]) -> None:
    found = hold("60 bar", "pressure")
    inside = hold(found.low.said, "pressure")
    assert inside.high.said == found.high.said
    assert inside.near == "right below it"


def test_an_answer_whose_range_reaches_over_a_threshold_is_flagged(hold: Callable[[str, str], Hold]) -> None:
    assert hold("80 .. 110 bar", "pressure").flag == "its own range reaches over a change"
    assert hold("60 .. 70 bar", "pressure").flag == ""


def test_an_answer_rounded_over_a_threshold_is_flagged(hold: Callable[[str, str], Hold]) -> None:
    assert hold("100 bar", "pressure").flag == "a change lies within the rounding of the figure"
    assert hold("60 bar", "pressure").flag == ""


def test_a_figure_that_decides_nothing_holds_at_any_value(hold: Callable[[str, str], Hold]) -> None:
    found = hold("60 bar", "altitude")
    assert found.text == "holds at any value"
    assert found.margin is None
