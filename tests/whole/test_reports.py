"""Reports as a user makes them: every format of every command says the same, and files are whole."""

import json
import subprocess
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from reading import plain

Program = Callable[..., subprocess.CompletedProcess[str]]
SITE = """
site: "<script>alert('x')</script> | [line](http://evil.example) 1"
about: Invented.
place: {setting: indoor}
wash: {method: lance, pressure: 85 bar, flow: 15 L/min, temperature: 65 degC, distance: 200 mm, detergent: yes}
immersion: none
dust: none
"""
SHEET = "Invented level switch <b>bold</b>\nIP67\nAmbient temperature: -25...+85 °C\nHousing: stainless steel 316L\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "site.yaml").write_text(SITE, encoding="utf-8")
    (tmp_path / "switch.txt").write_text(SHEET, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_the_requirement_says_the_same_in_every_form(program: Program, folder: Path, form: str) -> None:
    document = json.loads(program("require", folder, "--format", "json").stdout)
    run = program("require", folder, "--format", form)
    assert run.returncode == 0, run.stderr
    said = plain(run.stdout, form)
    for entry in document["demands"]:
        assert " ".join(entry["text"].split()) in said or entry["proof"]["conclusion"] in said
    assert document["rulebook"]["digest"] in said
    assert "does not replace it" in said


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_the_audit_says_the_same_in_every_form(program: Program, folder: Path, form: str) -> None:
    document = json.loads(program("audit", folder, folder / "switch.txt", "--format", "json").stdout)
    run = program("audit", folder, folder / "switch.txt", "--format", form)
    assert run.returncode == 1, run.stderr
    said = plain(run.stdout, form)
    assert document["units"][0]["verdict"].upper() in said
    for finding in document["units"][0]["findings"]:
        if finding["state"] == "certain":
            assert " ".join(finding["text"].split()) in said


@pytest.mark.parametrize("form", ["md", "html"])
@pytest.mark.parametrize("code", ["IPX9", "IPX4"])
def test_the_explanation_has_both_forms(program: Program, folder: Path, form: str, code: str) -> None:
    run = program("explain", folder, code, "--format", form)
    assert run.returncode == 0, run.stderr
    assert f"ingress.water {code}" in plain(run.stdout, form)
    assert date.today().isoformat() in run.stdout


@pytest.mark.parametrize("form", ["md", "html"])
def test_a_hostile_name_stays_text_in_the_file(program: Program, folder: Path, form: str) -> None:
    target = folder / f"report.{form}"
    run = program("audit", folder, folder / "switch.txt", "--format", form, "-o", target)
    assert (run.returncode, run.stdout) == (1, "")
    text = target.read_text(encoding="utf-8")
    assert "<script" not in text
    links = [token for token in MarkdownIt("gfm-like").parse(text) if form == "md" for token in token.children or ()]
    assert not [token for token in links if token.type == "link_open"]
    assert "<script>alert('x')</script> | [line](http://evil.example) 1" in plain(text, form)
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]


def test_rules_have_no_page(program: Program) -> None:
    run = program("rulebook", "list", "--format", "html")
    assert run.returncode == 2
    assert "html" in run.stderr
