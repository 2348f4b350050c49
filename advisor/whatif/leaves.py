"""The answers on which a conclusion rests, and answers written back as a site file would tell them."""

import itertools
from collections.abc import Iterable, Iterator
from typing import Any

from advisor import quantities
from advisor.engine.compiled import CompiledRule
from advisor.engine.expressions import Ref, Trace
from advisor.engine.facts import Justification, Run
from advisor.rulebook import Rulebook
from advisor.site import Instance, Site
from advisor.values import Absent, Domain, Span, Words
from advisor.vocabulary import Slot

Leaf = tuple[str, str]
"""An instance and a slot."""
MOST = 12
"""Different ways of deriving one conclusion that are followed."""


class Leaves:
    """Follows the justifications of one run down to the answers."""

    def __init__(self, run: Run, site: Site, rules: Iterable[CompiledRule], book: Rulebook) -> None:
        self.run, self.book = run, book
        self.instances = site.by_id()
        self.compiled = {(rule.rule.rule, rule.variant): rule for rule in rules}
        self._every: dict[str, frozenset[Leaf]] = {}

    def of_firing(self, why: Justification) -> Iterator[frozenset[Leaf]]:
        """Give the sets of answers on which a firing rests: one for each way in which its premises came about."""
        deeper = [
            list(itertools.islice(self.of_fact(premise), MOST))
            for _, premise in why.bound
            if premise not in self.instances
        ]
        own = self._with_gates(self._tested(why))
        for chosen in itertools.islice(itertools.product(*deeper), MOST):
            yield own.union(*chosen)

    def of_fact(self, identity: str) -> Iterator[frozenset[Leaf]]:
        """Give the sets of answers on which a concluded fact rests."""
        for why in self.run.justifications.get(identity, ()):
            yield from self.of_firing(why)

    def every(self, identity: str) -> frozenset[Leaf]:
        """Return all answers that have a part in any way in which a fact came about."""
        if identity not in self._every:
            self._every[identity] = frozenset()
            own: set[Leaf] = set()
            for why in self.run.justifications.get(identity, ()):
                own.update(self._tested(why))
                for _, premise in why.bound:
                    if premise not in self.instances:
                        own.update(self.every(premise))
            self._every[identity] = self._with_gates(own)
        return self._every[identity]

    def _tested(self, why: Justification) -> set[Leaf]:
        """Return the answers that a firing tests or computes with itself."""
        own: set[Leaf] = set()
        bound = dict(why.bound)
        for pattern in self.compiled[why.rule, why.variant].patterns:
            if bound[pattern.alias] in self.instances:
                own.update((bound[pattern.alias], test.slot) for test in (*pattern.tests, *pattern.refusals))
        for alias, slot in (pair for _, trace in why.traces for pair in refs(trace)):
            if bound[alias] in self.instances:
                own.add((bound[alias], slot))
        return own

    def _with_gates(self, leaves: Iterable[Leaf]) -> frozenset[Leaf]:
        """Add the answers that decide whether the others apply at all, and what is assumed for them."""
        found: set[Leaf] = set()
        waiting = list(leaves)
        while waiting:
            leaf = waiting.pop()
            if leaf in found:
                continue
            found.add(leaf)
            instance = self.instances[leaf[0]]
            slot = self.book.vocabulary.templates[instance.template].by_name[leaf[1]]
            if slot.assume_cell is not None:
                waiting.append((instance.id, slot.assume_cell[0]))
            for other, conditions in (slot.relevant or {}).items():
                owner = instance.id if other == instance.template else other
                if owner in self.instances:
                    waiting += [(owner, inner) for inner in conditions]
        return frozenset(found)


def refs(trace: Trace) -> list[tuple[str, str]]:
    """Return (alias, slot) of every slot that a computed value reads."""
    expression = trace.expression
    own = [(expression.alias, expression.slot)] if isinstance(expression, Ref) else []
    return own + [pair for _, inner in trace.inputs for pair in refs(inner)]


def rules_of(facts: Iterable[str], run: Run) -> frozenset[str]:
    """Return the rules that conclude any of the facts."""
    return frozenset(why.rule for fact in facts for why in run.justifications.get(fact, ()))


def written(domain: Domain, slot: Slot) -> Any:
    """Return a domain as a site file would tell it; None for a slot that does not apply."""
    if isinstance(domain, Absent):
        return None
    if isinstance(domain, Words):
        words = sorted(domain.options)
        return words[0] if len(words) == 1 else words
    assert isinstance(domain, Span)
    unit = slot.unit or ""
    ends = [f"{quantities.from_si(end, unit, difference=slot.difference):.12g}" for end in (domain.low, domain.high)]
    text = ends[0] if domain.low == domain.high else f"{ends[0]} .. {ends[1]}"
    return f"{text} {unit}".strip()


def template_of(instance: Instance, book: Rulebook) -> dict[str, Slot]:
    """Return the slots of an instance's template by name."""
    return book.vocabulary.templates[instance.template].by_name
