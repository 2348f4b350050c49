"""Open questions: what hangs on which answer, the most useful first, and none where nothing is open."""

from collections.abc import Callable

import pytest
import strategies
from conftest import DEPTH
from hypothesis import given, settings

from advisor.advise import Advice, Advisor
from advisor.interview import Interviewer, OpenQuestion
from advisor.loading import Loaded
from advisor.rulecheck import example_site

Small = Callable[[str], Loaded]
TAIL = '  because: B\n  source: invented\n  basis: recalled\n  kind: physics\n  checked: "2026-11"\n'
RULES = f"""
- rule: jet
  title: T
  when: [{{wash: {{method: [hose, lance]}}}}]
  derive: {{jet: {{pressure: wash.pressure}}}}
{TAIL}
- rule: code
  title: T
  when: [{{jet: {{pressure: "> 5 bar"}}}}]
  then: [{{demand: {{topic: ingress.water, item: [IPX5]}}}}]
{TAIL}
- rule: paper
  title: T
  when: [{{demand: {{topic: ingress.water, item: [IPX5]}}}}]
  then: [{{evidence: A report.}}]
{TAIL}
- rule: roof
  title: T
  when: [{{place: {{setting: outdoor}}}}]
  then: [{{practice: A roof.}}]
{TAIL}
"""


def questions(loaded: Loaded, **told: object) -> list[OpenQuestion]:
    found = Advisor(loaded).advise(example_site(told, loaded.book, "x"))
    return Interviewer(found, loaded.rules, loaded.book).questions()


def names(found: list[OpenQuestion]) -> list[str]:
    return [question.slot.name for question in found]


def test_a_settled_site_asks_nothing(small: Small) -> None:
    told = {"wash": {"method": "hose", "pressure": "9 bar"}, "place": {"setting": "indoor"}}
    assert names(questions(small(RULES), **told)) == []


def test_the_question_goes_down_through_what_is_concluded(small: Small) -> None:
    found = questions(small(RULES), wash={"method": "hose"}, place={"setting": "indoor"})
    assert names(found) == ["wash#1.pressure"]
    assert {demand.topic for demand in found[0].demands} == {"ingress.water", "evidence"}


def test_a_range_on_one_side_of_the_threshold_is_not_asked_about(small: Small) -> None:
    assert (
        names(questions(small(RULES), wash={"method": "hose", "pressure": "6 .. 9 bar"}, place={"setting": "indoor"}))
        == []
    )
    assert names(
        questions(small(RULES), wash={"method": "hose", "pressure": "4 .. 9 bar"}, place={"setting": "indoor"})
    ) == ["wash#1.pressure"]


def test_whether_it_applies_comes_before_what_it_is(small: Small) -> None:
    assert (
        names(
            questions(
                small(RULES),
                wash={"preset": "mains-hose", "method": ["wipe", "hose"]},
                place={"setting": "indoor"},
            )
        )[0]
        == "wash#1.method"
    )


def test_of_what_may_not_be_there_it_is_asked_whether_it_is(small: Small) -> None:
    assert names(questions(small(RULES), place={"setting": "indoor"})) == ["wash?.method"]


def test_the_weightier_comes_first(small: Small) -> None:
    assert names(questions(small(RULES))) == ["wash?.method", "place.setting"]


def test_an_instance_is_called_by_its_name(small: Small) -> None:
    washes = [{"name": "evening", "method": "hose"}, {"method": "wipe"}]
    (question,) = questions(small(RULES), wash=washes, place={"setting": "indoor"})
    assert question.ask.startswith("evening: ")


@pytest.mark.parametrize("text", ["", "wash: {method: hose}\nimmersion: {kind: temporary}", "wash: unknown"])
def test_every_open_demand_hangs_on_a_question(advise: Callable[[str], Advice], loaded: Loaded, text: str) -> None:
    found = advise(text)
    asked = Interviewer(found, loaded.rules, loaded.book).questions()
    covered = {id(demand) for question in asked for demand in question.demands}
    lost = [d for d in strategies.everything(found, "open") if id(d) not in covered and not d.materials]
    assert not [f"{demand.topic}: {demand.item or demand.value}" for demand in lost]


@given(told=strategies.sites())
@settings(max_examples=15 * DEPTH)
def test_only_open_answers_are_asked_for(told: strategies.Told) -> None:
    site = strategies.read(told)
    loaded = strategies.rulebook()
    for question in Interviewer(strategies.advise(site), loaded.rules, loaded.book).questions():
        slot = question.slot
        answer = site.by_id()[slot.instance.id].answers[slot.slot]
        assert answer.open or not slot.instance.certain
        assert question.demands
        assert question.ask
