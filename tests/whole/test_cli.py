"""Whole runs of the program as a user starts it, over every scenario that has a site."""

import importlib.util
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import strategies
from conftest import ROOT

from advisor import cli, document
from advisor.advise import Advisor
from advisor.engine.compiled import FIELD
from advisor.loading import Loaded
from advisor.report import text
from advisor.report.requirement import DocumentBuilder
from advisor.site import load_site

Program = Callable[..., subprocess.CompletedProcess[str]]
SCENARIOS = sorted(path.parent for path in (ROOT / "scenarios").glob("*/site.yaml"))
NAMES = [path.name for path in SCENARIOS]
WIDTH = 100
PLACES = {"conflicts", "beyond", "refer", "cautions", "practice", "evidence"}

OWN = """
- rule: own-ceiling
  title: Everything under the ceiling is immersion-proof here
  when: [{place: {}}]
  then:
    - demand: {topic: ingress.water, item: [IPX8], with: {depth: 3 m, duration: 24 hour}, text: The plant's own rule.}
  because: A flood stood three metres deep in this hall.
  source: the plant's own standard, invented
  basis: common practice
  kind: convention
  checked: "2026-11"
"""


@pytest.fixture(scope="module")
def builders(loaded: Loaded) -> dict[str, DocumentBuilder]:
    """The advice on every scenario, for what need not be asked of a new process each time."""
    advisor = Advisor(loaded)
    sites = {path.name: load_site(path / "site.yaml", loaded.book) for path in SCENARIOS}
    return {name: DocumentBuilder(advisor.advise(site), advisor) for name, site in sites.items()}


@pytest.fixture(scope="module")
def sheets(builders: dict[str, DocumentBuilder]) -> dict[str, dict[str, Any]]:
    """The JSON requirement of every scenario."""
    return {name: builder.requirement().model_dump(mode="json", by_alias=True) for name, builder in builders.items()}


def check(data: dict[str, Any], name: str, schema: dict[str, Any]) -> None:
    """Hold a document against the schema that the program prints, and against the model."""
    model = {"require": document.Requirement, "explain": document.Explanation}[name]
    assert model.model_validate(data).model_dump(mode="json", by_alias=True) == data
    if importlib.util.find_spec("jsonschema"):
        import jsonschema

        jsonschema.validate(data, schema)


@pytest.fixture(scope="module")
def schemas(program: Program) -> dict[str, dict[str, Any]]:
    return {name: json.loads(program("schema", name).stdout) for name in ("require", "explain")}


def test_there_are_scenarios() -> None:
    assert SCENARIOS


@pytest.mark.parametrize("name", NAMES)
def test_the_requirement_is_the_documented_json(name: str, sheets: dict[str, Any], schemas: dict[str, Any]) -> None:
    sheet = sheets[name]
    check(sheet, "require", schemas["require"])
    assert sheet["schema"] == document.SCHEMA_REQUIRE
    assert sheet["demands"]
    assert sheet["site"]["answers"]["site"] == sheet["site"]["name"]
    assert set(sheet) >= PLACES


@pytest.mark.parametrize("name", NAMES[::5])
def test_the_command_prints_it(name: str, program: Program, sheets: dict[str, Any]) -> None:
    done = program("require", ROOT / "scenarios" / name, "--format", "json")
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout) == sheets[name]


@pytest.mark.parametrize("name", NAMES)
def test_every_demand_is_proved(name: str, sheets: dict[str, Any]) -> None:
    for demand in sheets[name]["demands"]:
        if not demand["topic"].startswith("material."):
            assert demand["proof"]["reasons"], demand["text"]
            assert all(reason["source"] for reason in demand["proof"]["reasons"])


def too_wide(lines: list[str]) -> list[str]:
    """Lines over the width of a page; a single word that is longer cannot be broken."""
    return [line for line in lines if len(line) > WIDTH and " " in line.strip()]


@pytest.mark.parametrize("name", NAMES)
def test_the_text_fits_a_page(name: str, builders: dict[str, DocumentBuilder]) -> None:
    sheet = builders[name].requirement()
    for proofs, opened in ((False, False), (True, True)):
        lines = text.requirement(sheet, proofs=proofs, opened=opened).splitlines()
        assert not too_wide(lines)
        assert all(line.isprintable() for line in lines)
        assert not [line for line in lines if FIELD.search(line)], "a field of a text was not filled in"


@pytest.mark.parametrize("name", NAMES)
def test_every_demanded_topic_is_explained(
    name: str, builders: dict[str, DocumentBuilder], loaded: Loaded, schemas: dict[str, dict[str, Any]]
) -> None:
    builder = builders[name]
    for topic in dict.fromkeys(demand.topic for demand in builder.advice.demands):
        why = builder.explanation(loaded.book.vocabulary.topics[topic], "")
        check(why.model_dump(mode="json", by_alias=True), "explain", schemas["explain"])
        assert len(why.demands) == len(builder.advice.on(topic))
        page = text.explanation(why)
        assert not too_wide(page.splitlines())
        assert "source: " in page or topic.startswith("material.")


@pytest.mark.parametrize("name", NAMES[:3])
def test_the_explain_command(name: str, program: Program, sheets: dict[str, Any]) -> None:
    topic = sheets[name]["demands"][0]["topic"]
    done = program("explain", ROOT / "scenarios" / name, topic)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(f"{topic} at ")


@pytest.mark.parametrize("name", NAMES[::5])
def test_why_or_why_not_ipx9(name: str, program: Program, sheets: dict[str, Any], schemas: dict[str, Any]) -> None:
    done = program("explain", ROOT / "scenarios" / name, "ipx9", "--format", "json")
    assert (done.returncode, done.stderr) == (0, "")
    data = json.loads(done.stdout)
    check(data, "explain", schemas["explain"])
    asked = [demand for demand in sheets[name]["demands"] if demand["value"] == "IPX9"]
    assert len(data["demands"]) == len(asked)
    assert data["demands"] or data["why_not"]


@pytest.mark.parametrize("name", NAMES[:1])
def test_a_file_is_written_whole(name: str, program: Program, tmp_path: Path) -> None:
    target = tmp_path / "sheet.json"
    target.write_text("old")
    done = program("require", ROOT / "scenarios" / name, "--format", "json", "-o", target)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    json.loads(target.read_text("utf-8"))
    assert [path.name for path in tmp_path.iterdir()] == ["sheet.json"]


def test_a_wrong_site_leaves_the_old_file(program: Program, tmp_path: Path) -> None:
    (tmp_path / "site.yaml").write_text("site: x\nwash: {method: hoose}\n")
    target = tmp_path / "sheet.txt"
    target.write_text("old")
    done = program("require", tmp_path / "site.yaml", "-o", target)
    assert (done.returncode, target.read_text()) == (2, "old")
    assert "Traceback" not in done.stderr


def test_a_reader_that_goes_away_is_no_error(tmp_path: Path) -> None:
    call = f"{sys.executable} -m advisor.cli require {SCENARIOS[0]} --proofs --open"
    command = f"set -o pipefail; {call} | head -n 1; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", command], cwd=ROOT, text=True, capture_output=True, timeout=60, check=False)
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] == "0"


def test_a_closed_pipe_from_the_start(tmp_path: Path) -> None:
    command = f"{sys.executable} -m advisor.cli require {SCENARIOS[0]} | true; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", command], cwd=ROOT, text=True, capture_output=True, timeout=60, check=False)
    assert (done.stderr, done.stdout.strip()) == ("", "0")


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "utf-8"])
def test_any_terminal_encoding_will_do(program: Program, encoding: str) -> None:
    done = program("require", SCENARIOS[0], env={"PYTHONIOENCODING": encoding}, errors="replace")
    assert (done.returncode, done.stderr) == (0, "")


def test_cold_warm_and_broken_cache_give_the_same_sheet(program: Program, tmp_path: Path) -> None:
    cache = tmp_path / "cache"

    def sheet() -> str:
        done = program("require", SCENARIOS[0], "--format", "json", env={"SITEWORTHY_CACHE": str(cache)})
        assert (done.returncode, done.stderr) == (0, "")
        return done.stdout

    cold = sheet()
    kept = sorted(cache.glob("*.json"))
    assert kept
    assert sheet() == cold
    for path in kept:
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    assert sheet() == cold


def test_no_cache_is_written_where_it_is_switched_off(program: Program, tmp_path: Path) -> None:
    done = program(
        "require",
        SCENARIOS[0],
        env={"SITEWORTHY_CACHE": "", "XDG_CACHE_HOME": str(tmp_path), "HOME": str(tmp_path)},
    )
    assert done.returncode == 0
    assert not list(tmp_path.iterdir())


def test_a_plants_own_rule_tightens(program: Program, tmp_path: Path, sheets: dict[str, Any]) -> None:
    (tmp_path / "own.yaml").write_text(OWN)
    done = program("require", SCENARIOS[0], "--rules", tmp_path, "--format", "json")
    assert (done.returncode, done.stderr) == (0, "")
    mine = [
        demand
        for demand in json.loads(done.stdout)["demands"]
        if demand["value"] == "IPX8" and demand["state"] == "certain"
    ]
    assert len(mine) == 1
    assert any(reason["rule"] == "own-ceiling" for reason in mine[0]["proof"]["reasons"])
    assert json.loads(done.stdout)["rulebook"]["digest"] != sheets[SCENARIOS[0].name]["rulebook"]["digest"]


def test_a_lifted_rule_is_named_with_its_reason(program: Program, tmp_path: Path, sheets: dict[str, Any]) -> None:
    asked = next(demand for demand in sheets[SCENARIOS[0].name]["demands"] if demand["topic"] == "ingress.water")
    lifted = asked["proof"]["reasons"][0]["rule"]
    reason = "A guard of steel stands in front of the unit, and nobody can take it off."
    (tmp_path / "own.yaml").write_text(f"- lift: {lifted}\n  reason: {reason}\n")
    page = program("require", SCENARIOS[0], "--rules", tmp_path)
    assert page.returncode == 0
    assert lifted in page.stdout
    assert reason in " ".join(page.stdout.split())
    data = json.loads(program("require", SCENARIOS[0], "--rules", tmp_path, "--format", "json").stdout)
    assert data["rulebook"]["waived"] == {lifted: reason}
    assert lifted not in {entry["rule"] for demand in data["demands"] for entry in demand["proof"]["reasons"]}


def test_the_same_call_gives_the_same_bytes(program: Program) -> None:
    first, second = (
        program("require", SCENARIOS[0], "--format", "json", env={"PYTHONHASHSEED": seed}) for seed in ("1", "2")
    )
    assert first.stdout == second.stdout


def test_power_towers_end_at_once(program: Program, tmp_path: Path) -> None:
    """A unit is never computed: 9**9**9 would take for ever."""
    (tmp_path / "site.yaml").write_text("site: x\nimmersion: {kind: temporary, depth: 5 9**9**9}\n")
    done = program("require", tmp_path / "site.yaml")
    assert done.returncode == 2
    assert done.stderr.startswith(f"{tmp_path / 'site.yaml'}:2:30: depth: ")


@pytest.mark.parametrize(
    "call",
    [["rulebook", "list"], ["rulebook", "list", "wash"], ["schema", "require"], ["--version"], ["--help"]],
)
def test_other_commands_end_well(program: Program, call: list[str]) -> None:
    done = program(*call)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout


def test_every_rule_can_be_shown(
    loaded: Loaded, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("advisor.loading.load", lambda *_: loaded)
    for name, rule in loaded.book.rules.items():
        for form in ("text", "json"):
            assert cli.main(["rulebook", "show", name, "--format", form]) == 0
            out, _ = capsys.readouterr()
            if form == "json":
                assert json.loads(out)["rule"] == name
            else:
                assert rule.title in " ".join(out.split())
                assert not too_wide(out.splitlines())


@pytest.mark.parametrize("name", NAMES)
def test_the_sheet_is_that_of_all_rules(name: str, builders: dict[str, DocumentBuilder]) -> None:
    """Only rules that a site can set off are compiled for it; the result must be that of the whole rulebook."""
    own = builders[name].advice
    whole = strategies.advise(own.site)
    assert (own.certain.facts, own.possible.facts) == (whole.certain.facts, whole.possible.facts)
    assert (own.demands, own.notes, own.spares) == (whole.demands, whole.notes, whole.spares)
