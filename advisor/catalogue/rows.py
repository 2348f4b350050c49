"""What CSV and XLSX readers have in common: rows with their line, heads, and rows whose cells do not fit the heads.

A row with more or fewer cells than there are heads is not read: after a missing or surplus separator nobody knows which
cell belongs to which head. It is kept as a fault with its line. Cells beyond the heads that are empty do no harm.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

from advisor.faults import Fault, InputError, Place

MOST_COLUMNS = 500
MOST_ROWS = 2_000_000
LONGEST_CELL = 20_000
"""Characters; a cell of a catalogue that is longer is no cell but a broken quote or an attack."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a catalogue; `share` is how much of the file is read, from 0 to 1."""

    line: int
    cells: tuple[str, ...]
    share: float = 0.0


class Source(Protocol):
    """A catalogue file: heads, notes on how it was read, rows, and the faults of rows that were not read."""

    path: str
    heads: tuple[str, ...]
    notes: list[str]
    faults: list[Fault]

    def rows(self) -> Iterator[Row]:
        """Yield the rows below the heads. Raises InputError."""


def fitted(path: str, rows: Iterable[Row], width: int, faults: list[Fault], *, short: bool = False) -> Iterator[Row]:
    """Yield the rows that fit the heads, the others go to `faults`; `short` fills up missing last cells."""
    for count, row in enumerate(rows):
        if count >= MOST_ROWS:
            raise InputError([Fault(Place(path, row.line), "has too many rows", f"at most {MOST_ROWS}")])
        cells = row.cells
        if not any(cells):
            continue
        if len(cells) > width and not any(cells[width:]):
            cells = cells[:width]
        if len(cells) < width and short:
            cells = (*cells, *[""] * (width - len(cells)))
        if len(cells) != width:
            what = f"the row has {len(cells)} cells under {width} heads and is not audited"
            faults.append(Fault(Place(path, row.line), what, "one cell a head; quote cells that hold the separator"))
            continue
        yield row if cells is row.cells else Row(row.line, cells, row.share)


def checked_heads(path: str, line: int, cells: Iterable[str]) -> tuple[str, ...]:
    """Return the heads of a catalogue. Raises InputError if there are none, or far too many."""
    heads = [cell.strip() for cell in cells]
    while heads and not heads[-1]:
        heads.pop()
    if len(heads) > MOST_COLUMNS:
        raise InputError([Fault(Place(path, line), f"has {len(heads)} columns", f"at most {MOST_COLUMNS}")])
    if not heads:
        raise InputError([Fault(Place(path), "is empty", "a row of heads, and a row for each unit")])
    return tuple(heads)
