"""The audit on the screen: the matrix, a finding with its claim and proof, corrections, and the reviewer's journey."""

import asyncio
import random
from collections.abc import Callable, Coroutine
from pathlib import Path
from typing import Any

import pytest
from conftest import DEPTH, ROOT
from pdfs import pdf
from screens import running
from textual.app import App
from textual.pilot import Pilot
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static

from advisor.loading import Loaded
from tui.audit import AuditScreen
from tui.audit_dialogs import LongText, NameFile, SheetPicker
from tui.audit_matrix import Matrix
from tui.audit_reading import ReadingScreen
from tui.audit_unit import FindingScreen, UnitScreen
from tui.session import Session

MEALS = ROOT / "scenarios" / "ready-meals-washdown"
HOSTILE = """\
Level switch [/b] [red]not markup[/red] (invented)
Rating            IP67 [/]
Ambient           -20...+60 °C  \x1b[31m
Seal              EPDM
[@click=app.exit]Wobble[/] factor
"""


class Bare(App[None]):
    """Shows one screen."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session

    def on_mount(self) -> None:
        self.push_screen(AuditScreen(self.session))


async def until(pilot: Pilot[Any], holds: Callable[[], bool]) -> None:
    """Wait until something holds."""
    for _ in range(1500):
        if holds():
            await pilot.pause()
            return
        await pilot.pause(0.02)
    raise AssertionError("it does not come about")


def words(app: App[Any]) -> str:
    """Return what stands on the screen, without colours."""
    return "\n".join("".join(part.text for part in strip) for strip in app.screen._compositor.render_strips())


def drive(session: Session, work: Callable[[Bare, Pilot[Any]], Coroutine[Any, Any, None]], size=(80, 24)) -> None:
    """Run the audit screen on a session until its first audit is done, and then the work."""

    async def run() -> None:
        app = Bare(session)
        async with app.run_test(size=size) as pilot:
            if session.sheets:
                await audited(app, pilot)
            await work(app, pilot)

    asyncio.run(run())


async def audited(app: App[Any], pilot: Pilot[Any]) -> None:
    await until(
        pilot, lambda: isinstance(app.screen, AuditScreen) and app.screen.bench is not None and not app.screen.busy
    )


@pytest.fixture
def session(loaded: Loaded, tmp_path: Path) -> Session:
    """The ready meals with all their sheets."""
    made = Session.open(loaded, MEALS, tmp_path / "state")
    made.sheets = sorted((MEALS / "units").iterdir())
    return made


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_the_matrix_shows_every_unit_with_verdict_and_letters(session: Session, size: tuple[int, int]) -> None:
    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        text = words(app)
        assert "4 units: 0 fit, 1 unproven, 3 unfit" in text
        lines = [line for line in text.splitlines() if "✗ unfit" in line or "? unproven" in line]
        assert len(lines) == 4 and all(set("MSU?–") & set(line[50:]) for line in lines)
        assert "? unproven Inductive sensor M18" in lines[0] or "Inductive" in lines[0]
        await pilot.press("right", "right", "down", "down")
        assert "Protection against water: IPX6 [certain]" in words(app) and "falls short: claimed" in words(app)
        assert ("Temperature of what wets" in words(app)) == (size[0] >= 110)

    drive(session, work, size)


def test_filters_by_verdict_finding_and_name(session: Session) -> None:
    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        matrix = app.screen.query_one(Matrix)
        await pilot.press("v", "v")
        assert [result.fate.verdict for result in matrix.results] == ["unproven"]
        await pilot.press("v", "v", "right", "right", "f")
        assert len(matrix.results) == 3 and "falls short" in words(app)
        await pilot.press("f", "f", "f", "f", "slash")
        await pilot.press(*"words")
        assert [result.name for result in matrix.results] == ["photoelectric-words"]
        await pilot.press("escape")
        assert len(matrix.results) == 4 and matrix.has_focus
        await pilot.press("s")
        assert matrix.results[0].fate.verdict == "unfit" and "worst first" in words(app)

    drive(session, work)


def test_a_finding_opens_claim_and_proof_side_by_side(session: Session) -> None:
    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        await pilot.press("down", "down", "right", "right", "enter")
        await until(pilot, lambda: isinstance(app.screen, FindingScreen))
        await until(pilot, lambda: "FALLS SHORT" in words(app))
        text = words(app)
        assert "“IP69K nach DIN 40050-9”" in text and "» Schutzart: IP69K" in text and "line 6" in text
        assert "Why: IPX6" in text and "IEC 60529" in text and "|" in text
        trap = str(app.screen.query_one("#claim Static", Static).content)
        assert "What the claims do not mean" in trap
        first = text.splitlines()[0]
        await pilot.press("n")
        assert words(app).splitlines()[0] != first
        await pilot.press("escape")
        assert isinstance(app.screen, AuditScreen)

    drive(session, work)


def test_a_unit_opens_its_findings(session: Session) -> None:
    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        await pilot.press("down", "down", "down", "enter")
        await until(pilot, lambda: isinstance(app.screen, UnitScreen))
        assert "✗ UNFIT" in words(app) and "✗ Falls short" in words(app)
        prompts = [
            str(app.screen.query_one(OptionList).get_option_at_index(n).prompt) for n in range(len(app.screen.found))
        ]
        assert "What the claims do not mean" in prompts
        await pilot.press("enter")
        assert isinstance(app.screen, FindingScreen)

    drive(session, work)


def test_words_of_a_sheet_are_never_markup(loaded: Loaded, tmp_path: Path) -> None:
    sheet = tmp_path / "hostile [red].txt"
    sheet.write_text(HOSTILE, "utf-8")
    session = Session.open(loaded, MEALS, tmp_path / "state")
    session.sheets = [sheet]

    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        assert "hostile [red]" in words(app)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, UnitScreen))
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, FindingScreen))
        seen = ""
        for _ in range(len(app.screen.order)):
            seen += str(app.screen.query_one("#claim Static", Static).content)
            await pilot.press("n")
        assert "[@click=app.exit]Wobble[/] factor" in seen and "\x1b" not in seen and "\\x1b[31m" in seen
        await pilot.press("escape", "escape", "r")
        await until(pilot, lambda: isinstance(app.screen, ReadingScreen))
        assert any(line.missed for line in app.screen.lines)
        shown = [
            str(app.screen.query_one(OptionList).get_option_at_index(n).prompt) for n in range(len(app.screen.lines))
        ]
        assert len(shown) == len(app.screen.lines)

    drive(session, work, (180, 40))


def test_a_confirmed_sheet_takes_the_place_of_the_text(loaded: Loaded, tmp_path: Path) -> None:
    sheet = tmp_path / "switch.txt"
    sheet.write_text("Rating IP67\nSeal EPDM\n", "utf-8")
    session = Session.open(loaded, MEALS, tmp_path / "state")
    session.sheets = [sheet]

    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        before = app.screen.matrix.result
        await pilot.press("r", "enter")
        app.screen.query_one(Input).value = "IP66 / IP69"
        await pilot.pause()
        assert "IPX9" in words(app)
        await pilot.press("enter")
        await pilot.press("down", "space")
        assert [line.taken for line in app.screen.lines] == [True, False]
        await pilot.press("ctrl+s")
        assert isinstance(app.screen, NameFile)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, AuditScreen))
        await until(pilot, lambda: bool(app.screen.matrix.results) and not app.screen.busy)
        assert session.sheets == [tmp_path / "switch.yaml"]
        water = next(w for w in app.screen.bench.wanted if w.demanded == "IPX6")
        assert app.screen.bench.outcome(before, water) == "falls short"
        assert app.screen.bench.outcome(app.screen.matrix.result, water) == "meets"
        assert sheet.read_text("utf-8") == "Rating IP67\nSeal EPDM\n"

    drive(session, work)


def test_what_was_read_out_of_a_pdf_is_confirmed_on_the_screen(loaded: Loaded, tmp_path: Path) -> None:
    pytest.importorskip("pdfplumber")
    lines = ["Level switch, invented", "Protection class: IP67", "Seal: EPDM", "Approx. weight 200 g"]
    sheet = tmp_path / "switch.pdf"
    sheet.write_bytes(pdf([(50, line) for line in lines]))
    session = Session.open(loaded, MEALS, tmp_path / "state")
    session.sheets = [sheet]

    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        await pilot.press("r")
        await until(pilot, lambda: isinstance(app.screen, ReadingScreen))
        shown = words(app)
        assert "IP67" in shown and "page 1" in shown
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(app.screen, NameFile))
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, AuditScreen))
        assert session.sheets == [tmp_path / "switch.yaml"]
        assert "IP67" in (tmp_path / "switch.yaml").read_text("utf-8")

    drive(session, work)


def test_a_changed_site_is_audited_anew(session: Session) -> None:
    session.sheets = session.sheets[:1]

    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        screen, old = app.screen, app.screen.bench
        app.push_screen(LongText("other", ""))
        await pilot.pause()
        session.answer("air", 0, "low", "-40 degC")
        await pilot.press("escape")
        await until(pilot, lambda: screen.bench is not None and screen.bench is not old and not screen.busy)
        assert any("-40" in wanted.demanded for wanted in screen.bench.wanted)

    drive(session, work)


def test_what_cannot_be_read_is_told_and_the_rest_is_audited(session: Session, tmp_path: Path) -> None:
    broken = tmp_path / "broken.yaml"
    broken.write_text("unit: [", "utf-8")
    session.sheets = [broken, session.sheets[0]]

    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        assert len(app.screen.matrix.results) == 1 and "1 not read" in words(app)
        await pilot.press("i")
        await until(pilot, lambda: isinstance(app.screen, LongText))
        assert "broken.yaml" in str(app.screen.text).replace("\n  ", "")

    drive(session, work)


def test_the_reviewer_goes_from_a_site_to_a_report(loaded: Loaded, tmp_path: Path) -> None:
    site = tmp_path / "site.yaml"
    site.write_text((MEALS / "site.yaml").read_text("utf-8"), "utf-8")
    (tmp_path / "units").mkdir()
    (tmp_path / "units" / "eye.txt").write_text(
        (MEALS / "units" / "photoelectric-words.txt").read_text("utf-8"), "utf-8"
    )

    async def journey() -> list[Path]:
        async with running(loaded, tmp_path / "state", site, (80, 24)) as (app, pilot):
            await pilot.press("f5")
            await until(pilot, lambda: isinstance(app.screen, SheetPicker))
            await pilot.press("a")
            await audited(app, pilot)
            assert "1 unit: 0 fit, 0 unproven, 1 unfit" in words(app)
            await pilot.press("enter")
            await until(pilot, lambda: isinstance(app.screen, UnitScreen))
            await pilot.press("enter")
            await until(pilot, lambda: isinstance(app.screen, FindingScreen) and "FALLS SHORT" in words(app))
            assert "“up to IP69K”" in words(app) and "IEC 60529" in words(app)
            await pilot.press("escape", "escape", "e")
            await until(pilot, lambda: isinstance(app.screen, NameFile))
            await pilot.press("enter")
            await until(pilot, lambda: isinstance(app.screen, AuditScreen))
            await pilot.press("escape")
            await until(pilot, lambda: app.screen is app.desk)
            assert not app.desk.session.dirty
            return app.desk.session.sheets

    assert asyncio.run(journey()) == [tmp_path / "units" / "eye.txt"]
    report = (tmp_path / "audit.html").read_text("utf-8")
    assert "unfit" in report and "eye" in report and "IP69K" in report


def test_random_keys_do_no_harm(session: Session) -> None:
    draw = random.Random(20261124)
    keys = [
        *"vfsborixecnpa ?/[]",
        "enter",
        "enter",
        "escape",
        "escape",
        "up",
        "down",
        "left",
        "right",
        "tab",
        "pagedown",
    ]
    before = {path: path.read_bytes() for path in MEALS.rglob("*") if path.is_file()}

    async def work(app: Bare, pilot: Pilot[Any]) -> None:
        for _ in range(80 * DEPTH):
            key = draw.choice(keys)
            if isinstance(app.screen, NameFile) and key == "enter":
                key = "escape"  # a report would be written beside the scenario
            await pilot.press({" ": "space", "?": "question_mark", "/": "slash"}.get(key, key))
            if not isinstance(app.screen, AuditScreen | ModalScreen | UnitScreen | FindingScreen | ReadingScreen):
                app.push_screen(AuditScreen(session))
                await pilot.pause()
        await until(pilot, lambda: not any(worker.is_running for worker in app.workers))

    drive(session, work)
    assert {path: path.read_bytes() for path in MEALS.rglob("*") if path.is_file()} == before
