"""Conditions and values of rules as their authors write them, understood anew for the second opinion of `oracles.py`.

A number is (low, high, told), since a table's cell may be a range or missing where a site is told in full; a choice is
the set of words left; None is what does not apply. `sure` asks for all that is left, otherwise for some of it.
"""

import functools
import itertools
import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from advisor import quantities
from advisor.physics.registry import REGISTRY
from advisor.tables import Table
from advisor.vocabulary import Slot

Tables = Mapping[str, Table]
Value = tuple[float, float, bool] | frozenset[str] | None


class Untold(frozenset[str]):
    """Words of which none was told: the row of a table has no cell for them."""


def holds(slot: Slot, raw: Any, value: Value, sure: bool, tables: Tables) -> bool:
    """Whether a condition holds of a slot's value."""
    if value is None or raw in ("present", "absent"):
        return bool(raw == ("absent" if value is None else "present"))
    if isinstance(value, tuple):
        return within(str(raw), *value[:2], slot.unit or "", slot.difference, sure)
    if isinstance(raw, dict):
        table = tables[slot.row or ""]
        checks = [all(cell_holds(table, row, *wanted, sure) for wanted in raw.items()) for row in value]
        return all(checks) if sure else any(checks)
    words = raw if isinstance(raw, list) else [raw]
    if str(raw)[:2] in (">=", "<="):
        known = list(slot.choices or tables[slot.row or ""].rows)
        at = known.index(raw[2:].strip())
        words = known[at:] if raw[0] == ">" else known[: at + 1]
    return value <= set(words) if sure else bool(value & set(words))


def within(raw: str, low: float, high: float, unit: str, difference: bool, sure: bool) -> bool:
    """Whether all (`sure`) or some of an interval meets '>= 5 bar', '< 2 m', '5 .. 10 bar' or a bare figure."""
    sign, least, most = _read(raw, unit, difference)
    if sign is None:
        inside = (not less(low, least), not less(most, high))
        return all(inside) if sure else not less(high, least) and not less(most, low)
    worst = low if (sign[0] == ">") == sure else high
    strict = less(least, worst) if sign[0] == ">" else less(worst, least)
    return strict or (sign[1:] == "=" and same(worst, least))


@functools.cache
def _read(raw: str, unit: str, difference: bool) -> tuple[str | None, float, float]:
    sign, figure = re.fullmatch(r"\s*(>=|<=|>|<)?(.*)", raw.replace("≥", ">=").replace("≤", "<="), re.S).groups()
    return (sign, *quantities.parse(figure, unit, difference=difference))


def same(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-15)


def less(one: float, other: float) -> bool:
    return one < other and not same(one, other)


def cell_holds(table: Table, row: str, name: str, wanted: Any, sure: bool) -> bool:
    listed = wanted if isinstance(wanted, list) else [wanted]
    if name == "key":
        return row in listed
    cell, column = table.rows[row].cells.get(name), table.columns[name]
    if cell is None:
        return not sure
    if column.kind in ("quantity", "number"):
        return within(str(wanted), *cell, column.unit or "", column.difference, sure)
    return any(word in listed for word in (cell if isinstance(cell, tuple) else [cell]))


def domain(cell: Any) -> Value:
    """A table's cell as a value."""
    if isinstance(cell, tuple) and all(isinstance(end, float) for end in cell):
        return (*cell, True)
    if isinstance(cell, bool):
        return frozenset(["yes" if cell else "no"])
    return frozenset(cell if isinstance(cell, tuple) else [str(cell)])


def union(values: list[Any]) -> Value:
    """The smallest value that allows what any of the values allows."""
    if isinstance(values[0], frozenset):
        return (Untold if any(isinstance(v, Untold) for v in values) else frozenset)(frozenset().union(*values))
    return min(v[0] for v in values), max(v[1] for v in values), all(v[2] for v in values)


Read = Callable[[str], tuple[Slot, Value] | None]
"""Gives slot and value for `alias.slot`, or None where that is no bound slot."""


def value(raw: Any, target: Slot | None, unit: str, read: Read, tables: Tables) -> Value:
    """Work out a value of a rule; None where a slot that it reads does not apply."""
    bound = read(raw) if isinstance(raw, str) else None
    if bound is not None:
        return bound[1]
    if isinstance(raw, dict) and "by" in raw:
        return _call(raw, read, tables)
    if isinstance(raw, dict) and "table" in raw:
        return domain(tables[raw["table"]].rows[raw["row"]].cells[raw["column"]])
    if isinstance(raw, dict):
        slot, rows = read(raw["row"]) or (None, None)
        if slot is None or rows is None:
            return None
        table, name = tables[slot.row or ""], raw["column"]
        every = [domain(row.cells[name]) for row in table.rows.values() if name in row.cells]
        missing = union(every) if target is None else anything(target, tables)
        cells = [table.rows[row].cells.get(name) for row in rows]
        return union([missing if cell is None else domain(cell) for cell in cells])
    if target is not None and target.kind == "words":
        return frozenset([raw])
    if target is None and not unit:
        return (*quantities.parse_free(raw), True)
    return (*quantities.parse(raw, unit, difference=target is not None and target.difference), True)


def anything(slot: Slot, tables: Tables) -> Value:
    """All that a slot may hold, told by nobody."""
    if slot.kind == "words":
        return Untold(slot.choices or tables[slot.row or ""].rows)
    return (*quantities.parse(slot.plausible or "", slot.unit or "", difference=slot.difference), False)


def _call(raw: dict[str, Any], read: Read, tables: Tables) -> Value:
    entry, given = REGISTRY[raw["by"]], {}
    for name, inner in raw["with"].items():
        given[name] = value(inner, None, entry.units[name], read, tables)
        if given[name] is None:
            return None
    grids = []
    for name, (low, high, _) in given.items():
        floor, ceiling = entry.valid.get(name, (-math.inf, math.inf))
        low, high = (min(max(end, floor), ceiling) for end in (low, high))
        grids.append({low, high, *(point for point in entry.turning.get(name, ()) if low < point < high)})
    results = [entry.function(**dict(zip(given, corner, strict=True))) for corner in itertools.product(*grids)]
    low, high = min(results), max(results)
    # What rests on an answer says something still where another input is missing, if the result is narrow.
    answered = any(given[name][2] and (isinstance(v, dict) or read(str(v))) for name, v in raw["with"].items())
    return low, high, all(v[2] for v in given.values()) or (answered and low > 0 and high <= 20 * low)
