"""The main screen as a person uses it: questions, the live sheet, and what the last answer changed."""

from pathlib import Path

import pytest
import screens
from conftest import ROOT
from screens import answer, drive, follow, paste, running, until, write

from advisor.loading import Loaded
from tui import live, outline
from tui.finder import Finder
from tui.hints import Hints
from tui.sheetlist import QUESTIONS

MEALS = ROOT / "scenarios" / "ready-meals-washdown"
SIZES = [(80, 24), (100, 30), (120, 40)]


@pytest.fixture
def state(tmp_path: Path) -> Path:
    return tmp_path / "state"


@pytest.mark.parametrize("size", SIZES)
def test_an_answer_reaches_the_sheet_and_is_marked(loaded: Loaded, state: Path, size: tuple[int, int]) -> None:
    async def work() -> None:
        async with running(loaded, state, MEALS, size) as (app, pilot):
            desk = app.desk
            assert "ingress.water|IPX9" in desk.sheet.by_key()
            await answer(app, pilot, "how near nozzle 200 mm", "3 m")
            await follow(app, pilot)
            await answer(app, pilot, "pressure nozzle 25 bar", "3 bar")
            await follow(app, pilot)
            assert "ingress.water|IPX9" not in desk.sheet.by_key()
            assert "ingress.water|IPX9" in {row.key for row in desk.changes.gone}
            assert f"-{len(desk.changes.gone)}" in str(desk.query_one("#state").content)

    drive(work)


def test_a_new_demand_is_marked_by_sign_and_word(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state, MEALS) as (app, pilot):
            await answer(app, pilot, "can the unit come to stand in water", "puddle")
            await follow(app, pilot)
            desk = app.desk
            assert desk.changes.new
            shown = [
                str(desk.sheet_list.get_option_at_index(number).prompt)
                for number, entry in enumerate(desk.sheet_list.entries)
                if isinstance(entry, live.Row) and entry.key in desk.changes.new
            ]
            assert shown
            assert all(text.startswith("+ ") and "new]" in text for text in shown)

    drive(work)


def test_units_are_taken_as_typed_and_read_back(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state, MEALS) as (app, pilot):
            for typed in ("1200 psi", "60 .. 90 bar"):
                await answer(app, pilot, "high pressure nozzle hot rinse", typed)
                assert app.desk.session.data["wash"][1]["pressure"] == typed
            await pilot.press("ctrl+f")
            await until(pilot, lambda: app.screen is not app.desk)
            await paste(pilot, "how hot water nozzle hot rinse")
            await pilot.press("enter")
            await until(pilot, lambda: app.screen is app.desk)
            await write(pilot, "150 F")
            await until(pilot, lambda: "65.6 °C" in _note(app))

    drive(work)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("85", "no unit"),
        ("85 kg", "does not measure"),
        ("9000 bar", "plausible"),
        ("[/b] bar", "quantity"),
        ("9 .. 2 bar", "downwards"),
    ],
)
def test_what_is_wrong_is_said_while_typing_and_never_taken(loaded: Loaded, state: Path, typed: str, told: str) -> None:
    async def work() -> None:
        async with running(loaded, state, MEALS) as (app, pilot):
            desk = app.desk
            desk.walk.go("wash", 1, "pressure")
            desk.redraw()
            await write(pilot, typed)
            await until(pilot, lambda: told in _note(app))
            before = desk.session.text
            await pilot.press("enter")
            await pilot.pause()
            assert told in _note(app)
            assert desk.session.text == before
            assert desk.walk.question.slot == "pressure"

    drive(work)


def test_unknown_is_one_key_away(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state, MEALS) as (app, pilot):
            desk = app.desk
            desk.walk.go("immersion", 0, "kind")
            desk.redraw()
            await pilot.press("question_mark")
            await follow(app, pilot)
            assert desk.session.data["immersion"]["kind"] == "unknown"
            desk.walk.go("wash", 1, "bore")
            desk.redraw()
            await pilot.pause()
            await pilot.press("question_mark")
            await follow(app, pilot)
            assert desk.session.data["wash"][1]["bore"] == "unknown"
            assert desk.sheet.counts()[1] > 0
            assert QUESTIONS in desk.sheet_list.entries

    drive(work)


def test_a_question_of_the_sheet_is_gone_to_and_says_what_hangs_on_it(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state) as (app, pilot):
            desk = app.desk
            await pilot.press("f6")
            first = desk.sheet.questions[0].slot
            assert desk.walk.question.template == first.instance.template
            assert "Hangs on it" in str(desk.query_one("#decides").content)
            await pilot.press("f4")
            desk.sheet_list.highlighted = desk.sheet_list.entries.index(desk.sheet.questions[3])
            await pilot.press("enter")
            await pilot.pause()
            assert desk.walk.subject.template == desk.sheet.questions[3].slot.instance.template

    drive(work)


def test_entries_are_added_named_and_removed(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state, MEALS) as (app, pilot):
            desk = app.desk
            await pilot.press("f2")
            listed = desk.query_one("#subjects")
            listed.highlighted = next(n for n, s in enumerate(listed.subjects) if s.template == "wash")
            await pilot.press("a")
            await follow(app, pilot)
            assert len(desk.session.data["wash"]) == 4
            assert desk.walk.subject.key == ("wash", 3)
            await pilot.press("f2", "d")
            await follow(app, pilot)
            assert len(desk.session.data["wash"]) == 3
            await pilot.press("ctrl+z")
            assert len(desk.session.data["wash"]) == 4
            await pilot.press("ctrl+y", "ctrl+y")
            assert len(desk.session.data["wash"]) == 3

    drive(work)


def test_a_subject_is_denied(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state) as (app, pilot):
            desk = app.desk
            await pilot.press("f2")
            listed = desk.query_one("#subjects")
            listed.highlighted = next(n for n, s in enumerate(listed.subjects) if s.template == "dust")
            await pilot.press("n")
            await follow(app, pilot)
            assert desk.session.data["dust"] == "none"
            assert next(s for s in desk.walk.subjects if s.template == "dust").state == outline.NONE
            listed.highlighted = next(n for n, s in enumerate(listed.subjects) if s.template == "place")
            before = desk.session.text
            await pilot.press("n")
            assert desk.session.text == before

    drive(work)


def test_a_preset_fills_in_and_an_entry_is_chosen_by_typing(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state) as (app, pilot):
            desk = app.desk
            desk.walk.go("wash")
            desk.redraw()
            desk.action_pane("middle")
            await write(pilot, "steam lance")
            await pilot.press("enter")
            await follow(app, pilot)
            assert desk.session.data["wash"] == [{"preset": "steam-lance"}]
            assert next(a for a in desk.walk.asked if a.slot == "method").shown == "steam (preset)"

    drive(work)


def test_several_choices_are_marked(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state) as (app, pilot):
            desk = app.desk
            desk.walk.go("place", 0, "setting")
            desk.redraw()
            await pilot.pause()
            await pilot.press("space", "down", "space", "enter")
            await follow(app, pilot)
            assert desk.session.data["place"]["setting"] == ["indoor", "sheltered"]

    drive(work)


def test_the_panes_fit_the_window(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state, MEALS, (80, 24)) as (app, pilot):
            desk = app.desk
            assert not desk.query_one("#left").display
            await pilot.press("f2")
            await pilot.pause()
            assert desk.query_one("#left").region.width == 80
            assert not desk.query_one("#middle").display
            await pilot.press("f3")
            await pilot.resize_terminal(140, 40)
            await pilot.pause()
            regions = [desk.query_one(f"#{name}").region for name in ("left", "middle", "right")]
            assert all(region.width >= 30 and region.height > 30 for region in regions)
            await pilot.resize_terminal(80, 24)
            await pilot.pause()
            assert desk.query_one("#right").region.width == 80
            await pilot.resize_terminal(20, 6)
            await pilot.pause()
            await pilot.press("f2", "f4", "f3")

    drive(work)


def test_texts_of_a_rulebook_are_never_read_as_markup(loaded: Loaded, state: Path, tmp_path: Path) -> None:
    path = tmp_path / "site.yaml"
    path.write_text("site: '[/b] [red]x[/] [@click=app.quit]y'\nwash: [{name: '[/]', method: hose}]\n", "utf-8")

    async def work() -> None:
        async with running(loaded, state, path) as (app, pilot):
            assert "[/b] [red]x[/]" in str(app.desk.query_one("#title").content)
            await pilot.press("ctrl+f")
            await until(pilot, lambda: app.screen is not app.desk)
            await paste(pilot, "[/]")
            await pilot.press("escape")
            await pilot.press("f2", "f4", "enter")
            await pilot.pause()

    drive(work)


def test_no_colour_is_needed(loaded: Loaded, state: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")

    async def work() -> None:
        async with running(loaded, state, MEALS) as (app, pilot):
            assert app.theme == "siteworthy-plain"
            await pilot.press("ctrl+t")
            assert app.theme == "siteworthy-dark"

    drive(work)


def _note(app: screens.AskApp) -> str:
    return str(app.desk.query_one("#note").content)


def test_a_click_on_a_key_hint_does_what_the_key_does(loaded: Loaded, state: Path) -> None:
    async def work() -> None:
        async with running(loaded, state, MEALS) as (app, pilot):
            hints = app.desk.query_one(Hints)
            text = str(hints.content)
            assert "f1 Help" in text
            await pilot.click(Hints, offset=(1 + text.index("Search"), 0))
            await until(pilot, lambda: isinstance(app.screen, Finder))
            await pilot.press("escape", "f4")
            await pilot.pause()
            assert "Why not" in str(hints.content)
            await pilot.resize_terminal(60, 20)
            await pilot.pause()
            assert len(str(hints.content)) <= 58
            assert "All actions" in str(hints.content)

    drive(work)
