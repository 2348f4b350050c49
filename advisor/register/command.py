"""What `siteworthy register` does with its files: points and units in, the document out."""

import csv
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from io import StringIO
from pathlib import Path

from advisor import __version__
from advisor.catalogue.writer import neutralised
from advisor.loading import Loaded
from advisor.progress import Progress
from advisor.register.cover import Cover, cover
from advisor.register.document import (
    ChosenType,
    CoverEntry,
    GroupEntry,
    Place,
    PointEntry,
    RegisterDocument,
    TypeEntry,
)
from advisor.register.journal import Journal
from advisor.register.judge import Fare
from advisor.register.points import Point, read_points
from advisor.register.run import fares
from advisor.register.units import Units, read_units
from advisor.report.requirement import stamp
from advisor.sheet import SheetReader

EXAMPLES = 20
LETTERS = {"F": "fit", "P": "unproven", "U": "unfit"}


def register_document(
    points_path: Path,
    unit_paths: Sequence[Path],
    loaded: Loaded,
    *,
    columns: str = "",
    journal: Path | None = None,
    jobs: int = 1,
) -> RegisterDocument:
    """Work the register out. Raises InputError with every fault found."""
    points = read_points(points_path, loaded.book)
    units = read_units(unit_paths, SheetReader(loaded.book), columns)
    kept = Journal(journal, f"{loaded.book.digest} {__version__}", units.digest, len(units.types))
    with kept, Progress("register") as notice:
        found = fares(points, units, loaded, kept, jobs=jobs, notice=notice)
    return _document(points, units, found, loaded, sum(key in kept.known for key in found))


def _document(
    points: Sequence[Point], units: Units, found: Mapping[str, Fare], loaded: Loaded, taken: int
) -> RegisterDocument:
    own = [found[point.key] for point in points]
    groups = {fare: number for number, fare in enumerate(dict.fromkeys(own))}
    sizes = [len(entry.units) for entry in units.types]
    everything = (1 << len(sizes)) - 1
    counts = {fare: (_count(fare.fit, sizes), _count(fare.unfit, sizes)) for fare in groups}
    total = sum(sizes)
    members = Counter(own)
    example = {fare: point.name for fare, point in reversed(list(zip(own, points, strict=True)))}
    rows = list(groups)
    return RegisterDocument(
        version=__version__,
        rulebook=stamp(loaded.book),
        catalogue=units.digest,
        answers=len(found),
        taken=taken,
        units=total,
        types=[
            TypeEntry(
                name=entry.units[0].name,
                units=[Place(name=unit.name, source=unit.source, line=unit.line) for unit in entry.units],
            )
            for entry in units.types
        ],
        groups=[
            GroupEntry(points=members[fare], example=example[fare], verdicts=_letters(fare, len(sizes)))
            for fare in rows
        ],
        points=[
            PointEntry(
                name=point.name,
                source=point.source,
                line=point.line,
                group=groups[fare],
                fit=counts[fare][0],
                unproven=total - sum(counts[fare]),
                unfit=counts[fare][1],
            )
            for point, fare in zip(points, own, strict=True)
        ],
        fit=_cover(cover([fare.fit for fare in own], len(sizes)), [fare.fit for fare in own], points, units),
        provable=_cover(
            cover([everything & ~fare.unfit for fare in own], len(sizes)),
            [everything & ~fare.unfit for fare in own],
            points,
            units,
        ),
        notes=units.notes,
    )


def _count(types: int, sizes: Sequence[int]) -> int:
    """Return how many units the types of a set of bits have."""
    return sum(size for number, size in enumerate(sizes) if types >> number & 1)


def _letters(fare: Fare, types: int) -> str:
    return "".join("F" if fare.fit >> n & 1 else "U" if fare.unfit >> n & 1 else "P" for n in range(types))


def _cover(found: Cover, rows: Sequence[int], points: Sequence[Point], units: Units) -> CoverEntry:
    chosen = 0
    for number in found.types:
        chosen |= 1 << number
    entries = [
        ChosenType(
            name=units.types[number].units[0].name,
            serves=sum(row >> number & 1 for row in rows),
            alone=sum(row & chosen == 1 << number for row in rows),
        )
        for number in found.types
    ]
    entries.sort(key=lambda entry: (-entry.serves, entry.name))
    examples = list(dict.fromkeys(points[number].name for number in found.unserved))
    return CoverEntry(types=entries, proven=found.proven, unserved=len(found.unserved), examples=examples[:EXAMPLES])


def csv_matrix(document: RegisterDocument) -> Iterator[str]:
    """Yield the lines of the matrix: a row for each point, a column for each type of units."""
    more = [f" (+{len(entry.units) - 1})" if len(entry.units) > 1 else "" for entry in document.types]
    heads = [f"{entry.name}{count}" for entry, count in zip(document.types, more, strict=True)]
    yield _line(["point", "source", "line", "fit", "unproven", "unfit", *heads])
    tails = [",".join(LETTERS[letter] for letter in group.verdicts) for group in document.groups]
    for point in document.points:
        head = _line([point.name, point.source, point.line or "", point.fit, point.unproven, point.unfit])
        yield f"{head[:-1]},{tails[point.group]}\n"


def _line(cells: Sequence[object]) -> str:
    buffer = StringIO()
    csv.writer(buffer, lineterminator="\n").writerow([neutralised(str(cell)) for cell in cells])
    return buffer.getvalue()
