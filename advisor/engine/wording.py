"""Values in the words of the trade: a domain as text, and `{alias.slot}` in the texts of rules filled in."""

import re
from collections.abc import Mapping

from advisor import quantities
from advisor.engine.compiled import FIELD
from advisor.engine.facts import Fact
from advisor.rulebook import Rulebook
from advisor.values import ABSENT, Absent, Domain, Span, Words
from advisor.vocabulary import Slot


def slot_of(template: str, name: str, book: Rulebook) -> Slot | None:
    """Return the slot of a template, or of the demands on a topic (`demand TOPIC`)."""
    _, _, topic = template.partition(" ")
    if topic:
        about = book.vocabulary.topics.get(topic)
        return about.slots.get(name) if about else None
    entry = book.vocabulary.templates.get(template)
    return entry.by_name.get(name) if entry else None


def say(domain: Domain, slot: Slot | None, book: Rulebook) -> str:
    """Return the domain as text in the slot's unit and words; what was not told is not known, whatever is plausible."""
    if isinstance(domain, Absent):
        return "does not apply"
    if not domain.told:
        return "not known"
    if isinstance(domain, Words):
        return _say_words(domain, slot, book)
    unit = (slot.unit if slot else None) or ""
    difference = slot.difference if slot else False
    return say_span(domain, unit, difference)


def say_span(span: Span, unit: str, difference: bool = False) -> str:
    """Return an interval as text in the unit."""
    if span.point:
        return quantities.show(span.low, unit, difference=difference)
    unit = quantities.handy(span.high, unit)
    low = quantities.number(quantities.from_si(span.low, unit, difference=difference))
    return f"{low} to {quantities.show(span.high, unit, difference=difference)}"


def _say_words(domain: Words, slot: Slot | None, book: Rulebook) -> str:
    table = book.tables.get(slot.row) if slot and slot.row else None
    order = list(table.rows) if table else list(slot.choices or ()) if slot else []
    order = order or sorted(domain.options)
    names = [table.rows[word].name if table else word for word in order if word in domain.options]
    if len(names) > 4 and len(names) == len(order):
        return "anything"
    if len(names) > 6:
        return f"one of {len(names)}, such as {', '.join(names[:3])}"
    return " or ".join(names)


def fill(text: str, bound: Mapping[str, Fact], book: Rulebook) -> str:
    """Fill `{alias.slot}` in a rule's text with the bound value; what is not known is named, as `unknown depth`."""

    def one(match: re.Match[str]) -> str:
        fact = bound.get(match[1])
        if fact is None:
            return match[0]
        domain, slot = fact.slots.get(match[2], ABSENT), slot_of(fact.template, match[2], book)
        if not isinstance(domain, Absent) and not domain.told:
            called = (slot.called if slot else "") or match[2].replace("_", " ")
            named = text[: match.start()].rstrip().lower().endswith(called.lower())
            return "unknown" if named else f"unknown {called}"
        return say(domain, slot, book)

    return FIELD.sub(one, text) if "{" in text else text
