"""The round figures to which a change of an answer is stated, so that a person can write it down.

A scale runs through the plausible range of a slot in its own unit: whole degrees for temperatures and for anything
that may be negative, else two and a half digits (steps of 2 from 100 to 200, of 5 to 500, of 10 to 1000, and so in
every decade). A change found on a scale is larger than needed by less than one step.
"""

import bisect
import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from advisor import quantities
from advisor.vocabulary import Slot

_DECADE = [*range(100, 200, 2), *range(200, 500, 5), *range(500, 1000, 10)]
SMALLEST = 1e-4
"""Of the slot's unit: below it a positive answer is as good as its lower end."""


@dataclass(frozen=True)
class Scale:
    """The rungs of a slot in coherent SI, rising, both ends of what is plausible included."""

    slot: Slot
    rungs: tuple[float, ...]

    def beyond(self, value: float, up: bool) -> Sequence[float]:
        """Return the rungs on one side of a value, the nearest first."""
        slack = 1e-9 * max(abs(value), 1e-12)
        if up:
            return self.rungs[bisect.bisect_right(self.rungs, value + slack) :]
        return self.rungs[: bisect.bisect_left(self.rungs, value - slack)][::-1]

    def step(self, one: float, other: float) -> str:
        """Return the distance of two rungs as text, for example `5 mm`."""
        return quantities.show(abs(one - other), self.slot.unit or "", difference=True)

    def written(self, value: float) -> str | float:
        """Return a rung as it is written in a site file."""
        unit = self.slot.unit or ""
        number = float(f"{quantities.from_si(value, unit, difference=self.slot.difference):.10g}")
        return f"{number:.10g} {unit}" if unit else number

    def said(self, value: float) -> str:
        """Return a rung as it is printed."""
        return quantities.show(value, self.slot.unit or "", difference=self.slot.difference)


@functools.lru_cache(maxsize=1024)
def _shown(low: float, high: float, whole: bool) -> tuple[float, ...]:
    if whole or low < 0:
        return (low, *(float(n) for n in range(math.floor(low) + 1, math.ceil(high))), high)
    start = max(low, SMALLEST)
    found = []
    for decade in range(math.floor(math.log10(start)), math.ceil(math.log10(max(high, start))) + 1):
        found += [float(f"{mantissa}e{decade - 2}") for mantissa in _DECADE]
    return (low, *(value for value in found if low < value < high), high)


def scale(slot: Slot) -> Scale:
    """Return the scale of a quantity."""
    unit = slot.unit or ""
    ends = quantities.parse(slot.plausible or "", unit, difference=slot.difference)
    low, high = (float(f"{quantities.from_si(end, unit, difference=slot.difference):.10g}") for end in ends)
    whole = unit in ("degC", "degF")
    shown = _shown(low, high, whole)
    return Scale(slot, tuple(quantities.to_si(value, unit, difference=slot.difference) for value in shown))
