"""Units held against a site for a screen: the same verdicts as the command line, filters, corrections, reports."""

import json
from collections import Counter
from pathlib import Path

import pytest
from conftest import ROOT

from advisor import yamlfile
from advisor.audit import Auditor
from advisor.faults import InputError
from advisor.loading import Loaded
from advisor.sheet import SheetReader
from tui import audit_corrections, audit_export
from tui.audit_bench import Bench, findings
from tui.audit_corrections import Line
from tui.audit_order import Shown, arrange
from tui.session import Session

MEALS = ROOT / "scenarios" / "ready-meals-washdown"
TRICKY = """\
Level switch (invented)

Rating            IP67
Ambient           -20...+60 °C
Seal              EPDM
Wobble factor     [/b] seven
"""


@pytest.fixture(scope="module")
def bench(loaded: Loaded, tmp_path_factory: pytest.TempPathFactory) -> Bench:
    session = Session.open(loaded, MEALS, tmp_path_factory.mktemp("state"))
    made = Bench(session)
    for path in sorted((MEALS / "units").iterdir()):
        made.add(path)
    return made


@pytest.fixture
def tricky(bench: Bench, tmp_path: Path):
    path = tmp_path / "tricky.txt"
    path.write_text(TRICKY, "utf-8")
    bench.add(path)
    yield next(result for result in bench.results if result.source == str(path))
    bench.drop(str(path))


@pytest.fixture
def catalogue(bench: Bench, tmp_path: Path):
    path = tmp_path / "units.csv"
    rows = [f"Unit {n:02},{'IP67' if n % 3 else 'IP66 / IP69K'},{-25 + n} ... +70 °C,1.4404" for n in range(60)]
    path.write_text(
        "\n".join(["Type,Protection class,Ambient temperature,Housing", *rows, "short,row"]) + "\n", "utf-8"
    )
    bench.add(path)
    yield path
    bench.drop(str(path))


def test_verdicts_are_those_of_the_auditor(bench: Bench) -> None:
    for result in bench.results:
        audit = Auditor(bench.advice, bench.book).audit(SheetReader(bench.book).load(Path(result.source)))
        assert result.fate.verdict == audit.verdict
        shown = Counter(bench.outcome(result, wanted) for wanted in bench.wanted)
        del shown[None]
        assert shown == Counter(finding.outcome for finding in audit.findings)


def test_certain_demands_stand_first(bench: Bench) -> None:
    states = [wanted.state for wanted in bench.wanted]
    assert states == sorted(states) and {wanted.number for wanted in bench.wanted} == set(range(len(states)))


def test_a_finding_leads_to_its_claim_and_proof(bench: Bench) -> None:
    result = next(result for result in bench.results if result.source.endswith("hot-jet-only.txt"))
    opened = bench.open(result)
    water = next(w for w in bench.wanted if (w.topic, w.demanded) == ("ingress.water", "IPX6"))
    index = opened.at[water.number]
    assert opened.entry.findings[index].finding == bench.outcome(result, water) == "falls short"
    claim = opened.audit.findings[index].claims[0]
    assert opened.place(claim) == "line 6"
    assert [line.text for line in opened.excerpt(claim) if line.hit] == ["Schutzart: IP69K nach DIN 40050-9"]
    assert opened.entry.findings[index].proof.reasons and opened.entry.claim_notes
    assert "IPX9K does not cover IPX6" in bench.said(result, water)
    assert findings(opened)[0].finding == "falls short"


def test_a_row_of_a_catalogue_is_opened_from_its_file(bench: Bench, catalogue: Path) -> None:
    rows = [result for result in bench.results if result.line]
    assert len(rows) == 60 and any("short" in str(f) or "cells" in str(f) for f in bench.faults)
    for result in (rows[0], rows[-1]):
        opened = bench.open(result)
        assert opened.audit.unit.name == result.name and opened.audit.verdict == result.fate.verdict
        assert len(opened.at) == sum(outcome is not None for outcome in result.fate.outcomes)
        claim = next(c for f in opened.audit.findings for c in f.claims if c.topic == "ingress.water")
        assert opened.excerpt(claim)[0].place == f"line {result.line}, Protection class"
    catalogue.write_text("Type,Protection class\nUnit,IP67\n", "utf-8")
    with pytest.raises(InputError, match="no longer there"):
        bench.open(rows[-1])


def test_progress_is_told(bench: Bench, catalogue: Path) -> None:
    heard: list[float] = []
    bench.add(catalogue, heard.append)
    assert heard and heard[-1] == 1.0


def test_a_file_that_cannot_be_read_is_told_and_leaves_the_rest(bench: Bench, tmp_path: Path) -> None:
    before = len(bench.results)
    with pytest.raises(InputError, match="cannot be read"):
        bench.add(tmp_path / "none.yaml")
    assert len(bench.results) == before and any("none.yaml" in str(fault) for fault in bench.faults)
    bench.drop(str(tmp_path / "none.yaml"))
    assert not any("none.yaml" in str(fault) for fault in bench.faults)


def test_filters_and_orders(bench: Bench, catalogue: Path) -> None:
    water = next(w for w in bench.wanted if w.demanded == "IPX9")
    everything = arrange(bench.ordered, Shown())
    assert [result.order for result in everything] == sorted(result.order for result in bench.results)
    unfit = Shown().turn_verdict().turn_verdict().turn_verdict()
    assert {result.fate.verdict for result in arrange(bench.ordered, unfit)} == {"unfit"}
    short = Shown().turn_finding(water)
    found = arrange(bench.ordered, short)
    assert short.finding == "falls short" and found and {bench.outcome(r, water) for r in found} == {"falls short"}
    assert len(arrange(bench.ordered, Shown(name="UNIT 0"))) == 10
    by_column = Shown(sort="as in the file").turn_sort(water)
    assert by_column.sort == "by this column"
    outcomes = [bench.outcome(result, water) for result in arrange(bench.ordered, by_column)]
    assert outcomes[0] == "falls short" and outcomes[-1] in ("meets", None)
    assert by_column.turn_sort(water).sort == "best first"


def test_a_reading_confirmed_as_it_is_gives_the_same_claims(bench: Bench, tricky) -> None:
    unit = bench.units[tricky.source]
    lines = audit_corrections.lines_of(unit, bench.reader, bench.places[tricky.source])
    assert [line.quote for line in lines if line.missed]
    text = audit_corrections.sheet("Level switch", "tricky.txt", lines)
    again = bench.reader.from_document(yamlfile.parse(text, "sheet.yaml"))
    taken = [line for line in lines if line.taken]
    assert len(taken) >= 3 and {c.key for c in again.claims} == {c.key for c in unit.claims if c.credit == "full"}


def test_corrections_count_and_what_is_left_out_does_not(bench: Bench, tricky) -> None:
    lines = audit_corrections.lines_of(bench.units[tricky.source], bench.reader, bench.places[tricky.source])
    seal = next(line for line in lines if line.part == "seal")
    fixed = audit_corrections.edited(seal, "seal: FKM", bench.reader)
    added = audit_corrections.edited(Line("unit", "", "", "", True), "IP69", bench.reader)
    rating = next(line for line in lines if "IP67" in line.text)
    kept = [
        *(line for line in lines if line not in (seal, rating)),
        fixed,
        added,
        Line(rating.part, rating.text, rating.place, rating.quote, False),
    ]
    text = audit_corrections.sheet('A "quoted" \\ unit', "tricky.txt", kept)
    unit = bench.reader.from_document(yamlfile.parse(text, "sheet.yaml"))
    assert unit.name == 'A "quoted" \\ unit'
    assert [c.materials for c in unit.claims if c.topic == "material.seal"] == [("fkm-unspecified",)]
    assert {c.item for c in unit.claims if c.topic == "ingress.water"} == {"IPX9"}
    assert '"FKM"  # line 5: "EPDM"; corrected' in text and "written by hand" in text and "# Left out:" in text


def test_a_correction_says_how_it_is_read(bench: Bench) -> None:
    words = audit_corrections.understood(Line("seal", "EPDM", "", "", True), bench.reader, bench.book)
    assert any("seal" in word.lower() and "EPDM" in word for word in words)
    assert audit_corrections.understood(Line("unit", "xyzzy", "", "", True), bench.reader, bench.book)
    with pytest.raises(InputError, match="no part 'seel'"):
        audit_corrections.edited(Line("unit", "", "", "", True), "seel: EPDM", bench.reader)
    with pytest.raises(InputError, match="says nothing"):
        audit_corrections.edited(Line("unit", "", "", "", True), "seal: ", bench.reader)


@pytest.mark.parametrize("kind", audit_export.KINDS)
def test_every_kind_of_report_names_every_unit(bench: Bench, tmp_path: Path, kind: str) -> None:
    path = tmp_path / f"audit{kind}"
    audit_export.export(bench, path)
    text = path.read_text("utf-8")
    assert all(result.name in text for result in bench.results)
    if kind == ".json":
        assert json.loads(text)["schema"] == "siteworthy.audit/1"
    with pytest.raises(InputError, match="is there already"):
        audit_export.export(bench, path)
    audit_export.export(bench, path, overwrite=True)


def test_many_units_are_reported_as_a_catalogue(bench: Bench, catalogue: Path, tmp_path: Path) -> None:
    audit_export.export(bench, tmp_path / "audit.json")
    document = json.loads((tmp_path / "audit.json").read_text("utf-8"))
    assert document["schema"] == "siteworthy.catalogue/1" and document["audited"] == len(bench.results)
    assert len(document["units"]) == audit_export.TOP and len(document["rows_not_read"]) == 1


def test_a_report_of_no_known_kind_is_refused(bench: Bench, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no kind of report"):
        audit_export.export(bench, tmp_path / "audit.doc")
