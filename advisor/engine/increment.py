"""The quick evaluator for what-ifs: one finished run, and how it changes when a few answers change.

Only the rules that read a changed template are looked at again, and those above them whose premises came out
otherwise; everything else keeps its firings. The changed run holds the same facts and justifications as a new run of
`bounds.evaluate` on the changed answers; a property test holds the two together. Nothing here is changed by a
what-if, so that any number may be asked of one start.
"""

import heapq
import itertools
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from advisor.engine.compiled import FIELD, CompiledRule, expressions_of
from advisor.engine.expressions import references
from advisor.engine.facts import Fact, Justification, Run
from advisor.engine.firing import Conclusions, count_firing, kept_apart, pattern_holds
from advisor.engine.layers import produced
from advisor.rulebook import Rulebook

Firing = tuple[list[Fact], Justification]
Lookup = Callable[[str], Sequence[Fact]]


class RuleIndex:
    """The rules in their order, by the templates that they read and that they conclude."""

    def __init__(self, rules: Sequence[CompiledRule]) -> None:
        self.rules = tuple(rules)
        self.readers: dict[str, list[tuple[int, frozenset[str]]]] = {}
        """By template: a rule's number, and the slots of the template that it reads."""
        self.makers: dict[str, list[int]] = {}
        for number, rule in enumerate(self.rules):
            for template, slots in _read(rule).items():
                self.readers.setdefault(template, []).append((number, frozenset(slots)))
            for template in produced(rule):
                self.makers.setdefault(template, []).append(number)

    def reading(self, template: str, slots: frozenset[str] | None) -> list[int]:
        """Return the numbers of the rules that read any of the slots; None stands for all of the template."""
        return [
            number for number, read in self.readers.get(template, ()) if slots is None or not slots.isdisjoint(read)
        ]


def _read(rule: CompiledRule) -> dict[str, set[str]]:
    """Return every slot that a firing of the rule depends on, by template."""
    templates = {pattern.alias: pattern.template for pattern in rule.patterns}
    found: dict[str, set[str]] = {template: set() for template in templates.values()}
    for pattern in rule.patterns:
        found[pattern.template].update(test.slot for test in (*pattern.tests, *pattern.refusals))
    expressions = [expression for _, entries in rule.derives for _, expression in entries]
    texts = []
    for demand in rule.demands:
        expressions += expressions_of(demand)
        texts += [demand.text, demand.exclusion.text if demand.exclusion is not None else ""]
    pairs = [(ref.alias, ref.slot) for expression in expressions for ref in references(expression)]
    pairs += [(alias, slot) for text in texts for alias, slot in FIELD.findall(text)]
    if rule.rule.worst is not None:
        alias, _, slot = rule.rule.worst.partition(".")
        pairs.append((alias, slot))
    for alias, slot in pairs:
        if alias in templates:
            found[templates[alias]].add(slot)
    return found


@dataclass(frozen=True)
class Changed:
    """The run after a change, and the templates of which any fact or reason is new, gone or other."""

    run: Run
    touched: frozenset[str]


class Increment:
    """A run of one reading from which what-ifs start. Raises EngineError, as every run does."""

    def __init__(self, index: RuleIndex, facts: Iterable[Fact], book: Rulebook, *, certain: bool) -> None:
        self.index, self.book, self.certain = index, book, certain
        self._given: dict[str, list[Fact]] = {}
        for fact in facts:
            if fact.certain or not certain:
                self._given.setdefault(fact.template, []).append(fact)
        self._firings: list[list[Firing]] = []
        self._objects: dict[str, Fact] = {fact.id: fact for entries in self._given.values() for fact in entries}
        self._known: dict[tuple[object, ...], Firing] = {}
        self._by_template: dict[str, list[Fact]] = {name: list(entries) for name, entries in self._given.items()}
        self.run = Run({fact.id: fact for fact in self._objects.values()})
        conclusions = Conclusions(book)
        for rule in self.index.rules:
            firings = self._fire(rule, lambda name: self._by_template.get(name, ()), conclusions, self.run)
            self._firings.append(firings)
            for firing in firings:
                concluded, why = firing
                self._known[why.key] = firing
                for fact in concluded:
                    if self.run.record(fact, why):
                        self._by_template.setdefault(fact.template, []).append(fact)
                        self._objects[fact.id] = fact
        self.run.settle()
        self._parts = _by_template(self.run)

    def change(self, given: Mapping[str, Sequence[Fact]], conclusions: Conclusions) -> Changed:
        """Return the run in which the named templates have these given facts instead of their own.

        `conclusions` may be shared by the two readings of one what-if, never by two what-ifs.
        """
        now: dict[str, Sequence[Fact]] = {
            name: [fact for fact in facts if fact.certain or not self.certain] for name, facts in given.items()
        }
        fired: dict[int, list[Firing]] = {}
        touched: set[str] = set()
        waiting: list[int] = []
        for name, facts in now.items():
            slots = _other_slots(facts, self._given.get(name, ()))
            if slots is None or slots:
                touched.add(name)
                waiting += self.index.reading(name, slots)
        heapq.heapify(waiting)
        counted = Run()

        def lookup(name: str) -> Sequence[Fact]:
            if name not in now:
                now[name] = self._facts_of(name, fired) if name in touched else self._by_template.get(name, ())
            return now[name]

        last = -1
        while waiting:
            number = heapq.heappop(waiting)
            if number == last:
                continue
            last = number
            rule = self.index.rules[number]
            firings, before = self._fire(rule, lookup, conclusions, counted), self._firings[number]
            if len(firings) == len(before) and all(a is b for a, b in zip(firings, before, strict=True)):
                continue
            fired[number] = firings
            # Other rules may conclude the same template: what of it is other shows only when all have had their turn,
            # which they have when the first reader's comes. So the readers are all called, and their slots decide.
            for name in {fact.template for concluded, _ in (*firings, *before) for fact in concluded} - touched:
                touched.add(name)
                for reader in self.index.reading(name, None):
                    heapq.heappush(waiting, reader)
        return Changed(self._changed_run(now, touched, fired), frozenset(touched))

    def _fire(self, rule: CompiledRule, lookup: Lookup, conclusions: Conclusions, counted: Run) -> list[Firing]:
        choices = []
        for place, pattern in enumerate(rule.patterns):
            fitting = [fact for fact in lookup(pattern.template) if pattern_holds(rule, place, fact, self.certain)]
            if not fitting:
                return []
            choices.append(fitting)
        firings = []
        for chosen in itertools.product(*choices):
            bound = {pattern.alias: fact for pattern, fact in zip(rule.patterns, chosen, strict=True)}
            if not kept_apart(rule, bound):
                continue
            count_firing(counted, rule, self.book)
            key = (rule.rule.rule, rule.variant, tuple(sorted((alias, fact.id) for alias, fact in bound.items())))
            known = self._known.get(key)
            if known is None or not all(self._objects.get(fact.id) is fact for fact in chosen):
                known = conclusions.of(rule, bound, certain=self.certain)
            firings.append(known)
        return firings

    def _facts_of(self, name: str, fired: Mapping[int, list[Firing]]) -> list[Fact]:
        """All concluded facts of a template, the unchanged ones as the very objects of the start."""
        found: dict[str, Fact] = {}
        for number in self.index.makers.get(name, ()):
            for concluded, _ in fired.get(number, self._firings[number]):
                for fact in concluded:
                    if fact.template == name and fact.id not in found:
                        old = self._objects.get(fact.id)
                        found[fact.id] = old if old is not None and _same(old, fact) else fact
        return list(found.values())

    def _changed_run(
        self, now: Mapping[str, Sequence[Fact]], touched: set[str], fired: Mapping[int, list[Firing]]
    ) -> Run:
        run = Run()
        by_template: dict[str, list[Fact]] = {}
        for name, part in self._parts.items():
            if name not in touched:
                by_template[name] = part.of(name)
                run.facts.update(part.facts)
                run.justifications.update(part.justifications)
                run.texts.update(part.texts)
        for name in touched:
            if name in self.index.makers:
                for number in self.index.makers[name]:
                    for concluded, why in fired.get(number, self._firings[number]):
                        for fact in concluded:
                            if fact.template == name and run.record(fact, why):
                                by_template.setdefault(name, []).append(run.facts[fact.id])
            else:
                by_template[name] = list(now[name])
                run.facts.update((fact.id, fact) for fact in now[name])
        run.lay_out(by_template)
        return run


def _by_template(run: Run) -> dict[str, Run]:
    """Return the parts of a run that speak of each template."""
    parts: dict[str, Run] = {}
    for identity, fact in run.facts.items():
        part = parts.setdefault(fact.template, Run())
        part.facts[identity] = fact
        if identity in run.justifications:
            part.justifications[identity] = run.justifications[identity]
    for key, text in run.texts.items():
        parts[run.facts[key[0]].template].texts[key] = text
    return parts


def _other_slots(now: Sequence[Fact], before: Sequence[Fact]) -> frozenset[str] | None:
    """Return the slots in which two lists of the same facts differ; None where they are not the same facts."""
    if len(now) != len(before):
        return None
    found: set[str] = set()
    for new, old in zip(now, before, strict=True):
        if new is old:
            continue
        if (new.id, new.certain, new.label, new.roots) != (old.id, old.certain, old.label, old.roots):
            return None
        found |= {name for name in {*new.slots, *old.slots} if new.slots.get(name) != old.slots.get(name)}
    return frozenset(found)


def _same(first: Fact, second: Fact) -> bool:
    return first is second or (
        first == second
        and (first.label, first.roots) == (second.label, second.roots)
        and first.reasons == second.reasons
        and first.text == second.text
    )
