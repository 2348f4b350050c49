"""What `siteworthy audit` does with its files: sheets and catalogues in, audits or a ranking out.

Up to `IN_FULL` units are reported finding by finding as sheets are; with more of them the ranking is reported and only
the best are shown in full. How the columns of a catalogue were read is always said. Faults of all files are found in
one go; rows that could not be read are said and do not stop the others.
"""

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from advisor.audit import Audit, Auditor
from advisor.catalogue import columns, writer
from advisor.catalogue.csvfile import CsvFile
from advisor.catalogue.pdftext import PdfText, read_pdf
from advisor.catalogue.rows import Source
from advisor.catalogue.run import CatalogueAuditor
from advisor.catalogue.xlsxfile import XlsxFile
from advisor.faults import Fault, InputError, Place
from advisor.progress import Progress
from advisor.sheet import SheetReader, UnitSheet

IN_FULL = 50
SAMPLE_ROWS = 500
TABLES = (".csv", ".tsv", ".xlsx")
KINDS = (".yaml", ".yml", ".txt", ".pdf", *TABLES)
"""Kinds of file taken from a folder."""
_WRITTEN = (".txt", ".text", ".md", ".pdf")
_OFFICE = (".docx", ".doc", ".odt", ".rtf", ".pages", ".pptx", ".xls", ".ods")
"""Kinds of file that hold sheets and are not read."""
MOST_SAID = 20


@dataclass
class Gathered:
    """What the files gave: every unit's audit if there are few, or the ranking."""

    run: CatalogueAuditor
    columns: dict[str, list[str]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    """Rows that were not audited."""

    @property
    def many(self) -> bool:
        return len(self.run.ranking.results) > IN_FULL

    @property
    def all_fit(self) -> bool:
        return not self.faults and self.run.ranking.counts()["fit"] == len(self.run.ranking.results)

    def audits(self) -> list[Audit]:
        """The audits of all units if they are few, or of the best ones asked for."""
        return self.run.details()

    def said(self) -> list[str]:
        """How the columns were read and which rows were not, for reports that have no place for it."""
        lines = [f"{name}: column {entry}" for name, found in self.columns.items() for entry in found]
        lines += self.notes + [str(fault) for fault in self.faults[:MOST_SAID]]
        rest = len(self.faults) - MOST_SAID
        return [*lines, *([f"and {rest} more rows that were not audited"] if rest > 0 else [])]


def gather(
    paths: Iterable[Path],
    reader: SheetReader,
    auditor: Auditor,
    *,
    mapping: str = "",
    save: Path | None = None,
    top: int = 0,
) -> Gathered:
    """Audit all files. Raises InputError with the faults of all of them."""
    run = CatalogueAuditor(auditor, reader, max(top, IN_FULL))
    found = Gathered(run)
    faults: list[Fault] = []
    sheets: list[tuple[UnitSheet, PdfText | None]] = []
    for path in paths:
        try:
            if path.suffix.lower() in TABLES:
                with Progress(path.name) as notice:
                    add_catalogue(path, found, mapping, notice)
            else:
                unit, pages = read_file(path, reader)
                run.add(auditor.audit(unit))
                if path.suffix.lower() in _WRITTEN or str(path) == "-":
                    sheets.append((unit, pages))
        except InputError as problem:
            faults += problem.faults
    if save is not None and not faults:
        _save(save, sheets, reader)
    if faults:
        raise InputError(faults)
    if found.many:
        del run.ranking.best[top:]
    return found


def read_file(path: Path, reader: SheetReader) -> tuple[UnitSheet, PdfText | None]:
    """Read a sheet, with the pages of a PDF. Raises InputError."""
    if str(path) == "-":
        return reader.from_text(sys.stdin.read(), "standard input", "standard input"), None
    if path.suffix.lower() == ".pdf":
        pages = read_pdf(path)
        return reader.from_text(pages.text, path.stem, str(path)), pages
    if path.suffix.lower() in _OFFICE:
        accepted = "save it as text (.txt) or PDF, a table as .csv or .xlsx, or paste its text with -"
        raise InputError([Fault(Place(str(path)), f"is a {path.suffix.lower()} file, which is not read", accepted)])
    return reader.load(path), None


def open_catalogue(path: Path, reader: SheetReader, mapping: str = "") -> tuple[Source, columns.ColumnMap]:
    """Return the rows of a catalogue and what its columns speak of. Raises InputError."""
    source: Source = XlsxFile(path) if path.suffix.lower() == ".xlsx" else CsvFile(path)
    sample = list(islice(source.rows(), SAMPLE_ROWS))
    if not sample and not source.faults:
        raise InputError([Fault(Place(str(path)), "holds no unit", "a row of heads, and a row for each unit")])
    chosen = columns.guess(source.heads, sample)
    if mapping:
        chosen = columns.override(chosen, mapping, reader.claim_reader.parts, sample)
    if not chosen.read:
        shown = ", ".join(source.heads[:8])
        raise InputError([Fault(Place(str(path)), f"no column makes a claim (heads: {shown})", "--columns role=head")])
    return source, chosen


def add_catalogue(path: Path, found: Gathered, mapping: str, notice: Callable[[float], None]) -> None:
    """Audit a catalogue; `notice` is told how much of it is done, from 0 to 1. Raises InputError."""
    source, chosen = open_catalogue(path, found.run.reader, mapping)
    found.columns[str(path)] = chosen.shown()
    found.run.catalogue(str(path), chosen, source.rows(), notice)
    found.notes += [f"{path}: {note}" for note in source.notes]
    found.faults += source.faults


def _save(wanted: Path, sheets: Sequence[tuple[UnitSheet, PdfText | None]], reader: SheetReader) -> None:
    if not sheets:
        raise InputError([Fault(Place("--save-sheet"), "there is nothing to save", "a sheet in text or PDF")])
    faults: list[Fault] = []
    targets: dict[Path, str] = {}
    for unit, pages in sheets:
        try:
            path = writer.sheet_path(wanted, unit, len(sheets) > 1)
        except InputError as problem:
            faults += problem.faults
            continue
        if path in targets:
            faults.append(Fault(Place(str(path)), "two sheets would be saved under this name", "one at a time"))
        text = (
            writer.sheet_yaml(unit, reader.claim_reader, pages.place)
            if pages
            else writer.sheet_yaml(unit, reader.claim_reader)
        )
        targets[path] = text
    if faults:
        raise InputError(faults)
    for path, text in targets.items():
        writer.save(path, text)
