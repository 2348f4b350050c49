"""The advice on a site that changes answer by answer: only what an answer touches is worked out anew.

A `Reckoner` keeps one finished pair of runs as its base. Between two answers it takes the present site as its new base
(`settle`), so that the next one changes little; without a base a site is evaluated as a whole. What comes out is the
same either way, which a test holds. Not for two threads at once. Raises EngineError, as every run does.
"""

from dataclasses import dataclass

from advisor.advise import Advice, Advisor, gather
from advisor.engine.bounds import evaluate
from advisor.engine.compiled import DEMAND, MATERIAL
from advisor.engine.facts import Fact, Run
from advisor.engine.firing import Conclusions
from advisor.engine.increment import Increment, RuleIndex
from advisor.rulebook import NOTE_TOPICS
from advisor.site import Site
from advisor.topics import Demand, Spare, combine, spare


@dataclass(frozen=True)
class _Base:
    """A site that is worked out: both readings, and what they demand by topic."""

    site: Site
    certain: Increment
    possible: Increment
    topics: dict[str, list[Demand]]


class Reckoner:
    """Advises on one site after another that differ little."""

    def __init__(self, advisor: Advisor) -> None:
        self.advisor, self.book = advisor, advisor.book
        self._base: _Base | None = None
        self._index: RuleIndex | None = None

    def advise(self, site: Site) -> Advice:
        """Return the advice on a site."""
        if self._base is None:
            return quick_advice(self.advisor, site)
        return self._changed(site, self._base)

    def settle(self, site: Site) -> None:
        """Take the site as the base for what comes next."""
        if self._base is not None and self._base.site is site:
            return
        if self._index is None:
            self._index = RuleIndex(self.advisor.loaded.rules)
        facts = site.facts()
        certain = Increment(self._index, facts, self.book, certain=True)
        possible = Increment(self._index, facts, self.book, certain=False)
        topics = {
            name: combine(topic, certain.run, possible.run, self.book)
            for name, topic in self.book.vocabulary.topics.items()
        }
        self._base = _Base(site, certain, possible, topics)

    def _changed(self, site: Site, base: _Base) -> Advice:
        given: dict[str, list[Fact]] = {fact.template: [] for fact in base.site.facts()}
        for fact in site.facts():
            given.setdefault(fact.template, []).append(fact)
        known = Conclusions(self.book)
        certain, possible = (reading.change(given, known) for reading in (base.certain, base.possible))
        touched = {
            name.partition(" ")[2] for name in certain.touched | possible.touched if name.startswith(f"{DEMAND} ")
        }
        topics = {
            name: combine(topic, certain.run, possible.run, self.book)
            if name in touched or (topic.join == "materials" and MATERIAL in touched)
            else base.topics[name]
            for name, topic in self.book.vocabulary.topics.items()
        }
        return self._gathered(site, certain.run, possible.run, topics)

    def _gathered(self, site: Site, certain: Run, possible: Run, topics: dict[str, list[Demand]]) -> Advice:
        demands: list[Demand] = []
        notes: dict[str, tuple[Demand, ...]] = {}
        spares: list[Spare] = []
        for name, topic in self.book.vocabulary.topics.items():
            if name in NOTE_TOPICS:
                notes[name] = tuple(topics[name])
            else:
                demands += topics[name]
                spares += spare(topic, certain, topics[name], self.book)
        return Advice(site, certain, possible, tuple(demands), notes, tuple(spares), self.advisor.loaded.rules)


def quick_advice(advisor: Advisor, site: Site) -> Advice:
    """Return the advice on a site as a whole by the quick evaluator."""
    facts = site.facts()
    rules = advisor.loaded.rules_for(facts)
    known = Conclusions(advisor.book)
    possible = evaluate(rules, facts, advisor.book, certain=False, conclusions=known)
    sure = [fact for fact in facts if fact.certain]
    certain = evaluate(rules, sure, advisor.book, certain=True, conclusions=known)
    return gather(site, certain, possible, advisor.book, rules)
