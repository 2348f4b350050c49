"""A whole pasted spec sheet to claims, each with its part, line and quote, and a list of what was not understood.

Every line is read on its own, under the label that stands before it: a first column, the head of its column in a
table, a line above that is nothing but a label, a value carried over to an indented line. A line that only names a
part opens a section: what follows speaks of that part until a blank line, another heading, or the end of the list or
indented block below it. A claim whose text and section name no part is one of the whole unit, called `unit`. Denied
claims are kept, with `item.denied`. Nothing is dropped: what is no claim is in `missed`, with the reason.
Footnotes are read at their marks, too.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from advisor.notation.elements import Phrase
from advisor.notation.errors import MAX_TEXT, TextTooLongError
from advisor.notation.footnotes import folded, footnotes
from advisor.notation.items import Item, PartHeading, Reading
from advisor.notation.layout import Cell, Line, lines
from advisor.notation.lexicon import lexicon
from advisor.notation.lone_limits import Limit, limit_of
from advisor.notation.reader import NO_READING, read
from advisor.notation.scan import Scan
from advisor.notation.tokens import fold

UNIT = "unit"
LIMITS = "may limit any claim"
LIMITED = "limits claims of other lines"
HEADING = "heading"
_BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
_SPACED = re.compile(r"([+\-−–] ?)([0-9]) ([0-9])( ?(?:°|\.{2,3}|…|(?:to|bis)\b))")
"""A temperature whose figures a scan has set apart: "- 2 5 to + 8 0 °C"."""
_STANDARD_SIGNS = ("●", "•", "■", "*")
"""Signs by which a table says that something is standard; they neither confirm nor deny in words."""


@dataclass(frozen=True, slots=True)
class Claim:
    """One reading of the sheet. `line` and `column` count from 1; `heading` is the label it stood under."""

    item: Item
    part: str
    line: int
    column: int
    quote: str
    heading: str = ""


@dataclass(frozen=True, slots=True)
class Missed:
    """A stretch that gave no claim. `why`: not understood, no reading, set aside, heading."""

    line: int
    column: int
    quote: str
    why: str


@dataclass(frozen=True, slots=True)
class SheetText:
    """All that a pasted sheet says."""

    claims: tuple[Claim, ...]
    missed: tuple[Missed, ...]

    def of(self, kind: str) -> tuple[Claim, ...]:
        """The claims of one kind."""
        return tuple(claim for claim in self.claims if claim.item.kind == kind)


def read_sheet(text: str, *, folder: Path | None = None) -> SheetText:
    """Read a pasted sheet. Raises `TextTooLongError` above `MAX_TEXT` characters and nothing else."""
    if len(text) > MAX_TEXT:
        raise TextTooLongError(len(text))
    return _Reader(folder).run(text)


class _Reader:
    def __init__(self, folder: Path | None) -> None:
        self.folder = folder
        self.notes = footnotes(())
        self.claims: list[Claim] = []
        self.missed: list[Missed] = []
        self.limits: list[Limit] = []
        self.section: tuple[str, ...] = ()
        self.section_line: Line | None = None
        self.section_block: bool | None = None
        self.label = ""
        self.carried = ""

    def run(self, text: str) -> SheetText:
        text = _SPACED.sub("\\1\\2\\3\N{NO-BREAK SPACE}\\4", text)
        self.notes = footnotes(list(enumerate(text.splitlines(), start=1)))
        for line in lines(text, self._claims):
            if line.blank:
                if self.section_block is not None:
                    self._close_section()
                self.label = self.carried = ""
            else:
                self._line(line)
        return SheetText(tuple(self._limited(claim) for claim in self.claims), tuple(self.missed))

    def _limited(self, claim: Claim) -> Claim:
        """The claim with what lines elsewhere say against it."""
        item = claim.item
        for limit in self.limits:
            item = limit.applied(item)
        return claim if item is claim.item else replace(claim, item=item)

    def _claims(self, cell: str) -> bool:
        """Whether a cell makes a claim of its own."""
        cell, _ = self.notes.cut(cell)
        return any(c.isdigit() for c in cell) or any(item.kind != "part" for item in self._read(cell, "").items)

    def _labels(self, cell: str) -> bool:
        """Whether a first cell is a label although it claims something: "Salt spray", "Weld immunity", "Seal:"."""
        cell, _ = self.notes.cut(cell)
        if cell.rstrip().endswith(":"):
            return True
        items = self._read(cell, "").items
        kinds = {item.kind for item in items}
        if not items and not any(c.isdigit() for c in _BRACKETS.sub("", cell)):
            return True  # "Magnetic field immunity (AC, 50/60 Hz)"
        if kinds == {"emc"} and not any(getattr(item, "levels", ()) for item in items):
            return True  # "IEC 61000-4-3": the level stands in the next cell
        return not any(c.isdigit() for c in cell) and kinds <= {"statement", "magnetic", "emc", "part"}

    def _read(self, text: str, heading: str) -> Reading:
        return read(text, heading, folder=self.folder)

    # ---- sections -----------------------------------------------------------------------------------------------
    def _close_section(self) -> None:
        self.section, self.section_line, self.section_block = (), None, None

    def _within(self, line: Line) -> None:
        """Close the section where its list or indented block ends."""
        if self.section_line is None:
            return
        block = line.bullet or line.indent > self.section_line.indent
        if self.section_block is None:
            self.section_block = block
        elif self.section_block and not block:
            self._close_section()

    def _line(self, line: Line) -> None:
        if line.heads:
            self._within(line)
            self._row(line)
        elif len(line.cells) == 1:
            self._single(line, line.cells[0])
        else:
            self._within(line)
            self._columns(line)

    def _single(self, line: Line, cell: Cell) -> None:
        text = cell.text
        reading = self._read(text, "")
        if self._limits(line, cell, reading):
            return
        if not any(item.kind != "part" for item in reading.items) and not any(c.isdigit() for c in text):
            parts = tuple(part for item in reading.items if isinstance(item, PartHeading) for part in item.parts)
            rest = [fragment for fragment in reading.unread if fragment.why != NO_READING]
            alone = ":" not in text.rstrip(": ")
            if parts and alone and not rest and len(text.split()) <= 5 and not line.bullet:
                self.section, self.section_line, self.section_block = parts, line, None
                self.label = self.carried = ""
                return
            if not parts and not rest and reading.unread and not line.bullet:
                self.label = text
                self._close_section()
                return
            if not line.bullet and rest and len(text.split()) <= 5 and text[:1].isupper() and not text.endswith("."):
                self._close_section()
                self.label = self.carried = ""
                self.missed.append(Missed(line.number, cell.offset + 1, text, HEADING))
                return
        self._within(line)
        heading = ""
        if self.label and ":" not in text:
            heading = self.label
        elif self.carried and line.indent >= 4 and not line.bullet and ":" not in text:
            heading = self.carried
        self._keep(line, cell, heading, single=True)
        if not line.bullet:
            self.label = ""

    def _columns(self, line: Line) -> None:
        """A label and its value, or labels until the first cell that claims something."""
        heading = ""
        cells = self._conditioned(line.cells)
        answered = len(cells) == 2 and self._answers(cells[1].text)
        for place, cell in enumerate(cells):
            last = place == len(cells) - 1
            labels = place == 0 and (answered or self._labels(cell.text))
            if not last and (labels or not self._claims(cell.text)):
                heading = f"{heading} {cell.text.rstrip(': ')}".strip()
                continue
            self._keep(line, cell, heading)
        self.carried = heading
        self.label = ""

    def _conditioned(self, cells: Sequence[Cell]) -> list[Cell]:
        """Join a cell that is a condition and nothing else to the claim before it: "IP66 | optional"."""
        joined: list[Cell] = []
        for cell in cells:
            if joined and self._is_only(cell.text, "condition") and self._claims(joined[-1].text):
                joined[-1] = replace(joined[-1], text=f"{joined[-1].text} ({cell.text})")
            else:
                joined.append(cell)
        return joined

    def _answers(self, cell: str) -> bool:
        """Whether a cell only says yes or no to the claim before it: "IP69 | nein", "IP69 | -", "IP69 | n/a"."""
        word = cell.strip()
        if fold(word) in lexicon(self.folder).doubts or word == "0":
            return True
        if not any(sign.isalnum() for sign in word):
            return word not in _STANDARD_SIGNS
        return self._is_only(word, "negation") or self._is_only(word, "affirm")

    def _is_only(self, cell: str, cls: str) -> bool:
        elements = Scan(lexicon(self.folder), cell).elements
        return bool(elements) and all(isinstance(one, Phrase) and one.named(cls) for one in elements)

    def _row(self, line: Line) -> None:
        """A row of a table: a first cell without a claim labels the row, each head its column."""
        first = line.cells[0]
        label = "" if self._claims(first.text) else first.text
        for place, (head, cell) in enumerate(zip(line.heads, line.cells, strict=True)):
            if place == 0 and label:
                if not any(isinstance(item, PartHeading) for item in self._read(label, "").items):
                    self.missed.append(Missed(line.number, cell.offset + 1, cell.text, HEADING))
                continue
            self._keep(line, cell, f"{head} {label}".strip())
        self.label = self.carried = ""

    def _limits(self, line: Line, cell: Cell, reading: Reading) -> bool:
        """Whether a line limits claims of other lines and makes none: "Only when mated." It is noted if it does."""
        if line.number in self.notes.told:
            return False
        limit = limit_of(lexicon(self.folder), cell.text, reading, stray=line.number in self.notes.stray)
        if limit is None:
            return False
        if limit.kinds:
            self.limits.append(limit)
        if any(item.kind != "part" for item in reading.items):
            return False
        why = LIMITED if limit.kinds else LIMITS
        self.missed.append(Missed(line.number, cell.offset + 1, cell.text, why))
        return True

    def _keep(self, line: Line, cell: Cell, heading: str, *, single: bool = False) -> None:
        heading, more = self.notes.cut(heading)
        text, changes = self.notes.spread(cell.text, more)
        reading = self._read(text, heading)
        if changes:
            reading = folded(reading, cell.text, changes)
        if not single and self._limits(line, cell, reading):
            return
        for item in reading.items:
            number, column = cell.place(line.number, item.start)
            if item.kind == "part":
                if item.quote.strip() and line.number not in self.notes.told:
                    self.missed.append(Missed(number, column, item.quote, NO_READING))
                continue
            for part in item.parts or self.section or (UNIT,):
                self.claims.append(Claim(item, part, number, column, item.quote, heading))
        for fragment in () if line.number in self.notes.told else reading.unread:
            number, column = cell.place(line.number, fragment.start)
            self.missed.append(Missed(number, column, fragment.quote, fragment.why))
