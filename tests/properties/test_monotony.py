"""A harsher answer never lowers a demand and never drops a code, over every slot that says which way is harsher.

Rules that say why they are rightly not monotone are known: what rests on them alone may go. Notes on papers and
practice may go with what they were about; what no test covers and what is referred may not.
"""

from typing import Any

import pytest
import strategies
from conftest import DEPTH
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Told, asked, read, uncovered, whole, written

from advisor.advise import Advice
from advisor.engine.conditions import compile_test, words_of
from advisor.engine.facts import Justification, Run
from advisor.topics import Demand
from advisor.values import Span
from advisor.vocabulary import Slot

KEPT_NOTES = ("beyond", "refer")
HARSHER = [(name, slot.slot) for name, entry in asked().items() for slot in entry.slots if slot.harsher]
EXAMPLES = max(2, 200 // len(HARSHER)) * DEPTH


@st.composite
def pairs(draw: st.DrawFn, template: str, name: str) -> tuple[Told, Told]:
    """A site and the same site with a harsher answer to one slot, which applies to it."""
    entry = asked()[template]
    slot = entry.by_name[name]
    told = draw(strategies.sites(most=1, settled=True))
    own = draw(strategies.instances(entry))
    for group in entry.alternatives:
        if name in group:
            own = {key: value for key, value in own.items() if key not in group}
    told[template] = [own] if entry.many else own
    make_relevant(draw, told, own, slot, template)
    mild, harsh = draw(two_answers(template, slot))
    harder = {**own, name: harsh}
    return {**told, template: {**own, name: mild}}, {**told, template: harder}


def make_relevant(draw: st.DrawFn, told: Told, own: Told, slot: Slot, template: str) -> None:
    """Answer the slots on which it hangs whether the slot applies, so that it does."""
    for other, conditions in (slot.relevant or {}).items():
        target = asked()[other]
        if other != template and not isinstance(told.get(other), dict):
            told[other] = {}
        entry = own if other == template else told[other]
        for inner, raw in conditions.items():
            test = compile_test(target.by_name[inner], raw, strategies.rulebook().book.tables)
            if test.words:
                entry[inner] = draw(st.sampled_from(sorted(test.words)))
            elif test.op in (">=", ">", "<=", "<", "between"):
                span = whole(target.by_name[inner])
                assert isinstance(span, Span)
                low = test.low if test.op in (">=", ">", "between") else span.low
                high = test.high if test.op == "between" else test.low if test.op in ("<=", "<") else span.high
                entry[inner] = written((low + high) / 2, target.by_name[inner])
            if inner != slot.slot:
                make_relevant(draw, told, entry, target.by_name[inner], other)


@st.composite
def two_answers(draw: st.DrawFn, template: str, slot: Slot) -> tuple[Any, Any]:
    """A mild and a harsher answer."""
    if slot.harsher == "listed":
        order = words_of(slot, strategies.rulebook().book.tables)
        first, second = sorted(draw(st.lists(st.integers(0, len(order) - 1), min_size=2, max_size=2, unique=True)))
        return order[first], order[second]
    span = whole(slot)
    assert isinstance(span, Span)
    values = strategies.figures(span.low, span.high, strategies.thresholds().get((template, slot.slot), ()))
    low, high = sorted(draw(st.tuples(values, values)))
    ends = written(low, slot), written(high, slot)
    return ends if slot.harsher == "up" else ends[::-1]


def monotone(run: Run) -> Run:
    """The run without what rests on rules alone that are rightly not monotone."""
    rules = strategies.rulebook().book.rules
    known: dict[str, bool] = {}

    def holds(why: Justification) -> bool:
        return not rules[why.rule].not_monotone and all(stays(bound) for _, bound in why.bound)

    def stays(fact: str) -> bool:
        if fact not in known:
            reasons = run.justifications.get(fact)
            known[fact] = reasons is None or any(map(holds, reasons))
        return known[fact]

    kept = {name: fact for name, fact in run.facts.items() if stays(name)}
    return Run(kept, {name: [*filter(holds, reasons)] for name, reasons in run.justifications.items() if name in kept})


def demanded(advice: Advice) -> list[Demand]:
    return [*advice.demands, *(note for topic in KEPT_NOTES for note in advice.notes[topic])]


@pytest.mark.parametrize(("template", "slot"), HARSHER, ids=[f"{name}.{slot}" for name, slot in HARSHER])
@given(data=st.data())
@settings(max_examples=EXAMPLES)
def test_harsher_asks_no_less(template: str, slot: str, data: st.DataObject) -> None:
    mild_told, harsh_told = data.draw(pairs(template, slot))
    mild_site, harsh_site = read(mild_told), read(harsh_told)
    mild = strategies.joined(mild_site, *map(monotone, strategies.runs(mild_site)))
    harsh = strategies.advise(harsh_site)
    sure = [demand for demand in demanded(mild) if demand.state == "certain"]
    sure_harsh = [demand for demand in demanded(harsh) if demand.state == "certain"]
    assert not uncovered(sure, sure_harsh, certain=True)
    assert not uncovered(demanded(mild), demanded(harsh), certain=False)


def test_every_excuse_is_a_sentence() -> None:
    """An excuse is a sentence, so that a reader can judge it."""
    excuses = [rule.not_monotone for rule in strategies.rulebook().book.rules.values() if rule.not_monotone]
    assert all(len(excuse.split()) >= 4 for excuse in excuses)
