"""`relax` and `diff` as a user calls them: every form says the same, wrong calls say what is right."""

import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from reading import plain

Program = Callable[..., subprocess.CompletedProcess[str]]
SITE = """
site: "Rinse <b>point</b> 1"
about: Invented.
place: {setting: indoor}
unit: {kind: sensor, inside: filled}
wash: {name: "rinse | hot", method: hose, pressure: 25 bar, distance: 200 mm, temperature: 65 degC, nozzle: fan}
others: none
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "site.yaml").write_text(SITE, encoding="utf-8")
    (tmp_path / "later.yaml").write_text(SITE.replace("25 bar", "0.8 bar"), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_relax_says_the_same_in_every_form(program: Program, folder: Path, form: str) -> None:
    document = json.loads(program("relax", folder, "IPX9", "--format", "json").stdout)
    run = program("relax", folder, "IPX9", "--format", form)
    assert run.returncode == 0, run.stderr
    said = plain(run.stdout, form)
    assert document["goals"][0]["changes"]
    for change in document["goals"][0]["changes"]:
        for step in change["steps"]:
            assert f"{step['about']} from {step['before']} to {step['after']}" in said
            assert step["effort"].rstrip(".") in said
    for reason in document["goals"][0]["reasons"]:
        for answer in reason["answers"]:
            assert f"{answer['about']} = {answer['value']}" in said
    assert "only if the plant is really changed" in said
    assert "<b>point</b>" not in run.stdout or form == "text"


def test_an_edit_of_the_document_does_it_in_the_file(program: Program, folder: Path) -> None:
    document = json.loads(program("relax", folder, "IPX9", "--format", "json").stdout)
    edit = next(c["edits"][0] for c in document["goals"][0]["changes"] if c["edits"][0]["slot"] == "pressure")
    (folder / "moved.yaml").write_text(SITE.replace("25 bar", edit["value"]), encoding="utf-8")
    after = json.loads(program("require", folder / "moved.yaml", "--format", "json").stdout)
    assert "IPX9" not in [demand["value"] for demand in after["demands"]]


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_diff_says_the_same_in_every_form(program: Program, folder: Path, form: str) -> None:
    document = json.loads(program("diff", folder, folder / "later.yaml", "--format", "json").stdout)
    run = program("diff", folder, folder / "later.yaml", "--format", form)
    assert run.returncode == 0, run.stderr
    said = plain(run.stdout, form)
    assert [entry["about"] for entry in document["answers"]] == ["wash (rinse | hot), pressure"]
    dropped = next(entry for entry in document["shifts"] if entry["before"] == "IPX9")
    assert dropped["rules_gone"]
    assert "IPX9 dropped" in said
    for rule in dropped["rules_gone"]:
        assert rule in said


def test_hold_prints_intervals(program: Program, folder: Path) -> None:
    run = program("relax", folder, "--hold")
    assert run.returncode == 0, run.stderr
    assert re.search(r"wash \(rinse \| hot\), pressure = 25 bar holds from [\d.]+ bar to 100 bar", run.stdout)


def test_the_documents_fit_their_schemas(program: Program, folder: Path) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    calls = {
        "relax": [("relax", folder), ("relax", folder, "--hold")],
        "diff": [("diff", folder, folder / "later.yaml")],
    }
    for name, commands in calls.items():
        schema = json.loads(program("schema", name).stdout)
        for command in commands:
            document = json.loads(program(*command, "--format", "json").stdout)
            jsonschema.validate(document, schema)
            assert document["schema"] == f"siteworthy.{name}/1"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["relax", "SITE", "IPX12"], "is no topic and no code; did you mean IPX"),
        (["relax", "SITE", "temperature.wash", "5 bar"], "does not measure the same thing"),
        (["diff", "SITE"], "a second SITE, or --rules DIR"),
    ],
)
def test_wrong_calls(program: Program, folder: Path, arguments: list[str], said: str) -> None:
    run = program(*[str(folder) if word == "SITE" else word for word in arguments])
    assert run.returncode == 2
    assert said in run.stderr
    assert run.stdout == ""
    assert len(run.stderr.splitlines()) == 1


def test_a_topic_without_demands_says_so(program: Program, folder: Path) -> None:
    run = program("relax", folder, "immunity.magnetic.ac")
    assert run.returncode == 0
    assert "Nothing is demanded on immunity.magnetic.ac" in run.stdout


def test_what_lets_a_rejected_unit_in_does_so_in_an_audit(program: Program, folder: Path) -> None:
    site, sheet = "scenarios/outdoor-junction-box", "scenarios/outdoor-junction-box/units/junction-box-grp.yaml"
    document = json.loads(program("relax", site, "--admit", sheet, "--format", "json").stdout)
    assert [own["shortfalls"] for own in document["rejected"]] == [
        ["Protection against solids and dust", "Protection against water"]
    ]
    admission = document["rejected"][0]["admissions"][0]
    assert len(admission["changes"]) == 2
    text = Path(site, "site.yaml").read_text(encoding="utf-8")
    for change in admission["changes"]:
        edit = change["edits"][0]
        text, count = re.subn(rf"(\b{edit['slot']}: )\w+", rf"\g<1>{edit['value']}", text, count=1)
        assert count == 1
    (folder / "moved.yaml").write_text(text, encoding="utf-8")
    before, after = (
        json.loads(program("audit", path, sheet, "--format", "json").stdout)["units"][0]["verdict"]
        for path in (site, folder / "moved.yaml")
    )
    assert (before, after) == ("unfit", admission["verdict"])
