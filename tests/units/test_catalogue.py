"""Catalogues and sheets in other people's files: dialects, encodings, bombs, broken rows, columns, ranking, writing."""

import csv
import io
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest
import strategies
import yaml
from hypothesis import given
from hypothesis import strategies as st
from pdfs import pdf

from advisor import yamlfile
from advisor.audit import Auditor
from advisor.catalogue import command, pdftext, writer, xlsxfile
from advisor.catalogue.columns import guess, override
from advisor.catalogue.csvfile import CsvFile
from advisor.catalogue.rows import LONGEST_CELL, Row
from advisor.catalogue.xlsxfile import XlsxFile
from advisor.faults import InputError
from advisor.sheet import SheetReader
from advisor.site import read_site
from advisor.yamlfile import Document

BOOK = strategies.rulebook().book
READER = SheetReader(BOOK)
HEAD = "Model;Protection;Ambient min [°C];Ambient max [°C];Housing;Seal;Remarks"
ROWS = [
    "A1;IP67;-25;70;1.4404;EPDM;",
    "A2;IP66/IP67;-40;85;1.4404;EPDM;",
    "A3;IP66/IP67;-40;85;PBT;NBR;not suitable for high-pressure cleaning",
    "A4;;;;;;",
]
SITE = """
site: a wet place
place: {setting: indoor}
unit: {kind: sensor, largest_size: 50 mm, inside: closed, connection: connector, running_temperature: 20 degC}
wash:
  - {method: hose, nozzle: fan, pressure: 5 bar, flow: 25 L/min, distance: 0.6 m, temperature: 45 degC, detergent: no}
air: {low: -20 degC, high: 30 degC, humidity: 90 %, coldest_surface: 5 degC}
others: none
"""


@pytest.fixture(scope="module")
def auditor() -> Auditor:
    site = read_site(Document("site.yaml", yamlfile.parse(SITE, "site.yaml").data), BOOK)
    return Auditor(strategies.advise(site), BOOK)


def written(path: Path, text: str | bytes) -> Path:
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return path


def fault_of(act: Callable[[], object]) -> str:
    with pytest.raises(InputError) as problem:
        act()
    lines = str(problem.value).splitlines()
    assert len(lines) == 1, lines
    return lines[0]


# ---- CSV ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_dialects_and_encodings(tmp_path: Path, separator: str, encoding: str) -> None:
    text = "\r\n".join([HEAD, *ROWS]).replace(";", separator) + "\r\n"
    source = CsvFile(written(tmp_path / "c.csv", text.encode(encoding)))
    assert source.heads[2] == "Ambient min [°C]"
    assert [row.cells[0] for row in source.rows()] == ["A1", "A2", "A3", "A4"]
    assert not source.faults


def test_windows_text_is_read_with_a_note(tmp_path: Path) -> None:
    source = CsvFile(written(tmp_path / "c.csv", "Typ;Gehäuse\nA;Messing, 20 °C\n".encode("cp1252")))
    assert source.heads == ("Typ", "Gehäuse")
    assert any("Windows-1252" in note for note in source.notes)


def test_a_line_that_names_the_separator(tmp_path: Path) -> None:
    source = CsvFile(written(tmp_path / "c.csv", "sep=;\nModel;Protection\nA,1;IP67\n"))
    assert [(row.line, row.cells) for row in source.rows()] == [(3, ("A,1", "IP67"))]


def test_ragged_rows_are_said_with_their_lines_and_not_audited(tmp_path: Path) -> None:
    text = 'Model,Protection,Seal\nA,IP67,EPDM\nB,IP67\n\nC,IP67,1,5 mm\nD,"IP67,\nIP69",EPDM\nE,IP65,FKM,,\n'
    source = CsvFile(written(tmp_path / "c.csv", text))
    assert [row.cells[0] for row in source.rows()] == ["A", "D", "E"]
    assert [fault.place.line for fault in source.faults] == [3, 5]


def test_a_quote_that_never_ends(tmp_path: Path) -> None:
    source = CsvFile(written(tmp_path / "c.csv", 'Model,Seal\nA,"' + "x" * (LONGEST_CELL + 10) + "\n"))
    assert "c.csv:2: is no CSV" in fault_of(lambda: list(source.rows()))


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\0\1\2", b"PK\3\4\0\0\0"])
def test_what_is_no_table(tmp_path: Path, content: bytes) -> None:
    fault_of(lambda: CsvFile(written(tmp_path / "c.csv", content)))


@given(st.binary(max_size=400))
def test_any_bytes_are_a_table_or_a_fault(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    path = written(tmp_path_factory.mktemp("csv") / "c.csv", content)
    faults: tuple[object, ...] = ()
    try:
        source = CsvFile(path)
        list(source.rows())
    except InputError as problem:
        faults = problem.faults
    assert all("\n" not in str(fault) for fault in faults)


# ---- columns --------------------------------------------------------------------------------------------------------
def test_columns_are_guessed_by_what_their_cells_say() -> None:
    heads = ["Typ", "Schutzart", "Tmin (°C)", "Tmax (°C)", "Dichtung", "Preis", "Farbe", "IP69K", "Bemerkung"]
    rows = [Row(2, ("X", "IP67", "-25", "70", "FKM", "12,30", "black", "no", "wie besprochen"))]
    found = guess(heads, rows)
    roles = [column.role for column in found.columns]
    assert roles == [
        "name",
        "ingress",
        "temperature",
        "temperature",
        "material of seal",
        "ignore",
        "ignore",
        "ingress",
        "text",
    ]
    lowest = found.columns[2].reading("-25").items[0]
    assert (lowest.low_degc, lowest.high_degc) == (-25.0, None)  # type: ignore[attr-defined]
    assert found.columns[7].reading("no").items[0].denied
    assert len(found.shown()) == len(heads)


def test_columns_can_be_told() -> None:
    heads = ["A", "B", "C, of it"]
    rows = [Row(2, ("IP67", "unit 7", "NBR"))]
    found = override(guess(heads, rows), "name=B,seal=C, of it,ignore=1", BOOK.tables["claim_parts"].rows, rows)
    assert [column.role for column in found.columns] == ["ignore", "name", "seal"]
    assert found.columns[2].reading("NBR").items[0].parts == ("seal",)


@pytest.mark.parametrize("told", ["seal", "sael=A", "seal=Z", "seal=9"])
def test_columns_told_wrongly(told: str) -> None:
    rows = [Row(2, ("IP67", "x"))]
    fault_of(lambda: override(guess(["A", "B"], rows), told, BOOK.tables["claim_parts"].rows, rows))


# ---- the audit of rows ----------------------------------------------------------------------------------------------
def test_a_row_fares_as_its_unit_does(tmp_path: Path, auditor: Auditor) -> None:
    cells = {
        "p": ["", "IP67", "IP66/IP67", "IP20", "up to IP69K", "IP66 only with xyz", "not IP67", "Type 4X"],
        "t": ["", "-40...+85 °C", "+100 °C for max. 15 min", "0...50 °C"],
        "r": ["", "indoor use only", "must not be hosed", "connector IP65", "stainless steel"],
    }
    rows = [f"U;{p};{t};{r}" for p in cells["p"] for t in cells["t"] for r in cells["r"]]
    path = written(tmp_path / "c.csv", "\n".join(["Model;Protection;Temperature;Remarks", *rows]))
    found = command.gather([path], READER, auditor, top=len(rows))
    details = found.audits()
    assert len(details) == len(rows) == len(found.run.ranking.results)
    for result, audit in zip(found.run.ranking.ordered(), details, strict=True):
        assert audit.unit.source == f"{path}:{result.line}"
        fate = result.fate
        assert (audit.verdict, audit.rank, bool(audit.held_back)) == (fate.verdict, fate.rank, fate.held)


def test_units_are_ranked_by_shortfalls_then_silences(tmp_path: Path, auditor: Auditor) -> None:
    path = written(tmp_path / "c.csv", "\n".join([HEAD, *ROWS]))
    found = command.gather([path], READER, auditor)
    ordered = found.run.ranking.ordered()
    assert [result.name for result in ordered] == ["A2", "A3", "A4", "A1"]
    assert [result.order for result in ordered] == sorted(result.order for result in ordered)
    assert [result.fate.verdict for result in ordered] == ["unproven"] * 3 + ["unfit"]


# ---- XLSX -----------------------------------------------------------------------------------------------------------
def workbook(path: Path, rows: list[list[object]]) -> Path:
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(path)
    return path


def test_xlsx_is_read_like_csv(tmp_path: Path, auditor: Auditor) -> None:
    rows: list[list[object]] = [line.split(";") for line in [HEAD, *ROWS]]
    rows[1][2:4] = [-25, 70.0]
    by_sheet = command.gather([workbook(tmp_path / "c.xlsx", rows)], READER, auditor)
    by_text = command.gather([written(tmp_path / "c.csv", "\n".join([HEAD, *ROWS]))], READER, auditor)
    outcomes = [[result.fate.outcomes for result in found.run.ranking.ordered()] for found in (by_sheet, by_text)]
    assert outcomes[0] == outcomes[1]


def archive(path: Path, parts: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in parts.items():
            made.writestr(name, content)
    return path


@pytest.mark.parametrize(
    "parts",
    [
        {"xl/worksheets/sheet1.xml": b"0" * 30_000_000},
        {"xl/sharedStrings.xml": b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]><sst>&b;</sst>'},
        {"xl/workbook.xml": "\ufeff<workbook/>".encode("utf-16-le")},
        {f"xl/{number}.xml": b"<a/>" for number in range(2_500)},
    ],
)
def test_bombs_are_refused_before_they_are_parsed(tmp_path: Path, parts: dict[str, bytes]) -> None:
    path = archive(tmp_path / "c.xlsx", parts)
    assert "is refused" in fault_of(lambda: xlsxfile.look_into(path))


@pytest.mark.parametrize("content", [b"", b"no archive", b"PK\3\4" + b"\0" * 40])
def test_what_is_no_xlsx(tmp_path: Path, content: bytes) -> None:
    fault_of(lambda: XlsxFile(written(tmp_path / "c.xlsx", content)))


def test_an_archive_that_is_no_workbook(tmp_path: Path) -> None:
    pytest.importorskip("openpyxl")
    fault_of(lambda: XlsxFile(archive(tmp_path / "c.xlsx", {"a.xml": b"<a/>"})))


# ---- PDF ------------------------------------------------------------------------------------------------------------
SHEET = [(50, "Sensor, invented"), (50, "Protection class: IP66, IP67"), (50, "Ambient temperature: -25...+70 \260C"),
         (50, "Seal: EPDM"), (50, "Not suitable for high-pressure cleaning")]  # fmt: skip


def test_the_text_of_a_pdf_is_read(tmp_path: Path) -> None:
    pytest.importorskip("pdfplumber")
    found = pdftext.read_pdf(written(tmp_path / "s.pdf", pdf(SHEET)))
    unit = READER.from_text(found.text, "s", "s.pdf")
    assert {claim.item for claim in unit.claims if claim.topic == "ingress.water"} >= {"IPX6", "IPX7"}
    assert any(claim.denied for claim in unit.claims)
    line = next(said.line for said in unit.said if said.part == "seal")
    assert found.place(line).startswith("page 1, line ")


@pytest.mark.parametrize(
    "content",
    [
        pdf([], packed=zlib.compress(b"0" * 80_000_000)),
        pdf([], packed=zlib.compress(zlib.compress(b"0" * 80_000_000))),
    ],
)
def test_packed_bombs_are_refused(tmp_path: Path, content: bytes) -> None:
    assert "is refused" in fault_of(lambda: pdftext.read_pdf(written(tmp_path / "s.pdf", content)))


@pytest.mark.parametrize("content", [b"", b"no pdf", b"%PDF-1.4\n", b"%PDF-1.7\ntrailer << /Root 9 0 R >>"])
def test_what_is_no_pdf(tmp_path: Path, content: bytes) -> None:
    pytest.importorskip("pdfplumber")
    fault_of(lambda: pdftext.read_pdf(written(tmp_path / "s.pdf", content)))


def test_a_scan_is_named(tmp_path: Path) -> None:
    pytest.importorskip("pdfplumber")
    assert "no text" in fault_of(lambda: pdftext.read_pdf(written(tmp_path / "s.pdf", pdf([]))))


# ---- writing --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("text", ["=1+1", "+A1", "-cmd|'x'!A1", "@SUM(A1)", "\t=1", " =1", "\r=1", "|calc", "＝1"])
def test_formulas_are_neutralised(text: str) -> None:
    assert writer.neutralised(text).startswith("'")


@pytest.mark.parametrize("text", ["-25", "+3.5", "IP67", "", "12"])
def test_plain_cells_stay(text: str) -> None:
    assert writer.neutralised(text) == text


@given(st.text(max_size=30))
def test_no_cell_of_any_text_is_a_formula(text: str) -> None:
    cell = writer.neutralised(text)
    assert "\n" not in cell
    assert cell.lstrip()[:1] not in tuple("=@\t\r|%＝＋－＠")
    assert cell.lstrip()[:1] not in ("+", "-") or cell.lstrip("+-").replace(".", "").replace(",", "").isdigit()


SHEETS = sorted((Path(__file__).parent / "notation_sheets").glob("*.txt"))


@pytest.mark.parametrize("path", SHEETS, ids=[path.stem for path in SHEETS])
def test_a_saved_sheet_claims_no_more_than_what_was_read(tmp_path: Path, path: Path) -> None:
    unit = READER.load(path)
    target = tmp_path / "s.yaml"
    writer.save(target, writer.sheet_yaml(unit, READER.claim_reader))
    again = READER.load(target)
    assert {claim.key for claim in again.claims} <= {claim.key for claim in unit.claims}
    text = target.read_text("utf-8")
    for said in unit.said:
        assert f"line {said.line}: " in text
    commented = sum(line.startswith("# ") and " - " in line for line in text.splitlines())
    assert len({c.key for c in unit.claims} - {c.key for c in again.claims}) == 0 or commented


def test_words_of_a_sheet_cannot_make_yaml(tmp_path: Path) -> None:
    words = 'IP67 "\n!!python/object/apply:os.system ["x"]\nunit: &a *a\nSeal: EPDM'
    unit = READER.from_text(words, 'a"\n- b: !x', "s")
    text = writer.sheet_yaml(unit, READER.claim_reader)
    data = yaml.safe_load(text)
    assert set(data) <= {"unit", "about", "claims", "parts"}
    assert data["unit"] == 'a" - b: !x'


def test_names_do_not_lead_out_of_the_folder(tmp_path: Path) -> None:
    unit = READER.from_text("IP67", "../../etc/passwd", "s")
    path = writer.sheet_path(tmp_path, unit, True)
    assert path.parent == tmp_path
    assert path.name == "etc-passwd.yaml"


def test_nothing_is_written_over(tmp_path: Path) -> None:
    unit = READER.from_text("IP67", "x", "s")
    old = written(tmp_path / "x.yaml", "mine")
    (tmp_path / "link.yaml").symlink_to(tmp_path / "gone")
    for wanted in (old, tmp_path, tmp_path / "x.py", tmp_path / "link.yaml"):
        fault_of(lambda wanted=wanted: writer.sheet_path(wanted, unit, False))  # type: ignore[misc]
    fault_of(lambda: writer.save(old, "theirs"))
    assert old.read_text() == "mine"


# ---- the command ----------------------------------------------------------------------------------------------------
def test_the_command_end_to_end(tmp_path: Path, program: Callable[..., CompletedProcess[str]]) -> None:
    site = written(tmp_path / "site.yaml", SITE)
    rows = [f"=U{number};{row.partition(';')[2]}" for number in range(20) for row in ROWS]
    many = written(tmp_path / "many.csv", "\n".join([HEAD, *rows, "broken;IP67"]))
    done = program("audit", site, many, "--top", "1")
    assert done.returncode == 1
    assert "many.csv:82: the row has 2 cells" in " ".join(done.stdout.split())
    assert "audited" in done.stdout
    table = program("audit", site, many, "--format", "csv")
    cells = list(csv.reader(io.StringIO(table.stdout)))
    assert len(cells) == 81
    assert all(row[1].startswith("'=U") for row in cells[1:])
    sheet = written(tmp_path / "s.txt", "IP67\n-25...+70 °C\n")
    saved = tmp_path / "saved.yaml"
    assert program("audit", site, sheet, "--save-sheet", saved).returncode == 1
    assert READER.load(saved).claims
    refused = program("audit", site, sheet, "--save-sheet", saved)
    assert (refused.returncode, refused.stderr.count("\n")) == (2, 1)
    wrong = program("audit", site, many, "--columns", "sael=Seal")
    assert (wrong.returncode, wrong.stderr.count("\n")) == (2, 1)


def test_a_file_of_an_office_program_is_told_what_is_read(tmp_path: Path) -> None:
    (tmp_path / "sheet.docx").write_bytes(b"PK\x03\x04")
    with pytest.raises(InputError, match=r"\.docx file, which is not read; save it as text"):
        command.read_file(tmp_path / "sheet.docx", READER)
