"""The lay-out of a pasted sheet: lines, bullets, columns, labels, tables, broken sentences.

A line is cut into cells at tabs, at bars, at rows of dots and at runs of two or more blanks. A row of three or more
cells that holds no claim, followed by a row with as many cells (or one more, if its own corner is left empty), is the
head of a table; its cells label the columns below it until a blank line or a row of another length. A long line of
prose that ends in the middle of a sentence is joined with the next one if that goes on in lower case or with a
figure. Nothing here knows the trade: whether a cell holds a claim is asked of the caller.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

_CELLS = re.compile(r"\t+| {2,}|\s*[|¦]\s*|\s*(?:\.{4,}|…{2,}|(?:\. ){3,}\.?|_{3,})\s*")
_BULLET = re.compile(r"\s*(?:[•▪‣●■◦*·–—]|\(?[0-9]{1,2}[.)](?=\s)|o(?=\s)|-(?=\s))\s*(?=\S)")
_GOES_ON = re.compile(r"[^\W\d_A-ZÄÖÜ]|[-+–−±]?\s?[0-9]")
"""How the second half of a broken sentence begins: in lower case or with a figure, which may have a sign."""
_ASKS = re.compile(
    r"(?:(?<![0-9]\s)(?<![0-9])\b(?:from|to|between|of|at|and|or|is|are|than|below|above|about|by|for|up|down|max|min|"
    r"maximum|minimum|von|vom|bis|zwischen|auf|bei|und|oder|ab|über|unter|mit|ist|liegt|beträgt|range|"
    r"Bereich|temperatures?|[Tt]emperatur\w*)|[,(])$"
)
"""How a line ends that goes on with a figure; after any other end a figure on the next line is one of its own."""
_LABEL = re.compile(r"\S+(?: \S+){0,2}:\s")
"""How a line begins that labels itself and so goes on with nothing: "prot'n: NEMA 4"."""
_PROSE = 50
"""Length from which a line counts as prose that may break in the middle of a sentence."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A stretch of a line, with its offset in the line; `joints` are the places where a further line was joined on,
    each with the place in `text`, the number of that line and the offset in it."""

    text: str
    offset: int
    joints: tuple[tuple[int, int, int], ...] = ()

    def place(self, line: int, at: int) -> tuple[int, int]:
        """Line and column, from 1, of an offset in the text of a cell that starts on `line`."""
        found, start, offset = line, 0, self.offset
        for begin, number, shift in self.joints:
            if at >= begin:
                found, start, offset = number, begin, shift
        return found, at - start + offset + 1


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the sheet; `indent` counts the blanks before it, `bullet` tells whether a list sign stood there."""

    number: int
    cells: tuple[Cell, ...]
    indent: int
    bullet: bool
    heads: tuple[str, ...] = ()
    """For a row of a table: the head of each of its columns."""

    @property
    def blank(self) -> bool:
        return not self.cells


def lines(text: str, claims: Callable[[str], bool]) -> Iterator[Line]:
    """The lines of a sheet in order; `claims(cell)` says whether a cell holds a claim."""
    raws = text.splitlines()
    listed = [raw.lstrip().startswith("- ") for raw in raws]
    rows = [
        _line(number, raw, any(listed[max(0, number - 2) : number - 1]) or any(listed[number : number + 1]))
        for number, raw in enumerate(raws, start=1)
    ]
    rows = _joined(rows)
    heads: tuple[str, ...] = ()
    for place, row in enumerate(rows):
        if row.blank or len(row.cells) != len(heads):
            heads = ()
        if heads:
            yield Line(row.number, row.cells, row.indent, row.bullet, heads)
            continue
        following = rows[place + 1] if place + 1 < len(rows) else None
        cornerless = following is not None and row.indent > 0 and len(row.cells) + 1 == len(following.cells) >= 3
        if cornerless and not any(claims(cell.text) for cell in row.cells):
            heads = ("", *(cell.text for cell in row.cells))
            yield row
            continue
        table = following is not None and len(row.cells) >= 3 and len(following.cells) == len(row.cells)
        if table and not any(claims(cell.text) for cell in row.cells):
            heads = tuple(cell.text for cell in row.cells)
        yield row


def _joined(rows: list[Line]) -> list[Line]:
    """Lines of prose with the sentences put together that were broken at the margin."""
    result: list[Line] = []
    for row in rows:
        last = result[-1] if result else None
        if last is not None and len(last.cells) == len(row.cells) == 1 and not row.bullet:
            before, after = last.cells[0], row.cells[0]
            width = len(before.text) - (before.joints[-1][0] if before.joints else 0)
            open_end = before.text[-1] not in ".:;!?"
            goes_on = _GOES_ON.match(after.text) and not _LABEL.match(after.text)
            if not after.text[0].isalpha() and not _ASKS.search(before.text):
                goes_on = None
            if width >= _PROSE and open_end and goes_on:
                joint = (len(before.text) + 1, row.number, after.offset)
                cell = Cell(f"{before.text} {after.text}", before.offset, (*before.joints, joint))
                result[-1] = Line(last.number, (cell,), last.indent, last.bullet)
                continue
        result.append(row)
    return result


def _line(number: int, raw: str, in_list: bool) -> Line:
    stripped = raw.strip()
    if not any(c.isalnum() for c in stripped):
        return Line(number, (), 0, False)
    indent = len(raw) - len(raw.lstrip())
    bullet = _BULLET.match(raw)
    start = bullet.end() if bullet is not None else indent
    if bullet is not None and raw[start : start + 1].isdigit() and "-" in bullet.group() and not in_list:
        # "- 25 °C" on its own is a minus sign, not a list.
        bullet, start = None, indent
    cells: list[Cell] = []
    place = start
    end = len(raw.rstrip())
    for gap in _CELLS.finditer(raw, start, end):
        if gap.start() > place:
            cells.append(Cell(raw[place : gap.start()], place))
        place = gap.end()
    if place < end:
        cells.append(Cell(raw[place:end], place))
    return Line(number, tuple(cells), indent, bullet is not None)
