"""The smallest sets of answers that force a demand by themselves.

Each way in which the demand came about is followed down to its answers; of these all are taken away that are not
needed, one after the other, each time by a run in which only the rest is told and everything else is unknown. What is
left forces the demand in the certain reading, and no part of it does. Where several such sets stand, breaking one
does not drop the demand. Only demands that are certain have reasons; on materials the verdicts name theirs.
"""

import itertools
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from advisor.advise import Advice, Advisor
from advisor.engine.facts import Run
from advisor.engine.firing import Conclusions, EngineError
from advisor.engine.increment import Increment, RuleIndex
from advisor.engine.wording import say
from advisor.faults import InputError
from advisor.site import SiteReader
from advisor.topics import Demand, combine, covers
from advisor.values import CLOSE
from advisor.whatif.edits import SiteEditor
from advisor.whatif.leaves import Leaf, Leaves, template_of, written
from advisor.yamlfile import Document

MOST_WAYS = 24


@dataclass(frozen=True)
class Given:
    """One answer of a reason: what it is about, what it says, and where it comes from."""

    about: str
    value: str
    origin: str


@dataclass(frozen=True)
class MinimalReason:
    """Answers that force a demand by themselves, none of which can be left out."""

    answers: tuple[Given, ...]
    leaves: frozenset[Leaf]
    rules: tuple[str, ...]

    @property
    def text(self) -> str:
        return "; ".join(f"{given.about} = {given.value}" for given in self.answers) or "no answer at all"


class Reasoner:
    """Finds the minimal reasons of the demands of one advice."""

    def __init__(self, advice: Advice, advisor: Advisor) -> None:
        self.advice, self.advisor, self.book = advice, advisor, advisor.book
        self.instances = advice.site.by_id()
        self._leaves = Leaves(advice.certain, advice.site, advisor.loaded.rules, self.book)
        head = {"site": "what if", "date": advice.site.date or None}
        asked = {name for name, entry in self.book.vocabulary.templates.items() if not entry.derived | entry.claimed}
        self._unknown: dict[str, Any] = {**head, **dict.fromkeys(sorted(asked), "unknown")}
        nothing = SiteReader(Document("what if", self._unknown), self.book, claims=False).read()
        self._editor = SiteEditor(nothing, self.book)
        self._start = Increment(RuleIndex(advisor.loaded.rules), nothing.facts(), self.book, certain=True)

    def reasons(self, demand: Demand) -> list[MinimalReason]:
        """Return the minimal reasons of a certain demand, the smallest first; none for one that is open."""
        if demand.state != "certain" or demand.materials:
            return []
        found: dict[frozenset[Leaf], set[str]] = {}
        for why in self._ways(demand):
            for leaves in itertools.islice(self._leaves.of_firing(why), MOST_WAYS):
                if any(known <= leaves and why.rule in rules for known, rules in found.items()):
                    continue
                smallest = self._smallest(demand, leaves)
                if smallest is not None:
                    found.setdefault(smallest, set()).add(why.rule)
        minimal = [own for own in found if not any(other < own for other in found)]
        minimal.sort(key=lambda own: (len(own), sorted(own)))
        return [
            MinimalReason(tuple(self._given(leaf) for leaf in self.in_order(own)), own, tuple(sorted(found[own])))
            for own in minimal
        ]

    def _ways(self, demand: Demand) -> list[Any]:
        facts = [fact for fact in demand.facts if fact in self.advice.certain.justifications]
        return [why for fact in facts for why in self.advice.certain.justifications[fact]][:MOST_WAYS]

    def _smallest(self, demand: Demand, leaves: frozenset[Leaf]) -> frozenset[Leaf] | None:
        if not self.forces(demand, leaves):
            return None
        for leaf in self.in_order(leaves)[::-1]:
            if self.forces(demand, leaves - {leaf}):
                leaves -= {leaf}
        return leaves

    def forces(self, demand: Demand, leaves: frozenset[Leaf]) -> bool:
        """Tell whether these answers alone, with all others unknown, force the demand or a harder one for certain."""
        run = self.run(leaves)
        topic = self.book.vocabulary.topics[demand.topic]
        if run is None:
            return False
        held = [found for found in combine(topic, run, run, self.book) if found.state == "certain"]
        if topic.join == "codes":
            table = self.book.tables[topic.table or ""]
            return any(covers(table, topic, h.item, h.parameters, demand.item, demand.parameters) for h in held)
        if topic.join in ("highest", "lowest"):
            sign = 1 if topic.join == "highest" else -1
            wanted = demand.value or 0.0
            slack = CLOSE * abs(wanted)
            return any(sign * ((h.value or 0.0) - wanted) >= -slack for h in held)
        return any(h.item == demand.item for h in held)

    def run(self, leaves: frozenset[Leaf]) -> Run | None:
        """Return the certain run in which only these answers are told; None if they make no valid site."""
        data, named = dict(self._unknown), sorted({leaf[0] for leaf in leaves})
        for identity in named:
            instance = self.instances[identity]
            slots = template_of(instance, self.book)
            entry = {
                name: written(instance.answers[name].domain, slot) if (identity, name) in leaves else "unknown"
                for name, slot in slots.items()
                if (identity, name) in leaves or slot.assume is not None or slot.assume_cell or slot.from_date
            }
            entry = {name: value for name, value in entry.items() if value is not None}
            if self.book.vocabulary.templates[instance.template].many:
                before = data[instance.template]
                data[instance.template] = [*(before if isinstance(before, list) else []), entry]
            else:
                data[instance.template] = entry
        try:
            _, facts = self._editor.told(data, {self.instances[identity].template for identity in named})
            return self._start.change(facts, Conclusions(self.book)).run
        except (InputError, EngineError):
            return None

    def in_order(self, leaves: Iterable[Leaf]) -> list[Leaf]:
        """Told answers before assumed ones, in the order of the site; the last are the first to be left out."""
        order = {identity: place for place, identity in enumerate(self.instances)}

        def key(leaf: Leaf) -> tuple[bool, int, int]:
            instance = self.instances[leaf[0]]
            told = instance.answers[leaf[1]].origin in ("told", "preset")
            return not told, order[leaf[0]], list(instance.answers).index(leaf[1])

        return sorted(leaves, key=key)

    def _given(self, leaf: Leaf) -> Given:
        instance = self.instances[leaf[0]]
        answer, slot = instance.answers[leaf[1]], template_of(instance, self.book)[leaf[1]]
        where = instance.template.replace("_", " ") + (f" ({instance.label})" if instance.label else "")
        return Given(f"{where}, {slot.slot.replace('_', ' ')}", say(answer.domain, slot, self.book), answer.origin)
