"""What can notice a wrong rulebook: the rules' own examples, the cases at their edges, the sites of the case book with
what they expect, and for a table cell its second reading.

Each is run once with the right rulebook. A mutant can only be noticed where the changed rule then fires on other facts,
or concludes something else; that is tried on the facts of the right run, and only what it tells apart is run anew.
"""

import functools
import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import edges
import readings_compare
import test_sites
from mutants import Mutant, Name

from advisor.advise import gather
from advisor.engine.bounds import evaluate
from advisor.engine.compiled import CompiledRule
from advisor.engine.facts import Fact
from advisor.engine.firing import Conclusions, EngineError, kept_apart, pattern_holds
from advisor.engine.layers import consumed, produced
from advisor.loading import Loaded
from advisor.rulecheck import example_site, fired
from advisor.site import Site, read_site
from advisor.yamlfile import Document


@dataclass
class Watcher:
    """A site with what is expected of it, and what the right rulebook makes of it."""

    name: str
    site: Site
    case: Mapping[str, Any] | None = None
    """An entry of the case book, or None for an example or an edge of `rule`."""
    rule: str = ""
    fires: bool = True
    edge: edges.Edge | None = None
    fired: set[str] = field(default_factory=set)
    known: Any = None
    bound: dict[tuple[Name, bool], set[tuple[str, ...]]] = field(default_factory=dict)
    facts: dict[bool, dict[str, list[Fact]]] = field(default_factory=dict)


class Watch:
    """All watchers of a rulebook, and the question whether any of them notices a mutant."""

    def __init__(self, loaded: Loaded) -> None:
        self.loaded, self.watchers = loaded, [*_examples(loaded), *_edges(loaded)]
        self.read = {
            (reading.table, reading.row, reading.column): reading
            for path in readings_compare.files()
            for reading in readings_compare.readings(path)
        }
        self.rules = {(entry.rule.rule, entry.variant): entry for entry in loaded.rules}
        self.reach = Reach(loaded)
        for parameters in test_sites.cases():
            case = parameters.values[0]
            data = {"site": case["case"], "others": "none", **case["site"]}
            site = read_site(Document(case["case"], data), loaded.book)
            self.watchers.append(Watcher(f"case {case['case']}", site, case))
        for watcher in self.watchers:
            self._prepare(watcher)

    def _prepare(self, watcher: Watcher) -> None:
        rules = self.loaded.rules if watcher.case is not None else self._only(self.reach.below(watcher.rule), {})
        watcher.known = Conclusions(self.loaded.book)
        for certain in (True, False) if watcher.case is not None else (True,):
            given = [fact for fact in watcher.site.facts() if fact.certain or not certain]
            run = evaluate(rules, given, self.loaded.book, certain=certain, conclusions=watcher.known)
            watcher.fired |= {why.rule for reasons in run.justifications.values() for why in reasons}
            by: dict[str, list[Fact]] = {}
            for fact in run.facts.values():
                by.setdefault(fact.template, []).append(fact)
            watcher.facts[certain] = by

    def _only(self, names: set[str], changed: Mapping[Name, CompiledRule | None]) -> list[CompiledRule]:
        new = {**self.rules, **changed}
        return [entry for (name, _), entry in new.items() if entry is not None and name in names]

    def noticed_by(self, mutant: Mutant) -> str:
        """Return the name of a watcher that notices the mutant, or nothing."""
        if mutant.same:
            return ""
        if mutant.cell is not None and self._read_otherwise(*mutant.cell, mutant):
            return "second reading"
        names = {name for name, _ in mutant.changed}
        touched = set().union(*(self.reach.above(name) for name in names))
        own = [watcher for watcher in self.watchers if watcher.case is not None or watcher.rule in touched]
        for watcher in sorted(own, key=lambda watcher: watcher.rule not in names):
            if any(self._differs(watcher, name, new, mutant) for name, new in mutant.changed.items()):
                needed = watcher.fired | touched if watcher.case is not None else self.reach.below(watcher.rule)
                if self._fails(watcher, self._only(needed, mutant.changed), touched, mutant):
                    return watcher.name
        return ""

    def _differs(self, watcher: Watcher, name: Name, new: CompiledRule | None, mutant: Mutant) -> bool:
        """Whether a rule does something else on the facts of the right run."""
        old = self.rules[name]
        for certain, facts in watcher.facts.items():
            if (name, certain) not in watcher.bound:
                watcher.bound[name, certain] = set(_bindings(old, facts, certain))
            before = watcher.bound[name, certain]
            if before != (set(_bindings(new, facts, certain)) if new is not None else set()):
                return True
            other = new is not None and (old.derives, old.demands) != (new.derives, new.demands)
            if before and (other or mutant.book is not None):
                return True
        return False

    def _read_otherwise(self, table: str, row: str, column: str, mutant: Mutant) -> bool:
        reading = self.read.get((table, row, column))
        return reading is not None and bool(readings_compare.difference(reading, mutant.book.tables[table]))

    def _fails(self, watcher: Watcher, rules: Sequence[CompiledRule], touched: set[str], mutant: Mutant) -> bool:
        book = mutant.book or self.loaded.book
        known = Conclusions(book)
        known._known = {key: what for key, what in watcher.known._known.items() if key[0] not in touched}
        given = watcher.site.facts()
        try:
            sure = [fact for fact in given if fact.certain]
            certain = evaluate(rules, sure, book, certain=True, conclusions=known)
            if watcher.edge is not None:
                return bool(edges.faults(watcher.edge, certain, book))
            if watcher.case is None:
                return (watcher.rule in fired(certain)) != watcher.fires
            possible = evaluate(rules, given, book, certain=False, conclusions=known)
            advice = gather(watcher.site, certain, possible, book, tuple(rules))
            return bool(test_sites.faults(watcher.case, advice, book))
        except (EngineError, ValueError, LookupError, TypeError, AssertionError):
            return True


class Reach:
    """Which rules a rule rests on, and which rest on it, through what they conclude; each with the rule itself."""

    def __init__(self, loaded: Loaded) -> None:
        self._makers: dict[str, set[str]] = {}
        self._users: dict[str, set[str]] = {}
        self._makes: dict[str, set[str]] = {}
        self._uses: dict[str, set[str]] = {}
        for entry in loaded.rules:
            name = entry.rule.rule
            for template in produced(entry):
                self._makers.setdefault(template, set()).add(name)
                self._makes.setdefault(name, set()).add(template)
            for template in consumed(entry, loaded.book):
                self._users.setdefault(template, set()).add(name)
                self._uses.setdefault(name, set()).add(template)

    @functools.cache  # noqa: B019 - one for a run
    def below(self, name: str) -> set[str]:
        return self._closed(name, self._uses, self._makers)

    @functools.cache  # noqa: B019
    def above(self, name: str) -> set[str]:
        return self._closed(name, self._makes, self._users)

    def _closed(self, name: str, out: Mapping[str, set[str]], into: Mapping[str, set[str]]) -> set[str]:
        found, waiting = {name}, [name]
        while waiting:
            for template in out.get(waiting.pop(), ()):
                new = into.get(template, set()) - found
                found |= new
                waiting += new
        return found


def _examples(loaded: Loaded) -> Iterator[Watcher]:
    for name, rule in loaded.book.rules.items():
        for kind in ("fires", "silent"):
            for number, example in enumerate(getattr(rule, kind)):
                site = example_site(example, loaded.book, name)
                yield Watcher(f"{kind} {number + 1} of {name}", site, None, name, kind == "fires")


def _edges(loaded: Loaded) -> Iterator[Watcher]:
    for path in edges.files():
        for edge in edges.edges(path):
            site = example_site(edge.told, loaded.book, edge.name)
            yield Watcher(edge.name, site, None, edge.rule, edge.kind == "fires", edge)


def _bindings(rule: CompiledRule, facts: Mapping[str, list[Fact]], certain: bool) -> Iterator[tuple[str, ...]]:
    fitting = []
    for index, pattern in enumerate(rule.patterns):
        found = [fact for fact in facts.get(pattern.template, ()) if pattern_holds(rule, index, fact, certain)]
        if not found:
            return
        fitting.append(found)
    for chosen in itertools.product(*fitting):
        bound = {pattern.alias: fact for pattern, fact in zip(rule.patterns, chosen, strict=True)}
        if kept_apart(rule, bound):
            yield tuple(fact.id for fact in chosen)
