"""The two readings are sound: what is certain stays so, and what can come to be demanded is among what is open.

Held over random sites and random completions of their answers, in the order of each topic and with parameters.
"""

import json
from typing import Any

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
    return [
        demand
        for demand in everything(advice)
        if not all(why.rule in quiet for fact in demand.facts for why in _reasons(advice, demand, fact))
    ]


def _reasons(advice: Advice, demand: Demand, fact: str) -> list[Any]:
    run = advice.certain if demand.state == "certain" else advice.possible
    return run.justifications[fact]


@given(strategies.with_completion())
@settings(max_examples=150 * DEPTH)
def test_certain_demands_stand_in_every_completion(pair: tuple[Told, Told]) -> None:
    partial, complete = (advise(read(told)) for told in pair)
    assert not uncovered(everything(partial, "certain"), everything(complete, "certain"))


@given(strategies.with_completion())
@settings(max_examples=150 * DEPTH)
def test_a_completion_demands_nothing_that_was_not_open(pair: tuple[Told, Told]) -> None:
    partial, complete = (advise(read(told)) for told in pair)
    assert not uncovered(at_most_open(complete), everything(partial))


@given(strategies.with_completion())
@settings(max_examples=60 * DEPTH)
def test_what_is_not_needed_is_not_demanded_by_a_completion(pair: tuple[Told, Told]) -> None:
    partial, complete = (advise(read(told)) for told in pair)
    spared = [Demand(entry.topic, "certain", entry.item) for entry in partial.spares]
    kept = [entry for entry in spared if uncovered([entry], complete.demands)]
    assert kept == spared


@given(st.data())
@settings(max_examples=150 * DEPTH)
def test_an_answer_replaced_by_unknown_takes_nothing_away(data: st.DataObject) -> None:
    told = data.draw(strategies.sites())
    given_answers = [
        (name, index, slot)
        for name, entries in told.items()
        for index, entry in enumerate(entries if isinstance(entries, list) else [entries])
        if isinstance(entry, dict)
        for slot in entry
        if slot != "preset"
    ]
    if not given_answers:
        return
    name, index, slot = data.draw(st.sampled_from(given_answers))
    entries = told[name] if isinstance(told[name], list) else [told[name]]
    forgotten = [{**entry, slot: "unknown"} if number == index else entry for number, entry in enumerate(entries)]
    less = {**told, name: forgotten if isinstance(told[name], list) else forgotten[0]}
    before, after = advise(read(told)), advise(read(less))
    assert not uncovered(at_most_open(before), everything(after))


@given(st.data())
@settings(max_examples=60 * DEPTH)
def test_a_template_left_out_takes_nothing_away(data: st.DataObject) -> None:
    told = data.draw(strategies.sites())
    name = data.draw(st.sampled_from(sorted(told) or ["place"]))
    assumed = {slot.slot for slot in strategies.asked()[name].slots if slot.assume is not None}
    entries = told.get(name)
    if any(assumed & set(entry) for entry in (entries if isinstance(entries, list) else [entries or {}]) if entry):
        return  # silence on such a slot is an answer: what is assumed is said
    less = {key: value for key, value in told.items() if key != name}
    assert not uncovered(at_most_open(advise(read(told))), everything(advise(read(less))))


@given(told=strategies.sites())
@settings(max_examples=15 * DEPTH)
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
