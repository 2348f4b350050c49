"""The two readings are sound: what is certain stays so, and what can come to be demanded is among what is open.

Held over random sites and random completions of their answers, in the order of each topic and with parameters.
"""

import json

import pytest
import strategies
from conftest import DEPTH
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Told, advise, everything, read, uncovered

from advisor.advise import Advice, Advisor
from advisor.document import Explanation, Requirement
from advisor.report import text
from advisor.report.requirement import DocumentBuilder
from advisor.topics import Demand


def at_most_open(advice: Advice) -> list[Demand]:
    """What a completion may demand, without the clashes between answers, of which an open answer tells nothing."""
    quiet = {name for name, rule in strategies.rulebook().book.rules.items() if rule.certain_only}
    reasons = {**advice.certain.justifications, **advice.possible.justifications}
    return [
        demand
        for demand in everything(advice)
        if not all(why.rule in quiet for fact in demand.facts for why in reasons[fact])
    ]


def opened(partial: Advice, complete: Advice) -> list[str]:
    """Name what the completion demands and the partial site does not, not even possibly."""
    beyond = uncovered(at_most_open(complete), everything(partial), certain=False)
    if strategies.unnamed_agents(partial.site):
        roles = {topic.topic for topic in strategies.rulebook().book.vocabulary.topics.values() if topic.role}
        beyond = [line for line in beyond if line.split(":")[0] not in roles]
    return beyond


@given(strategies.with_completion())
@settings(max_examples=25 * DEPTH)
def test_a_completion_keeps_what_is_certain_and_adds_only_what_was_open(pair: tuple[Told, Told]) -> None:
    partial, complete = (advise(read(told)) for told in pair)
    assert not uncovered(everything(partial, "certain"), everything(complete, "certain"), certain=True)
    assert not opened(partial, complete)
    for entry in partial.spares:
        spared = Demand(entry.topic, "certain", entry.item)
        assert uncovered([spared], complete.demands, certain=True), f"{entry.item} was called not needed"


@given(st.data())
@settings(max_examples=25 * DEPTH)
def test_an_answer_replaced_by_unknown_takes_nothing_away(data: st.DataObject) -> None:
    told = data.draw(strategies.sites())
    slots = [
        (name, index, slot)
        for name, entries in told.items()
        for index, entry in enumerate(entries if isinstance(entries, list) else [entries])
        if isinstance(entry, dict)
        for slot in entry
        if slot != "preset"
    ]
    if not slots:
        return
    name, index, slot = data.draw(st.sampled_from(slots))
    entries = told[name] if isinstance(told[name], list) else [told[name]]
    forgotten = [{**entry, slot: "unknown"} if number == index else entry for number, entry in enumerate(entries)]
    less = {**told, name: forgotten if isinstance(told[name], list) else forgotten[0]}
    assert not opened(advise(read(less)), advise(read(told)))


@given(st.data())
@settings(max_examples=12 * DEPTH)
def test_a_template_left_out_takes_nothing_away(data: st.DataObject) -> None:
    told = data.draw(strategies.sites())
    if not told:
        return
    name = data.draw(st.sampled_from(sorted(told)))
    behind = [slot for other in told for slot in strategies.asked()[other].slots if name in (slot.relevant or {})]
    if behind or strategies.denied(strategies.asked()[name], told):
        return  # silence on a gate is an answer too: it is taken for open where something behind it is told
    assumed = {slot.slot for slot in strategies.asked()[name].slots if slot.assume is not None}
    entries = told[name] if isinstance(told[name], list) else [told[name]]
    if any(assumed & set(entry) for entry in entries if isinstance(entry, dict)):
        return  # silence on such a slot is an answer of its own: what is assumed, and said
    less = {key: value for key, value in told.items() if key != name}
    assert not opened(advise(read(less)), advise(read(told)))


MANY = [name for name, entry in strategies.asked().items() if entry.many]


@pytest.mark.parametrize("name", MANY)
def test_three_of_a_kind_of_which_nothing_is_known_still_get_advice(name: str) -> None:
    first = next(iter(strategies.asked()[name].by_name))
    quiet = {other: "none" for other, entry in strategies.asked().items() if entry.many and other not in (name, "weld")}
    told = {**quiet, name: [{first: "unknown"} for _ in range(3)]}
    assert everything(advise(read(told)), "open")


@given(told=strategies.sites())
@settings(max_examples=4 * DEPTH)
def test_documents_validate_and_print_for_every_site(advisor: Advisor, told: Told) -> None:
    site = read(told)
    builder = DocumentBuilder(advisor.advise(site), advisor)
    sheet = builder.requirement()
    again = Requirement.model_validate_json(sheet.model_dump_json(by_alias=True))
    assert again == sheet
    assert "NaN" not in json.dumps(json.loads(sheet.model_dump_json(by_alias=True)))
    assert text.requirement(sheet, proofs=True, opened=True).endswith("\n")
    for topic in list(advisor.book.vocabulary.topics.values())[:3]:
        why = builder.explanation(topic, "")
        assert Explanation.model_validate_json(why.model_dump_json(by_alias=True)) == why
        assert text.explanation(why)
