"""Reads a catalogue in CSV, streaming: the separator and the encoding are found out and said.

Separators are comma, semicolon, tab and bar; a first line `sep=;` is obeyed. UTF-8 with or without mark is taken as it
is, UTF-16 by its mark; what is neither is read as Windows-1252, and a note says so, since letters and degree signs may
then be wrong. Raises InputError for a file that is too large, no text, or has a cell that never ends.
"""

import codecs
import csv
from collections.abc import Iterator
from io import TextIOWrapper
from itertools import islice
from pathlib import Path

from advisor.catalogue.rows import LONGEST_CELL, Row, checked_heads, fitted
from advisor.faults import Fault, InputError, Place

LARGEST_FILE = 500_000_000
"""Bytes."""
SEPARATORS = (";", "\t", ",", "|")
_SAMPLE = 20
_NAMES = {";": "semicolon", "\t": "tab", ",": "comma", "|": "bar"}


class CsvFile:
    """A catalogue in CSV."""

    def __init__(self, path: Path) -> None:
        self.file, self.path = path, str(path)
        self.notes: list[str] = []
        self.faults: list[Fault] = []
        try:
            self.size = max(1, path.stat().st_size)
            if self.size > LARGEST_FILE:
                raise self._fault("is too large", f"at most {LARGEST_FILE // 1_000_000} MB are read")
            self.encoding = self._encoding()
        except OSError as problem:
            raise self._fault(f"cannot be read ({problem.strerror})") from None
        self.separator, self.skip = self._separator()
        self.notes.append(f"read with the separator {_NAMES[self.separator]}, as {self.encoding}")
        self.head_line = 0
        heads: tuple[str, ...] = ()
        for row in self._all():
            if any(row.cells):
                heads, self.head_line = checked_heads(self.path, row.line, row.cells), row.line
                break
        self.heads = heads or checked_heads(self.path, 1, ())

    def rows(self) -> Iterator[Row]:
        """Yield the rows below the heads."""
        self.faults.clear()
        body = (row for row in self._all() if row.line > self.head_line)
        return fitted(self.path, body, len(self.heads), self.faults)

    def _all(self) -> Iterator[Row]:
        csv.field_size_limit(LONGEST_CELL)
        with self.file.open("rb") as raw, TextIOWrapper(raw, self.encoding, newline="") as text:
            for _ in range(self.skip):
                next(text, "")
            reader = csv.reader(text, delimiter=self.separator, strict=False)
            while True:
                line = reader.line_num + self.skip + 1
                try:
                    cells = next(reader)
                except StopIteration:
                    return
                except csv.Error as problem:
                    hint = f"a closing quote, and cells of at most {LONGEST_CELL} characters"
                    raise InputError([Fault(Place(self.path, line), f"is no CSV ({problem})", hint)]) from None
                except UnicodeError:
                    raise InputError([Fault(Place(self.path, line), f"is no text in {self.encoding}")]) from None
                yield Row(line, tuple(cell.strip() for cell in cells), raw.tell() / self.size)

    def _encoding(self) -> str:
        with self.file.open("rb") as raw:
            start = raw.read(4)
            if start[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
                return "utf-16"
            raw.seek(0)
            decoder = codecs.getincrementaldecoder("utf-8")()
            good = True
            while block := raw.read(1 << 20):
                if b"\0" in block:
                    raise self._fault("is no text", "a CSV file; a spreadsheet must end in .xlsx")
                if good:
                    try:
                        decoder.decode(block)
                    except UnicodeDecodeError:
                        good = False
            try:
                decoder.decode(b"", final=good)
            except UnicodeDecodeError:
                good = False
        if good:
            return "utf-8-sig"
        self.notes.append("is not UTF-8 and was read as Windows-1252: look whether letters and degree signs are right")
        return "cp1252" if self._decodes("cp1252") else "latin-1"

    def _decodes(self, encoding: str) -> bool:
        decoder = codecs.getincrementaldecoder(encoding)()
        with self.file.open("rb") as raw:
            while block := raw.read(1 << 20):
                try:
                    decoder.decode(block)
                except UnicodeDecodeError:
                    return False
        return True

    def _separator(self) -> tuple[str, int]:
        """Return the separator, and how many lines stand before the table."""
        with self.file.open(encoding=self.encoding, newline="", errors="replace") as text:
            first = text.readline(LONGEST_CELL)
        named = first.strip().lower()
        if named.startswith("sep=") and first.strip()[4:] in SEPARATORS:
            return first.strip()[4:], 1
        if named == "sep=":
            return "\t", 1
        return max(SEPARATORS, key=self._columns), 0

    def _columns(self, separator: str) -> tuple[int, int]:
        """Return how many of the first rows have as many cells as the first one, and how many cells those are."""
        csv.field_size_limit(LONGEST_CELL)
        with self.file.open(encoding=self.encoding, newline="", errors="replace") as text:
            try:
                sample = [row for row in islice(csv.reader(text, delimiter=separator), _SAMPLE) if any(row)]
            except csv.Error:
                sample = []
        width = len(sample[0]) if sample else 0
        return (sum(len(row) == width for row in sample) if width > 1 else 0, width)

    def _fault(self, what: str, accepted: str = "") -> InputError:
        return InputError([Fault(Place(self.path), what, accepted)])
