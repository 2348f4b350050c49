"""Conditions as rule authors write them, compiled to tests.

On a quantity: `">= 60 degC"`, `"< 2 m"`, `"5 .. 10 bar"`, or a bare number for a slot without unit. On choices and
rows of a table: a word, a list of words, `">= hose"` in the order in which the choices stand, or for a row what its
columns must hold, `{class: [acid, alkali]}`, and which rows by `key`. On any slot: `present` (it applies) and `absent`.
"""

import math
from collections.abc import Callable, Mapping
from typing import Any

from advisor import quantities
from advisor.faults import nearest, shorten
from advisor.quantities import QuantityError
from advisor.tables import Column, Table
from advisor.values import Span, Test, holds
from advisor.vocabulary import Slot


class ConditionError(ValueError):
    """A condition that cannot be understood: what is wrong, and what is accepted."""

    def __init__(self, what: str, accepted: str = "") -> None:
        super().__init__(what, accepted)
        self.what, self.accepted = what, accepted


def words_of(slot: Slot, tables: Mapping[str, Table]) -> tuple[str, ...]:
    """Return the words a slot of choices or rows may hold, in order."""
    if slot.choices is not None:
        return tuple(slot.choices)
    if slot.row is not None:
        if slot.row not in tables:
            raise ConditionError(f"there is no table {slot.row!r}", nearest(slot.row, tables))
        return tables[slot.row].keys
    return ()


def compile_test(slot: Slot, raw: Any, tables: Mapping[str, Table]) -> Test:
    """Return the test for a condition on the slot. Raises ConditionError."""
    text = raw if isinstance(raw, str) else " or ".join(map(str, raw)) if isinstance(raw, list) else str(raw)
    if raw in ("present", "absent"):
        return Test(slot.slot, str(raw), text=text)
    if slot.kind == "text":
        raise ConditionError(f"{slot.slot} is free text and cannot be tested", "present, absent")
    if slot.kind == "span":
        return _span_test(slot.slot, raw, slot.unit or "", slot.difference, text)
    if slot.word:
        wanted = raw if isinstance(raw, list) else [raw]
        if not wanted or not all(isinstance(word, str) for word in wanted):
            raise ConditionError(f"{shorten(raw)} is no word for {slot.slot}", "a word or a list of words")
        return Test(slot.slot, "in", words=frozenset(wanted), text=text)
    known = words_of(slot, tables)
    if isinstance(raw, dict):
        if slot.row is None:
            raise ConditionError(f"{slot.slot} is no row of a table", f"one of {', '.join(known)}")
        return _row_test(slot, raw, tables[slot.row])
    if isinstance(raw, str) and raw[:2] in (">=", "<="):
        word = raw[2:].strip()
        if word not in known:
            raise ConditionError(f"{word!r} is no choice of {slot.slot}", nearest(word, known))
        at = known.index(word)
        return Test(slot.slot, "in", words=frozenset(known[at:] if raw[0] == ">" else known[: at + 1]), text=text)
    wanted = raw if isinstance(raw, list) else [raw]
    for word in wanted:
        if not isinstance(word, str) or word not in known:
            raise ConditionError(f"{shorten(word)} is no choice of {slot.slot}", nearest(str(word), known))
    return Test(slot.slot, "in", words=frozenset(wanted), text=text)


def _span_test(name: str, raw: Any, unit: str, difference: bool, text: str) -> Test:
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise ConditionError(f"{shorten(raw)} is no condition on {name}", "for example '>= 5 bar' or '2 .. 3 m'")
    try:
        low, high = quantities.parse(raw, unit, difference=difference)
    except QuantityError as problem:
        raise ConditionError(problem.what, problem.accepted) from None
    sign = str(raw).strip()[:2].replace("≥", ">=").replace("≤", "<=")
    if math.isinf(high):
        return Test(name, ">=" if sign.startswith(">=") else ">", low, text=text)
    if math.isinf(low):
        return Test(name, "<=" if sign.startswith("<=") else "<", high, text=text)
    return Test(name, "between", low, high, text=text)


def _row_test(slot: Slot, raw: dict[str, Any], table: Table) -> Test:
    """The rows that meet every column condition; rows with a missing cell are doubtful, never ruled out."""
    key = repr(raw)
    if key not in table.meeting:
        table.meeting[key] = _meeting(raw, table)
    sure, doubtful = table.meeting[key]
    text = ", ".join(
        f"{name} {' or '.join(value) if isinstance(value, list) else value}" for name, value in raw.items()
    )
    return Test(slot.slot, "in", words=sure, doubtful=doubtful, text=text)


def _meeting(raw: dict[str, Any], table: Table) -> tuple[frozenset[str], frozenset[str]]:
    """Return the rows that meet every column condition, and those of which that is not known."""
    sure, doubtful = set(table.rows), set(table.rows)
    for name, condition in raw.items():
        if name == "key":
            named = frozenset(condition if isinstance(condition, list) else [condition])
            for word in named - set(table.keys):
                raise ConditionError(f"{table.name} has no row {shorten(word)}", nearest(str(word), table.keys))
            sure, doubtful = sure & named, doubtful & named
            continue
        column = table.columns.get(name)
        if column is None:
            raise ConditionError(f"{table.name} has no column {name!r}", nearest(name, table.columns))
        cell_holds = _cell_test(name, column, condition)
        for key, row in table.rows.items():
            certain, possible = cell_holds(row.cells[name]) if name in row.cells else (False, True)
            if not certain:
                sure.discard(key)
            if not possible:
                doubtful.discard(key)
    if not doubtful:
        raise ConditionError(f"no row of {table.name} meets {raw}", "a condition that some row meets")
    return frozenset(sure), frozenset(doubtful - sure)


def _cell_test(name: str, column: Column, condition: Any) -> Callable[[Any], tuple[bool, bool]]:
    """Return what tells of a cell of the column whether the condition holds for certain, and possibly."""
    if column.kind in ("quantity", "number"):
        test = _span_test(name, condition, column.unit or "", column.difference, str(condition))
        return lambda value: (holds(test, Span(*value), True), holds(test, Span(*value), False))
    if column.kind == "flag":
        if not isinstance(condition, bool):
            raise ConditionError(f"{name} is true or false", "true, false")
        return lambda value: (value is condition,) * 2
    wanted = frozenset(condition if isinstance(condition, list) else [condition])
    if column.kind == "choice" and column.choices:
        for word in wanted - set(column.choices):
            raise ConditionError(f"{shorten(word)} is no choice of {name}", nearest(str(word), column.choices))
    return lambda value: (not wanted.isdisjoint(value if isinstance(value, tuple) else [value]),) * 2
