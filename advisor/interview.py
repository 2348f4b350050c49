"""Which answers are missing or too wide, and which open demands hang on each.

An open demand rests on conditions that hold only for some allowed values. Following its proof down to the answers
gives the slots that would settle it; a doubtful slot of which it is not known whether it applies leads on to the
answers that decide that.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.advise import Advice
from advisor.engine.compiled import CompiledRule
from advisor.engine.expressions import Ref, Trace
from advisor.engine.facts import Justification
from advisor.proof import Prover
from advisor.rulebook import Rulebook
from advisor.site import Instance
from advisor.topics import Demand
from advisor.values import Absent


@dataclass(frozen=True)
class OpenSlot:
    """A slot whose answer would settle something; `slot` is empty where it is open whether there is an instance."""

    instance: Instance
    slot: str

    @property
    def name(self) -> str:
        return f"{self.instance.id}.{self.slot}"


@dataclass(frozen=True)
class OpenQuestion:
    """A question with the open demands that its answer decides."""

    slot: OpenSlot
    ask: str
    help: str
    demands: tuple[Demand, ...]


class Interviewer:
    """Finds the open questions of an advice."""

    def __init__(self, advice: Advice, rules: Iterable[CompiledRule], book: Rulebook) -> None:
        self.advice, self.book = advice, book
        self.prover = Prover(advice.possible, advice.site, rules, book, certain=False)
        self.instances = advice.site.by_id()
        self._memo: dict[str, frozenset[tuple[str, str]]] = {}

    def questions(self) -> list[OpenQuestion]:
        """Return the open questions, the one on which most demands hang first."""
        hanging: dict[tuple[str, str], list[Demand]] = {}
        everything = [*self.advice.demands, *(note for notes in self.advice.notes.values() for note in notes)]
        for demand in everything:
            if demand.state == "open":
                for key in sorted({key for fact in demand.facts for key in self.deciders(fact)}):
                    hanging.setdefault(key, []).append(demand)
        found = [self._question(key, demands) for key, demands in hanging.items()]
        return sorted(found, key=lambda question: (-self._weight(question), question.slot.name))

    def _weight(self, question: OpenQuestion) -> int:
        return sum(self.book.vocabulary.topics[demand.topic].weight for demand in question.demands)

    def _question(self, key: tuple[str, str], demands: list[Demand]) -> OpenQuestion:
        instance = self.instances[key[0]]
        template = self.book.vocabulary.templates[instance.template]
        slot = template.by_name[key[1]]
        where = f"{instance.label}: " if instance.label else ""
        return OpenQuestion(OpenSlot(instance, key[1]), where + slot.ask, slot.help, tuple(demands))

    def deciders(self, fact: str) -> frozenset[tuple[str, str]]:
        """Return (instance, slot) of every open answer on which a conclusion of the possible reading hangs."""
        if fact not in self._memo:
            self._memo[fact] = frozenset()
            found: set[tuple[str, str]] = set()
            for why in self.advice.possible.justifications.get(fact, ()):
                found |= self._of_firing(why)
            self._memo[fact] = frozenset(found)
        return self._memo[fact]

    def _of_firing(self, why: Justification) -> set[tuple[str, str]]:
        found: set[tuple[str, str]] = set()
        bound = dict(why.bound)
        for identity, test in self.prover.doubts(why):
            if identity in self.instances:
                found |= self._open(self.instances[identity], test.slot)
        for _, trace in why.traces:
            for alias, slot in _refs(trace):
                if bound[alias] in self.instances:
                    found |= self._open(self.instances[bound[alias]], slot)
        for identity in bound.values():
            instance = self.instances.get(identity)
            if instance is None:
                found |= self.deciders(identity)
            elif not instance.certain:
                found.add((identity, next(iter(self.book.vocabulary.templates[instance.template].by_name))))
        return found

    def _open(self, instance: Instance, name: str, seen: frozenset[str] = frozenset()) -> set[tuple[str, str]]:
        """The slot itself if its answer is open, or the answers that decide whether it applies at all."""
        template = self.book.vocabulary.templates[instance.template]
        answer = instance.answers[name]
        first = next(iter(template.by_name))
        if not instance.certain:
            return {(instance.id, first)}
        if name in seen:
            return set()
        found: set[tuple[str, str]] = set()
        if not isinstance(answer.domain, Absent) and answer.domain.maybe:
            for other, conditions in (template.by_name[name].relevant or {}).items():
                for inner in conditions:
                    owner = instance if other == instance.template else self.instances[other]
                    found |= self._open(owner, inner, seen | {name})
        if not found and not answer.domain.point:
            found.add((instance.id, name))
        return found


def _refs(trace: Trace) -> list[tuple[str, str]]:
    expression = trace.expression
    own = [(expression.alias, expression.slot)] if isinstance(expression, Ref) else []
    return own + [pair for _, inner in trace.inputs for pair in _refs(inner)]
