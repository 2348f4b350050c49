"""The words of an answer: which choices or rows of a table they name, and what is proposed where they name none."""

import difflib
from collections.abc import Mapping, Sequence
from typing import Any

from advisor import quantities
from advisor.faults import listing
from advisor.phrases import DENIALS, Spellings, in_other_number, phrase
from advisor.quantities import QuantityError
from advisor.tables import Table, plain
from advisor.vocabulary import Slot, Template

MOST_LISTED = 12


def spellings(slot: Slot, known: Sequence[str], tables: Mapping[str, Table]) -> Spellings:
    """Return the words of a slot by every spelling; a loose word that is said of several means any of them."""
    if slot.row is not None:
        return tables[slot.row].spellings
    named: dict[str, tuple[str, ...]] = {}
    for key, words in slot.also.items():
        for word in map(plain, words):
            named[word] = (*named.get(word, ()), key)
    return {**named, **{spelling: (word,) for word in known for spelling in (plain(word), word.lower())}}


def exact(item: Any, named: Spellings) -> tuple[str, ...] | None:
    """Return what a known spelling means, in singular or plural; a bare yes or no of YAML is one too."""
    if isinstance(item, dict | list):
        return None
    word = str(("yes" if item else "no") if isinstance(item, bool) else item)
    return named.get(word.lower()) or named.get(plain(word)) or in_other_number(plain(word), named)


def longer(item: Any, slot: Slot, known: Sequence[str], named: Spellings) -> tuple[str, ...] | None:
    """Return what a longer phrase means, where the slot allows reading one."""
    if not slot.heads or not isinstance(item, str):
        return None
    order: Sequence[str] = ()
    if slot.harsher == "listed":
        order = list(slot.choices) if slot.choices else known
    whole = plain(item)
    # What a slot asks for may stand at the end: "cowshed air" for the air.
    for words in dict.fromkeys([whole, whole.removesuffix(f" {plain(slot.slot)}")]):
        read = phrase(
            words,
            named,
            slot.never,
            heads=slot.heads,
            leads=slot.leads,
            tails=quantities.hedges()["tails"],
            order=order,
            nouns=slot.nouns,
            yields=slot.yields,
        )
        if found := (named.get(words) if words != whole else None) or read:
            return found
    return None


def hint(item: Any, slot: Slot, template: Template, known: Sequence[str], named: Spellings) -> str:
    """Return what to write in place of a word that names nothing."""
    words = plain(str(item))
    if DENIALS.intersection(words.split()) and (template.many or template.none) and slot is template.slots[0]:
        return instead_of_none(template, slot)
    close = difflib.get_close_matches(words, named, n=1, cutoff=0.7)
    start = f"did you mean {' or '.join(named[close[0]])}? Accepted" if close else "accepted"
    whole = f"; all of them: siteworthy rulebook table {slot.row}" if len(known) > MOST_LISTED else ""
    return f"{start}: {listing(known, MOST_LISTED)}{whole}"


def instead_of_none(template: Template, slot: Slot) -> str:
    """Return what to write where a slot knows no denial."""
    if slot is template.slots[0] and (template.many or template.none):
        return f"where there is none at all write '{template.template}: none'"
    accepted = f"; accepted: {listing(slot.choices)}" if slot.choices else ""
    return f"leave the line out where it does not apply{accepted}"


def measured_as(told: str, slot: Slot, template: Template) -> str:
    """Return how to write the figure in the slot beside this one that asks for its unit; '' where none does."""
    for other in template.slots:
        if other.unit and other.slot != slot.slot and other.unit != slot.unit:
            try:
                quantities.parse(told, other.unit, difference=other.difference)
            except QuantityError:
                continue
            return f"as '{other.slot}: {told}'"
    return ""
