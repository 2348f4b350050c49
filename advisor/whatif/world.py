"""A site as a start for what-ifs: what is demanded of it, and of the same site with a few answers changed.

Only what a change touches is worked out anew. Outcomes are kept, since the same change is asked for many demands.
"""

import functools
from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field

from advisor.advise import Advice, Advisor, gather
from advisor.engine.compiled import DEMAND, MATERIAL, CompiledRule, demand_template
from advisor.engine.facts import Fact, Run
from advisor.engine.firing import Conclusions, EngineError
from advisor.engine.increment import Increment, RuleIndex
from advisor.faults import InputError
from advisor.materials import exclusion_facts
from advisor.rulebook import NOTE_TOPICS
from advisor.site import Site
from advisor.topics import Demand, combine
from advisor.values import Words
from advisor.vocabulary import Topic
from advisor.whatif.edits import Edit, SiteEditor

Edits = tuple[Edit, ...]
SERIOUS = ("beyond", "refer", "conflict")
"""Notes that weigh as much as a demand."""


@dataclass(frozen=True)
class Outcome:
    """What a changed site comes to: the demands and notes by topic, certain and open ones together."""

    edits: Edits
    site: Site
    topics: dict[str, tuple[Demand, ...]]
    late: Mapping[str, Callable[[], tuple[Demand, ...]]] = field(default_factory=dict, repr=False)
    """Topics that are joined only when they are asked for: verdicts on all materials are the dearest."""
    reasons: Mapping[str, frozenset[object]] = field(default_factory=dict, repr=False)
    """By topic, what names every firing that demands something on it in the possible reading."""

    joins: Mapping[str, str] = field(default_factory=dict, repr=False)
    """How the demands on each topic are joined."""
    exclusions: tuple[Fact, ...] = field(default=(), repr=False)
    """What rules materials out in the possible reading."""

    def on(self, topic: str) -> tuple[Demand, ...]:
        if topic in self.late and topic not in self.topics:
            self.topics[topic] = self.late[topic]()
        return self.topics.get(topic, ())

    def ruled_out(self) -> dict[str, frozenset[str]]:
        """Return the materials that may not be taken without care or proof, by role; quicker than their verdicts."""
        found: dict[str, set[str]] = {}
        for fact in self.exclusions:
            roles = fact.slots["roles"]
            for role in roles.options if isinstance(roles, Words) else ():
                found.setdefault(role, set()).update(fact.reasons)
        return {role: frozenset(materials) for role, materials in found.items()}


class World:
    """One site, and what becomes of it under changes. Raises EngineError for a site that cannot be evaluated.

    `materials` says whether `after` tells of the materials of parts too: to rate all of them is the dearest by far.
    """

    def __init__(self, advisor: Advisor, site: Site, *, materials: bool = False) -> None:
        self.advisor, self.site, self.book, self.materials = advisor, site, advisor.book, materials
        self.editor = SiteEditor(site, self.book)
        topics = self.book.vocabulary.topics
        self.watched = [
            name
            for name, topic in topics.items()
            if (name not in NOTE_TOPICS or name in SERIOUS) and (materials or topic.join != "materials")
        ]
        rules = advisor.loaded.rules
        self._joins = {name: topic.join for name, topic in topics.items()}
        self._all = self._readings(rules)
        read = {pattern.template for rule in rules for pattern in rule.patterns}
        self._quick = self._readings([rule for rule in rules if self._counts(rule, read)])
        certain, possible = (reading.run for reading in self._all)
        self.advice: Advice = gather(site, certain, possible, self.book, rules)
        self.start = Outcome(
            (), site, self._topics(), {}, self._reasons(topics, possible), self._joins, tuple(exclusion_facts(possible))
        )
        self._known: dict[frozenset[Edit], Outcome | None] = {frozenset(): self.start}
        self._whole: dict[frozenset[Edit], Outcome | None] = {frozenset(): self.start}
        self.runs = 0

    def _counts(self, rule: CompiledRule, read: Set[str]) -> bool:
        """Tell whether a rule has a part in the watched topics: mere advice has none, unless a rule reads it."""
        return bool(rule.derives) or any(
            self.materials
            if demand.exclusion is not None
            else not demand.spare and (demand.topic in self.watched or demand_template(demand.topic) in read)
            for demand in rule.demands
        )

    def _readings(self, rules: Sequence[CompiledRule]) -> tuple[Increment, Increment]:
        index, facts = RuleIndex(rules), self.site.facts()
        return (
            Increment(index, facts, self.book, certain=True),
            Increment(index, facts, self.book, certain=False),
        )

    def after(self, edits: Sequence[Edit]) -> Outcome | None:
        """Return what the changed site comes to on the watched topics; None where it is no valid site."""
        key = frozenset(edits)
        if key not in self._known:
            self._known[key] = self._evaluate(tuple(edits), self.watched, self._quick)
        return self._known[key]

    def whole(self, edits: Sequence[Edit]) -> Outcome | None:
        """Return what the changed site comes to on every topic, by a run of its own."""
        key = frozenset(edits)
        if key not in self._whole:
            self._whole[key] = self._evaluate(tuple(edits), self.book.vocabulary.topics, self._all)
        return self._whole[key]

    def _evaluate(self, edits: Edits, wanted: Iterable[str], readings: tuple[Increment, Increment]) -> Outcome | None:
        self.runs += 1
        try:
            site, facts = self.editor.edited(edits)
            conclusions = Conclusions(self.book)
            certain, possible = (reading.change(facts, conclusions) for reading in readings)
        except (InputError, EngineError):
            # A value that the reader refuses, or at which a formula has no result, is no change to propose.
            return None
        touched = self._touched(certain.touched | possible.touched) & set(wanted)
        topics = {name: demands for name, demands in self.start.topics.items() if name not in touched}
        reasons = {**self.start.reasons, **self._reasons(touched, possible.run)}
        late: dict[str, Callable[[], tuple[Demand, ...]]] = {}
        slim = [Run({f.id: f for f in exclusion_facts(run)}) for run in (certain.run, possible.run)]
        for name in touched:
            topic = self.book.vocabulary.topics[name]
            if topic.join == "materials":
                late[name] = functools.partial(self._materials, topic, *slim)
            else:
                topics[name] = tuple(combine(topic, certain.run, possible.run, self.book))
        return Outcome(edits, site, topics, late, reasons, self._joins, tuple(slim[1].facts.values()))

    def _materials(self, topic: Topic, certain: Run, possible: Run) -> tuple[Demand, ...]:
        return tuple(combine(topic, certain, possible, self.book))

    def _touched(self, templates: frozenset[str]) -> set[str]:
        found = {name.partition(" ")[2] for name in templates if name.startswith(f"{DEMAND} ")}
        return {
            name
            for name, topic in self.book.vocabulary.topics.items()
            if name in found or (topic.join == "materials" and MATERIAL in found)
        }

    def _topics(self) -> dict[str, tuple[Demand, ...]]:
        found: dict[str, list[Demand]] = {}
        for demand in (*self.advice.demands, *(note for notes in self.advice.notes.values() for note in notes)):
            found.setdefault(demand.topic, []).append(demand)
        return {name: tuple(demands) for name, demands in found.items()}

    def _reasons(self, topics: Iterable[str], run: Run) -> dict[str, frozenset[object]]:
        """Materials have none: what is ruled out is followed by their verdicts."""
        templates = {demand_template(name): name for name in topics}
        found: dict[str, set[object]] = {name: set() for name in templates.values()}
        for fact in run.facts.values():
            if fact.template in templates:
                own = found[templates[fact.template]]
                own.update((fact.id, why.key) for why in run.justifications[fact.id])
        return {name: frozenset(own) for name, own in found.items()}
