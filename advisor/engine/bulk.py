"""The quick evaluator for many sites, one after another: a rule that sees what it has seen before is not run again.

What a rule concludes hangs on those slots of the facts it binds that it tests or computes with. These views of the
facts are numbered as they are met, and the conclusions of a rule are kept by the numbers of its views, for all sites to
come. Sites of one plant share most of their answers, so that most rules see nothing new. Conclusions are as those of
`bounds`, held by a test, but for texts: those are left out, a note has the name of its rule for a text.
"""

import itertools
from collections.abc import Iterable, Sequence

from advisor.engine.compiled import CompiledRule
from advisor.engine.facts import Fact
from advisor.engine.firing import conclude, kept_apart, pattern_holds
from advisor.engine.sweep import Made, bare, read_by
from advisor.rulebook import Rulebook

MOST_KEPT = 200_000
"""Conclusions kept; beyond that all are forgotten, so that sites without end need no memory without end."""


class Bulk:
    """All rules of a rulebook, ready for many sites. Raises EngineError when a rule's computation fails."""

    def __init__(self, rules: Sequence[CompiledRule], book: Rulebook) -> None:
        self.book = book
        self._views: list[tuple[str, tuple[str, ...]]] = []
        places: dict[tuple[str, tuple[str, ...]], int] = {}
        self._rules: list[tuple[CompiledRule, frozenset[str], tuple[int, ...]]] = []
        for rule in rules:
            views = tuple(_views(rule))
            for view in views:
                if view not in places:
                    places[view] = len(self._views)
                    self._views.append(view)
            templates = frozenset(pattern.template for pattern in rule.patterns)
            self._rules.append((bare(rule), templates, tuple(places[view] for view in views)))
        self._of_template: dict[str, list[int]] = {}
        for place, (template, _) in enumerate(self._views):
            self._of_template.setdefault(template, []).append(place)
        self._numbers: dict[tuple[object, ...], int] = {}
        self._kept: dict[tuple[int, ...], tuple[Fact, ...]] = {}
        self._same: dict[tuple[object, ...], Fact] = {}

    def run(self, facts: Iterable[Fact], *, certain: bool) -> Made:
        """Return what the rules conclude from the facts of one site in the given reading."""
        if len(self._kept) > MOST_KEPT:
            for kept in (self._kept, self._numbers, self._same):
                kept.clear()
        by_template: dict[str, dict[str, Fact]] = {}
        for fact in facts:
            by_template.setdefault(fact.template, {})[fact.id] = fact
        present = set(by_template)
        seen = [-1] * len(self._views)
        makers: dict[str, set[str]] = {}
        made: dict[str, dict[str, Fact]] = {}
        for number, (rule, templates, views) in enumerate(self._rules):
            if not templates <= present:
                continue
            for view in views:
                if seen[view] < 0:
                    seen[view] = self._number(view, by_template[self._views[view][0]])
            key = (number, int(certain), *[seen[view] for view in views])
            concluded = self._kept.get(key)
            if concluded is None:
                concluded = self._kept[key] = self._fire(rule, by_template, certain)
            for fact in concluded:
                makers.setdefault(fact.id, set()).add(rule.rule.rule)
                own = by_template.setdefault(fact.template, {})
                if fact.id not in own:
                    own[fact.id] = fact
                    present.add(fact.template)
                    made.setdefault(fact.template, {})[fact.id] = fact
                    for view in self._of_template.get(fact.template, ()):
                        seen[view] = -1
        return Made(
            {template: tuple(found.values()) for template, found in made.items()},
            {name: frozenset(rules) for name, rules in makers.items()},
        )

    def _number(self, view: int, facts: dict[str, Fact]) -> int:
        slots = self._views[view][1]
        content = tuple((f.id, f.certain, *map(f.slots.get, slots)) for f in facts.values())
        return self._numbers.setdefault((view, content), len(self._numbers))

    def _fire(self, rule: CompiledRule, by_template: dict[str, dict[str, Fact]], certain: bool) -> tuple[Fact, ...]:
        choices = []
        for index, pattern in enumerate(rule.patterns):
            own = [f for f in by_template[pattern.template].values() if pattern_holds(rule, index, f, certain)]
            if not own:
                return ()
            choices.append(own)
        found: list[Fact] = []
        for chosen in itertools.product(*choices):
            bound = {pattern.alias: fact for pattern, fact in zip(rule.patterns, chosen, strict=True)}
            if kept_apart(rule, bound):
                found += conclude(rule, bound, self.book, certain=certain)[0]
        # Equal facts that rule materials out are one object, by which their ratings are kept.
        return tuple(self._same.setdefault((f.id, f.slots["item"]), f) if f.reasons else f for f in found)


def _views(rule: CompiledRule) -> Iterable[tuple[str, tuple[str, ...]]]:
    """Return, for each pattern, its template and the slots of it that the rule tests or computes with."""
    read = read_by(rule)
    for pattern in rule.patterns:
        slots = {slot for alias, slot in read if alias == pattern.alias}
        slots |= {test.slot for test in (*pattern.tests, *pattern.refusals)}
        yield pattern.template, tuple(sorted(slots))
