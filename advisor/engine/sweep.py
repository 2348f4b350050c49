"""One site under many values of a few answers: the quick evaluator, spared all that does not hang on those answers.

The rules that read none of the varied answers, and nothing that hangs on them, are evaluated once. The others are
evaluated at every step, and what a rule computes is kept by the values it reads, so that on a grid a rule that reads
one axis is computed once a column. The demands are those of `advise` (held by a test); texts are left empty, a note has
the name of its rule for a text, so that all notes of a rule on one topic are one, and a material has its ratings
without the reasons.
"""

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from advisor.engine.bounds import evaluate
from advisor.engine.compiled import CompiledRule, demand_template, expressions_of
from advisor.engine.exclusion import ByResistance
from advisor.engine.expressions import Bindings, Expression, Ref, Trace, references
from advisor.engine.expressions import evaluate as compute
from advisor.engine.facts import Fact, Run
from advisor.engine.firing import conclude, kept_apart, pattern_holds
from advisor.engine.steps import ResistanceSteps
from advisor.rulebook import Rulebook
from advisor.values import Domain, Words

Varied = Mapping[str, frozenset[str]]
"""By the id of a fact, the slots of it that vary."""
Values = Mapping[tuple[str, str], Domain]
"""By fact and slot, the value at one step."""


@dataclass(frozen=True)
class Made:
    """Demand facts of one reading by their template, and which rules made each."""

    facts: Mapping[str, Sequence[Fact]]
    makers: Mapping[str, frozenset[str]]


@dataclass
class _Plan:
    """A rule that hangs on what varies: which facts that do not vary fit its patterns, and which slots it computes."""

    rule: CompiledRule
    fixed: tuple[tuple[Fact, ...], ...]
    reads: tuple[tuple[str, ...], ...]
    by_reading: bool
    by_resistance: bool
    """It does nothing but rule materials out by the resistance matrix."""
    hangs_on: tuple[tuple[str, str], ...]
    """The varied answers, as (fact, slot), from which something reaches it."""
    kept: dict[tuple[object, ...], list[Fact]] = field(default_factory=dict)
    """Conclusions by what they are computed from, in either reading."""
    fired: dict[tuple[object, ...], list[Fact]] = field(default_factory=dict)
    """All that it concluded in this reading, by the values of what it hangs on."""


class Sweep:
    """All steps of one site. Raises EngineError when a rule's computation fails."""

    def __init__(self, rules: Sequence[CompiledRule], facts: Iterable[Fact], varied: Varied, book: Rulebook) -> None:
        self.book = book
        self._steps = ResistanceSteps(book.matrix)
        self._computed: dict[tuple[object, ...], Trace] = {}
        self._refs: dict[int, tuple[Ref, ...]] = {}
        self._same: dict[tuple[object, ...], Fact] = {}
        given = {fact.id: fact for fact in facts}
        self._varied = {name: given.pop(name) for name in varied}
        places = [(name, slot) for name, own in sorted(varied.items()) for slot in sorted(own)]
        reached: dict[tuple[str, int], list[tuple[str, str]]] = {}
        for name, slot in places:
            for rule in dependent(rules, {(self._varied[name].template, slot)}):
                reached.setdefault((rule.rule.rule, rule.variant), []).append((name, slot))
        hanging = [rule for rule in rules if (rule.rule.rule, rule.variant) in reached]
        self.hanging = frozenset(template for rule in hanging for template in _produced(rule))
        """Templates of which some fact hangs on what varies."""
        stripped = [bare(rule) for rule in rules]
        fixed_rules = [rule for rule in stripped if (rule.rule.rule, rule.variant) not in reached]
        moving = [(rule, on) for rule in stripped if (on := tuple(reached.get((rule.rule.rule, rule.variant), ())))]
        self._fixed: dict[bool, Run] = {}
        self._plans: dict[bool, list[_Plan]] = {}
        # A rule that reads no varied slot may bind the instance all the same: it sees it with its first values.
        everything = [*given.values(), *self._varied.values()]
        for certain in (True, False):
            run = evaluate(fixed_rules, everything, book, certain=certain)
            self._fixed[certain] = run
            self._plans[certain] = [self._plan(rule, on, run, certain) for rule, on in moving]
        for first, second in zip(self._plans[True], self._plans[False], strict=True):
            second.kept = first.kept

    def fixed(self, *, certain: bool) -> Made:
        """Return what does not hang on what varies."""
        run = self._fixed[certain]
        made: dict[str, list[Fact]] = {}
        for fact in run.facts.values():
            if fact.id in run.justifications:
                made.setdefault(fact.template, []).append(fact)
        makers = {key: frozenset(why.rule for why in reasons) for key, reasons in run.justifications.items()}
        return Made(made, makers)

    def at(self, values: Values, *, certain: bool) -> Made:
        """Return what hangs on the varied answers when they have these values."""
        own: dict[str, dict[str, Fact]] = {}
        makers: dict[str, frozenset[str]] = {}
        for name, fact in self._varied.items():
            told = {slot: value for (of, slot), value in values.items() if of == name}
            own.setdefault(fact.template, {})[name] = replace(fact, slots={**fact.slots, **told})
        made: dict[str, dict[str, Fact]] = {}
        for plan in self._plans[certain]:
            key = tuple(values[place] for place in plan.hangs_on)
            concluded = plan.fired.get(key)
            if concluded is None:
                concluded = plan.fired[key] = self._fire(plan, own, certain)
            for fact in concluded:
                maker = plan.rule.rule.rule
                makers[fact.id] = makers.get(fact.id, frozenset()) | {maker}
                own.setdefault(fact.template, {}).setdefault(fact.id, fact)
                made.setdefault(fact.template, {}).setdefault(fact.id, fact)
        return Made({template: list(found.values()) for template, found in made.items()}, makers)

    def _plan(self, rule: CompiledRule, on: tuple[tuple[str, str], ...], run: Run, certain: bool) -> _Plan:
        by_template: dict[str, list[Fact]] = {}
        for fact in run.facts.values():
            if fact.id not in self._varied:
                by_template.setdefault(fact.template, []).append(fact)
        fixed = tuple(
            tuple(fact for fact in by_template.get(p.template, ()) if pattern_holds(rule, index, fact, certain))
            for index, p in enumerate(rule.patterns)
        )
        refs = read_by(rule)
        reads = tuple(tuple(sorted(slot for alias, slot in refs if alias == p.alias)) for p in rule.patterns)
        means = [d.exclusion.means if d.exclusion is not None else None for d in rule.demands]
        only = not rule.derives and all(isinstance(entry, ByResistance) for entry in means)
        return _Plan(rule, fixed, reads, any(entry is not None for entry in means), only, on)

    def _fire(self, plan: _Plan, own: Mapping[str, Mapping[str, Fact]], certain: bool) -> list[Fact]:
        rule, choices = plan.rule, []
        for index, pattern in enumerate(rule.patterns):
            moving = [f for f in own.get(pattern.template, {}).values() if pattern_holds(rule, index, f, certain)]
            if not moving and not plan.fixed[index]:
                return []
            choices.append([*plan.fixed[index], *moving])
        concluded: list[Fact] = []
        for chosen in itertools.product(*choices):
            key = self._key(plan, chosen, certain)
            found = plan.kept.get(key)
            if found is None:
                found = plan.kept[key] = self._conclude(rule, chosen, certain)
            concluded += found
        return concluded

    def _key(self, plan: _Plan, chosen: Sequence[Fact], certain: bool) -> tuple[object, ...]:
        """What a firing's conclusions hang on: the facts and the values that it computes with."""
        names = tuple((fact.id, fact.certain) for fact in chosen)
        if plan.by_resistance:
            slots = {p.alias: fact.slots for p, fact in zip(plan.rule.patterns, chosen, strict=True)}
            return certain, names, self._steps.of(plan.rule, slots, certain=certain)
        values = tuple(tuple(map(f.slots.get, reads)) for f, reads in zip(chosen, plan.reads, strict=True))
        return certain if plan.by_reading else None, names, values

    def _conclude(self, rule: CompiledRule, chosen: Sequence[Fact], certain: bool) -> list[Fact]:
        bound = {pattern.alias: fact for pattern, fact in zip(rule.patterns, chosen, strict=True)}
        if not kept_apart(rule, bound):
            return []
        found = conclude(rule, bound, self.book, certain=certain, compute=self._compute)[0]
        # Facts that rule materials out are named by their firing; equal ones are made one, for a quick look-up.
        return [self._same.setdefault((f.id, _words(f)), f) if f.reasons else f for f in found]

    def _compute(self, expression: Expression, bindings: Bindings) -> Trace:
        refs = self._refs.get(id(expression))
        if refs is None:
            refs = self._refs[id(expression)] = tuple(references(expression))
        key = (id(expression), *(bindings[ref.alias].get(ref.slot) for ref in refs))
        if key not in self._computed:
            self._computed[key] = compute(expression, bindings)
        return self._computed[key]


def dependent(rules: Sequence[CompiledRule], slots: set[tuple[str, str]]) -> list[CompiledRule]:
    """Return the rules that read one of the (template, slot), or rest on what such a rule concludes.

    The rules must stand in layers, as they are compiled.
    """
    found: list[CompiledRule] = []
    hanging: set[str] = set()
    for rule in rules:
        refs = read_by(rule)
        read = {(pattern.template, slot) for pattern in rule.patterns for alias, slot in refs if alias == pattern.alias}
        read |= {(p.template, test.slot) for p in rule.patterns for test in (*p.tests, *p.refusals)}
        if read & slots or any(pattern.template in hanging for pattern in rule.patterns):
            found.append(rule)
            hanging |= _produced(rule)
    return found


def _words(fact: Fact) -> frozenset[str]:
    item = fact.slots["item"]
    assert isinstance(item, Words)
    return item.options


def _produced(rule: CompiledRule) -> set[str]:
    return {name for name, _ in rule.derives} | {demand_template(d.topic) for d in rule.demands if not d.spare}


def read_by(rule: CompiledRule) -> set[tuple[str, str]]:
    """Return the (alias, slot) with which a rule computes."""
    used = [expression for _, slots in rule.derives for _, expression in slots]
    for demand in rule.demands:
        used += expressions_of(demand)
    return {(ref.alias, ref.slot) for expression in used for ref in references(expression)}


def bare(rule: CompiledRule) -> CompiledRule:
    """Return the rule without what may be left out, and with its own name as the text of each note."""
    demands = tuple(
        replace(
            d,
            text="" if d.items or d.value is not None else rule.rule.rule,
            exclusion=replace(d.exclusion, text="") if d.exclusion else None,
        )
        for d in rule.demands
        if not d.spare
    )
    return replace(rule, demands=demands)
