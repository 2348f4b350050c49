"""What can notice a wrong rulebook: the rules' own examples, and the sites of the case book with what they expect.

Each is run once with the right rulebook. A mutant can only be noticed where the changed rule then fires on other facts,
or concludes something else; that is tried on the facts of the right run, and only what it tells apart is run anew.
"""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import test_sites
from mutants import Mutant, Name

from advisor.advise import gather
from advisor.engine.bounds import evaluate
from advisor.engine.compiled import CompiledRule
from advisor.engine.facts import Fact, Run
from advisor.engine.firing import EngineError, conclude, kept_apart, pattern_holds
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
    """An entry of the case book, or None for an example of `rule`."""
    rule: str = ""
    fires: bool = True
    runs: dict[bool, Run] = field(default_factory=dict)
    facts: dict[bool, dict[str, list[Fact]]] = field(default_factory=dict)


class Watch:
    """All watchers of a rulebook, and the question whether any of them notices a mutant."""

    def __init__(self, loaded: Loaded) -> None:
        self.loaded, self.watchers = loaded, list(_examples(loaded))
        self.rules = {(entry.rule.rule, entry.variant): entry for entry in loaded.rules}
        for parameters in test_sites.cases():
            case = parameters.values[0]
            data = {"site": case["case"], "others": "none", **case["site"]}
            site = read_site(Document(case["case"], data), loaded.book)
            self.watchers.append(Watcher(f"case {case['case']}", site, case))
        for watcher in self.watchers:
            for certain in (True, False) if watcher.case is not None else (True,):
                given = [fact for fact in watcher.site.facts() if fact.certain or not certain]
                run = evaluate(loaded.rules, given, loaded.book, certain=certain)
                watcher.runs[certain] = run
                by: dict[str, list[Fact]] = {}
                for fact in run.facts.values():
                    by.setdefault(fact.template, []).append(fact)
                watcher.facts[certain] = by

    def noticed_by(self, mutant: Mutant) -> str:
        """Return the name of a watcher that notices the mutant, or nothing."""
        own = sorted(self.watchers, key=lambda watcher: watcher.rule not in {name for name, _ in mutant.changed})
        rules: list[CompiledRule] | None = None
        for watcher in own:
            if not any(self._differs(watcher, name, new, mutant) for name, new in mutant.changed.items()):
                continue
            if rules is None:
                new = {**self.rules, **mutant.changed}
                rules = [entry for entry in new.values() if entry is not None]
            if self._fails(watcher, rules, mutant):
                return watcher.name
        return ""

    def _differs(self, watcher: Watcher, name: Name, new: CompiledRule | None, mutant: Mutant) -> bool:
        """Whether a rule does something else on the facts of the right run."""
        old = self.rules[name]
        for certain, facts in watcher.facts.items():
            before = set(_bindings(old, facts, certain))
            after = set(_bindings(new, facts, certain)) if new is not None else set()
            if before != after:
                return True
            if before and new is not None and (old.derives, old.demands) != (new.derives, new.demands):
                return True
            if before and mutant.book is not None:
                return True
        return False

    def _fails(self, watcher: Watcher, rules: Sequence[CompiledRule], mutant: Mutant) -> bool:
        book = mutant.book or self.loaded.book
        given = watcher.site.facts()
        try:
            certain = evaluate(rules, [fact for fact in given if fact.certain], book, certain=True)
            if watcher.case is None:
                return (watcher.rule in fired(certain)) != watcher.fires
            possible = evaluate(rules, given, book, certain=False)
            advice = gather(watcher.site, certain, possible, book, tuple(rules))
            return bool(test_sites.faults(watcher.case, advice, book))
        except (EngineError, ValueError, LookupError, TypeError, AssertionError):
            return True


def _examples(loaded: Loaded) -> Iterator[Watcher]:
    for name, rule in loaded.book.rules.items():
        for kind in ("fires", "silent"):
            for number, example in enumerate(getattr(rule, kind)):
                site = example_site(example, loaded.book, name)
                yield Watcher(f"{kind} {number + 1} of {name}", site, None, name, kind == "fires")


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


__all__ = ["Watch", "conclude"]
