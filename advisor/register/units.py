"""The units of a catalogue by what they claim: units with equal claims are one type, and are judged once.

Every different cell is read once. A type is named by its first unit; the claims of a type on a topic are a class of
that topic, shared by all types that claim the same there.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from advisor.catalogue import columns
from advisor.catalogue.columns import Column, ColumnMap
from advisor.catalogue.command import SAMPLE_ROWS, TABLES
from advisor.catalogue.csvfile import CsvFile
from advisor.catalogue.rows import Row, Source
from advisor.catalogue.run import read_cell
from advisor.catalogue.xlsxfile import XlsxFile
from advisor.claims import Claim
from advisor.faults import Fault, InputError, Place
from advisor.sheet import SheetReader

Claims = tuple[Claim, ...]


@dataclass(frozen=True)
class Unit:
    """One unit and its place."""

    name: str
    source: str
    line: int


@dataclass(frozen=True, eq=False)
class UnitType:
    """Units with equal claims."""

    units: tuple[Unit, ...]
    claims: dict[str, Claims]
    """By topic."""
    parts: frozenset[str]
    doubtful: bool
    """The sheet denies something that was not understood."""


@dataclass
class Units:
    """All types of a register, in the order of their first units."""

    types: list[UnitType] = field(default_factory=list)
    digest: str = ""
    notes: list[str] = field(default_factory=list)

    @property
    def count(self) -> int:
        return sum(len(entry.units) for entry in self.types)


@dataclass
class _Gathered:
    """Units by what they claim, while they are read."""

    by_claims: dict[tuple[object, ...], list[Unit]] = field(default_factory=dict)
    said: dict[tuple[object, ...], tuple[dict[str, Claims], frozenset[str], bool]] = field(default_factory=dict)

    def add(self, unit: Unit, claims: Iterable[Claim], parts: frozenset[str], doubtful: bool) -> None:
        own: dict[str, dict[object, Claim]] = {}
        for claim in claims:
            own.setdefault(claim.topic, {}).setdefault(claim.key, claim)
        key = (frozenset((topic, tuple(found)) for topic, found in own.items()), parts, doubtful)
        self.by_claims.setdefault(key, []).append(unit)
        self.said.setdefault(key, ({topic: tuple(c.values()) for topic, c in own.items()}, parts, doubtful))


def read_units(paths: Iterable[Path], reader: SheetReader, mapping: str = "") -> Units:
    """Read all catalogues and sheets. Raises InputError with every fault."""
    found, gathered, digest = Units(), _Gathered(), hashlib.sha256(mapping.encode())
    faults: list[Fault] = []
    for path in paths:
        try:
            digest.update(path.read_bytes())
            if path.suffix.lower() in TABLES:
                _catalogue(path, reader, mapping, gathered, found)
            else:
                sheet = reader.load(path)
                gathered.add(Unit(sheet.name, str(path), 0), sheet.claims, sheet.parts, bool(sheet.doubts))
        except OSError as problem:
            faults.append(Fault(Place(str(path)), f"cannot be read ({problem.strerror})"))
        except InputError as problem:
            faults += problem.faults
    if faults:
        raise InputError(faults)
    found.digest = digest.hexdigest()[:24]
    found.types = [UnitType(tuple(units), *gathered.said[key]) for key, units in gathered.by_claims.items()]
    return found


@dataclass(frozen=True)
class _Cell:
    claims: Claims
    parts: frozenset[str]
    doubtful: bool


def _catalogue(path: Path, reader: SheetReader, mapping: str, gathered: _Gathered, found: Units) -> None:
    source: Source = XlsxFile(path) if path.suffix.lower() == ".xlsx" else CsvFile(path)
    sample: list[Row] = list(islice(source.rows(), SAMPLE_ROWS))
    if not sample and not source.faults:
        raise InputError([Fault(Place(str(path)), "holds no unit", "a row of heads, and a row for each unit")])
    chosen: ColumnMap = columns.guess(source.heads, sample)
    if mapping:
        chosen = columns.override(chosen, mapping, reader.claim_reader.parts, sample)
    if not chosen.read:
        shown = ", ".join(source.heads[:8])
        raise InputError([Fault(Place(str(path)), f"no column makes a claim (heads: {shown})", "--columns role=head")])
    known: dict[tuple[int, str], _Cell] = {}
    for row in source.rows():
        cells = []
        for column in chosen.read:
            text = row.cells[column.index]
            if text:
                key = (column.index, text)
                if key not in known:
                    known[key] = _read(path, column, row.line, text, reader)
                cells.append(known[key])
        claims = [claim for cell in cells for claim in cell.claims]
        parts = frozenset().union(*(cell.parts for cell in cells))
        gathered.add(Unit(chosen.unit_name(row), str(path), row.line), claims, parts, any(c.doubtful for c in cells))
    if source.faults:
        raise InputError(source.faults)
    found.notes += [f"{path.name}: column {entry}" for entry in chosen.shown()]


def _read(path: Path, column: Column, line: int, text: str, reader: SheetReader) -> _Cell:
    claims, parts, doubtful = read_cell(reader, str(path), column, line, text)
    return _Cell(tuple(claims), parts, doubtful)
