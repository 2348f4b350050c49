"""Bad input: one clear line for each fault, with its place and what is accepted, exit code 2, and never a traceback.

The cases stand in `bad_input/*.yaml` with the exact lines expected. They are read with a small vocabulary of their
own, so that a word added to the shipped one changes no message here; site files are read with the shipped one too.
"""

import functools
import os
import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor import cli, loading

HERE = Path(__file__).parent / "bad_input"
SOUND = {
    "rule": "own", "title": "T", "when": [{"wash": {"method": "hose"}}], "because": "B", "source": "invented",
    "basis": "recalled", "kind": "prudence", "checked": "2026-11",
}  # fmt: skip
PLACE = re.compile(r"^[^:]+(:\d+(:\d+)?)?: \S.*$")
WHOLE_LOAD = loading.load


def cases(name: str) -> list[Any]:
    """The cases of a file; `open` in one says what is still amiss with its message."""
    entries = yaml.safe_load((HERE / f"{name}.yaml").read_text("utf-8"))
    marks = {True: [pytest.mark.xfail(strict=True, reason="the message is still amiss")], False: []}
    return [pytest.param(entry, id=entry["case"].replace(" ", "-"), marks=marks["open" in entry]) for entry in entries]


def written(rule: dict[str, Any]) -> str:
    """A sound rule with the parts replaced; a part that is None is left out."""
    entry = {
        **SOUND,
        **({} if "then" in rule or "derive" in rule else {"then": [{"caution": "Take care."}]}),
        **rule,
    }
    return yaml.safe_dump([{key: value for key, value in entry.items() if value is not None}], sort_keys=False)


def run(call: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, list[str]]:
    try:
        code = cli.main(call)
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else -1
    out, err = capsys.readouterr()
    return code, out, err.splitlines()


def agrees(expected: list[str], found: list[str]) -> bool:
    patterns = [".*".join(re.escape(part) for part in line.split("<*>")) for line in expected]
    return len(expected) == len(found) and all(map(re.fullmatch, patterns, found))


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """An empty folder to work in, and the small rulebook in place of the shipped one."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(loading, "load", functools.partial(WHOLE_LOAD, knowledge=HERE / "knowledge"))
    return tmp_path


def test_the_small_rulebook_is_sound(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (small / "site.yaml").write_text("site: x\nwash: {method: hose, pressure: 5 bar}\n")
    (small / "own").mkdir()
    (small / "own" / "rules.yaml").write_text(written({}))
    code, out, err = run(["require", "site.yaml", "--rules", "own"], capsys)
    assert (code, err) == (0, [])
    assert "IPX5" in out
    assert "Take care." in out


def test_there_are_enough_cases() -> None:
    assert len(cases("sites")) + len(cases("rules")) + len(cases("calls")) >= 120


@pytest.mark.parametrize("case", cases("sites"))
def test_site_file(case: dict[str, Any], small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (small / "site.yaml").write_text(case["site"], "utf-8")
    code, out, err = run(["require", "site.yaml"], capsys)
    assert err == case["stderr"]
    assert (code, out) == (2, "")


@pytest.mark.parametrize("case", [entry.values[0] for entry in cases("sites")], ids=lambda case: case["case"])
def test_site_file_with_the_shipped_rulebook(
    case: dict[str, Any], loaded: loading.Loaded, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(loading, "load", lambda extra: loaded)
    (tmp_path / "site.yaml").write_text(case["site"], "utf-8")
    code, out, err = run(["require", "site.yaml"], capsys)
    assert (code, out) == (2, "")
    assert err
    assert all(PLACE.match(line) for line in err)


@pytest.mark.parametrize("case", cases("rules"))
def test_rule_file(case: dict[str, Any], small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (small / "site.yaml").write_text("site: x\n")
    (small / "own").mkdir()
    (small / "own" / "rules.yaml").write_text(case["file"] if "file" in case else written(case["rule"]), "utf-8")
    code, out, err = run(["require", "site.yaml", "--rules", "own"], capsys)
    assert err == case["stderr"]
    assert (code, out) == (2, "")


@pytest.mark.parametrize("case", cases("calls"))
def test_call(case: dict[str, Any], small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (small / "site.yaml").write_text("site: x\n")
    (small / "empty").mkdir()
    made = case["call"][1] if len(case["call"]) > 1 else ""
    contents = {
        "latin.yaml": "site: x\nabout: Käse\n".encode("latin-1"),
        "utf16.yaml": "site: x\n".encode("utf-16"),
        "big.yaml": b"site: x\n" + b"# filler\n" * 1_200_000,
        "deep.yaml": b"site: " + b"[" * 60 + b"]" * 60,
        "deeper.yaml": b"site: " + b"[" * 200_000,
        "digits.yaml": b"site: x\nplace: {altitude: " + b"9" * 5000 + b"}\n",
        "nul.yaml": b"site: x\0y\n",
        "locked.yaml": b"site: x\n",
    }
    if made in contents:
        (small / made).write_bytes(contents[made])
    if made == "locked.yaml":
        (small / made).chmod(0)
        if os.access(small / made, os.R_OK):
            pytest.skip("nothing is unreadable to this user")
    code, out, err = run(case["call"], capsys)
    assert agrees(case["stderr"], err), err
    assert (code, out) == (2, "")
    assert sorted(path.name for path in small.iterdir() if path.name not in contents) == [
        "empty",
        "site.yaml",
    ]
