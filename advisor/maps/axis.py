"""An axis of a map: one answer of the site that is a figure, its range, and the middles of its cells.

A slot is named `wash.pressure`, or `wash:2.pressure` or `wash:hot rinse.pressure` where the template stands several
times; without a number or name the one instance is meant to which the slot applies. The range is that given, or a
decade to either side of the site's own value within what is plausible, or all that is plausible. An axis is
logarithmic where its range spans two decades or more and begins above nought.
"""

import math
from dataclasses import dataclass

from advisor import quantities
from advisor.engine.expressions import full
from advisor.faults import Fault, InputError, Place, listing, nearest, shorten
from advisor.quantities import QuantityError
from advisor.rulebook import Rulebook
from advisor.site import Instance, Site
from advisor.values import Absent, Span
from advisor.vocabulary import Slot

PLACE = Place("map")
DECADE = 10.0
LOG_FROM = 20.0
"""Highest over lowest from which an axis is logarithmic."""
FAR = 20.0
"""A linear axis ends at four times the site's own value where the plausible end lies further off than so many times."""


@dataclass(frozen=True)
class Axis:
    """One axis in coherent SI."""

    instance: str
    template: str
    slot: Slot
    label: str
    """The instance as texts call it, '' for one without a name."""
    low: float
    high: float
    cells: int
    log: bool
    own: Span | None
    """What the site says; None where it says nothing."""

    @property
    def name(self) -> str:
        return f"{self.template}{f' ({self.label})' if self.label else ''}: {self.slot.slot.replace('_', ' ')}"

    @property
    def unit(self) -> str:
        return self.slot.unit or ""

    def edges(self) -> list[float]:
        """Return the ends of all cells, rising."""
        return [self.at(number / self.cells) for number in range(self.cells + 1)]

    def middles(self) -> list[float]:
        """Return the values for which the cells are worked out: their middles as drawn."""
        return [self.at((number + 0.5) / self.cells) for number in range(self.cells)]

    def at(self, share: float) -> float:
        """Return the value at a share of the length."""
        if self.log:
            return math.exp(math.log(self.low) + share * (math.log(self.high) - math.log(self.low)))
        return self.low + share * (self.high - self.low)

    def share(self, value: float) -> float:
        """Return where on the axis a value lies, 0 to 1 within its range."""
        if self.log:
            if value <= 0:
                return -math.inf
            return (math.log(value) - math.log(self.low)) / (math.log(self.high) - math.log(self.low))
        return (value - self.low) / (self.high - self.low)

    def show(self, value: float) -> str:
        return quantities.show(value, self.unit, difference=self.slot.difference)

    def ticks(self) -> list[tuple[float, str]]:
        """Return round values on the axis as (share, number in the slot's unit)."""
        low, high = (
            quantities.from_si(end, self.unit, difference=self.slot.difference) for end in (self.low, self.high)
        )
        found = _log_ticks(low, high) if self.log else _linear_ticks(low, high)
        si = [quantities.to_si(value, self.unit, difference=self.slot.difference) for value in found]
        return [(self.share(value), quantities.number(shown)) for value, shown in zip(si, found, strict=True)]


def axis(spec: str, site: Site, book: Rulebook, *, given: str = "", cells: int) -> Axis:
    """Return the axis for a slot as the user names it. Raises InputError."""
    instance, slot = find(spec, site, book)
    domain = instance.answers[slot.slot].domain
    own = domain if isinstance(domain, Span) and domain.told else None
    everything = full(slot, book.tables)
    assert isinstance(everything, Span)
    low, high = _given(spec, given, slot, everything) if given else usual(own, everything)
    return Axis(instance.id, instance.template, slot, instance.label, low, high, cells, is_log(low, high), own)


def find(spec: str, site: Site, book: Rulebook) -> tuple[Instance, Slot]:
    """Return the instance and the slot that a user names. Raises InputError."""
    head, dot, name = spec.rpartition(".")
    template_name, colon, which = head.partition(":")
    templates = {
        key: entry for key, entry in book.vocabulary.templates.items() if not entry.derived and not entry.claimed
    }
    if not dot:
        raise _fault(f"{shorten(spec)} names no slot", "TEMPLATE.SLOT, such as wash.pressure")
    if template_name not in templates:
        raise _fault(f"there is no template {shorten(template_name)}", nearest(template_name, templates))
    template = templates[template_name]
    figures = [slot.slot for slot in template.slots if slot.kind == "span"]
    if name not in figures:
        what = (
            f"{template_name}.{name} is no figure"
            if name in template.by_name
            else f"{template_name} has no slot {shorten(name)}"
        )
        raise _fault(what, nearest(name, figures) if figures else "a slot that is a figure")
    slot = template.by_name[name]
    for other in templates.values():
        for entry in other.slots:
            if name in (entry.relevant or {}).get(template_name, {}):
                raise _fault(f"{spec} decides which other questions are asked", "a slot that decides none")
    instances = [entry for entry in site.instances if entry.template == template_name]
    if not instances or (template.many and not any(entry.certain for entry in instances)):
        raise _fault(f"the site has no {template_name}", f"an entry of {template_name} in the site file")
    if colon:
        chosen = [e for n, e in enumerate(instances, 1) if which == str(n)] or [
            e for e in instances if e.label == which
        ]
        if not chosen:
            names = [f"{template_name}:{e.label or n}.{name}" for n, e in enumerate(instances, 1)]
            raise _fault(f"there is no {template_name} {shorten(which)}", nearest(spec, names))
        instances = chosen
    # An answer for which another of its kind was told instead, as a pressure for a depth, is absent but has that said.
    fitting = [e for e in instances if not isinstance(e.answers[name].domain, Absent) or e.answers[name].text]
    if not fitting:
        raise _fault(f"{spec} does not apply to this site", _why(slot))
    if len(fitting) > 1:
        names = [
            f"{template_name}:{instances.index(e) + 1}.{name}{f' ({e.label})' if e.label else ''}" for e in fitting
        ]
        raise _fault(f"{spec} may mean {len(fitting)} entries", f"one of {listing(names)}")
    return fitting[0], slot


def _why(slot: Slot) -> str:
    parts = [
        f"{template}.{inner} {' or '.join(map(str, raw)) if isinstance(raw, list) else raw}"
        for template, conditions in (slot.relevant or {}).items()
        for inner, raw in conditions.items()
    ]
    return f"it is asked where {' and '.join(parts)}" if parts else "another answer stands in for it"


def usual(own: Span | None, everything: Span) -> tuple[float, float]:
    """Return the range of an axis for which none is given."""
    low, high = everything.low, everything.high
    if own is None:
        return low, high
    if low > 0 and high / low >= LOG_FROM:
        return max(low, own.low / DECADE), min(high, own.high * DECADE)
    reach = own.high - low
    return (low, low + 4 * reach) if reach > 0 and high - low > FAR * reach else (low, high)


def is_log(low: float, high: float) -> bool:
    """Tell whether a range is drawn logarithmically."""
    return low > 0 and high / low >= LOG_FROM


def _given(spec: str, text: str, slot: Slot, everything: Span) -> tuple[float, float]:
    try:
        low, high = quantities.parse(text, slot.unit or "", difference=slot.difference)
    except QuantityError as problem:
        raise _fault(f"range of {spec}: {problem.what}", problem.accepted) from None
    if math.isinf(low) or math.isinf(high) or not low < high:
        raise _fault(f"range of {spec}: {shorten(text)} has no two ends", f"such as {slot.plausible}")
    if low < everything.low - 1e-9 * abs(everything.low) or high > everything.high + 1e-9 * abs(everything.high):
        raise _fault(f"range of {spec}: {shorten(text)} is not plausible", f"within {slot.plausible}")
    return low, high


def _fault(what: str, accepted: str) -> InputError:
    return InputError([Fault(PLACE, what, accepted)])


def _log_ticks(low: float, high: float) -> list[float]:
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    steps = (1, 2, 5) if high / low < 10**3.2 else (1,)
    found = [float(f"{step}e{decade}") for decade in decades for step in steps]
    return [value for value in found if low * (1 - 1e-9) <= value <= high * (1 + 1e-9)]


def _linear_ticks(low: float, high: float) -> list[float]:
    step = round_step((high - low) / 8)
    first = math.ceil(low / step - 1e-9)
    return [round(number * step, 12) for number in range(first, math.floor(high / step + 1e-9) + 1)]


def round_step(raw: float) -> float:
    """Return the smallest of 1, 2, 2.5, 5, 10 times a power of ten that is not below."""
    size = 10.0 ** math.floor(math.log10(raw))
    return next(size * factor for factor in (1, 2, 2.5, 5, 10) if size * factor >= raw - 1e-12 * size)
