"""A second opinion: the rules as they are written, fired in the plainest way, without any of the engine.

All rules are tried on all facts until nothing new comes. Sites must be told in full: no answer open, no instance in
doubt. `oracle_values` understands conditions and values; only units, tables and the bare formulas are shared.
"""

import itertools
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from oracle_conclusions import demanded
from oracle_values import Value, holds, union, value

from advisor.rulebook import Rule, Rulebook
from advisor.vocabulary import Slot

Facts = dict[Any, tuple[str, frozenset[str], dict[str, Value]]]
"""What names a fact: its template, the told instances it rests on, and its slots."""


class Naive:
    """Runs a rulebook in one reading, `sure` or possible."""

    def __init__(self, book: Rulebook, *, sure: bool) -> None:
        self.book, self.sure, self.fired, self.names = book, sure, set[str](), dict[Any, int]()

    def run(self, told: Facts) -> Facts:
        """Return all facts, told and concluded."""
        rules = list(self.book.rules.values())
        facts = self.exhaust([rule for rule in rules if not rule.pool], told)
        pools: dict[Any, list[dict[str, Value]]] = {}
        for rule in (rule for rule in rules if rule.pool):
            for template, roots, slots in self.once([rule], facts).values():
                pools.setdefault((rule.rule, template, roots), []).append(slots)
        pooled = {key: (*key[1:], {name: union([slots[name] for slots in group]) for name in group[0]})
                  for key, group in pools.items()}  # fmt: skip
        return self.exhaust([rule for rule in rules if not rule.pool], {**facts, **pooled})

    def exhaust(self, rules: list[Rule], facts: Facts) -> Facts:
        size = -1
        while len(facts) > size:
            size, facts = len(facts), {**facts, **self.once(rules, facts)}
        return facts

    def once(self, rules: list[Rule], facts: Facts) -> Facts:
        found, by_template = Facts(), defaultdict[str, list[Any]](list)
        for key, fact in facts.items():
            by_template[fact[0]].append((key, fact))
        for rule in rules:
            for variant, more in enumerate(rule.any_of or [[]]):
                for bound in self.bindings(rule, [*rule.when, *more], by_template):
                    found.update(self.concluded(rule, variant, bound, facts))
        return found

    def bindings(self, rule: Rule, patterns: list[Any], facts: Any) -> Iterator[dict[str, Any]]:
        """Every way to bind the rule's patterns: the name of a fact for each alias."""
        entries = {key.partition(" as ")[2] or key: (key.partition(" as ")[0], wanted, [])
                   for pattern in patterns for key, wanted in pattern.items()}  # fmt: skip
        for name, refused in (pair for entry in rule.unless for pair in entry.items()):
            entries.setdefault(name, (name, {}, []))[2].extend(refused.items())
        for chosen in itertools.product(*(self.fitting(facts, *entry) for entry in entries.values())):
            apart = [fact[1] for alias, (_, fact) in zip(entries, chosen, strict=True) if alias in rule.apart]
            if not any(one & other for one, other in itertools.combinations(apart, 2)):
                yield {alias: key for alias, (key, _) in zip(entries, chosen, strict=True)}

    def fitting(self, facts: Any, template: str, wanted: dict[str, Any], refused: list[Any]) -> list[Any]:
        name = f"demand {wanted['topic']}" if template == "demand" else template
        slots, tables, asked = (
            self.slots(name),
            self.book.tables,
            [pair for pair in wanted.items() if pair[0] != "topic"],
        )

        def meets(slot: str, raw: Any, own: dict[str, Value], sure: bool) -> bool:
            return holds(slots[slot], raw, own.get(slot), sure, tables)

        return [(key, fact) for key, fact in facts[name]
                if all(meets(*pair, fact[2], self.sure) for pair in asked)
                and not any(meets(*pair, fact[2], not self.sure) for pair in refused)]  # fmt: skip

    def slots(self, name: str) -> dict[str, Slot]:
        """What can be asked of a template, or of the demands on a topic."""
        known = self.book.vocabulary
        if not name.startswith("demand "):
            return known.templates[name].by_name
        topic = known.topics[name[7:]]
        figures = {**topic.parameters, **({"value": topic.unit} if topic.join in ("highest", "lowest") else {})}
        made = {n: Slot(slot=n, unit=u, number=u is None, plausible="-1e9 .. 1e9 " + (u or ""),
                        difference=topic.difference) for n, u in figures.items()}  # fmt: skip
        return {**made, "item": Slot(slot="item", row=topic.table)} if topic.join == "codes" else made

    def concluded(self, rule: Rule, variant: int, bound: dict[str, Any], facts: Facts) -> Facts:
        """What one firing concludes; nothing where a slot that it reads does not apply."""
        roots, done = frozenset().union(*(facts[key][1] for key in bound.values())), Facts()

        def read(text: str) -> tuple[Slot, Value] | None:
            alias, _, slot = text.partition(".")
            fact = facts[bound[alias]] if alias in bound and slot else None
            return (self.slots(fact[0])[slot], fact[2].get(slot)) if fact else None

        def worked(raw: Any, slot: Slot | None, unit: str) -> Value:
            found = value(raw, slot, unit, read, self.book.tables)
            if found is None:
                raise LookupError
            return found

        where = tuple(sorted(bound.items()))
        try:
            for name, entries in rule.derive.items():
                slots = self.slots(name)
                own = {key: worked(raw, slots[key], slots[key].unit or "") for key, raw in entries.items()}
                done[self.names.setdefault((name, rule.rule, variant, where), len(self.names))] = (name, roots, own)
            for number, entry in enumerate(rule.then):
                if rule.certain_only and not self.sure and entry.exclude is not None:
                    continue
                named = f"{rule.rule}.{number}"
                done |= demanded(named, entry, where, self.slots, worked, self.book, sure=self.sure)
        except LookupError:
            return {}
        self.fired.add(rule.rule)
        return done
