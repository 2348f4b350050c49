"""Reads a catalogue in XLSX, streaming, with openpyxl in read-only mode (the extra `xlsx`).

The first sheet that is not empty is read; a note names it and the others. An XLSX file is a ZIP archive: before it is
parsed its unpacked size, the ratio to what is stored, and its parts are looked at, and one that would fill the memory,
or that brings a document type of its own, is refused. Formulas count by the value that the spreadsheet saved.
"""

import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from advisor.catalogue.rows import LONGEST_CELL, MOST_COLUMNS, Row, checked_heads, fitted
from advisor.faults import Fault, InputError, Place

LARGEST_UNPACKED = 600_000_000
LARGEST_STRINGS = 120_000_000
"""Bytes; shared strings are kept in memory as a whole."""
MOST_RATIO = 200
SMALL = 1_000_000
"""Bytes; smaller parts may have any ratio."""
MOST_PARTS = 2_000
_PROLOGUE = 65_536


class XlsxFile:
    """A catalogue in XLSX."""

    def __init__(self, path: Path) -> None:
        self.file, self.path = path, str(path)
        self.notes: list[str] = []
        self.faults: list[Fault] = []
        look_into(path)
        try:
            import openpyxl
        except ImportError:
            raise self._fault("needs openpyxl", "pip install 'siteworthy[xlsx]', or save the sheet as CSV") from None
        self._open = openpyxl.load_workbook
        self.sheet = ""
        self.head_line = 0
        heads: tuple[str, ...] = ()
        book = self._book()
        try:
            for name in book.sheetnames:
                first = next((row for row in self._all(book, name) if any(row.cells)), None)
                if first is not None:
                    self.sheet, self.head_line = name, first.line
                    heads = checked_heads(self.path, first.line, first.cells)
                    break
            others = [name for name in book.sheetnames if name != self.sheet]
        finally:
            book.close()
        self.heads = heads or checked_heads(self.path, 1, ())
        self.notes.append(f"sheet {self.sheet!r}" + (f"; not read: {', '.join(others)}" if others else ""))

    def rows(self) -> Iterator[Row]:
        """Yield the rows below the heads."""
        self.faults.clear()
        book = self._book()
        try:
            body = (row for row in self._all(book, self.sheet) if row.line > self.head_line)
            yield from fitted(self.path, body, len(self.heads), self.faults, short=True)
        finally:
            book.close()

    def _book(self) -> Any:
        try:
            return self._open(self.file, read_only=True, data_only=True, keep_links=False)
        except Exception as problem:  # noqa: BLE001 - the parser raises what its XML and ZIP layers raise
            raise self._fault(f"is no XLSX file that can be read ({type(problem).__name__})") from None

    def _all(self, book: Any, name: str) -> Iterator[Row]:
        sheet = book[name]
        if not hasattr(sheet, "reset_dimensions"):
            return  # a sheet that is a chart
        total = max(1, sheet.max_row or 1)
        sheet.reset_dimensions()  # the file's own word on its size may be wrong
        line = 0
        try:
            for line, cells in enumerate(sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS), start=1):
                texts = tuple(map(_text, cells))
                if any(len(text) > LONGEST_CELL for text in texts):
                    long = Fault(Place(self.path, line), "has a cell that is too long", f"at most {LONGEST_CELL} signs")
                    raise InputError([long])
                yield Row(line, texts, min(1.0, line / total))
        except Exception as problem:
            if isinstance(problem, InputError):
                raise
            what = f"cannot be read on ({type(problem).__name__})"
            raise InputError([Fault(Place(self.path, line + 1), what)]) from None

    def _fault(self, what: str, accepted: str = "") -> InputError:
        return InputError([Fault(Place(self.path), what, accepted)])


def look_into(path: Path) -> None:
    """Refuse an archive that is none, is a bomb, or holds a document type. Raises InputError."""

    def fault(what: str, accepted: str = "") -> InputError:
        return InputError([Fault(Place(str(path)), what, accepted)])

    try:
        with zipfile.ZipFile(path) as archive:
            parts = archive.infolist()
            if len(parts) > MOST_PARTS:
                raise fault(f"is refused: the archive has {len(parts)} parts", f"at most {MOST_PARTS}")
            if sum(part.file_size for part in parts) > LARGEST_UNPACKED:
                raise fault("is refused: it unpacks to too much", f"at most {LARGEST_UNPACKED // 1_000_000} MB")
            for part in parts:
                if part.file_size > SMALL and part.file_size > MOST_RATIO * max(1, part.compress_size):
                    raise fault(f"is refused: {part.filename[:60]!r} unpacks to over {MOST_RATIO} times its size")
                if "sharedStrings" in part.filename and part.file_size > LARGEST_STRINGS:
                    raise fault("is refused: its text is too large", f"at most {LARGEST_STRINGS // 1_000_000} MB")
                if part.filename.endswith((".xml", ".rels")):
                    with archive.open(part) as stream:
                        start = stream.read(_PROLOGUE)
                    if b"<!DOCTYPE" in start or b"<!ENTITY" in start or start[:2] in (b"\xff\xfe", b"\xfe\xff"):
                        raise fault(f"is refused: {part.filename[:60]!r} declares a document type or is no UTF-8")
    except OSError as problem:
        raise fault(f"cannot be read ({problem.strerror or problem})") from None
    except (zipfile.BadZipFile, EOFError, RuntimeError, NotImplementedError, ValueError) as problem:
        raise fault("is no XLSX file", str(problem)[:80]) from None
    except zipfile.LargeZipFile:
        raise fault("is refused: it is too large") from None


def _text(value: object) -> str:
    """Return a cell as text; a whole number is written without its point."""
    if value is None:
        return ""
    return (f"{value:.12g}" if isinstance(value, float) else str(value)).strip()
