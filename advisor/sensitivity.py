"""How far each figure of a site may move before the demands become other.

For every quantity that was told, came from a preset or is assumed: the interval round it over which the same codes
are demanded, the same figures and materials are in play and the same serious notes stand; what changes first beyond
either end; and how far the nearest end is. A figure that follows the answer (the highest temperature, say) may slide
within the interval; which demands there are may not. An answer whose own spread, as a range or by the last digit it
was written with, reaches an end is flagged.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from advisor import quantities
from advisor.advise import Advisor
from advisor.difference import Shift, compare, makers
from advisor.engine.wording import say
from advisor.quantities import QuantityError
from advisor.report.requirement import DocumentBuilder
from advisor.site import Instance, Site
from advisor.values import Span
from advisor.vocabulary import Slot
from advisor.whatif.edits import Edit
from advisor.whatif.rungs import Scale, scale
from advisor.whatif.tracks import MOVABLE, Rungs, thresholds
from advisor.whatif.world import SERIOUS, Outcome, World


@dataclass(frozen=True)
class End:
    """One end of the interval: the last value that changes nothing, and what the next one changes; None if nothing."""

    value: float
    said: str
    shifts: tuple[Shift, ...] = ()

    @property
    def open(self) -> bool:
        """Whether the interval runs on to the end of what is plausible."""
        return not self.shifts


@dataclass(frozen=True)
class Hold:
    """Over which interval of one answer the demands stay the same; values in coherent SI."""

    instance: Instance
    slot: Slot
    now: str
    origin: str
    low: End
    high: End
    margin: float | None
    """How far the nearer end is, as a share of the answer, for temperatures of the interval; None if there is none."""
    near: str
    """The nearer end as a distance in the slot's unit, and which way."""
    flag: str = ""

    @property
    def about(self) -> str:
        where = self.instance.template.replace("_", " ") + (f" ({self.instance.label})" if self.instance.label else "")
        return f"{where}, {self.slot.slot.replace('_', ' ')}"

    @property
    def text(self) -> str:
        """Return the interval in words, for example `holds from 61 bar to 97 bar`."""
        if self.low.open and self.high.open:
            return "holds at any value"
        if self.low.open:
            return f"holds up to {self.high.said}"
        if self.high.open:
            return f"holds from {self.low.said} upwards"
        return f"holds from {self.low.said} to {self.high.said}"


def holds(advisor: Advisor, site: Site) -> list[Hold]:
    """Return how far each figure may move, the tightest first. Raises EngineError."""
    world = World(advisor, site, materials=True)
    builder = DocumentBuilder(world.advice, advisor)
    marks = thresholds(advisor.loaded.rules)
    found = []
    for instance in site.instances:
        slots = advisor.book.vocabulary.templates[instance.template].by_name
        if not any(answer.origin in ("told", "preset") for answer in instance.answers.values()):
            continue
        for name, answer in instance.answers.items():
            if isinstance(answer.domain, Span) and answer.origin in MOVABLE:
                walker = _Walker(world, builder, instance, slots[name], answer.domain)
                found.append(walker.hold(marks.get((instance.template, name), ()), answer.text, answer.origin))
    return sorted(found, key=lambda hold: (not hold.flag, hold.margin is None, hold.margin or 0.0, hold.about))


class _Walker:
    """Walks one quantity up and down until the demands change."""

    def __init__(self, world: World, builder: DocumentBuilder, instance: Instance, slot: Slot, span: Span) -> None:
        self.world, self.builder, self.instance, self.slot, self.span = world, builder, instance, slot, span
        self.along: Scale = scale(slot)
        self.here = world.start

    def hold(self, marks: Sequence[float], written: str, origin: str) -> Hold:
        if not self.span.point:
            middle = self._at((self.span.low + self.span.high) / 2)
            self.here = middle or self.here
        low, high = self._end(False, marks), self._end(True, marks)
        margin, near = self._margin(low, high)
        now = say(self.span, self.slot, self.world.book)
        flag = self._flag(low, high, written)
        return Hold(self.instance, self.slot, now, origin, low, high, margin, near, flag)

    def _at(self, value: float) -> Outcome | None:
        edit = Edit(self.instance.template, self.instance.id, self.slot.slot, self.along.written(value))
        return self.world.after((edit,))

    def _end(self, up: bool, marks: Sequence[float]) -> End:
        start = (self.span.low + self.span.high) / 2
        rungs = Rungs(self.instance, self.slot, Span(start, start), self.along, up, float("-inf"), float("inf"))
        wanted = signature(self.here)
        before = -1
        for mark in rungs.looked_at(marks) if len(rungs) else ():
            outcome = self._at(rungs.rungs[mark])
            if outcome is None or signature(outcome) == wanted:
                before = mark
                continue
            while mark - before > 1:
                middle = (mark + before) // 2
                inner = self._at(rungs.rungs[middle])
                if inner is None or signature(inner) == wanted:
                    before = middle
                else:
                    mark, outcome = middle, inner
            last = rungs.rungs[before] if before >= 0 else start
            return End(last, self.along.said(last), tuple(self._shifts(outcome)))
        last = rungs.rungs[-1] if len(rungs) else start
        return End(last, self.along.said(last))

    def _shifts(self, outcome: Outcome) -> list[Shift]:
        names = self.world.watched
        before, after = ({name: own.on(name) for name in names} for own in (self.here, outcome))
        found = compare(before, after, self.world.book, self.builder.headline)
        sliding = ("highest", "lowest")
        topics = self.world.book.vocabulary.topics
        kept = [s for s in found if topics[s.topic].join not in sliding or s.kind in ("new", "dropped")]
        return kept or found

    def _margin(self, low: End, high: End) -> tuple[float | None, str]:
        here = (self.span.low + self.span.high) / 2
        ends = [(abs(end.value - here), end, way) for end, way in ((low, "down"), (high, "up")) if not end.open]
        if not ends:
            return None, ""
        size, _, way = min(ends, key=lambda entry: entry[0])
        unit = self.slot.unit or ""
        whole = abs(high.value - low.value) if unit in ("degC", "degF") else abs(here)
        text = quantities.show(size, unit, difference=True)
        return (size / whole if whole else 0.0), f"{text} {way}" if size else ("right above it", "right below it")[
            way == "down"
        ]

    def _flag(self, low: End, high: End, written: str) -> str:
        if not self.span.point:
            inside = [end for end in (low, high) if not end.open and self.span.low < end.value < self.span.high]
            return "its own range reaches over a change" if inside else ""
        size = _last_digit(written, self.slot)
        if size is None:
            return ""
        close = [end for end in (low, high) if not end.open and abs(end.value - self.span.low) <= size]
        return "a change lies within the rounding of the figure" if close else ""


def _last_digit(written: str, slot: Slot) -> float | None:
    """Return half of the last written digit of a figure in coherent SI; None where it was not written as one."""
    match = re.fullmatch(r"\s*[+-]?\d+(?:[.,](\d+))?\s*(.*)", written)
    if match is None:
        return None
    digit = 10.0 ** -len(match[1] or "")
    try:
        return quantities.parse(f"{digit:f} {match[2]}".strip(), slot.unit or "", difference=True)[0] / 2
    except QuantityError:
        return None


def signature(outcome: Outcome) -> tuple[object, ...]:
    """Return which demands and serious notes stand and which materials are out, without the figures that slide."""
    found: list[object] = [frozenset(outcome.ruled_out().items())]
    for name, join in outcome.joins.items():
        if join == "materials" or (join == "notes" and name not in SERIOUS):
            continue
        for demand in outcome.on(name):
            who = makers(demand) if join == "notes" else demand.item
            found.append((name, demand.state, who, demand.unknown))
    return tuple(found)
