"""The whole way from a site to its advice: both readings through the engine, the demands that stand, what is open."""

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.engine.bounds import evaluate
from advisor.engine.chaining import Chainer
from advisor.engine.compiled import CompiledRule
from advisor.engine.facts import Fact, Run
from advisor.engine.firing import Conclusions
from advisor.loading import Loaded
from advisor.rulebook import NOTE_TOPICS, Rulebook
from advisor.site import Site
from advisor.topics import Demand, Spare, combine, spare

MOST_NETWORKS = 8
"""Networks kept; an editing session moves between a few."""


@dataclass(frozen=True)
class Advice:
    """What a site demands. `demands` holds figures and codes; notes stand under their topic in `notes`."""

    site: Site
    certain: Run
    possible: Run
    demands: tuple[Demand, ...]
    notes: dict[str, tuple[Demand, ...]]
    spares: tuple[Spare, ...]
    rules: tuple[CompiledRule, ...]
    """The rules that this site could set off."""

    def on(self, topic: str) -> list[Demand]:
        """Return the demands and notes on one topic."""
        return [demand for demand in (*self.demands, *self.notes.get(topic, ())) if demand.topic == topic]


def gather(site: Site, certain: Run, possible: Run, book: Rulebook, rules: tuple[CompiledRule, ...]) -> Advice:
    """Join what the two readings concluded."""
    demands: list[Demand] = []
    notes: dict[str, tuple[Demand, ...]] = {}
    spares: list[Spare] = []
    for topic in book.vocabulary.topics.values():
        found = combine(topic, certain, possible, book)
        if topic.topic in NOTE_TOPICS:
            notes[topic.topic] = tuple(found)
        else:
            demands += found
            spares += spare(topic, certain, found, book)
    return Advice(site, certain, possible, tuple(demands), notes, tuple(spares), rules)


class Advisor:
    """A loaded rulebook, ready for many sites.

    A network of all rules takes longer to build than to run, and of a large rulebook one site concerns a small part.
    So only the rules are compiled that the answers could set off, and the quick evaluator tells which of them fire at
    all in the possible reading; only these go into the engine of record, and the network is kept for the next site
    with the same ones. That none is dropped is held by a property test against the network of all rules.
    """

    def __init__(self, loaded: Loaded) -> None:
        self.loaded, self.book = loaded, loaded.book
        self._chainers: dict[tuple[tuple[str, int], ...], Chainer] = {}

    def advise(self, site: Site, claimed: Sequence[Fact] = ()) -> Advice:
        """Return the advice on a site by the engine of record. Raises EngineError.

        `claimed` are facts of a spec sheet, for the rules about claims.
        """
        facts = [*site.facts(), *claimed]
        known = Conclusions(self.book)
        rules = self.loaded.rules_for(facts)
        chainer = self._chainer(rules, evaluate(rules, facts, self.book, certain=False, conclusions=known))
        certain = chainer.run(facts, certain=True, conclusions=known)
        possible = chainer.run(facts, certain=False, conclusions=known)
        return gather(site, certain, possible, self.book, rules)

    def _chainer(self, rules: Sequence[CompiledRule], possible: Run) -> Chainer:
        fired = {(why.rule, why.variant) for reasons in possible.justifications.values() for why in reasons}
        key = tuple(sorted(fired))
        if key not in self._chainers:
            if len(self._chainers) >= MOST_NETWORKS:
                self._chainers.pop(next(iter(self._chainers)))
            self._chainers[key] = Chainer([r for r in rules if (r.rule.rule, r.variant) in fired], self.book)
        return self._chainers[key]
