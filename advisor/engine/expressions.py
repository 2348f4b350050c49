"""What a rule computes: references to bound slots, constants, cells of a table's row, and calls of registered physics.

Expressions are compiled once and evaluated on domains; every evaluation returns a `Trace` that the proof prints:
the formula, its inputs with where each came from, the result and the source.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from advisor import physics as _physics  # noqa: F401 - importing fills the registry
from advisor import quantities
from advisor.engine.conditions import ConditionError, words_of
from advisor.faults import nearest, shorten
from advisor.physics.registry import REGISTRY, Formula, hull
from advisor.quantities import QuantityError
from advisor.tables import Table
from advisor.values import ABSENT, Absent, Domain, Span, Words, both, perhaps, untold
from advisor.vocabulary import Slot

Bindings = Mapping[str, Mapping[str, Domain]]
"""The slots of each bound fact, by alias."""


@dataclass(frozen=True)
class Ref:
    """A slot of a bound fact."""

    alias: str
    slot: str

    def __str__(self) -> str:
        return f"{self.alias}.{self.slot}"


@dataclass(frozen=True)
class Constant:
    """A figure or word written in the rule."""

    value: Domain
    text: str


@dataclass(frozen=True)
class Cell:
    """A column of the row that a slot names."""

    ref: Ref
    table: Table = field(compare=False)
    column: str = ""
    fallback: Domain = ABSENT
    """What is taken for a row without that cell: all that the target slot may be."""


@dataclass(frozen=True)
class Call:
    """A registered formula with an expression for each input."""

    formula: Formula
    inputs: tuple[tuple[str, "Expression"], ...]


Expression = Ref | Constant | Cell | Call


@dataclass(frozen=True)
class Trace:
    """How one value came about."""

    expression: Expression
    result: Domain
    inputs: tuple[tuple[str, "Trace"], ...] = ()
    notes: tuple[str, ...] = ()


def references(expression: Expression) -> list[Ref]:
    """Return every slot that the expression reads."""
    if isinstance(expression, Ref):
        return [expression]
    if isinstance(expression, Cell):
        return [expression.ref]
    if isinstance(expression, Call):
        return [ref for _, inner in expression.inputs for ref in references(inner)]
    return []


def evaluate(expression: Expression, bindings: Bindings) -> Trace:
    """Return the value of the expression for the bound facts, with its trace."""
    if isinstance(expression, Ref):
        return Trace(expression, bindings[expression.alias].get(expression.slot, ABSENT))
    if isinstance(expression, Constant):
        return Trace(expression, expression.value)
    if isinstance(expression, Cell):
        return _cell(expression, bindings)
    traces = tuple((name, evaluate(inner, bindings)) for name, inner in expression.inputs)
    spans: dict[str, tuple[float, float]] = {}
    maybe = False
    for name, trace in traces:
        if not isinstance(trace.result, Span):
            return Trace(expression, ABSENT, traces)
        spans[name] = (trace.result.low, trace.result.high)
        maybe = maybe or trace.result.maybe
    found = hull(expression.formula, spans)
    told = _says_something(traces, found.low, found.high)
    notes = tuple(f"{name} is outside the validity of the formula and is taken at its limit" for name in found.clamped)
    return Trace(expression, Span(found.low, found.high, maybe, told), traces, notes)


TELLING = 20.0
"""A computed value that spans no more than this factor says something even where one of its inputs is not known."""


def _says_something(traces: tuple[tuple[str, Trace], ...], low: float, high: float) -> bool:
    """Tell whether a computed value rests on what was told, and not on what is merely plausible."""
    told = [trace.result.told for _, trace in traces if not isinstance(trace.result, Absent)]
    if all(told):
        return True
    answered = any(
        not isinstance(trace.expression, Constant) and not isinstance(trace.result, Absent) and trace.result.told
        for _, trace in traces
    )
    near, far = sorted((abs(low), abs(high)))
    return answered and low * high > 0 and far <= TELLING * near


def _cell(expression: Cell, bindings: Bindings) -> Trace:
    where = bindings[expression.ref.alias].get(expression.ref.slot, ABSENT)
    inner = (("row", Trace(expression.ref, where)),)
    if not isinstance(where, Words):
        return Trace(expression, ABSENT, inner)
    result: Domain | None = None
    notes: list[str] = []
    for key in sorted(where.options):
        value = expression.table.rows[key].cells.get(expression.column)
        if value is None:
            notes.append(f"{key} has no figure for {expression.column}: all that is plausible is allowed")
        domain = expression.fallback if value is None else as_domain(value)
        result = domain if result is None else both(result, domain)
    assert result is not None
    result = result if where.told else untold(result)
    return Trace(expression, perhaps(result) if where.maybe else result, inner, tuple(notes))


def as_domain(value: Any) -> Domain:
    """Return a table cell as a domain."""
    if isinstance(value, tuple) and len(value) == 2 and all(isinstance(end, float) for end in value):
        return Span(*value)
    if isinstance(value, tuple):
        return Words(frozenset(value))
    if isinstance(value, bool):
        return Words(frozenset(["yes" if value else "no"]))
    return Words(frozenset([str(value)]))


def full(slot: Slot, tables: Mapping[str, Table]) -> Domain:
    """Return all that a slot may hold, marked as not told."""
    if slot.kind == "text":
        return ABSENT
    if slot.kind == "words":
        return Words(frozenset(words_of(slot, tables)), told=False)
    low, high = quantities.parse(slot.plausible or "", slot.unit or "", difference=slot.difference)
    return Span(low, high, told=False)


def compile_expression(
    raw: Any,
    target: Slot | None,
    unit: str,
    scope: Mapping[str, Mapping[str, Slot]],
    tables: Mapping[str, Table],
) -> Expression:
    """Compile an expression of a rule. `target` is the slot it fills, or None for an input in `unit`.

    `scope` gives the slots of every bound alias. Raises ConditionError.
    """
    if isinstance(raw, str) and "." in raw and raw.split(".")[0] in scope:
        ref = _ref(raw, scope)
        _same_kind(ref, scope[ref.alias][ref.slot], target, unit)
        return ref
    if isinstance(raw, dict):
        if set(raw) == {"by", "with"}:
            return _call(raw, scope, tables)
        if set(raw) == {"row", "column"}:
            return _compile_cell(raw, target, scope, tables)
        if set(raw) == {"table", "row", "column"}:
            return _fixed_cell(raw, tables)
        forms = "{by: formula, with: {...}}, {row: alias.slot, column: name} or {table: name, row: key, column: name}"
        raise ConditionError(f"{shorten(raw)} cannot be computed", forms)
    if target is not None and target.kind == "words":
        known = words_of(target, tables)
        if not isinstance(raw, str) or raw not in known:
            raise ConditionError(f"{shorten(raw)} is no choice of {target.slot}", nearest(str(raw), known))
        return Constant(Words(frozenset([raw])), raw)
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise ConditionError(f"{shorten(raw)} is neither a figure nor alias.slot", nearest(str(raw), scope))
    try:
        if target is None and not unit:
            return Constant(Span(*quantities.parse_free(raw)), str(raw))
        difference = target.difference if target is not None else False
        return Constant(Span(*quantities.parse(raw, unit, difference=difference)), str(raw))
    except QuantityError as problem:
        raise ConditionError(
            problem.what, f"{problem.accepted}, or alias.slot with one of {', '.join(scope)}"
        ) from None


def _ref(raw: str, scope: Mapping[str, Mapping[str, Slot]]) -> Ref:
    alias, _, name = raw.partition(".")
    if name not in scope[alias]:
        raise ConditionError(f"{alias} has no slot {name!r}", nearest(name, scope[alias]))
    return Ref(alias, name)


def _same_kind(ref: Ref, source: Slot, target: Slot | None, unit: str) -> None:
    """Refuse a reference to a slot of another kind or dimension; a formula's unit '' takes any quantity."""
    if target is not None and target.kind != source.kind:
        raise ConditionError(f"{ref} is of another kind than {target.slot}")
    wanted = unit if target is None else target.unit or ""
    if target is None and source.kind != "span":
        raise ConditionError(f"{ref} is no figure")
    if source.kind == "span" and wanted and not quantities.same_dimension(source.unit or "percent", wanted):
        raise ConditionError(f"{ref} is in {source.unit or 'a pure number'}, but {wanted} is wanted")


def _call(raw: dict[str, Any], scope: Mapping[str, Mapping[str, Slot]], tables: Mapping[str, Table]) -> Call:
    entry = REGISTRY.get(str(raw["by"]))
    if entry is None:
        raise ConditionError(f"there is no formula {shorten(raw['by'])}", nearest(str(raw["by"]), REGISTRY))
    wanted = [name for name in entry.units if name != "return"]
    given = raw["with"]
    if not isinstance(given, dict) or not set(given) <= set(wanted):
        raise ConditionError(f"{entry.name} does not take {shorten(given)}", f"inputs: {', '.join(wanted)}")
    missing = [name for name in wanted if name not in given and name not in entry.defaults]
    if missing:
        raise ConditionError(f"{entry.name} is not given {', '.join(missing)}", f"inputs: {', '.join(wanted)}")
    return Call(
        entry,
        tuple((name, compile_expression(given[name], None, entry.units[name], scope, tables)) for name in given),
    )


def _fixed_cell(raw: dict[str, Any], tables: Mapping[str, Table]) -> Constant:
    table = tables.get(str(raw["table"]))
    if table is None:
        raise ConditionError(f"there is no table {shorten(raw['table'])}", nearest(str(raw["table"]), tables))
    row = table.rows.get(str(raw["row"]))
    if row is None or raw["column"] not in row.cells:
        raise ConditionError(
            f"{table.name} has no cell {raw['row']}, {raw['column']}", nearest(str(raw["row"]), table.rows)
        )
    return Constant(as_domain(row.cells[raw["column"]]), f"{raw['column'].replace('_', ' ')} of {row.name}")


def _compile_cell(
    raw: dict[str, Any],
    target: Slot | None,
    scope: Mapping[str, Mapping[str, Slot]],
    tables: Mapping[str, Table],
) -> Cell:
    if not isinstance(raw["row"], str) or raw["row"].split(".")[0] not in scope:
        raise ConditionError(f"{shorten(raw['row'])} is no bound slot", f"alias.slot with one of {', '.join(scope)}")
    ref = _ref(raw["row"], scope)
    slot = scope[ref.alias][ref.slot]
    if slot.row is None or slot.row not in tables:
        raise ConditionError(f"{ref} names no row of a table")
    table = tables[slot.row]
    column = table.columns.get(raw["column"])
    if column is None:
        raise ConditionError(
            f"{table.name} has no column {raw['column']!r}", nearest(str(raw["column"]), table.columns)
        )
    if target is not None:
        fallback = full(target, tables)
    else:
        cells = [row.cells[raw["column"]] for row in table.rows.values() if raw["column"] in row.cells]
        fallback = Span(min(low for low, _ in cells), max(high for _, high in cells))
    return Cell(ref, table, raw["column"], fallback)
