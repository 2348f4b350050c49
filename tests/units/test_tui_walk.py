"""The interview without a screen: subjects, their states, the order of questions, what is taken and what is refused."""

from collections.abc import Callable
from pathlib import Path

import pytest
from conftest import ROOT

from advisor.document import Condition, Figure
from advisor.loading import Loaded
from tui import outline, paint
from tui.session import Session
from tui.walk import Walk

Begin = Callable[..., Walk]


@pytest.fixture
def begin(loaded: Loaded, tmp_path: Path) -> Begin:
    def make(scenario: str = "") -> Walk:
        path = ROOT / "scenarios" / scenario
        return Walk(Session.open(loaded, path, tmp_path) if scenario else Session(loaded, tmp_path))

    return make


def test_every_template_and_slot_that_is_asked_can_be_reached(begin: Begin, loaded: Loaded) -> None:
    walk = begin()
    asked = outline.asked_templates(loaded.book)
    assert {subject.template for subject in walk.subjects} == {outline.HEAD, *(t.template for t in asked)}
    assert all(template in {t.template for t in asked} for template in outline.FIRST)
    for template in asked:
        if template.many:
            walk.go(template.template)
            assert walk.answer("add") is None
        walk.go(template.template)
        known = {question.slot for question in walk.asked}
        first = next(iter(template.by_name))
        assert walk.subject.state == outline.NOT_RELEVANT or first in known


def test_states_of_subjects(begin: Begin) -> None:
    walk = begin("ready-meals-washdown")
    state = {subject.key: subject.state for subject in walk.subjects}
    assert state["immersion", 0] == outline.SETTLED
    assert state["wash", 0] == outline.SETTLED
    assert state["dust", -1] == outline.NONE
    assert state["weld", -1] == outline.NONE
    assert state["weather", 0] == outline.NOT_RELEVANT
    assert begin().subjects[1].state == outline.NOT_TOLD


def test_onward_goes_only_to_open_questions_and_ends(begin: Begin) -> None:
    walk = begin("ready-meals-washdown")
    seen = []
    while walk.onward():
        assert walk.question.open
        assert walk.question.key not in seen
        seen.append(walk.question.key)
        assert walk.answer("unknown") is None
        if len(seen) > 12:
            break
    assert seen


def test_stepping_passes_every_question_once_and_back(begin: Begin) -> None:
    walk = begin("spot-gun-throat-mfdc")
    walk.go(outline.HEAD, 0, "site")
    way = [walk.question.key]
    while walk.step(1):
        way.append(walk.question.key)
    assert len(way) == len(set(way)) > 60
    back = [walk.question.key]
    while walk.step(-1):
        back.append(walk.question.key)
    assert back == way[::-1]


@pytest.mark.parametrize(
    ("place", "text"),
    [
        (("wash", 1, "pressure"), "lots"), (("wash", 1, "pressure"), "3 kg"), (("wash", 1, "method"), "whatever"),
        (("site", 0, "date"), "yesterday"), (("site", 0, "others"), "perhaps"), (("site", 0, "site"), "unknown"),
        (("dust", -1, "(entry)"), "maybe"), (("wash", 1, "preset"), "no-such"),
    ],
)  # fmt: skip
def test_what_is_no_answer_is_refused_with_a_reason(begin: Begin, place: tuple[str, int, str], text: str) -> None:
    walk = begin("ready-meals-washdown")
    walk.go(*place)
    before = walk.session.text
    fault = walk.answer(text)
    assert fault
    assert walk.session.text == before


def test_entries_come_and_go(begin: Begin) -> None:
    walk = begin()
    walk.go("wash")
    assert walk.answer("preset steam-lance") is None
    assert walk.subject.key == ("wash", 0)
    assert walk.add() is None
    assert walk.subject.key == ("wash", 1)
    assert walk.remove() is None
    assert walk.remove() is None
    assert "wash" not in walk.session.data
    assert walk.remove()
    walk.go("place")
    assert walk.add()
    assert walk.deny()


def test_an_assumed_answer_is_shown_as_such_and_a_preset_as_well(begin: Begin) -> None:
    walk = begin("ready-meals-washdown")
    walk.go("wash", 1, "method")
    assert walk.question.shown == "hose (preset)"
    walk.go("place", 0, "altitude")
    assert walk.question.shown == "0 m (assumed)"


def test_a_full_disk_is_told_and_the_answer_stays(begin: Begin, monkeypatch: pytest.MonkeyPatch) -> None:
    from advisor.faults import Fault, InputError, Place

    def full() -> None:
        raise InputError([Fault(Place("journal"), "cannot be written (No space left on device)")])

    walk = begin()
    monkeypatch.setattr(walk.session, "autosave", full)
    walk.go("place", 0, "setting")
    assert walk.answer("indoor") is None
    assert "No space" in walk.unkept
    assert walk.session.data["place"] == {"setting": "indoor"}


def condition(value: float, test: str, distance: float, unit: str = "pascal", holds: str = "certain") -> Condition:
    figure = Figure(low=value, high=value, unit=unit, text="")
    return Condition(about="", value=figure, test=test, holds=holds, origin="told", margin=distance)


def test_a_bar_shows_value_and_threshold() -> None:
    assert paint.margin(condition(20.0, "> 10 Pa", 10.0), 20) == "█" * 10 + "|" + "█" * 9
    assert paint.margin(condition(5.0, "< 10 Pa", 5.0), 20) == "█" * 10 + "·" * 9 + "|"
    warm = paint.margin(condition(340.0, ">= 60 degC", 7.0, "kelvin"), 30)
    assert warm.count("|") == 1
    assert "·" in warm
    assert paint.margin(condition(1.0, "applies", 0.0).model_copy(update={"margin": None})) == ""


def test_wrapped_text_hangs_under_its_first_word() -> None:
    lines = paint.hang("one two three four five six seven", 16, "□ ")
    assert lines[0].startswith("□ one")
    assert all(line.startswith("  ") for line in lines[1:])
    assert all(len(line) <= 16 for line in lines)
    assert paint.hang("a\x1b[31mb", 40) == ["a\\x1b[31mb"]
