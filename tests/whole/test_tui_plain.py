"""The interview line by line: answers, commands, wrong input, and the same sheet as the command line gives."""

import io
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from conftest import ROOT

from advisor.loading import Loaded
from tui.plain import WIDTH, converse
from tui.session import Session

SUMP = ROOT / "scenarios" / "seawater-sump-probe"
Talk = Callable[..., str]


@pytest.fixture
def talk(loaded: Loaded, tmp_path: Path) -> Talk:
    """Hold a conversation and return what was said; the session is left in `talk.session`."""

    def run(*lines: str, site: Path | None = None) -> str:
        session = Session.open(loaded, site, tmp_path) if site else Session(loaded, tmp_path)
        target = io.StringIO()
        assert converse(session, io.StringIO("".join(f"{line}\n" for line in lines)), target) == 0
        run.session = session  # type: ignore[attr-defined]
        return target.getvalue()

    return run


def test_a_point_is_told_line_by_line(
    talk: Talk, tmp_path: Path, program: Callable[..., subprocess.CompletedProcess[str]]
) -> None:
    site, sheet = tmp_path / "site.yaml", tmp_path / "sheet.md"
    said = talk(
        "1", "65 mm", "/go cleaning", "booster", "/go standing", "puddle", "/go this point", "Filler 3",
        f"/save {site}", f"/export {sheet}", "/quit",
    )  # fmt: skip
    assert "now certain: Protection against water: IPX9 (certain)" in said
    assert talk.session.data["wash"] == [{"preset": "booster-station"}]
    assert talk.session.data["unit"] == {"kind": "sensor", "largest_size": "65 mm"}
    done = program("require", site, "--format", "md")
    assert done.returncode == 0
    assert sheet.read_text("utf-8") == done.stdout
    assert "not saved" not in said


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("85 kg", "Not taken"), ("0 .. ", "Not taken"), ("/bogus", "is not known"), ("/why nothing", "no topic"),
        ("/go nowhere", "There is no subject"), ("/export x.docx", "Not written"), ("/save", "Not saved"),
        ("/none", "Not done"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_and_nothing_changes(talk: Talk, line: str, told: str) -> None:
    said = talk("/go the unit", "/next", line)
    assert told in said
    assert not talk.session.dirty


def test_commands_tell_of_sheet_questions_subjects_and_reasons(talk: Talk) -> None:
    said = talk("/sheet", "/why IPX8", "/subjects", "/questions", "/best", "/help", site=SUMP)
    assert "Requirement sheet: Intake sump 2" in said
    assert "because" in said
    assert "source: IEC 60529" in said
    assert "Cleaning: none" in said
    assert "No open demand hangs on an answer." in said


def test_unknown_undo_and_clear(talk: Talk) -> None:
    talk("/go standing", "?", site=SUMP)
    assert talk.session.data["immersion"]["kind"] == "unknown"
    talk("/go standing", "?", "/undo", site=SUMP)
    assert talk.session.data["immersion"]["kind"] == "permanent"
    talk("/go the place", "indoor", "/go the place", "/clear", site=SUMP)
    assert "setting" not in talk.session.data.get("place", {})


def test_long_lists_are_narrowed_by_what_is_typed(talk: Talk) -> None:
    said = talk("/go chemicals", "add", "acid", "peracetic")
    assert "answers hold 'acid'" in said
    assert talk.session.data["exposure"][0]["agent"] == "peracetic-acid"


def test_it_needs_no_signs_and_no_wide_lines(talk: Talk) -> None:
    said = talk("1", "/sheet", "/subjects", "/questions").split("Requirement sheet:")
    assert all(len(line) <= WIDTH + 2 for line in said[0].splitlines())
    assert not set("■□●○✓◐▸▾") & set(said[0])


def test_without_a_terminal_one_line_says_what_to_do(program: Callable[..., subprocess.CompletedProcess[str]]) -> None:
    done = program("ask", SUMP, input="")
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert "--plain" in done.stderr


def test_the_plain_mode_imports_no_terminal_library(
    program: Callable[..., subprocess.CompletedProcess[str]], tmp_path: Path
) -> None:
    (tmp_path / "textual.py").write_text("raise ImportError('none here')\n", "utf-8")
    env = {"PYTHONPATH": f"{tmp_path}:{ROOT}", "XDG_STATE_HOME": str(tmp_path)}
    done = program("ask", SUMP, "--plain", input="/sheet\n", env=env)
    assert (done.returncode, done.stderr) == (0, "")
    assert "IPX8" in done.stdout
