"""What a rule concludes from the facts it has bound: the one place where conclusions become facts.

Both evaluators call `conclude`, so they can differ only in which rules they find to hold.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace

from advisor.engine.compiled import MATERIAL, CompiledDemand, CompiledRule, demand_template, spare_template
from advisor.engine.exclusion import Exclusion, candidates, exclude
from advisor.engine.expressions import Expression, Trace, evaluate
from advisor.engine.facts import Fact, Justification, Run
from advisor.engine.wording import fill
from advisor.faults import Fault, Place
from advisor.rulebook import Rulebook
from advisor.values import Domain, Words, holds


class EngineError(RuntimeError):
    """A rule's computation failed; the fault names the rule and its place in the rulebook."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


MOST_FIRINGS = 10_000
"""Of one rule in one reading; more means that its patterns multiply, and would never end on a large site."""


def count_firing(run: Run, rule: CompiledRule, book: Rulebook) -> None:
    """Count a firing. Raises EngineError when a rule fires without end."""
    name = rule.rule.rule
    run.firings[name] = run.firings.get(name, 0) + 1
    if run.firings[name] > MOST_FIRINGS:
        where = book.places.get(name, Place("rules"))
        what = f"rule {name} fires more than {MOST_FIRINGS} times: its patterns multiply"
        raise EngineError(Fault(where, what, "fewer patterns that stand several times, or fewer entries in the site"))


def kept_apart(rule: CompiledRule, bound: Mapping[str, Fact]) -> bool:
    """Tell whether the aliases that the rule keeps apart rest on different instances."""
    seen: set[str] = set()
    for alias in rule.rule.apart:
        roots = bound[alias].roots
        if roots & seen:
            return False
        seen |= roots
    return True


Compute = Callable[[Expression, Mapping[str, Mapping[str, Domain]]], Trace]


def conclude(
    rule: CompiledRule, bound: Mapping[str, Fact], book: Rulebook, *, certain: bool, compute: Compute = evaluate
) -> tuple[list[Fact], Justification]:
    """Return the facts that one firing concludes, and its justification. Raises EngineError.

    `compute` evaluates the expressions; one that remembers may stand in for it.
    """
    slots = {alias: fact.slots for alias, fact in bound.items()}
    names = tuple(sorted((alias, fact.id) for alias, fact in bound.items()))
    traces: list[tuple[str, Trace]] = []

    def value(name: str, expression: Expression) -> Domain:
        trace = compute(expression, slots)
        traces.append((name, trace))
        return trace.result

    facts: list[Fact] = []
    roots = frozenset().union(*(fact.roots for fact in bound.values()))
    try:
        for template, entries in rule.derives:
            own = {name: value(f"{template}.{name}", expression) for name, expression in entries}
            identity = f"{template}<{rule.rule.rule}.{rule.variant}:{','.join(fact for _, fact in names)}>"
            label = ", ".join(dict.fromkeys(fact.label for fact in bound.values() if fact.label))
            certainly = all(fact.certain for fact in bound.values())
            facts.append(Fact(template, identity, own, certainly, label=label, roots=roots))
        for number, demand in enumerate(rule.demands):
            if demand.exclusion is not None and (certain or not rule.rule.certain_only):
                facts += _exclusions(rule, number, demand.exclusion, names, bound, book, certain=certain)
            elif demand.exclusion is None:
                facts += _demands(rule, number, demand, value, bound, book)
    except (ArithmeticError, ValueError, TypeError) as problem:
        where = book.places.get(rule.rule.rule, Place("rules"))
        raise EngineError(Fault(where, f"rule {rule.rule.rule} could not be computed: {problem}")) from problem
    return facts, Justification(rule.rule.rule, rule.variant, names, tuple(traces))


class Conclusions:
    """Concludes, and remembers what each rule concluded from the same facts.

    The two readings and the two evaluators bind mostly the same facts on one site; what a rule computes from them is
    the same in all, except which materials are ruled out, which depends on the reading.
    """

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self._known: dict[tuple[object, ...], tuple[list[Fact], Justification]] = {}

    def of(self, rule: CompiledRule, bound: Mapping[str, Fact], *, certain: bool) -> tuple[list[Fact], Justification]:
        """Return the facts and the justification of one firing. Raises EngineError."""
        reading = certain if any(demand.exclusion is not None for demand in rule.demands) else None
        key = (rule.rule.rule, rule.variant, reading, *((alias, fact.id) for alias, fact in bound.items()))
        if key not in self._known:
            self._known[key] = conclude(rule, bound, self.book, certain=certain)
        return self._known[key]


def _demands(
    rule: CompiledRule,
    number: int,
    demand: CompiledDemand,
    value: Callable[[str, Expression], Domain],
    bound: Mapping[str, Fact],
    book: Rulebook,
) -> list[Fact]:
    template = spare_template(demand.topic) if demand.spare else demand_template(demand.topic)
    own = {name: value(f"{demand.topic}.{name}", expression) for name, expression in demand.parameters}
    text = fill(demand.text, bound, book)
    if demand.value is not None:
        own["value"] = value(f"{demand.topic}.value", demand.value)
        return [Fact(template, f"{template}|{own['value']}", own, text=text)]
    if demand.items:
        return [
            Fact(
                template,
                f"{template}|{item}|{own or ''}",
                {**own, "item": Words(frozenset([item]))},
                text=text,
            )
            for item in demand.items
        ]
    return [Fact(template, f"{template}|{rule.rule.rule}.{number}|{text}", {}, text=text)]


def _exclusions(
    rule: CompiledRule,
    number: int,
    entry: Exclusion,
    names: tuple[tuple[str, str], ...],
    bound: Mapping[str, Fact],
    book: Rulebook,
    *,
    certain: bool,
) -> list[Fact]:
    text = fill(entry.text, bound, book)
    slots = {alias: fact.slots for alias, fact in bound.items()}
    materials = candidates(book.tables["materials"])
    agents = book.tables["agents"].rows if "agents" in book.tables else None
    columns = book.tables["materials"].columns
    changed = replace(entry, text=text)
    found = exclude(changed, slots, materials, book.matrix(), certain=certain, agents=agents, columns=columns)
    if not all(fact.certain for fact in bound.values()):
        # Nothing was told of what would rule them out: they are not proven, but not ruled out either.
        found = {"unknown": {key: "hangs on what is not told yet" for names in found.values() for key in names}}
    template = demand_template(MATERIAL)
    where = ",".join(identity for _, identity in names)
    return [
        Fact(
            template,
            f"{template}|{rule.rule.rule}.{number}.{rule.variant}|{where}|{rating}",
            {"item": Words(frozenset(reasons)), "rating": Words(frozenset([rating])), "roles": Words(entry.roles)},
            text=text,
            reasons=reasons,
        )
        for rating, reasons in found.items()
    ]


def pattern_holds(rule: CompiledRule, index: int, fact: Fact, certain: bool) -> bool:
    """Tell whether a fact may be bound to the rule's pattern in the given reading."""
    pattern = rule.patterns[index]
    if certain and not fact.certain:
        return False
    slots = fact.slots
    for test in pattern.tests:
        if not holds(test, slots.get(test.slot), certain):
            return False
    for test in pattern.refusals:  # noqa: SIM110 - asked millions of times, where a generator takes twice as long
        if holds(test, slots.get(test.slot), not certain):
            return False
    return True
