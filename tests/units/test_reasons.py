"""Minimal reasons: each set of answers forces the demand alone, no part of it does, and all ways are named."""

from collections.abc import Callable

import pytest

from advisor.advise import Advice, Advisor
from advisor.reasons import Reasoner
from advisor.topics import Demand

WASHED = """
place: {setting: indoor}
unit: {kind: sensor, largest_size: 60 mm, inside: closed}
wash:
  - {name: hot, method: hose, pressure: 25 bar, flow: 30 L/min, temperature: 65 degC, distance: 200 mm}
  - {name: cold, method: hose, pressure: 4 bar, flow: 20 L/min, temperature: 12 degC, distance: 500 mm}
air: {low: 4 degC, high: 28 degC, humidity: 95 %, coldest_surface: 4 degC}
others: none
"""


@pytest.fixture(scope="module")
def washed(advise: Callable[[str], Advice]) -> Advice:
    return advise(WASHED)


def demand(advice: Advice, topic: str, item: str = "") -> Demand:
    return next(d for d in advice.demands if (d.topic, d.state) == (topic, "certain") and item in ("", d.item))


def test_independent_reasons_stand_side_by_side(washed: Advice, advisor: Advisor) -> None:
    reasons = Reasoner(washed, advisor).reasons(demand(washed, "ingress.water", "IPX6"))
    instances = {frozenset(identity for identity, _ in reason.leaves) for reason in reasons}
    assert instances == {frozenset({"wash#1"}), frozenset({"wash#2"})}


def test_a_figure_rests_on_the_answer_that_gives_it(washed: Advice, advisor: Advisor) -> None:
    reasons = Reasoner(washed, advisor).reasons(demand(washed, "temperature.high"))
    assert [reason.text for reason in reasons] == ["air, high = 28 °C"]


def test_each_reason_is_enough_and_no_part_of_it_is(washed: Advice, advisor: Advisor) -> None:
    reasoner = Reasoner(washed, advisor)
    looked = 0
    for wanted in washed.demands:
        for reason in reasoner.reasons(wanted):
            assert reasoner.forces(wanted, reason.leaves)
            for leaf in reason.leaves:
                assert not reasoner.forces(wanted, reason.leaves - {leaf}), (wanted.topic, leaf)
                looked += 1
    assert looked > 10


def test_no_reason_holds_another(washed: Advice, advisor: Advisor) -> None:
    reasoner = Reasoner(washed, advisor)
    for wanted in washed.demands:
        found = [reason.leaves for reason in reasoner.reasons(wanted)]
        assert not any(one < other for one in found for other in found)


def test_an_open_demand_has_no_reason(advise: Callable[[str], Advice], advisor: Advisor) -> None:
    advice = advise("place: {setting: indoor}\nwash: unknown\n")
    opened = [d for d in advice.demands if d.state == "open"]
    assert opened
    reasoner = Reasoner(advice, advisor)
    assert all(reasoner.reasons(d) == [] for d in opened)
