"""Figures that run through a range: told as one, they are parted into the ends that are reached.

A range is elsewhere a figure that is not known better. Where the vocabulary says that the figure runs through it
(`counts`, `low_end`), nothing about its ends is open: a liquid of 4 to 19 degC gets as cold as 4 degC and as warm as
19 degC. What a bound leaves untold stays open.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from advisor import quantities
from advisor.answers import Answer
from advisor.engine.wording import say_span
from advisor.quantities import QuantityError
from advisor.values import Span
from advisor.vocabulary import Slot, Template
from advisor.wording import settle


def part(template: Template, answers: dict[str, Answer], entry: Mapping[str, Any]) -> list[str]:
    """Part the ranges of one instance in place, and return what was taken for granted of them, in sentences."""
    said = []
    for slot in template.slots:
        answer = answers[slot.slot]
        if not (slot.counts or slot.low_end) or answer.origin not in ("told", "assumed"):
            continue
        if not isinstance(answer.domain, Span):
            continue
        low, high = answer.domain.low, answer.domain.high
        if answer.origin == "assumed":
            taken = say_span(answer.domain, slot.unit or "")
            said.append(f"{template.template}: {slot.slot} is not told; {taken} is taken, the usual range.")
        under, over = _ends(entry.get(slot.slot), slot) if answer.origin == "told" else (low, high)
        if slot.counts == "low" and under != -math.inf:
            answers[slot.slot] = replace(answer, domain=Span(low, low))
        if slot.low_end is None:
            continue
        if over != math.inf:
            answers[slot.slot] = replace(answer, domain=Span(high, high))
        if answers[slot.low_end].origin == "silent":
            lowest = replace(answer, domain=Span(low, low)) if under != -math.inf else Answer(Span(low, high), "silent")
            answers[slot.low_end] = lowest
    return said


def _ends(raw: Any, slot: Slot) -> tuple[float, float]:
    """Return the ends of a told figure as they are written: unbounded where a bound leaves one untold."""
    try:
        return quantities.parse(settle(raw, slot), slot.unit or "", difference=slot.difference)
    except QuantityError:  # a fault of the file, which is reported where it is read
        return -math.inf, math.inf
