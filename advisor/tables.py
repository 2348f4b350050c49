"""Tables of the trade in `knowledge/tables`: rows of facts, each with its source and basis.

Several files may hold slices of one table; the columns stand in one of them. A missing cell is unknown: it is
never taken for zero or for fine. Quantities are kept in coherent SI as intervals.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from pydantic import Field

from advisor import quantities
from advisor.faults import Collector, nearest, shorten
from advisor.quantities import QuantityError
from advisor.schema import Entry, validate
from advisor.yamlfile import Document

Basis = Literal["published", "recalled", "common practice"]
BASES = ("published", "recalled", "common practice")
_ROW_KEYS = ("aliases", "note", "source", "basis")


class Column(Entry):
    """What the cells of a column are."""

    kind: Literal["quantity", "number", "text", "choice", "flag", "list", "row"]
    about: str = ""
    unit: str | None = None
    difference: bool = False
    choices: list[str] | None = None
    of: str | None = None


class TableFile(Entry):
    """One file of a table, as written."""

    table: str = Field(pattern=r"^[a-z][a-z0-9_]*$")
    about: str = ""
    source: str | None = None
    basis: Basis | None = None
    sources: dict[str, str] = {}
    columns: dict[str, Column] | None = None
    rows: dict[str, dict[str, Any]]


@dataclass(frozen=True)
class Row:
    """One row: `cells` holds intervals for quantities and numbers, and plain values otherwise."""

    key: str
    cells: Mapping[str, Any]
    source: str
    basis: str
    aliases: tuple[str, ...] = ()
    note: str = ""

    @property
    def name(self) -> str:
        """The row's name as it is printed."""
        return str(self.cells.get("name") or self.key.replace("-", " "))


class Table:
    """A whole table. Its rows are read when they are first asked for: most sites need few of the tables."""

    def __init__(self, name: str, slices: list[tuple[Document, "TableFile"]], faults: Collector) -> None:
        self.name, self._slices, self._faults = name, slices, faults
        self.meeting: dict[str, tuple[frozenset[str], frozenset[str]]] = {}
        """The rows that meet a condition as it is written, and those of which that is not known; for its readers."""
        declared = [model for _, model in slices if model.columns is not None]
        self.columns: dict[str, Column] = dict(declared[0].columns or {}) if declared else {}
        self.about = declared[0].about if declared else ""
        if not declared:
            faults.add(slices[0][0].place("table"), f"no file declares the columns of {name}")
        for document, model in slices:
            if model.columns is not None and declared and model is not declared[0]:
                faults.add(document.place("columns"), f"the columns of {name} are declared twice")

    @cached_property
    def keys(self) -> tuple[str, ...]:
        """The keys of all rows in the order of the files, without reading the cells."""
        return tuple(dict.fromkeys(key for _, model in self._slices for key in model.rows))

    @cached_property
    def rows(self) -> dict[str, Row]:
        """All rows by key, in the order of the files."""
        rows: dict[str, Row] = {}
        for document, model in self._slices:
            for key, raw in model.rows.items():
                if key in rows:
                    self._faults.add(document.place("rows", key), f"the row {key!r} of {self.name} stands twice")
                    continue
                rows[key] = _row(self, model, document, key, raw, self._faults)
        return rows

    @cached_property
    def spellings(self) -> dict[str, tuple[str, ...]]:
        """The rows that each way of writing names: a key, a name, a part of a name, an alias.

        A loose word that several rows have as an alias means any of them.
        """
        named: dict[str, tuple[str, ...]] = {word.lower(): (word,) for word in self.keys}
        loose: dict[str, tuple[str, ...]] = {}
        for key, row in self.rows.items():
            for word in (key, row.name, *row.name.split(", ")):
                named.setdefault(plain(word), (key,))
            for word in map(plain, row.aliases):
                loose[word] = (*loose.get(word, ()), key)
        return {**loose, **named}


def plain(word: str) -> str:
    """Return the word as spellings are compared: lower case, blanks for hyphens and underscores."""
    return " ".join(word.lower().replace("_", " ").replace("-", " ").split())


def read_tables(documents: list[Document], faults: Collector, *, trusted: bool) -> dict[str, Table]:
    """Build the tables out of their files; what is wrong goes to `faults`.

    `trusted` files have been read without a fault before, and are not held against the model again.
    """
    slices: dict[str, list[tuple[Document, TableFile]]] = {}
    for document in documents:
        if trusted:
            columns = {name: Column(**raw) for name, raw in (document.data.get("columns") or {}).items()} or None
            model: TableFile | None = TableFile.model_construct(**{**document.data, "columns": columns})
        else:
            model = validate(TableFile, document, (), document.data, faults)
        if model is not None:
            slices.setdefault(model.table, []).append((document, model))
    tables = {name: Table(name, files, faults) for name, files in slices.items()}
    if not trusted:
        for table in tables.values():
            table.rows  # noqa: B018 - reads every row, so that all faults are found
    return tables


def _row(table: Table, model: TableFile, document: Document, key: str, raw: dict[str, Any], faults: Collector) -> Row:
    cells: dict[str, Any] = {}
    for name, value in raw.items():
        if name in _ROW_KEYS or value is None:
            continue
        column = table.columns.get(name)
        if column is None:
            where = document.place("rows", key, name)
            faults.add(where, f"{table.name} has no column {name!r}", nearest(name, [*table.columns, *_ROW_KEYS]))
            continue
        try:
            cells[name] = cell(column, value)
        except (QuantityError, TypeError, ValueError) as problem:
            where = document.place("rows", key, name)
            faults.add(where, f"{shorten(value)} does not fit the column {name} ({column.kind}): {problem.args[0]}")
    source = str(raw.get("source") or model.source or "")
    basis = str(raw.get("basis") or model.basis or "")
    where = document.place("rows", key)
    if not source:
        faults.add(where, f"the row {key!r} has no source", "give `source` in the row or for the file")
    if basis not in BASES:
        faults.add(where, f"the row {key!r} has no known basis", nearest(basis, BASES))
    aliases = raw.get("aliases") or []
    if not isinstance(aliases, list):
        faults.add(where, f"the aliases of {key!r} are no list")
        aliases = []
    return Row(
        key,
        cells,
        model.sources.get(source, source),
        basis,
        tuple(map(str, aliases)),
        str(raw.get("note") or ""),
    )


def cell(column: Column, value: Any) -> Any:
    """Return the cell in the form kept: an SI interval, a text, a truth value, or a tuple of texts."""
    if column.kind in ("quantity", "number"):
        unit = column.unit or "" if column.kind == "quantity" else ""
        if isinstance(value, str):
            return quantities.parse(value, unit, difference=column.difference)
        ends = value if isinstance(value, list) else [value, value]
        if len(ends) != 2 or any(isinstance(end, bool) or not isinstance(end, int | float) for end in ends):
            raise ValueError("a number or [low, high]")
        low, high = (quantities.to_si(float(end), unit, difference=column.difference) for end in ends)
        if low > high:
            raise ValueError("the smaller value first")
        return low, high
    if column.kind == "flag":
        if not isinstance(value, bool):
            raise ValueError("true or false")
        return value
    if column.kind == "list":
        if not isinstance(value, list):
            raise ValueError("a list")
        return tuple(str(item) for item in value)
    if not isinstance(value, str):
        raise ValueError("text; put it in quotes")
    if column.kind == "choice" and column.choices and value not in column.choices:
        raise ValueError(nearest(value, column.choices))
    return value
