"""Whatever the site, a change that is given does what it says by a run of its own, and one step less does not."""

import strategies
from conftest import DEPTH
from hypothesis import given, settings
from strategies import Told

from advisor.advise import Advice, Advisor
from advisor.relax import Relaxer
from advisor.rulecheck import example_site
from advisor.topics import Demand
from advisor.whatif.edits import apply
from advisor.whatif.search import Search
from advisor.whatif.tracks import thresholds, tracks
from advisor.whatif.world import Outcome

MOST_GOALS = 3


def outcome(advice: Advice) -> Outcome:
    """What an advice asks, in the form in which goals look at it."""
    topics: dict[str, tuple[Demand, ...]] = {}
    for demand in strategies.everything(advice):
        topics[demand.topic] = (*topics.get(demand.topic, ()), demand)
    return Outcome((), advice.site, topics)


@given(told=strategies.sites(settled=True))
@settings(max_examples=8 * DEPTH)
def test_every_change_does_what_it_says(told: Told) -> None:
    loaded = strategies.rulebook()
    relaxer = Relaxer(Advisor(loaded), example_site(told, loaded.book, "drawn"))
    names = [t.topic for t in loaded.book.vocabulary.topics.values() if t.join != "materials" and t.topic != "refer"]
    demanded = [name for name in names if relaxer.world().start.on(name)]
    for name in demanded[:MOST_GOALS]:
        for found in relaxer.relaxations(name)[:MOST_GOALS]:
            for change in found.changes:
                site = example_site(apply(relaxer.site.told, change.edits), loaded.book, "drawn")
                assert found.goal.met(outcome(strategies.advise(site))), change.text


@given(told=strategies.sites(settled=True))
@settings(max_examples=8 * DEPTH)
def test_one_step_less_does_not_do(told: Told) -> None:
    loaded = strategies.rulebook()
    relaxer = Relaxer(Advisor(loaded), example_site(told, loaded.book, "drawn"))
    search = Search(relaxer.world(), tracks(relaxer.site, loaded.book, thresholds(loaded.rules)))
    for found in relaxer.relaxations()[:MOST_GOALS]:
        if found.topic.join == "materials":
            continue
        for own in search.singles(found.goal):
            track, option = own.parts[0]
            place = next(n for n in range(len(track.options)) if track.options[n] == option)
            if track.ordered and place:
                before = relaxer.world().after((track.options[place - 1].edit,))
                assert before is None or not found.goal.met(before), option.edit
