"""The points of a register: a folder of site files, or a CSV file with a row for each point.

The heads of the CSV name slots as `wash.pressure`, of a template that stands several times `wash:2.pressure`, or a
template as a whole (`immersion`, with `none` or `unknown` below it); `site`, `about`, `date`, `reference` and `others`
are as in a site file. An empty cell says nothing. Lists are written with `|` between the choices. Faults carry the line
of the row; all of them are found in one go.
"""

import hashlib
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor import yamlfile
from advisor.catalogue.csvfile import CsvFile
from advisor.faults import Collector, Fault, InputError, Place, nearest
from advisor.rulebook import Rulebook
from advisor.yamlfile import Document

HEAD = ("site", "about", "date", "reference", "others")
NAMES_ONLY = ("site", "about", "reference")
"""What tells points apart but changes no demand."""
LABELS = ("name", "note")
TABLES = (".csv", ".tsv")
SITES = (".yaml", ".yml")
_COLUMN = re.compile(r"([a-z_]+)(?::(\d{1,2}))?(?:\.([a-z_0-9]+))?\Z")


@dataclass(frozen=True)
class Point:
    """One point as it was written; `key` names its answers, so that points with equal answers are worked out once."""

    name: str
    source: str
    line: int
    document: Document
    key: str


def read_points(path: Path, book: Rulebook) -> list[Point]:
    """Read all points. Raises InputError with every fault of form; answers are held against the vocabulary later."""
    if path.is_dir():
        points = list(_folder(path))
    elif path.suffix.lower() in TABLES:
        points = list(_table(path, book))
    elif path.suffix.lower() in SITES:
        points = [_point(yamlfile.load(path), str(path), 0)]
    else:
        accepted = "a folder of site files, or a CSV file with a row for each point"
        raise InputError([Fault(Place(str(path)), "is no register of points", accepted)])
    if not points:
        raise InputError([Fault(Place(str(path)), "holds no point", "site files, or rows below the heads")])
    return points


def _folder(path: Path) -> Iterator[Point]:
    """Site files in the folder, and those named site.yaml one folder below."""
    found = sorted(entry for entry in path.iterdir() if entry.suffix.lower() in SITES)
    found += sorted(path.glob("*/site.yaml"))
    faults = Collector()
    for entry in found:
        try:
            yield _point(yamlfile.load(entry), str(entry), 0)
        except InputError as problem:
            faults.faults += problem.faults
    faults.raise_any()


def _point(document: Document, source: str, line: int) -> Point:
    data = document.data
    if not isinstance(data, dict):
        raise InputError([Fault(document.place(), "is no site: it holds no 'key: value' lines", "a site file")])
    told = {key: value for key, value in data.items() if key not in NAMES_ONLY}
    text = json.dumps(told, sort_keys=True, default=str)
    name = str(data.get("site") or Path(source).stem)
    return Point(name, source, line, document, hashlib.sha256(text.encode()).hexdigest()[:24])


def _table(path: Path, book: Rulebook) -> Iterator[Point]:
    source = CsvFile(path)
    columns, faults = _columns(source, book), Collector()
    for row in source.rows():
        data: dict[str, Any] = {}
        positions: dict[tuple[str | int, ...], tuple[int, int]] = {(): (row.line, 1)}
        for place, column in enumerate(columns):
            cell = row.cells[place]
            if cell and not _put(data, positions, column, cell, (row.line, place + 1)):
                what = f"{column[0]} is said as a whole and by its slots too"
                faults.add(Place(str(path), row.line, place + 1), what, "one of the two")
        for name, entries in data.items():
            if isinstance(entries, dict):
                # Entries are numbered in the heads; a number that this row leaves out is no entry.
                numbers = sorted(entries)
                data[name] = [entries[number] for number in numbers]
                for number, index in zip(numbers, range(len(numbers)), strict=True):
                    for slot in entries[number]:
                        positions[name, index, slot] = positions.pop((name, f"#{number}", slot))
                if not book.vocabulary.templates[name].many:
                    data[name] = data[name][0]
                    for slot in data[name]:
                        positions[name, slot] = positions.pop((name, 0, slot))
        data.setdefault("site", f"row {row.line}")
        yield _point(Document(str(path), data, positions), str(path), row.line)
    faults.faults += source.faults
    faults.raise_any()


Column = tuple[str, int, str]
"""Template or head, number of the entry, slot ('' for a whole template or a head)."""


def _columns(source: CsvFile, book: Rulebook) -> list[Column]:
    faults = Collector()
    place = Place(source.path, source.head_line)
    templates = {
        name: entry for name, entry in book.vocabulary.templates.items() if not entry.derived and not entry.claimed
    }
    found: list[Column] = []
    for head in source.heads:
        parts = _COLUMN.match(head.strip())
        template = templates.get(parts[1]) if parts else None
        if parts and parts[1] in HEAD and not parts[2] and not parts[3]:
            found.append((parts[1], 0, ""))
        elif parts is None or template is None:
            accepted = f"TEMPLATE.SLOT such as wash.pressure, or {', '.join(HEAD)}"
            word = parts[1] if parts else head
            faults.add(place, f"the column {head!r} names no slot", f"{accepted}; {nearest(word, templates)}")
        elif parts[3] and parts[3] not in (*template.by_name, *LABELS, *(["preset"] if template.presets else [])):
            known = [*template.by_name, *LABELS]
            faults.add(place, f"the column {head!r}: {parts[1]} has no slot {parts[3]!r}", nearest(parts[3], known))
        elif parts[2] and not template.many:
            faults.add(place, f"the column {head!r}: {parts[1]} stands only once for a point", parts[1])
        else:
            found.append((parts[1], int(parts[2] or 1), parts[3] or ""))
    for column in sorted({column for column in found if found.count(column) > 1}):
        faults.add(place, f"the column {'.'.join(str(part) for part in column if part)} stands twice", "one of them")
    faults.raise_any()
    return found


def _put(
    data: dict[str, Any],
    positions: dict[tuple[str | int, ...], tuple[int, int]],
    column: Column,
    cell: str,
    place: tuple[int, int],
) -> bool:
    """Enter one cell; tell whether it could be: a template is said as a whole or by its slots."""
    name, number, slot = column
    split = "|" in cell and bool(slot) and slot not in LABELS
    value: Any = [word.strip() for word in cell.split("|")] if split else cell
    if not slot:
        positions[name,] = place
        return data.setdefault(name, value) is value
    entries = data.setdefault(name, {})
    if not isinstance(entries, dict):
        return False
    entries.setdefault(number, {})[slot] = value
    positions[name, f"#{number}", slot] = place
    positions.setdefault((name,), place)
    return True
