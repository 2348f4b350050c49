"""A what-if from a finished run comes to what a new run on the changed answers comes to."""

import strategies
from conftest import DEPTH
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import Told, read

from advisor.advise import Advisor
from advisor.engine.bounds import evaluate
from advisor.engine.firing import Conclusions
from advisor.engine.increment import Increment, RuleIndex
from advisor.faults import InputError
from advisor.rulecheck import example_site
from advisor.whatif.edits import Edit, apply
from advisor.whatif.world import World


@st.composite
def changed(draw: st.DrawFn) -> tuple[Told, Edit]:
    """A site, and one of its told answers changed to any other, or one of its instances left out."""
    told = draw(strategies.sites())
    site = read(told)
    places = [
        (instance, name)
        for instance in site.instances
        for name, answer in instance.answers.items()
        if answer.origin == "told" and strategies.asked()[instance.template].by_name[name].kind != "text"
    ]
    assume(places)
    instance, name = draw(st.sampled_from(places))
    template = strategies.asked()[instance.template]
    if template.many and draw(st.integers(0, 9)) == 0:
        return told, Edit(instance.template, instance.id, "")
    value = draw(strategies.answers(instance.template, template.by_name[name]))
    return told, Edit(instance.template, instance.id, name, value[0] if isinstance(value, list) else value)


@given(case=changed())
@settings(max_examples=12 * DEPTH)
def test_a_what_if_is_a_new_run(case: tuple[Told, Edit]) -> None:
    told, edit = case
    loaded, before = strategies.rulebook(), read(told)
    after = example_site(apply(told, [edit]), loaded.book, "drawn")
    given_facts: dict[str, list[object]] = {name: [] for name in strategies.asked()}
    for fact in after.facts():
        given_facts[fact.template].append(fact)
    for certain in (True, False):
        start = Increment(RuleIndex(loaded.rules), before.facts(), loaded.book, certain=certain)
        changed_run = start.change(given_facts, Conclusions(loaded.book)).run  # type: ignore[arg-type]
        facts = [fact for fact in after.facts() if fact.certain or not certain]
        new = evaluate(loaded.rules, facts, loaded.book, certain=certain)
        changed_run.settle()
        assert list(changed_run.facts.values()) == list(new.facts.values())
        assert changed_run.justifications == new.justifications
        assert changed_run.texts == new.texts


@given(case=changed())
@settings(max_examples=10 * DEPTH)
def test_a_changed_world_asks_what_the_changed_site_asks(case: tuple[Told, Edit]) -> None:
    told, edit = case
    site = example_site(told, strategies.rulebook().book, "drawn")
    world = World(Advisor(strategies.rulebook()), site)
    after = world.whole((edit,))
    try:
        wanted = strategies.advise(example_site(apply(told, [edit]), strategies.rulebook().book, "drawn"))
    except InputError:
        assert after is None
        return
    assert after is not None
    expected: dict[str, list[object]] = {}
    for demand in strategies.everything(wanted):
        expected.setdefault(demand.topic, []).append(demand)
    for topic in world.book.vocabulary.topics:
        assert list(after.on(topic)) == expected.get(topic, []), topic
