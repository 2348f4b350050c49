"""Along which answers a site can be changed: each movable answer with the values that it may be moved to.

A track is one answer and one way of moving it: a quantity up or down its scale, a choice to another word, an instance
left out. Movable is what the vocabulary gives a lever and what was told, came from a preset or was assumed; an answer
that is open is not moved but settled. A quantity or choice of which the vocabulary says which way is harsher is moved
to the milder side only, since a harsher answer that asks for less is no way out.
"""

import bisect
import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from advisor.engine.compiled import CompiledRule
from advisor.engine.conditions import words_of
from advisor.engine.wording import say
from advisor.rulebook import Rulebook
from advisor.site import Instance, Site
from advisor.values import Absent, Span, Words
from advisor.vocabulary import Slot, Template
from advisor.whatif.edits import Edit
from advisor.whatif.rungs import Scale, scale

MOVABLE = ("told", "preset", "assumed")
WIDEST = 60
"""Rungs between two values that are looked at on the way, where no threshold lies nearer."""
Marks = Mapping[tuple[str, str], Sequence[float]]


@dataclass(frozen=True)
class Option:
    """One value that an answer may be moved to: the edit, and how the value is printed."""

    edit: Edit
    said: str
    size: float
    step: str = ""


@dataclass(frozen=True)
class Track:
    """One way of moving one answer; `slot` is None for leaving the instance out."""

    instance: Instance
    slot: Slot | None
    lever: str
    effort: str
    now: str
    options: Sequence[Option]
    marks: tuple[int, ...]
    """The options that are looked at first; between two of them nothing is expected to turn twice."""
    ordered: bool
    """Whether a later option is a larger change; else every option stands for itself."""


def thresholds(rules: Iterable[CompiledRule]) -> dict[tuple[str, str], tuple[float, ...]]:
    """Return every figure against which a rule holds a slot, by template and slot, in coherent SI."""
    found: dict[tuple[str, str], set[float]] = {}
    for rule in rules:
        for pattern in rule.patterns:
            for test in (*pattern.tests, *pattern.refusals):
                if test.op in (">=", ">", "<=", "<", "between"):
                    figures = {figure for figure in (test.low, test.high) if figure == figure}
                    found.setdefault((pattern.template, test.slot), set()).update(figures)
    return {key: tuple(sorted(figures)) for key, figures in found.items()}


def tracks(site: Site, book: Rulebook, marks: Marks) -> list[Track]:
    """Return every way in which a designer can move one answer of the site."""
    found: list[Track] = []
    for instance in site.instances:
        template = book.vocabulary.templates[instance.template]
        told = [name for name, answer in instance.answers.items() if answer.origin in ("told", "preset")]
        if not told:
            continue
        for slot in template.slots:
            answer = instance.answers[slot.slot]
            if slot.lever is None or answer.origin not in MOVABLE or isinstance(answer.domain, Absent):
                continue
            now = say(answer.domain, slot, book)
            if isinstance(answer.domain, Span):
                found += _spans(instance, template, slot, answer.domain, now, marks)
            else:
                found += _words(instance, slot, answer.domain, now, book)
        if template.lever is not None and template.many:
            found.append(_left_out(instance, template))
    return found


def _left_out(instance: Instance, template: Template) -> Track:
    edit = Edit(template.template, instance.id, "")
    return Track(instance, None, template.lever or "", template.effort, "there", (Option(edit, "left out", 9.0),), (0,),
                 True)  # fmt: skip


def _spans(instance: Instance, template: Template, slot: Slot, span: Span, now: str, marks: Marks) -> list[Track]:
    ways = {"up": (False,), "down": (True,)}.get(slot.harsher or "", (False, True))
    low, high = _bounds(instance, template, slot.slot)
    found = []
    for up in ways:
        along = Rungs(instance, slot, span, scale(slot), up, low, high)
        if len(along):
            places = along.looked_at(marks.get((instance.template, slot.slot), ()))
            found.append(Track(instance, slot, slot.lever or "", slot.effort, now, along, places, True))
    return found


def _bounds(instance: Instance, template: Template, slot: str) -> tuple[float, float]:
    """Return within which figures the slot's neighbours in a rising group leave it."""
    low, high = -math.inf, math.inf
    for group in template.rising:
        if slot in group:
            place = group.index(slot)
            spans = [
                (n, a.domain) for n, name in enumerate(group) if isinstance((a := instance.answers[name]).domain, Span)
            ]
            low = max([low, *(span.low for n, span in spans if n < place and span.told)])
            high = min([high, *(span.high for n, span in spans if n > place and span.told)])
    return low, high


class Rungs(Sequence[Option]):
    """The options of a quantity in one direction, the nearest first, made when they are asked for."""

    def __init__(
        self, instance: Instance, slot: Slot, span: Span, along: Scale, up: bool, low: float, high: float
    ) -> None:
        self.instance, self.slot, self.span, self.along, self.up = instance, slot, span, along, up
        self.rungs = [rung for rung in along.beyond(span.low if up else span.high, up) if low <= rung <= high]

    def __len__(self) -> int:
        return len(self.rungs)

    def __getitem__(self, place: int) -> Option:  # type: ignore[override]
        rung = self.rungs[place]
        pick = max if self.up else min
        low, high = pick(self.span.low, rung), pick(self.span.high, rung)
        if low == high:
            value: str | float = self.along.written(rung)
            said = self.along.said(rung)
        else:
            value = f"{str(self.along.written(low)).split(' ')[0]} .. {self.along.written(high)}"
            said = f"{self.along.said(low)} to {self.along.said(high)}"
        edit = Edit(self.instance.template, self.instance.id, self.slot.slot, value)
        return Option(edit, said, (place + 1) / 80, self._step(place))

    def _step(self, place: int) -> str:
        """Return by how much less might do, as the rung before does not: nothing at either end of the rungs."""
        inner = 0 < place < len(self.rungs) - 1
        return self.along.step(self.rungs[place], self.rungs[place - 1]) if inner else ""

    def looked_at(self, figures: Sequence[float]) -> tuple[int, ...]:
        """Return the places at and just beyond every threshold, the last one, and some in every wide gap."""
        last = len(self.rungs) - 1
        keys = [rung if self.up else -rung for rung in self.rungs]
        found = {0, last}
        for figure in figures:
            wanted = figure if self.up else -figure
            place = bisect.bisect_left(keys, wanted - 1e-9 * abs(wanted))
            found |= {near for near in (place, place + 1) if 0 <= near <= last}
        dense = sorted(found)
        for low, high in itertools.pairwise(dense):
            pieces = -(-(high - low) // WIDEST)
            found |= {low + (high - low) * piece // pieces for piece in range(1, pieces)}
        return tuple(sorted(found))


def _words(instance: Instance, slot: Slot, domain: Words, now: str, book: Rulebook) -> list[Track]:
    known = list(words_of(slot, book.tables))
    if slot.harsher in ("up", "down"):
        return []
    ordered = slot.harsher == "listed"
    mildest = min(known.index(word) for word in domain.options)
    allowed = known[:mildest][::-1] if ordered else [word for word in known if word not in domain.options]
    if slot.toward:
        allowed = [word for word in allowed if word in slot.toward]
    if slot.swap is not None:
        groups = [row.cells.get("rows", ()) for row in book.tables[slot.swap].rows.values()]
        mates = {word for group in groups if domain.options <= set(group) for word in group}
        allowed = [word for word in allowed if word in mates]
    names = book.tables[slot.row].rows if slot.row else {}
    options = tuple(
        Option(
            Edit(instance.template, instance.id, slot.slot, word),
            names[word].name if word in names else word,
            (place + 1) / max(len(known), 4) if ordered else 1.0,
        )
        for place, word in enumerate(allowed)
    )
    if not options:
        return []
    return [Track(instance, slot, slot.lever or "", slot.effort, now, options, tuple(range(len(options))), ordered)]
