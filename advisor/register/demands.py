"""What one point of a register demands, quickly: as `advise` without texts, proofs and notes that do not bind.

The demands on a topic are a class: points with the same ones there share it, and units are held against it once. The
class of the materials of a role is how every material stands there in both readings.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from advisor.advise import Advice
from advisor.claim_tables import ABSENT, idle_answers
from advisor.engine.bulk import Bulk
from advisor.engine.compiled import MATERIAL, demand_template
from advisor.engine.facts import Fact, Run
from advisor.engine.sweep import Made
from advisor.loading import Loaded
from advisor.materials import EXCLUSIONS, Exclusions, MaterialReason, Ratings, bare_verdicts, proposed
from advisor.resistance import RATINGS
from advisor.site import Site
from advisor.topics import Demand, join, of_materials
from advisor.vocabulary import Topic

HOLDING = ("refer", "conflict")
"""Notes that hold every unit back."""
ClassKey = tuple[object, ...]


@dataclass(frozen=True)
class Demanded:
    """The demands of one point by topic, each with the name of its class, and the advice that an audit needs."""

    classes: Mapping[str, ClassKey]
    advice: Advice


class Quick:
    """Ready for many points. Raises EngineError when a rule's computation fails."""

    def __init__(self, loaded: Loaded) -> None:
        self.book = loaded.book
        self._bulk = Bulk(loaded.rules, loaded.book)
        topics = loaded.book.vocabulary.topics.values()
        lifts = loaded.book.tables["claim_lifts"].rows.values()
        self._apart = frozenset(rule for row in lifts for rule in row.cells["rules"])
        self._topics = [topic for topic in topics if topic.join != "notes"]
        self._asked = [answer.removesuffix(ABSENT) for answer in idle_answers(loaded.book) if answer.endswith(ABSENT)]
        """Derived templates of which an audit asks whether the point has them."""
        self._holding = [topic for topic in topics if topic.topic in HOLDING]
        table = loaded.book.tables["materials"]
        self._rows = {t.topic: proposed(t.role or "", table) for t in self._topics if t.join == "materials"}
        self._joined: dict[tuple[object, ...], tuple[Demand, ...]] = {}
        self._ratings: dict[tuple[int, ...], tuple[Ratings, tuple[Fact, ...]]] = {}

    def demands(self, site: Site) -> Demanded:
        """Return what a site demands."""
        facts = site.facts()
        sure, maybe = self._bulk.run(facts, certain=True), self._bulk.run(facts, certain=False)
        ratings = self._rated(sure), self._rated(maybe)
        classes: dict[str, ClassKey] = {}
        demands: list[Demand] = []
        for topic in self._topics:
            if topic.join == "materials":
                role = topic.role or ""
                key: ClassKey = (ratings[0].of_role(role), ratings[1].of_role(role))
                found = self._materials(topic, key, ratings)
            else:
                found = self._plain(topic, sure, maybe)
                key = tuple(_content(demand) for demand in found)
            if found:
                demands += found
                classes[topic.topic] = key
        notes = {topic.topic: self._plain(topic, sure, maybe) for topic in self._holding}
        certain, possible = (
            Run(self._drawn(made), kept={EXCLUSIONS: _Rated(found)})
            for made, found in zip((sure, maybe), ratings, strict=True)
        )
        return Demanded(classes, Advice(site, certain, possible, tuple(demands), notes, (), ()))

    def _drawn(self, made: Made) -> dict[str, Fact]:
        """The derived facts that an audit asks for."""
        return {fact.id: fact for name in self._asked for fact in made.facts.get(name, ())}

    def _plain(self, topic: Topic, sure: Made, maybe: Made) -> tuple[Demand, ...]:
        template = demand_template(topic.topic)
        certain = {fact.id: fact for fact in sure.facts.get(template, ())}
        possible = {
            fact.id: fact
            for fact in maybe.facts.get(template, ())
            if fact.id in certain or not all(self.book.rules[rule].certain_only for rule in maybe.makers[fact.id])
        }
        key = (topic.topic, frozenset(certain), frozenset(possible))
        if key not in self._joined:
            facts = [certain[name] for name in sorted(certain)], [possible[name] for name in sorted(possible)]
            self._joined[key] = tuple(join(topic, *facts, self.book))
        return self._joined[key]

    def _rated(self, made: Made) -> Ratings:
        facts = tuple(made.facts.get(demand_template(MATERIAL), ()))
        key = tuple(sorted(map(id, facts)))
        if key not in self._ratings:
            # The facts are kept beside, since their identities are the key.
            self._ratings[key] = Ratings.of(facts, self._apart), facts
        return self._ratings[key][0]

    def _materials(self, topic: Topic, content: ClassKey, ratings: Sequence[Ratings]) -> tuple[Demand, ...]:
        key = (topic.topic, *content)
        if key not in self._joined:
            found = bare_verdicts(topic.role or "", self._rows[topic.topic], ratings[0], ratings[1])
            self._joined[key] = tuple(of_materials(topic, found))
        return self._joined[key]


class _Rated(Exclusions):
    """What a run rules out, as an audit asks for it, by ratings alone: for each material a reason without words by each
    rule that a sheet may answer, and one by all others.
    """

    def __init__(self, ratings: Ratings) -> None:
        self._ratings = ratings

    def against(self, keys: Iterable[str], role: str) -> tuple[MaterialReason, ...]:
        ranks = [(rank, rule) for key in keys for rule, rank in self._ratings.ranks(role, key).items() if rank]
        return tuple(MaterialReason(f"|{rule}.", RATINGS[rank], "") for rank, rule in sorted(ranks, reverse=True))


def _content(demand: Demand) -> ClassKey:
    figures = tuple(sorted(demand.parameters.items()))
    return demand.state, demand.item, demand.value, figures, demand.unknown
