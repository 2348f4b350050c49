"""Wrong rulebooks: every rule with one thing changed, as its compiled form, and every table cell that a rule reads.

A mutant replaces compiled rules by name and variant. A step is a tenth of a figure in the unit in which its author
asks for it, and at least one degree of a temperature; a word is dropped, the order of choices moved by one.
"""

import copy
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from advisor import quantities
from advisor.engine.compiled import CompiledDemand, CompiledPattern, CompiledRule
from advisor.engine.compiler import RuleCompiler
from advisor.engine.exclusion import ByLimit
from advisor.engine.expressions import Call, Constant, Expression
from advisor.faults import Collector
from advisor.loading import Loaded
from advisor.rulebook import Rule, Rulebook
from advisor.tables import Table
from advisor.values import Span, Test
from advisor.vocabulary import Slot

KINDS = ("removed rule", "dropped condition", "dropped word", "flipped comparator", "moved threshold", "moved figure",
         "dropped conclusion", "altered cell", "moved edge")  # fmt: skip
Name = tuple[str, int]
STEP = 0.1


@dataclass(frozen=True)
class Mutant:
    """One wrong rulebook: what was done to which rule, and the compiled rules that stand in (None: removed)."""

    kind: str
    subject: str
    what: str
    changed: dict[Name, CompiledRule | None] = field(compare=False)
    book: Rulebook | None = field(default=None, compare=False)
    """The book with the altered table, where it is one."""
    cell: tuple[str, str, str] | None = None
    """Table, row and column of the altered cell."""
    same: bool = False
    """Whether it is known that nothing can tell it apart."""


def of_rule(rule: Rule, variants: list[CompiledRule], book: Rulebook) -> Iterator[Mutant]:
    """Every mutant of one rule; what its alternatives share is changed in all of them at once."""
    name = rule.rule

    def changed(kind: str, what: str, new: dict[int, CompiledRule | None]) -> Mutant:
        return Mutant(kind, name, what, {(name, number): entry for number, entry in new.items()})

    yield changed("removed rule", "the whole rule", {entry.variant: None for entry in variants})
    for number in range(len(variants)) if len(variants) > 1 else ():
        yield changed("removed rule", f"alternative {number + 1}", {number: None})
    shared = len(rule.when)
    for entry in variants:
        written = [*rule.when, *(rule.any_of[entry.variant] if rule.any_of else [])]
        for index, pattern in enumerate(entry.patterns):
            if index < shared and entry.variant > 0:
                continue
            also = variants if index < shared else [entry]
            count = len([key for key in _conditions(written[index]) if key != "topic"]) if index < len(written) else 0
            slots = _slots(pattern.template, book)
            for place in range(count):
                for kind, what, test in changes(pattern.tests[place], slots[pattern.tests[place].slot]):
                    new = {v.variant: _with_test(v, index, place, test) for v in also}
                    own = f"alternative {entry.variant + 1}: " if index >= shared and len(variants) > 1 else ""
                    yield changed(kind, f"{own}{pattern.alias}.{pattern.tests[place].slot} {what}", new)
            for place, refusal in enumerate(pattern.refusals):
                for kind, what, test in changes(refusal, slots[refusal.slot]):
                    new = {v.variant: _with_refusal(v, pattern.alias, place, test) for v in variants}
                    if entry.variant == 0:
                        yield changed(kind, f"unless {pattern.alias}.{refusal.slot} {what}", new)
    yield from _conclusions(variants, changed, book)


def changes(test: Test, slot: Slot) -> Iterator[tuple[str, str, Test | None]]:
    """Every way to get one condition wrong: (kind, words, test); None drops it."""
    yield "dropped condition", f"{test.text} dropped", None
    if test.op in ("present", "absent"):
        other = "absent" if test.op == "present" else "present"
        yield "flipped comparator", f"{test.op} made {other}", replace(test, op=other)
        return
    if test.op == "in":
        yield from _words(test, slot)
        return
    if test.op != "between":
        flipped = {">": "<", "<": ">", ">=": "<=", "<=": ">="}[test.op]
        yield "flipped comparator", f"{test.text} made {flipped}", replace(test, op=flipped)
        edge = test.op[:1] if len(test.op) == 2 else test.op + "="
        yield "moved edge", f"{test.text} made {edge}", replace(test, op=edge)
    for end in ("low", "high") if test.op == "between" else ("low",):
        for sign, way in ((1, "up"), (-1, "down")):
            new = moved(getattr(test, end), sign, slot.unit, slot.difference)
            which = f" {end}" if test.op == "between" else ""
            yield "moved threshold", f"{test.text}{which} {way}", replace(test, **{end: new})


def _words(test: Test, slot: Slot) -> Iterator[tuple[str, str, Test | None]]:
    known = list(slot.choices or ())
    if test.text[:2] in (">=", "<=") and known:
        at = known.index(test.text[2:].strip())
        for step in (-1, 1):
            if 0 <= at + step < len(known):
                words = known[at + step :] if test.text[0] == ">" else known[: at + step + 1]
                yield (
                    "moved threshold",
                    f"{test.text} moved to {known[at + step]}",
                    replace(test, words=frozenset(words)),
                )
    elif len(test.words) > 1 and "{" not in test.text and ", " not in test.text and len(test.words) < 12:
        for word in sorted(test.words):
            yield "dropped word", f"{test.text} without {word}", replace(test, words=test.words - {word})
    if known:
        yield "flipped comparator", f"{test.text} made not", replace(test, words=frozenset(known) - test.words)


def moved(figure: float, sign: int, unit: str | None, difference: bool) -> float:
    """Return a figure in SI moved by a step up or down."""
    own = quantities.from_si(figure, unit or "", difference=difference)
    least = 1.0 if unit in ("degC", "degF") else 0.0
    step = max(abs(own) * STEP, least) or 0.1
    return quantities.to_si(own + sign * step, unit or "", difference=difference)


def _conditions(pattern: dict[str, Any]) -> dict[str, Any]:
    return dict(next(iter(pattern.values())))


def _slots(template: str, book: Rulebook) -> dict[str, Slot]:
    if template.startswith("demand "):
        return book.vocabulary.topics[template[7:]].slots
    return book.vocabulary.templates[template].by_name


def _with_test(rule: CompiledRule, index: int, place: int, test: Test | None) -> CompiledRule:
    pattern = rule.patterns[index]
    tests = [test if number == place else old for number, old in enumerate(pattern.tests)]
    return _with_pattern(rule, index, replace(pattern, tests=tuple(entry for entry in tests if entry is not None)))


def _with_refusal(rule: CompiledRule, alias: str, place: int, test: Test | None) -> CompiledRule:
    index = next(number for number, pattern in enumerate(rule.patterns) if pattern.alias == alias)
    pattern = rule.patterns[index]
    refusals = [test if number == place else old for number, old in enumerate(pattern.refusals)]
    return _with_pattern(rule, index, replace(pattern, refusals=tuple(e for e in refusals if e is not None)))


def _with_pattern(rule: CompiledRule, index: int, pattern: CompiledPattern) -> CompiledRule:
    return replace(rule, patterns=(*rule.patterns[:index], pattern, *rule.patterns[index + 1 :]))


def _conclusions(variants: list[CompiledRule], changed: Any, book: Rulebook) -> Iterator[Mutant]:
    first = variants[0]
    for at, (template, slots) in enumerate(first.derives):
        if len(first.derives) + len(first.demands) > 1:
            new = {v.variant: replace(v, derives=v.derives[:at] + v.derives[at + 1 :]) for v in variants}
            yield changed("dropped conclusion", f"derive {template}", new)
        for place, (slot, expression) in enumerate(slots):
            for what, other in figures(expression):
                own = (template, (*slots[:place], (slot, other), *slots[place + 1 :]))
                new = {v.variant: replace(v, derives=(*v.derives[:at], own, *v.derives[at + 1 :])) for v in variants}
                yield changed("moved figure", f"{template}.{slot}: {what}", new)
    for at, demand in enumerate(first.demands):
        for kind, what, other in demands(demand, alone=len(first.derives) + len(first.demands) == 1):
            put = [other] if other is not None else []
            new = {v.variant: replace(v, demands=(*v.demands[:at], *put, *v.demands[at + 1 :])) for v in variants}
            yield changed(kind, f"{demand.topic}: {what}", new)


def demands(demand: CompiledDemand, *, alone: bool) -> Iterator[tuple[str, str, CompiledDemand | None]]:
    """Every way to get one demand wrong."""
    if not alone:
        yield "dropped conclusion", f"{' '.join(demand.items) or demand.text[:60]} dropped", None
    for item in demand.items if len(demand.items) > 1 else ():
        left = tuple(entry for entry in demand.items if entry != item)
        yield "dropped conclusion", f"{item} of {' '.join(demand.items)} dropped", replace(demand, items=left)
    if demand.value is not None:
        for what, other in figures(demand.value):
            yield "moved figure", what, replace(demand, value=other)
    for at, (name, expression) in enumerate(demand.parameters):
        for what, other in figures(expression):
            own = (*demand.parameters[:at], (name, other), *demand.parameters[at + 1 :])
            yield "moved figure", f"{name} {what}", replace(demand, parameters=own)
    means = demand.exclusion.means if demand.exclusion is not None else None
    if demand.exclusion is not None and isinstance(means, ByLimit):
        for what, other in figures(means.value):
            exclusion = replace(demand.exclusion, means=replace(means, value=other))
            yield "moved figure", f"{means.column} {what}", replace(demand, exclusion=exclusion)


def figures(expression: Expression) -> Iterator[tuple[str, Expression]]:
    """Every figure written in an expression, a step up and a step down."""
    if isinstance(expression, Constant) and isinstance(expression.value, Span):
        celsius = "degC" in expression.text or "°C" in expression.text
        old = expression.value
        for sign, way in ((1, "up"), (-1, "down")):
            low, high = (moved(end, sign, "degC" if celsius else "", False) for end in (old.low, old.high))
            yield f"{expression.text} {way}", replace(expression, value=replace(old, low=low, high=high))
    elif isinstance(expression, Call):
        for at, (name, inner) in enumerate(expression.inputs):
            for what, other in figures(inner):
                inputs = (*expression.inputs[:at], (name, other), *expression.inputs[at + 1 :])
                yield f"{name} {what}", replace(expression, inputs=inputs)


def columns_read(rule: Rule, book: Rulebook) -> set[tuple[str, str]]:
    """Return (table, column) of every table column that a rule reads, by a condition, a value or a limit."""
    found = values_read(rule, book) | _excluding(rule)
    for template, conditions in _patterns(rule):
        for slot, raw in conditions.items():
            if isinstance(raw, dict):
                found |= {(_slots(template, book)[slot].row or "", column) for column in raw if column != "key"}
    return {entry for entry in found if entry[0]}


def _patterns(rule: Rule) -> Iterator[tuple[str, dict[str, Any]]]:
    """Template and conditions of every pattern of a rule as written."""
    for pattern in (*rule.when, *(one for extra in rule.any_of for one in extra), *rule.unless):
        for key, conditions in pattern.items():
            name = key.partition(" as ")[0]
            yield f"demand {conditions['topic']}" if name == "demand" else name, conditions


def _aliases(rule: Rule) -> dict[str, str]:
    """Template by alias."""
    patterns = (*rule.when, *(one for extra in rule.any_of for one in extra), *rule.unless)
    keys = [key for pattern in patterns for key in pattern]
    names = [key.partition(" as ")[2] or key for key in keys]
    return dict(zip(names, (template for template, _ in _patterns(rule)), strict=True))


def _excluding(rule: Rule) -> set[tuple[str, str]]:
    found: set[tuple[str, str]] = set()
    for own in (conclusion.exclude for conclusion in rule.then if conclusion.exclude is not None):
        found |= {("materials", name) for name in (own.column, *(own.rows or {}), *(own.of or {})) if name}
    return found


def values_read(rule: Rule, book: Rulebook) -> set[tuple[str, str]]:
    """Return (table, column) of every table column from which a rule takes a figure."""
    found: set[tuple[str, str]] = set()
    aliases = _aliases(rule)

    def walk(value: Any) -> None:
        if isinstance(value, dict):
            if set(value) == {"row", "column"}:
                alias, _, slot = value["row"].partition(".")
                found.add((_slots(aliases[alias], book)[slot].row or "", value["column"]))
            elif set(value) == {"table", "row", "column"}:
                found.add((value["table"], value["column"]))
            for inner in value.values():
                walk(inner)

    for slots in rule.derive.values():
        walk(slots)
    for conclusion in rule.then:
        if conclusion.demand is not None:
            walk(conclusion.demand.model_dump(by_alias=True))
        if conclusion.exclude is not None:
            own = conclusion.exclude
            walk(own.model_dump(by_alias=True))
    return found


def looked_up(book: Rulebook) -> set[tuple[str, str]]:
    """(table, column) of what is read while a site is judged, and not only when the rules are compiled."""
    found = set().union(*(values_read(rule, book) for rule in book.rules.values()))
    for template in book.vocabulary.templates.values():
        for slot in template.slots:
            if slot.assume_cell:
                found.add((template.by_name[slot.assume_cell[0]].row or "", slot.assume_cell[1]))
            if template.presets:
                found.add((template.presets, slot.slot))
    return found


def indistinct(cell: tuple[str, str, str], changed: Mapping[Name, CompiledRule | None], loaded: Loaded) -> bool:
    """Whether an altered cell leaves every rule as it was, so that nothing can tell the two rulebooks apart.

    The materials table is read beside the rules too; of its cells only a limit that applies to other materials counts.
    """
    table, row, column = cell
    right = {(entry.rule.rule, entry.variant): entry for entry in loaded.rules}
    if any(right[name] != entry for name, entry in changed.items()):
        return False
    demands = [demand for entry in changed.values() if entry is not None for demand in entry.demands]
    means = [demand.exclusion.means for demand in demands if demand.exclusion is not None]
    limits = [one for one in means if isinstance(one, ByLimit) and one.column == column]
    return not any(row in limit.within for limit in limits) if table == "materials" and limits else table != "materials"


def of_cells(loaded: Loaded, wanted: set[tuple[str, str]] | None = None) -> Iterator[Mutant]:
    """Every table cell that some rule reads, altered; with the rules that read it compiled anew."""
    book = loaded.book
    readers: dict[tuple[str, str], list[str]] = {}
    for rule in book.rules.values():
        for column in columns_read(rule, book):
            readers.setdefault(column, []).append(rule.rule)
    late = looked_up(book)
    for (name, column), rules in sorted(readers.items()):
        if wanted is not None and (name, column) not in wanted:
            continue
        for key, row in book.tables[name].rows.items():
            if column not in row.cells:
                continue
            for what, cell in altered(book.tables[name], column, row.cells[column]):
                table = copy.copy(book.tables[name])
                table.meeting = {}
                table.__dict__["rows"] = {
                    **book.tables[name].rows,
                    key: replace(row, cells={**row.cells, column: cell}),
                }
                other = replace(book, tables={**book.tables, name: table})
                changed = _compiled(rules, loaded, other)
                if changed is not None:
                    where = (name, key, column)
                    same = (name, column) not in late and indistinct(where, changed, loaded)
                    yield Mutant("altered cell", f"{name}.{column}", f"{key} {what}", changed, other, where, same)


def altered(table: Table, column: str, cell: Any) -> Iterator[tuple[str, Any]]:
    """The wrong contents of a cell that are tried."""
    kind = table.columns[column]
    if kind.kind in ("quantity", "number"):
        unit = kind.unit if kind.kind == "quantity" else ""
        for sign in (1, -1):
            yield "up" if sign > 0 else "down", tuple(moved(end, sign, unit, kind.difference) for end in cell)
    elif kind.kind == "flag":
        yield "flipped", not cell
    elif kind.kind == "list":
        for word in cell if len(cell) > 1 else ():
            yield f"without {word}", tuple(entry for entry in cell if entry != word)
    else:
        words = kind.choices or sorted({str(row.cells[column]) for row in table.rows.values() if column in row.cells})
        other = [word for word in words if word != cell]
        if other:
            at = words.index(cell) if cell in words else 0
            yield f"{cell} made {words[at - 1]}", words[at - 1]


def _compiled(rules: list[str], loaded: Loaded, book: Rulebook) -> dict[Name, CompiledRule | None] | None:
    """Compile the readers of a cell over the altered book; None where the rulebook would refuse to load."""
    faults = Collector()
    small = replace(book, rules={name: book.rules[name] for name in rules})
    made = {(entry.rule.rule, entry.variant): entry for entry in RuleCompiler(small, faults).compile()}
    if faults.faults:
        return None
    own = [entry for entry in loaded.rules if entry.rule.rule in rules]
    return {(e.rule.rule, e.variant): replace(made[e.rule.rule, e.variant], layer=e.layer) for e in own}
