"""The demands at every cell of a map, each as `advise` would give them for the value in the middle of the cell.

The site is read again with both answers told, so that what other slots mean follows from that; the quick evaluator
then runs over all cells and keeps what hangs on neither answer. Within a topic the join of the demands is kept by the
facts it joins, so that a cell costs only what is new in it. Demands carry no texts here.
"""

import copy
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from advisor import quantities
from advisor.engine.compiled import MATERIAL, demand_template
from advisor.engine.facts import Fact
from advisor.engine.sweep import Made, Sweep, Values
from advisor.loading import Loaded
from advisor.maps.axis import Axis
from advisor.materials import Ratings, bare_verdicts, proposed
from advisor.site import Site, read_site
from advisor.tables import Row
from advisor.topics import Demand, join, of_materials
from advisor.values import Span
from advisor.vocabulary import Topic
from advisor.yamlfile import Document


@dataclass(frozen=True)
class Grid:
    """The demands of every cell, `cells[row][column]`, rows along y from its low end."""

    site: Site
    """The site with both answers told as the whole of their ranges."""
    x: Axis
    y: Axis
    cells: tuple[tuple[tuple[Demand, ...], ...], ...]
    own: tuple[Demand, ...] | None
    """The demands at the site's own point, which need not be those of the cell in which it lies."""


def told(site: Site, axes: Iterable[Axis], values: Sequence[str], loaded: Loaded) -> Site:
    """Return the site with other answers on the axes, and other answers that stand for the same taken away."""
    data: dict[str, Any] = copy.deepcopy(dict(site.told))
    for axis, value in zip(axes, values, strict=True):
        number = int(axis.instance.partition("#")[2] or 1) - 1
        entry = data.get(axis.template)
        entry = entry[number] if isinstance(entry, list) else entry
        if not isinstance(entry, dict):
            entry = data[axis.template] = {}
        for group in loaded.book.vocabulary.templates[axis.template].alternatives:
            if axis.slot.slot in group:
                for name in group:
                    entry.pop(name, None)
        entry[axis.slot.slot] = value
    return read_site(Document("map", data), loaded.book)


def grid(
    site: Site, x: Axis, y: Axis, loaded: Loaded, topics: Sequence[Topic], notice: Callable[[float], None]
) -> Grid:
    """Work out the demands on the topics at every cell. Raises InputError and EngineError."""
    whole = told(site, (x, y), [_span_text(axis, axis.low, axis.high) for axis in (x, y)], loaded)
    facts = whole.facts()
    varied = {
        axis.instance: frozenset(slot for a in (x, y) if a.instance == axis.instance for slot in _moved(a, whole))
        for axis in (x, y)
    }
    sweep = Sweep(loaded.rules_for(facts), facts, varied, loaded.book)
    joined = Joined(sweep, loaded, topics)
    own = {fact.id: fact for fact in facts}

    def values(axis: Axis, figure: float) -> Iterator[tuple[tuple[str, str], Span]]:
        for slot in _moved(axis, whole):
            domain = own[axis.instance].slots[slot]
            assert isinstance(domain, Span)
            yield (axis.instance, slot), replace(domain, low=figure, high=figure, told=True)

    def demands(across: float, up: float) -> tuple[Demand, ...]:
        return joined.demands(dict([*values(y, up), *values(x, across)]))

    rows = []
    for number, up in enumerate(y.middles()):
        rows.append(tuple(demands(across, up) for across in x.middles()))
        notice((number + 1) / y.cells)
    known = x.own is not None and y.own is not None and x.own.point and y.own.point
    return Grid(whole, x, y, tuple(rows), demands(x.own.low, y.own.low) if known and x.own and y.own else None)


def _moved(axis: Axis, whole: Site) -> tuple[str, ...]:
    """The slots that an axis moves: its own, and the one that takes the low end of its range and is not told itself."""
    low = axis.slot.low_end
    entry = whole.told.get(axis.template)
    entries = entry if isinstance(entry, list) else [entry]
    told = low is not None and any(isinstance(one, dict) and one.get(low) not in (None, "unknown") for one in entries)
    return (axis.slot.slot,) if low is None or told else (axis.slot.slot, low)


def _span_text(axis: Axis, low: float, high: float) -> str:
    ends = [quantities.from_si(end, axis.unit, difference=axis.slot.difference) for end in (low, high)]
    return f"{ends[0]:.12g} .. {ends[1]:.12g} {axis.unit}".strip()


class Joined:
    """The demands at one step of a sweep; what hangs on nothing that varies is joined once."""

    def __init__(self, sweep: Sweep, loaded: Loaded, topics: Sequence[Topic]) -> None:
        self.sweep, self.book = sweep, loaded.book
        self.sure, self.maybe = sweep.fixed(certain=True), sweep.fixed(certain=False)
        empty = Made({}, {})
        materials = demand_template(MATERIAL)
        self._moving = [t for t in topics if _template(t) in sweep.hanging]
        self._kept: dict[tuple[object, ...], tuple[Demand, ...]] = {}
        self._rows: dict[str, list[Row]] = {}
        self._ratings: dict[tuple[object, ...], tuple[Ratings, ...]] = {}
        self._base = Ratings.of(self.sure.facts.get(materials, ())), Ratings.of(self.maybe.facts.get(materials, ()))
        self._order = {topic.topic: number for number, topic in enumerate(topics)}
        self._still = [d for t in topics if t not in self._moving for d in self._join(t, empty, empty)]

    def demands(self, values: Values) -> tuple[Demand, ...]:
        """Return all demands at one step, in the order of the topics."""
        sure, maybe = self.sweep.at(values, certain=True), self.sweep.at(values, certain=False)
        found = [*self._still, *(d for topic in self._moving for d in self._join(topic, sure, maybe))]
        return tuple(sorted(found, key=lambda demand: self._order[demand.topic]))

    def _join(self, topic: Topic, sure: Made, maybe: Made) -> tuple[Demand, ...]:
        template = _template(topic)
        new_sure, new_maybe = sure.facts.get(template, ()), maybe.facts.get(template, ())
        if topic.join == "materials":
            return self._materials(topic, new_sure, new_maybe)
        certain = _all(self.sure.facts.get(template, ()), new_sure)
        possible = _all(self.maybe.facts.get(template, ()), new_maybe)
        kept = {
            key: fact for key, fact in possible.items() if key in certain or not self._certain_only(key, maybe.makers)
        }
        key = (topic.topic, frozenset(certain), frozenset(kept))
        if key not in self._kept:
            facts = [certain[name] for name in sorted(certain)], [kept[name] for name in sorted(kept)]
            self._kept[key] = tuple(join(topic, *facts, self.book))
        return self._kept[key]

    def _certain_only(self, fact: str, makers: Mapping[str, frozenset[str]]) -> bool:
        rules = makers.get(fact, frozenset()) | self.maybe.makers.get(fact, frozenset())
        return all(self.book.rules[rule].certain_only for rule in rules)

    def _materials(self, topic: Topic, sure: Sequence[Fact], maybe: Sequence[Fact]) -> tuple[Demand, ...]:
        # The sweep gives equal facts as one object, and keeps it.
        content = tuple(tuple(map(id, facts)) for facts in (sure, maybe))
        key = (topic.topic, *content)
        if key not in self._kept:
            if content not in self._ratings:
                both = zip(self._base, (sure, maybe), strict=True)
                self._ratings[content] = tuple(base.joined(facts) for base, facts in both)
            rows = self._rows.setdefault(topic.topic, proposed(topic.role or "", self.book.tables["materials"]))
            found = bare_verdicts(topic.role or "", rows, *self._ratings[content])
            self._kept[key] = tuple(of_materials(topic, found))
        return self._kept[key]


def _template(topic: Topic) -> str:
    return demand_template(MATERIAL if topic.join == "materials" else topic.topic)


def _all(fixed: Iterable[Fact], new: Iterable[Fact]) -> dict[str, Fact]:
    return {fact.id: fact for fact in (*fixed, *new)}
