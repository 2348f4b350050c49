"""Which column of a catalogue speaks of what: guessed from its head and a sample of its cells, shown, overridable.

A cell is read under the head of its column by the same notation as a line of a sheet, so the guess asks the notation.
A column whose cells make claims under their head is read; one that holds bare figures of which nothing is known, or
what the lexicon sets aside (voltage, weight, colour), is not; any other words are read, since they may limit a claim.
The user names a column for a role by its head or its number: `--columns "name=Typ,seal=Dichtung,ignore=Preis"`.
"""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from advisor.catalogue.rows import Row
from advisor.faults import Fault, InputError, Place, nearest
from advisor.notation.items import Reading
from advisor.notation.reader import SET_ASIDE, read

NAME, IGNORE, TEXT = "name", "ignore", "text"
HEADINGS: Mapping[str, str] = {
    "ingress": "Degree of protection",
    "type": "Enclosure Type",
    "temperature": "Operating temperature",
    "lowest": "Operating temperature",
    "highest": "Operating temperature",
    "cleaning": "Cleaning temperature",
    "medium": "Medium temperature",
    "storage": "Storage temperature",
    "impact": "Impact resistance",
    "shock": "Shock",
    "vibration": "Vibration",
    "field": "Magnetic field immunity",
    "emc": "EMC",
    "roughness": "Surface roughness Ra",
    TEXT: "",
}
"""Roles that the user may give, and the heading under which the cells are then read. Parts of a unit are roles too."""
LIMITS: Mapping[str, str] = {"lowest": "min.", "highest": "max."}
SAMPLE = 60
"""Different cells of a column on which the guess rests."""
_NAME_HEADS = (
    ("name", "unit", "product name", "product", "article", "item", "designation", "artikel", "artikelbezeichnung",
     "produkt", "bezeichnung", "benennung", "gerät"),
    ("model", "modell", "type", "typ", "order code", "order no", "article no", "part no", "part number", "sku",
     "bestellnummer", "artikelnummer", "id"),
)  # fmt: skip
"""Heads of the column that names the unit, the likelier ones first; they are words of tables, not of the trade."""
_FIGURES = re.compile(r"[\s\d.,;:/()'+%€$£xX×*-]*\Z")
_LIMIT = re.compile(
    r"\b(min|max|minimum|maximum|minimal|maximal|lowest|highest|low|high)\b\.?|(?<=\w)(min|max)\b", re.I
)
_UNIT = re.compile(r"[\[(]\s*([^\])]{1,12}?)\s*[\])]\s*\Z")
_LOW = ("min", "minimum", "minimal", "lowest", "low")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its place from 0, its head, what it speaks of, and how a cell is read."""

    index: int
    head: str
    role: str
    heading: str = ""
    before: str = ""
    after: str = ""
    shows: str = ""

    @property
    def is_read(self) -> bool:
        """Whether its cells are read for claims."""
        return self.role not in (NAME, IGNORE)

    def phrase(self, cell: str) -> str:
        """A cell as it is read: a bare figure gets the limit and the unit that stand in the head."""
        if not self.before or not _FIGURES.match(cell):
            return cell
        return f"{self.before} {cell.strip().removeprefix('+')} {self.after}".strip()

    def reading(self, cell: str) -> Reading:
        """What a cell says."""
        return read(self.phrase(cell), self.heading)


@dataclass(frozen=True)
class ColumnMap:
    """All columns of a catalogue."""

    columns: tuple[Column, ...]

    @property
    def name(self) -> Column | None:
        """The column that names the units."""
        return next((column for column in self.columns if column.role == NAME), None)

    @property
    def read(self) -> tuple[Column, ...]:
        """The columns that are read for claims."""
        return tuple(column for column in self.columns if column.is_read)

    def unit_name(self, row: Row) -> str:
        """The name of the unit in a row."""
        column = self.name
        return (row.cells[column.index] if column is not None else "") or f"row {row.line}"

    def shown(self) -> list[str]:
        """One line for each column: number, head, role, and what a sample cell was read as."""
        lines = []
        for column in self.columns:
            said = f" ({column.shows})" if column.shows else ""
            role = {IGNORE: "not read", TEXT: "read as text"}.get(column.role, column.role)
            lines.append(f"{column.index + 1}. {column.head or '(no head)'} -> {role}{said}")
        return lines


def guess(heads: Sequence[str], rows: Iterable[Row]) -> ColumnMap:
    """Guess the columns from the heads and the first rows."""
    cells: list[dict[str, None]] = [{} for _ in heads]
    for row in rows:
        for found, cell in zip(cells, row.cells, strict=False):
            if cell and len(found) < SAMPLE:
                found[cell] = None
    columns = [_guessed(index, head, list(found)) for index, (head, found) in enumerate(zip(heads, cells, strict=True))]
    for names in _NAME_HEADS:
        for name in names:
            for place, column in enumerate(columns):
                if " ".join(re.split(r"[\W_]+", column.head.casefold())).strip() == name and not _claims(column):
                    columns[place] = replace(column, role=NAME, shows="")
                    return ColumnMap(tuple(columns))
    return ColumnMap(tuple(columns))


def override(found: ColumnMap, text: str, parts: Iterable[str], rows: Iterable[Row]) -> ColumnMap:
    """Return the columns with what the user says of them, `role=head` or `role=number`, parted by commas."""
    place = Place("--columns")
    roles = [NAME, IGNORE, *HEADINGS, *(part for part in parts if part not in HEADINGS)]
    columns = list(found.columns)
    sample = list(rows)
    faults: list[Fault] = []
    heads: dict[str, int] = {}
    for column in reversed(columns):
        heads[column.head.casefold()] = column.index
    for entry in _entries(text):
        role, equals, wanted = (word.strip() for word in entry.partition("="))
        index = heads.get(wanted.casefold(), -1)
        if index < 0 and wanted.isdigit() and 0 < int(wanted) <= len(columns):
            index = int(wanted) - 1
        if not equals:
            faults.append(Fault(place, f"{entry!r} is no role=column", "such as name=Model,seal=Gasket"))
        elif role not in roles:
            faults.append(Fault(place, f"there is no role {role!r}", nearest(role, roles, most=len(roles))))
        elif index < 0:
            faults.append(Fault(place, f"there is no column {wanted!r}", nearest(wanted, [c.head for c in columns])))
        else:
            if role == NAME:
                columns = [_plain(c, sample) if c.role == NAME else c for c in columns]
            columns[index] = _given(columns[index], role)
    if faults:
        raise InputError(faults)
    return ColumnMap(tuple(columns))


def _entries(text: str) -> list[str]:
    """Split at commas before the next role=; a head may hold a comma itself."""
    return [entry.strip() for entry in re.split(r",(?=\s*[\w-]+\s*=)", text) if entry.strip()]


def _given(column: Column, role: str) -> Column:
    unit = _UNIT.search(column.head)
    heading = HEADINGS.get(role, role)
    if role == TEXT:
        heading = column.head
    after = unit[1] if unit else ""
    return replace(column, role=role, heading=heading, before=LIMITS.get(role, ""), after=after, shows="as told")


def _plain(column: Column, sample: Sequence[Row]) -> Column:
    cells = list(dict.fromkeys(row.cells[column.index] for row in sample if row.cells[column.index]))
    return _guessed(column.index, column.head, cells[:SAMPLE])


def _claims(column: Column) -> bool:
    return column.is_read and column.role != TEXT


def _guessed(index: int, head: str, cells: Sequence[str]) -> Column:
    plain = Column(index, head, TEXT, head)
    limited = _limited(plain)
    best = max((plain, *([limited] if limited else [])), key=lambda column: len(_said(column, cells)))
    said = _said(best, cells)
    if said:
        common = Counter(role for roles, _ in said for role in roles).most_common(1)[0][0]
        quote = next(quote for roles, quote in said if common in roles)
        return replace(best, role=common, shows=f"e.g. {quote}"[:60])
    figures = all(_FIGURES.match(cell) for cell in cells)
    aside = cells and all({f.why for f in plain.reading(cell).unread} <= {SET_ASIDE} for cell in cells)
    return replace(plain, role=IGNORE if figures or aside else TEXT)


def _limited(column: Column) -> Column | None:
    """The column with the limit word of its head put before the figure: "Temp. min [°C]" and -25."""
    words = _LIMIT.search(column.head)
    if words is None:
        return None
    unit = _UNIT.search(column.head)
    heading = _LIMIT.sub(" ", _UNIT.sub("", column.head)).strip(" ._-") or "Temperature"
    if heading.casefold() == "t":
        heading = "Temperature"
    before = "min." if (words[1] or words[2]).casefold() in _LOW else "max."
    return replace(column, heading=heading, before=before, after=unit[1] if unit else "°C")


def _said(column: Column, cells: Sequence[str]) -> list[tuple[tuple[str, ...], str]]:
    """What the cells of a sample claim: for each that does, (part and kind of its readings, the first quote)."""
    found = []
    for cell in cells:
        items = [item for item in column.reading(cell).items if item.kind not in ("part", "thread")]
        if items:
            kinds = tuple(" of ".join([item.kind, *item.parts[:1]]) for item in items)
            found.append((kinds, items[0].quote))
    return found
