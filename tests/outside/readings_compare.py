"""Holds the tables against a second reading of their sources, cell by cell.

Run: python tests/outside/readings_compare.py FILE... prints every difference, with what the table gives as its source.

A file under `readings/` is one table, or a slice of one, read again without the first reading at hand:

    table: materials
    about: Plastics, read a second time.
    source: D                      # default of the rows: a key of `sources`
    basis: recalled
    within: 5 %                    # of a figure, and 0.9 degrees of a temperature; left out, figures are to be equal
    sources: {D: "Domininghaus, Plastics for Engineers (1993)"}
    rows:
      pa6: {class: plastic, roles: [housing], service_dry: {from: 80, to: 95}, note: "the spread of the sources"}
    settled:                       # what was read otherwise at first, and why the first reading of the table stands
      - {row: pa6, column: service_low, was: -30, why: "-30 degC holds for moving parts"}

A list is to hold at least the words that were read; all else is to be equal. A figure with `from` and `to` is what
the sources differ in; the cell is to lie between them.
"""

import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from advisor import quantities, yamlfile
from advisor.tables import BASES, Column, Table, cell

FOLDER = Path(__file__).parent / "readings"
KEYS = {"table", "about", "source", "basis", "within", "sources", "rows", "settled"}
BESIDE = {"source", "basis", "note"}
TEMPERATURES = ("degC", "degF")
LEAST_DEGREES = 0.9


@dataclass(frozen=True)
class Reading:
    """What was read a second time of one cell, and how near a figure is to come to it (a share)."""

    table: str
    row: str
    column: str
    value: Any
    within: float


def files() -> list[Path]:
    return sorted(FOLDER.glob("*.yaml"))


def readings(path: Path) -> Iterator[Reading]:
    """Every cell of a file."""
    data = yamlfile.load(path).data
    within = quantities.parse(data["within"], "percent")[0] if "within" in data else 0.0
    for row, cells in data["rows"].items():
        for column, value in cells.items():
            if column not in BESIDE:
                yield Reading(data["table"], row, column, value, within)


def complaints(path: Path) -> list[str]:
    """What is wrong with the form of a file: a row without a source or a known basis, a key that nobody reads."""
    data = yamlfile.load(path).data
    found = [f"unknown key {key}" for key in set(data) - KEYS]
    found += [f"{entry}: settled without a reason" for entry in data.get("settled", ()) if not entry.get("why")]
    for row, cells in data["rows"].items():
        source, basis = (cells.get(key, data.get(key)) for key in ("source", "basis"))
        found += [] if source in data["sources"] else [f"{row}: no source {source}"]
        found += [] if basis in BASES else [f"{row}: no basis {basis}"]
    return found


def differs(reading: Reading, column: Column, have: Any) -> bool:
    """Whether the cell of the table, as it is kept, is not what was read. Raises ValueError for a wrong kind."""
    if isinstance(reading.value, Mapping):
        low, high = cell(column, [reading.value["from"], reading.value["to"]])
        return not (low <= have[0] and have[1] <= high)
    read = cell(column, reading.value)
    if column.kind in ("quantity", "number"):
        return any(_apart(one, other, column, reading.within) for one, other in zip(read, have, strict=True))
    if column.kind == "list":
        return not set(read) <= set(have)
    return bool(read != have)


def _apart(one: float, other: float, column: Column, within: float) -> bool:
    unit = column.unit or "" if column.kind == "quantity" else ""
    first, second = (quantities.from_si(value, unit, difference=column.difference) for value in (one, other))
    least = LEAST_DEGREES if within and unit in TEMPERATURES else 0.0
    return abs(first - second) > max(within * abs(first), least) + 1e-6 * abs(first)


def difference(reading: Reading, table: Table) -> str:
    """Return what differs in words, or nothing."""
    row = table.rows.get(reading.row)
    if row is None or reading.column not in row.cells:
        return f"{reading.row}.{reading.column}: the table has no such cell"
    column = table.columns[reading.column]
    try:
        wrong = differs(reading, column, row.cells[reading.column])
    except (ValueError, TypeError, KeyError) as problem:
        return f"{reading.row}.{reading.column}: {reading.value!r} does not fit: {problem}"
    have = shown(row.cells[reading.column], column)
    return f"{reading.row}.{reading.column}: {have} in the table, read again as {reading.value!r}" if wrong else ""


def shown(value: Any, column: Column) -> str:
    """Return a cell of a table in the unit of its column."""
    if column.kind not in ("quantity", "number"):
        return str(list(value) if isinstance(value, tuple) else value)
    unit = column.unit or "" if column.kind == "quantity" else ""
    low, high = (f"{quantities.from_si(end, unit, difference=column.difference):.5g}" for end in value)
    return f"{low if low == high else f'[{low}, {high}]'} {unit}".strip()


def main() -> None:
    from advisor.loading import load

    book = load().book
    for path in map(Path, sys.argv[1:]) if len(sys.argv) > 1 else files():
        listed = list(readings(path))
        wrong = [(reading, difference(reading, book.tables[reading.table])) for reading in listed]
        for reading, what in ((reading, what) for reading, what in wrong if what):
            row = book.tables[reading.table].rows.get(reading.row)
            print(what, f"\n    {row.basis}: {row.source} {row.note and f'({row.note})'}" if row else "")
        print(f"{path.name}: {len(listed)} cells, {sum(bool(what) for _, what in wrong)} differ")
        print(*(f"    {what}" for what in complaints(path)), sep="\n")


if __name__ == "__main__":
    main()
