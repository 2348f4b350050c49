"""All types of units against the demands of one point, by sets of bits: bit n of a set stands for type n.

Every class of claims on a topic is held against every class of demands on it once, by the audit itself. What a point
makes of all units is then a few operations on whole sets: what falls short anywhere is unfit, what meets everything is
fit, the rest is unproven.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.audit import Auditor
from advisor.register.demands import Demanded
from advisor.register.units import Claims, UnitType
from advisor.rulebook import Rulebook


@dataclass(frozen=True)
class Fare:
    """How all types fare at a point; those in neither set are unproven."""

    fit: int
    unfit: int


@dataclass(frozen=True)
class _ClaimClass:
    """Types that claim the same on a topic, or nothing while they speak of the same parts."""

    claims: Claims
    parts: frozenset[str]
    types: int


class Judge:
    """Ready for many points against the same types."""

    def __init__(self, types: Sequence[UnitType], book: Rulebook) -> None:
        self.book, self._types = book, types
        self._all = (1 << len(types)) - 1
        self._doubtful = sum(1 << number for number, entry in enumerate(types) if entry.doubtful)
        self._classes: dict[str, list[_ClaimClass]] = {}
        self._judged: dict[tuple[object, ...], Fare] = {}

    def fare(self, demanded: Demanded) -> Fare:
        """Return how the types fare at a point."""
        auditor = Auditor(demanded.advice, self.book)
        fit, unfit = self._all & ~self._doubtful, 0
        for topic, key in demanded.classes.items():
            # Of a part that is named nowhere a silent sheet is not asked; the site may name it too.
            fitted = auditor.fitted if self.book.vocabulary.topics[topic].audit == "if named" else frozenset()
            name = (topic, key, fitted, auditor.circumstances)
            found = self._judged.get(name)
            if found is None:
                found = self._judged[name] = self._judge(topic, auditor)
            fit &= found.fit
            unfit |= found.unfit
        return Fare(0 if auditor.held_back else fit & ~unfit, unfit)

    def _judge(self, topic: str, auditor: Auditor) -> Fare:
        fit = unfit = 0
        for entry in self._of(topic):
            outcomes = {finding.outcome for finding in auditor.findings(topic, entry.claims, entry.parts)}
            if outcomes <= {"meets"}:
                fit |= entry.types
            elif "falls short" in outcomes:
                unfit |= entry.types
        return Fare(fit, unfit)

    def _of(self, topic: str) -> list[_ClaimClass]:
        if topic not in self._classes:
            grouped: dict[tuple[Claims, frozenset[str]], int] = {}
            for number, entry in enumerate(self._types):
                claims = entry.claims.get(topic, ())
                key = claims, frozenset() if claims else entry.parts
                grouped[key] = grouped.get(key, 0) | 1 << number
            self._classes[topic] = [_ClaimClass(*key, types) for key, types in grouped.items()]
        return self._classes[topic]
