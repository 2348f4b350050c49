"""Rules with `pool`: one fact for each told instance, where several layouts of it are still possible.

A rule that sums over instances would otherwise meet every combination of their variants. The pooled fact allows
whatever any of its variants allows, so that the possible reading stays sound; where all is told there is one variant
and the pooled fact equals it. Both evaluators collect the firings of such a rule here and record them when the facts
it binds are complete, which the layers see to: a pooled rule rests on what is drawn from answers alone.
"""

from dataclasses import replace

from advisor.engine.facts import Fact, Justification, Run
from advisor.values import ABSENT, Domain, both

Firing = tuple[Fact, Justification]


class Pool:
    """Collects the firings of pooled rules of one run, and records them as one fact for each told instance."""

    def __init__(self) -> None:
        self._waiting: dict[tuple[str, str, frozenset[str]], list[Firing]] = {}

    def add(self, facts: list[Fact], why: Justification) -> None:
        """Keep what one firing concluded until its fellows are known."""
        for fact in facts:
            self._waiting.setdefault((why.rule, fact.template, fact.roots), []).append((fact, why))

    def flush(self, run: Run) -> list[Fact]:
        """Record what was collected, and return the facts that are new to the run."""
        waiting, self._waiting = self._waiting, {}
        new = []
        for firings in waiting.values():
            pooled = _pooled(sorted(firings, key=lambda firing: firing[1].key))
            new += [pooled for _, why in firings if run.record(pooled, why)]
        return new


def _pooled(firings: list[Firing]) -> Fact:
    first = firings[0][0]
    slots: dict[str, Domain] = dict(first.slots)
    for fact, _ in firings[1:]:
        slots = {
            name: both(slots.get(name, ABSENT), fact.slots.get(name, ABSENT)) for name in sorted({*slots, *fact.slots})
        }
    # The readings may pool other variants, so that the name says which.
    name = "+".join(fact.id for fact, _ in firings)
    return replace(first, id=name, slots=slots, certain=all(fact.certain for fact, _ in firings))
