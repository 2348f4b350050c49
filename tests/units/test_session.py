"""A site being worked on: answers, undo, the file that stays as its owner wrote it, and what outlives a kill."""

import errno
import os
import random
import stat
from pathlib import Path

import pytest
from conftest import ROOT

from advisor import yamlfile
from advisor.faults import InputError
from advisor.loading import Loaded
from tui import yamledit
from tui.recent import recent, remember
from tui.session import ChangedOnDiskError, Session

SITES = sorted((ROOT / "scenarios").glob("*/site.yaml"))
HAND_WRITTEN = """\
# Kept under version control.
site:   'Filler 3'   # as painted on the frame
unit: {kind: sensor,   inside: closed}

wash:
    # The plan says 40, the tank is at 50.
    - name: foam
      preset: foaming
      temperature: 50 degC   # measured
    - method: hose
      # from the wall
      distance: 1,5 m

# Nobody welds here.
weld: none
dust: none  # dry trade next door
others: none
"""


@pytest.fixture
def written(tmp_path: Path, loaded: Loaded) -> Session:
    path = tmp_path / "site.yaml"
    path.write_text(HAND_WRITTEN, "utf-8")
    return Session.open(loaded, path, tmp_path / "state")


def changed(before: str, after: str) -> tuple[list[str], list[str]]:
    """Return the lines lost and the lines won."""
    old, new = before.splitlines(), after.splitlines()
    return [line for line in old if line not in new], [line for line in new if line not in old]


def test_a_new_site_is_written_as_a_person_would(loaded: Loaded, tmp_path: Path) -> None:
    session = Session(loaded, tmp_path)
    session.head("site", "Filler 3: the nozzle")
    session.answer("unit", 0, "inside", "closed")
    session.answer("unit", 0, "kind", "sensor")
    assert session.add("wash", "foaming") == 0
    session.answer("wash", 0, "temperature", "40 .. 50 degC")
    assert session.add("wash") == 1
    session.answer("wash", 1, "method", ["hose", "lance"])
    session.deny("dust")
    session.head("others", "none")
    assert session.text == (
        'site: "Filler 3: the nozzle"\nunit:\n  kind: sensor\n  inside: closed\nwash:\n  - preset: foaming\n'
        "    temperature: 40 .. 50 degC\n  - method: [hose, lance]\ndust: none\nothers: none\n"
    )
    assert session.data["wash"][1] == {"method": ["hose", "lance"]}


@pytest.mark.parametrize(
    ("act", "lost", "won"),
    [
        (
            lambda s: s.answer("wash", 0, "temperature", "55 degC"),
            ["      temperature: 50 degC   # measured"],
            ["      temperature: 55 degC   # measured"],
        ),
        (lambda s: s.answer("wash", 1, "pressure", "5 bar"), [], ["      pressure: 5 bar"]),
        (lambda s: s.answer("wash", 1, "distance", None), ["      distance: 1,5 m"], []),
        (
            lambda s: s.answer("wash", 0, "name", None),
            ["    - name: foam", "      preset: foaming"],
            ["    - preset: foaming"],
        ),
        (
            lambda s: s.answer("unit", 0, "kind", "level-probe"),
            ["unit: {kind: sensor,   inside: closed}"],
            ["unit: {kind: level-probe,   inside: closed}"],
        ),
        (
            lambda s: s.answer("unit", 0, "largest_size", "65 mm"),
            ["unit: {kind: sensor,   inside: closed}"],
            ["unit: {kind: sensor, largest_size: 65 mm,   inside: closed}"],
        ),
        (
            lambda s: s.answer("unit", 0, "inside", None),
            ["unit: {kind: sensor,   inside: closed}"],
            ["unit: {kind: sensor}"],
        ),
        (
            lambda s: s.add("dust"),
            ["dust: none  # dry trade next door"],
            ["dust:  # dry trade next door", "  - {}"],
        ),
        (lambda s: s.add("wash", "mains-hose"), [], ["    - preset: mains-hose"]),
        (lambda s: s.remove("wash", 1), ["    - method: hose", "      # from the wall", "      distance: 1,5 m"], []),
        (lambda s: s.deny("vibration"), [], ["vibration: none"]),
        (lambda s: s.head("others", None), ["others: none"], []),
        (
            lambda s: s.head("site", "Filler 4"),
            ["site:   'Filler 3'   # as painted on the frame"],
            ["site:   Filler 4   # as painted on the frame"],
        ),
    ],
)  # fmt: skip
def test_a_change_touches_its_own_lines_alone(written: Session, act, lost, won) -> None:
    act(written)
    assert changed(HAND_WRITTEN, written.text) == (lost, won)


def test_a_single_instance_becomes_the_first_of_a_list_with_its_comments(loaded: Loaded, tmp_path: Path) -> None:
    path = tmp_path / "site.yaml"
    path.write_text("site: x\nwash:\n  method: hose  # cold\n  # close\n  distance: 1 m\n", "utf-8")
    session = Session.open(loaded, path, tmp_path)
    session.add("wash", "foaming")
    assert session.text.endswith(
        "wash:\n  - method: hose  # cold\n    # close\n    distance: 1 m\n  - preset: foaming\n"
    )


def test_windows_line_ends_stay(loaded: Loaded, tmp_path: Path) -> None:
    path = tmp_path / "site.yaml"
    path.write_bytes(b"site: x\r\nunit:\r\n  kind: sensor\r\n")
    session = Session.open(loaded, path, tmp_path)
    session.answer("unit", 0, "inside", "closed")
    session.save()
    assert path.read_bytes() == b"site: x\r\nunit:\r\n  kind: sensor\r\n  inside: closed\r\n"


@pytest.mark.parametrize("path", SITES, ids=lambda path: path.parent.name)
def test_random_edits_of_any_site_stay_in_place(path: Path, loaded: Loaded, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr("tui.session.yamledit.follow", yamledit.in_place)  # no way out by writing all anew
    session, draw = Session.open(loaded, path, tmp_path), random.Random(path.parent.name)
    before, templates = session.text, loaded.book.vocabulary.templates
    told = [name for name in templates if not (templates[name].derived or templates[name].claimed)]
    for _ in range(15):
        name = draw.choice(told)
        count = session.count(name)
        act = draw.choice(["answer", "answer", "answer", "back", "add", "remove", "deny", "undo"])
        if act == "answer":
            slot = draw.choice(templates[name].slots)
            value = draw.choice(["unknown", *list(slot.choices or {})])
            session.answer(name, draw.randrange(count + 1) if templates[name].many else 0, slot.slot, value)
        elif act == "back" and count:
            session.answer(name, draw.randrange(count), draw.choice(templates[name].slots).slot, None)
        elif act == "add" and (templates[name].many or not count):
            session.add(name)
        elif act == "remove" and count:
            session.remove(name, draw.randrange(count))
        elif act == "deny" and (templates[name].many or templates[name].none):
            session.deny(name)
        elif act == "undo":
            session.undo()
        assert session.site().told == yamlfile.parse(session.text, "").data
    while session.undo():
        pass
    assert session.text == before and not session.dirty


def test_a_wrong_answer_is_told_and_changes_nothing(written: Session) -> None:
    line = written.check("wash", 1, "distance", "5 bar")
    assert line is not None and "does not measure the same thing" in line and "\n" not in line
    assert "plausible" in (written.check("wash", 1, "pressure", "90000 bar") or "")
    assert "did you mean hose" in (written.check("wash", 1, "method", "hosse") or "")
    assert written.check("wash", 1, "distance", "unknown") is None
    with pytest.raises(InputError, match="measure"):
        written.answer("wash", 1, "distance", "5 bar")
    with pytest.raises(InputError, match="not known"):
        written.deny("washing")
    assert written.text == HAND_WRITTEN and not written.can_undo and written.version == 0


def test_an_answer_that_does_not_apply_is_noted(written: Session) -> None:
    written.answer("unit", 0, "kind", "sensor")
    line = written.check("immersion", 0, "depth", "2 m") or ""
    assert line == "" or line.startswith("note: ")
    written.answer("immersion", 0, "kind", "none")
    assert (written.check("immersion", 0, "depth", "2 m") or "").startswith("note: immersion: depth")


def test_a_quantity_is_read_back_in_the_slots_unit(written: Session) -> None:
    assert written.understood("wash", "pressure", "1200 psi") == "82.7 bar"
    assert written.understood("wash", "pressure", "5 bar") == ""
    assert written.understood("wash", "pressure", "lots") == ""


@pytest.mark.parametrize("text", ["no", "true", "7.10", "# x", "a: b", "- a", "'", "null", "[a", "ü €", "* x", "\x07b"])
def test_any_text_comes_back_as_it_was_typed(written: Session, text: str) -> None:
    written.answer("wash", 0, "note", text)
    written.answer("unit", 0, "note", text)
    shown = text.replace("\x07", "").strip()
    assert str(written.data["wash"][0]["note"]) == shown
    assert str(written.data["unit"]["note"]) == shown


def test_undo_and_redo_walk_the_same_way(written: Session) -> None:
    written.answer("wash", 0, "temperature", "55 degC")
    written.remove("wash", 1)
    second = written.text
    assert written.undo() and written.undo() and not written.undo()
    assert written.text == HAND_WRITTEN and not written.dirty
    assert written.redo() and written.redo() and not written.redo()
    assert written.text == second and written.version == 6
    written.undo()
    written.deny("vibration")
    assert not written.can_redo


def test_saving_keeps_mode_and_link_and_leaves_nothing_else(written: Session, tmp_path: Path) -> None:
    assert written.path is not None
    written.path.chmod(0o640)
    link = tmp_path / "link.yaml"
    link.symlink_to(written.path)
    session = Session.open(written.loaded, link, tmp_path / "state")
    session.answer("wash", 0, "temperature", "55 degC")
    session.save()
    assert link.is_symlink() and "55 degC" in written.path.read_text("utf-8")
    assert stat.S_IMODE(written.path.stat().st_mode) == 0o640
    assert sorted(path.name for path in tmp_path.iterdir() if path.is_file()) == ["link.yaml", "site.yaml"]


@pytest.mark.parametrize("step", ["write", "fsync", "replace"])
def test_a_full_disk_loses_nothing(written: Session, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    assert written.path is not None
    written.answer("wash", 0, "temperature", "55 degC")

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    name = {"write": "tempfile.mkstemp", "fsync": "os.fsync", "replace": "os.replace"}[step]
    monkeypatch.setattr(f"tui.files.{name}", full)
    for keep in (written.save, written.autosave):
        with pytest.raises(InputError, match="No space left on device") as caught:
            keep()
        assert len(str(caught.value).splitlines()) == 1
    monkeypatch.undo()
    assert written.path.read_text("utf-8") == HAND_WRITTEN and written.dirty
    assert [path.name for path in written.path.parent.iterdir() if path.is_file()] == ["site.yaml"]
    written.save()
    assert "55 degC" in written.path.read_text("utf-8") and not written.dirty


def test_what_somebody_else_wrote_is_not_overwritten_in_silence(written: Session, tmp_path: Path) -> None:
    assert written.path is not None
    written.answer("wash", 0, "temperature", "55 degC")
    written.path.write_text("site: theirs\n", "utf-8")
    with pytest.raises(ChangedOnDiskError, match="changed by somebody else"):
        written.save()
    other = tmp_path / "other.yaml"
    other.write_text("precious", "utf-8")
    with pytest.raises(ChangedOnDiskError, match="is there already"):
        written.save(other)
    assert written.path.read_text("utf-8") == "site: theirs\n" and other.read_text("utf-8") == "precious"
    written.save(tmp_path / "mine.yaml")
    assert not written.dirty and written.path == tmp_path / "mine.yaml"
    written.answer("wash", 0, "temperature", "60 degC")
    written.save()


def test_a_site_without_a_file_says_so(loaded: Loaded, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no file yet"):
        Session(loaded, tmp_path).save()


def test_all_faults_of_a_file_are_told(loaded: Loaded, tmp_path: Path) -> None:
    path = tmp_path / "site.yaml"
    path.write_text("site: x\nwosh: none\nunit: {kind: sensr}\n", "utf-8")
    with pytest.raises(InputError) as caught:
        Session.open(loaded, path, tmp_path)
    assert len(caught.value.faults) == 2 and "site.yaml:2:1" in str(caught.value)


def test_unsaved_work_is_found_and_gone_on_with(written: Session, tmp_path: Path) -> None:
    state = tmp_path / "state"
    written.answer("wash", 0, "temperature", "55 degC")
    written.autosave()
    assert Session.recoverable(state) == []  # a living session holds it
    written._journal.close()
    (found,) = Session.recoverable(state)
    assert (found.path, found.title) == (written.path, "Filler 3")
    again = Session.recover(written.loaded, found)
    assert again.text == written.text and again.dirty and Session.recoverable(state) == []
    with pytest.raises(InputError, match="another window"):
        Session.recover(written.loaded, found)
    again.save()
    again._journal.close()
    assert Session.recoverable(state) == [] and list((state / "unsaved").iterdir()) == []


def test_work_gone_on_with_does_not_overwrite_what_changed_meanwhile(written: Session, tmp_path: Path) -> None:
    written.answer("wash", 0, "temperature", "55 degC")
    written.autosave()
    written._journal.close()
    assert written.path is not None
    written.path.write_text("site: theirs\n", "utf-8")
    (found,) = Session.recoverable(tmp_path / "state")
    with pytest.raises(ChangedOnDiskError):
        Session.recover(written.loaded, found).save()


def test_a_torn_journal_is_passed_over(written: Session, tmp_path: Path) -> None:
    written.answer("wash", 0, "temperature", "55 degC")
    written.autosave()
    written._journal.close()
    journal = written._journal.path
    journal.write_text(journal.read_text("utf-8")[:80], "utf-8")
    assert Session.recoverable(tmp_path / "state") == [] and journal.exists()


def test_thrown_away_work_is_gone(written: Session, tmp_path: Path) -> None:
    written.answer("wash", 0, "temperature", "55 degC")
    written.autosave()
    written._journal.close()
    (found,) = Session.recoverable(tmp_path / "state")
    found.discard()
    assert Session.recoverable(tmp_path / "state") == []


def test_undoing_to_what_is_saved_keeps_no_journal(written: Session, tmp_path: Path) -> None:
    written.answer("wash", 0, "temperature", "55 degC")
    written.autosave()
    written.undo()
    written.autosave()
    written._journal.close()
    assert Session.recoverable(tmp_path / "state") == []


def test_recent_files_are_newest_first_and_there(tmp_path: Path) -> None:
    for name in ("a", "b", "c", "a"):
        (tmp_path / name).touch()
        remember(tmp_path / name, tmp_path / "state")
    (tmp_path / "b").unlink()
    assert recent(tmp_path / "state") == [tmp_path / "a", tmp_path / "c"]
    (tmp_path / "state" / "recent.json").write_text("{", "utf-8")
    assert recent(tmp_path / "state") == []


def test_advice_follows_the_answers(written: Session) -> None:
    assert [demand.state for demand in written.advice().demands if demand.topic == "temperature.low"] != ["certain"]
    written.answer("air", 0, "low", "-30 degC")
    lows = [demand for demand in written.advice().demands if demand.topic == "temperature.low"]
    assert lows and lows[0].state == "certain"
