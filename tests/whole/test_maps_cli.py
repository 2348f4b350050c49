"""`map`, `field` and `register` as a user starts them."""

import importlib.util
import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from conftest import ROOT

Program = Callable[..., subprocess.CompletedProcess[str]]
SITE = ROOT / "scenarios" / "robot-mag-torch-side"
SLOTS = ("field_source.current", "field_source.distance")


def test_a_map_on_no_terminal_has_no_colours(program: Program) -> None:
    done = program("map", SITE, *SLOTS, "--cells", "20x8")
    assert (done.returncode, done.stderr) == (0, "")
    assert "\x1b" not in done.stdout
    assert "AAAA" in done.stdout
    assert "@ is the site's own point: field_source (torch cable): current 0.28 kA" in done.stdout


def test_a_map_as_json_keeps_its_schema(program: Program) -> None:
    done = program("map", SITE, *SLOTS, "--cells", "12x6", "--topic", "immunity", "--format", "json")
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    schema = json.loads(program("schema", "map").stdout)
    if importlib.util.find_spec("jsonschema"):
        import jsonschema

        jsonschema.validate(document, schema)
    assert set(schema["required"]) <= set(document)
    assert document["topics"] == ["immunity"]
    assert {len(row) for row in document["rows"]} == {12}


def test_a_map_as_a_page(program: Program, tmp_path: Path) -> None:
    path = tmp_path / "map.html"
    done = program("map", SITE, *SLOTS, "--cells", "12x6", "--range", "x=0.1 .. 1 kA", "--format", "html", "-o", path)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert '<svg class="map"' in path.read_text("utf-8")


@pytest.mark.parametrize(
    ("arguments", "what"),
    [
        (("field_source.curent", SLOTS[1]), "map: field_source has no slot 'curent'; did you mean current?"),
        ((SLOTS[0], SLOTS[0]), "map: both axes are the same answer; two different slots"),
        ((*SLOTS, "--cells", "9"), "map: --cells '9' is no size of a map; COLUMNSxROWS of 2 to 200 each"),
        ((*SLOTS, "--range", "x=2 bar"), "map: range of field_source.current: 'bar' does not measure the same thing"),
        ((*SLOTS, "--range", "1..2 kA"), "map: --range '1..2 kA' names neither axis"),
        ((*SLOTS, "--topic", "water"), "map: there is no topic 'water'"),
    ],
)
def test_a_wrong_call_is_one_line(program: Program, arguments: tuple[str, ...], what: str) -> None:
    done = program("map", SITE, *arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(what)
    assert done.stderr.count("\n") == 1


def test_fields_in_blocks_and_as_a_page(program: Program) -> None:
    done = program("field", ROOT / "scenarios" / "spot-gun-throat-mfdc")
    assert (done.returncode, done.stderr) == (0, "")
    assert "throat: throat-inside" in done.stdout
    assert "█" in done.stdout
    document = json.loads(program("field", ROOT / "scenarios" / "spot-gun-throat-mfdc", "--format", "json").stdout)
    assert document["schema"] == "siteworthy.field/1"
    assert (
        '<svg class="plan"' in program("field", ROOT / "scenarios" / "spot-gun-throat-mfdc", "--format", "html").stdout
    )


def test_a_site_without_a_field_is_one_line(program: Program) -> None:
    done = program("field", ROOT / "scenarios" / "ready-meals-washdown")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("field: the site tells of no strong current")


POINTS = "site,others,air.low,air.high\nHall,none,5 degC,40 degC\nFreezer,none,-30 degC,20 degC\n"
UNITS = "Type,Protection class,Ambient temperature\nInvented A,IP67,-25...+70 °C\nInvented B,IP67,-40...+90 °C\n"


@pytest.fixture
def register(tmp_path: Path) -> tuple[Path, Path]:
    (tmp_path / "points.csv").write_text(POINTS, "utf-8")
    (tmp_path / "units.csv").write_text(UNITS, "utf-8")
    return tmp_path / "points.csv", tmp_path / "units.csv"


def test_a_register_in_all_formats(program: Program, register: tuple[Path, Path], tmp_path: Path) -> None:
    text = program("register", *register)
    assert (text.returncode, text.stderr) == (1, "")
    assert "Register: 2 points against 2 units" in text.stdout
    document = json.loads(program("register", *register, "--format", "json").stdout)
    assert set(json.loads(program("schema", "register").stdout)["required"]) <= set(document)
    assert [len(group["verdicts"]) for group in document["groups"]] == [2] * len(document["groups"])
    done = program("register", *register, "--format", "csv", "-o", tmp_path / "out.csv")
    assert done.returncode == 1
    assert "column 2. Protection class -> ingress" in done.stderr
    assert (tmp_path / "out.csv").read_text("utf-8").splitlines()[0].endswith("Invented A,Invented B")
    assert not (tmp_path / "out.csv.journal").exists()
    page = program("register", *register, "--format", "html")
    assert page.returncode == 1
    assert "<h2>In short</h2>" in page.stdout


def test_a_journal_asked_for_stays(program: Program, register: tuple[Path, Path], tmp_path: Path) -> None:
    first = program("register", *register, "--journal", tmp_path / "kept")
    again = program("register", *register, "--journal", tmp_path / "kept")
    assert "2 of them from the journal" in again.stdout
    assert "from the journal" not in first.stdout


def test_a_bad_register_is_one_line_a_fault(program: Program, register: tuple[Path, Path]) -> None:
    register[0].write_text(POINTS.replace("-30 degC", "cold"), "utf-8")
    done = program("register", *register)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"{register[0]}:3:3: low: 'cold' is no quantity")
    assert done.stderr.count("\n") == 1
