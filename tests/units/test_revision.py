"""What changed between two sites or rulebooks, and why: shifts by topic, rules and answers behind them."""

from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.advise import Advice, Advisor
from advisor.loading import load
from advisor.revision import NOTHING, Revision, revise
from advisor.site import Site

BEFORE = """
place: {setting: indoor}
unit: {kind: sensor, inside: filled}
wash:
  - {name: rinse, method: hose, pressure: 4 bar, flow: 20 L/min, temperature: 12 degC, distance: 1 m}
immersion: none
others: none
"""
HOTTER = BEFORE.replace("4 bar", "25 bar").replace("12 degC", "65 degC").replace("1 m", "200 mm")


@pytest.fixture
def between(advise: Callable[[str], Advice], advisor: Advisor) -> Callable[[str, str], Revision]:
    return lambda old, new: revise(advise(old), advise(new), advisor, advisor)


def test_nothing_changed(between: Callable[[str, str], Revision]) -> None:
    assert between(BEFORE, BEFORE) == Revision((), ())


def test_a_new_demand_names_its_rules_and_the_answers_behind_it(between: Callable[[str, str], Revision]) -> None:
    revision = between(BEFORE, HOTTER)
    assert {a.about for a in revision.answers} == {
        "wash (rinse), pressure", "wash (rinse), temperature", "wash (rinse), distance",
    }  # fmt: skip
    new = next(own for own in revision.shifts if own.shift.kind == "new" and own.shift.after == "IPX9")
    assert new.rules_new
    assert new.rules_gone == ()
    assert "wash (rinse), pressure: 4 bar, now 25 bar" in new.because


def test_the_way_back_mirrors_the_way_there(between: Callable[[str, str], Revision]) -> None:
    back = between(HOTTER, BEFORE)
    gone = next(own for own in back.shifts if own.shift.before == "IPX9")
    assert gone.shift.kind == "dropped"
    assert gone.rules_gone
    assert gone.rules_new == ()


def test_an_entry_is_known_by_its_name(between: Callable[[str, str], Revision]) -> None:
    more = BEFORE.replace("wash:\n", "wash:\n  - {name: foam, method: foam, temperature: 40 degC}\n")
    answers = between(BEFORE, more).answers
    assert [(a.about, a.before) for a in answers] == [("wash (foam)", NOTHING)]


def test_a_figure_that_moves_is_raised_or_eased(between: Callable[[str, str], Revision]) -> None:
    warm = BEFORE.replace("12 degC", "45 degC")
    up = next(own.shift for own in between(warm, HOTTER).shifts if own.shift.topic == "temperature.wash")
    down = next(own.shift for own in between(HOTTER, warm).shifts if own.shift.topic == "temperature.wash")
    assert (up.kind, down.kind) == ("raised", "eased")
    assert (up.before, up.after) == (down.after, down.before)


def test_a_lifted_rule_takes_its_demand_along(tmp_path: Path, advisor: Advisor, site_of: Callable[[str], Site]) -> None:
    site = site_of(HOTTER)
    makers = next(d for d in advisor.advise(site).demands if d.item == "IPX9")
    rules = {why.rule for fact in makers.facts for why in advisor.advise(site).possible.justifications[fact]}
    lines = [f"- {{lift: {name}, reason: taken out for this test}}\n" for name in sorted(rules)]
    (tmp_path / "own.yaml").write_text("".join(lines), encoding="utf-8")
    other = Advisor(load([tmp_path]))
    revision = revise(advisor.advise(site), other.advise(site), advisor, other)
    assert revision.answers == ()
    gone = next(own for own in revision.shifts if own.shift.before == "IPX9")
    assert set(gone.rules_gone) == rules
