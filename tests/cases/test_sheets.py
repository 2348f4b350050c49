"""Whole sheets as makers write them, each with the findings and the traps that a person of the trade expects.

A case in `sheets/*.yaml` names a point of `_sites.yaml` (an invented one, one of a scenario, or one of the case
book), the sheet as plain text, the verdict, and all certain demands on the judged topics that it meets, falls short of
or is unclear on; every other one of them must be unstated, or not concern the unit. The verdict is that of the
whole audit.
`traps` are rules about claims that must speak. Each case is a test item of its own.
"""

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import strategies

from advisor import yamlfile
from advisor.advise import Advice, Advisor
from advisor.audit import Audit, Auditor
from advisor.claim_facts import claim_facts
from advisor.sheet import SheetReader, UnitSheet
from advisor.site import Site, read_site
from advisor.yamlfile import Document

HERE = Path(__file__).parent / "sheets"
CASES = [(path.stem, case) for path in sorted(HERE.glob("[!_]*.yaml")) for case in yamlfile.load(path).data]
SCENARIOS = Path(__file__).parents[2] / "scenarios"
POINTS = yamlfile.load(HERE / "_sites.yaml").data
OUTCOMES = {"meets": "meets", "falls short": "falls short", "unclear": "unclear"}
KEYS = {"case", "site", "sheet", "verdict", "traps", "note", *OUTCOMES}
BOOK = HERE.parent / "sites"


@cache
def site_of(name: str) -> Site:
    """An invented point, or that of a scenario."""
    if "scenario" in POINTS[name]:
        path = SCENARIOS / POINTS[name]["scenario"] / "site.yaml"
        return read_site(yamlfile.load(path), strategies.rulebook().book)
    if "book" in POINTS[name]:
        found = [case for path in BOOK.glob("*.yaml") for case in yamlfile.load(path).data if case["case"] == name]
        return read_site(
            Document(name, {"site": name, "others": "none", **found[0]["site"]}), strategies.rulebook().book
        )
    told = {key: value for key, value in POINTS[name].items() if key != "judged"}
    return read_site(Document(name, {"site": name, **told}), strategies.rulebook().book)


@cache
def advice_of(name: str) -> Advice:
    """What an invented point demands."""
    return strategies.advise(site_of(name))


def read(case: dict[str, Any]) -> UnitSheet:
    return SheetReader(strategies.rulebook().book).from_text(case["sheet"], case["case"], "a sheet")


def audit(case: dict[str, Any]) -> Audit:
    return Auditor(advice_of(case["site"]), strategies.rulebook().book).audit(read(case))


def ids(case: tuple[str, dict[str, Any]]) -> str:
    return f"{case[0]}::{case[1]['case']}"


@pytest.mark.parametrize("case", CASES, ids=map(ids, CASES))
def test_findings(case: tuple[str, dict[str, Any]]) -> None:
    told = case[1]
    assert set(told) <= KEYS
    found = audit(told)
    judged = tuple(POINTS[told["site"]]["judged"])
    emc = [f"emc {demand.item}" for demand in advice_of(told["site"]).demands if demand.topic == "emc"]
    named = ((outcome, name) for outcome in OUTCOMES for name in told.get(outcome, ()))
    wanted = {one: outcome for outcome, name in named for one in (emc if name == "emc" else [name])}
    seen = {
        " ".join(filter(None, [finding.demand.topic, finding.demand.item])): finding.outcome
        for finding in found.findings
        if finding.demand.state == "certain" and finding.outcome != "unstated"
        if finding.demand.topic.startswith(judged)
    }
    assert seen == wanted
    assert found.verdict == told["verdict"]


@pytest.mark.parametrize(
    "case", [case for case in CASES if case[1].get("traps")], ids=[ids(case) for case in CASES if case[1].get("traps")]
)
def test_traps(case: tuple[str, dict[str, Any]], advisor: Advisor) -> None:
    told = case[1]
    unit = read(told)
    book = strategies.rulebook().book
    advice = advisor.advise(site_of(told["site"]), claim_facts(unit, book))
    spoken = {maker for note in advice.notes["trap"] if note.state == "certain" for maker in strategies.makers(note)}
    rules = {maker.rpartition(".")[0] for maker in spoken}
    assert set(told["traps"]) <= rules


def test_there_are_enough_sheets() -> None:
    assert len(CASES) >= 40
    assert len({case["case"] for _, case in CASES}) == len(CASES)
