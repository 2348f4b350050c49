"""Regions of a map: cells with the same demands, figures taken in bands, and what tells one region from another.

A demanded figure changes from cell to cell, so it is drawn in a few bands: at the steps in which units are offered,
where the topic names them, else at round figures. A material counts by which materials may be taken. Of the notes only
those count that stop or bind: a referral, a clash, a point beyond every test. Regions are lettered from the fewest
demands to the most; where there are more than letters the smallest share the sign `+`.
"""

import math
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from advisor import quantities
from advisor.faults import listing
from advisor.maps.axis import round_step
from advisor.maps.grid import Grid
from advisor.rulebook import Rulebook
from advisor.topics import Demand
from advisor.values import CLOSE
from advisor.vocabulary import Topic

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWX"
OTHERS = "+"
BINDING_NOTES = ("refer", "conflict", "beyond")
BANDS = 4
WIDE = 20.0
"""Highest over lowest from which the bands of a figure go by 1, 2, 5."""
Item = tuple[object, ...]
"""What counts of a demand for telling regions apart; the topic comes first."""
Figure = tuple[str, str, str]
"""Topic, code, and `value` or the name of the code's parameter."""


@dataclass(frozen=True)
class Region:
    """Cells that fare alike. `apart` are the demands that not every region has, in words; `common` to all left out."""

    letter: str
    cells: int
    apart: tuple[str, ...]
    own: bool
    """It has the demands of the site's own point."""


@dataclass(frozen=True)
class Regions:
    """The whole map laid out: `letters[row][column]`, rows along y from its low end."""

    letters: tuple[tuple[str, ...], ...]
    regions: tuple[Region, ...]
    common: tuple[str, ...]
    levels: dict[Figure, tuple[float, ...]]
    values: dict[Figure, tuple[tuple[float | None, ...], ...]]
    """By figure that varies, the hardest demanded at every cell in coherent SI; None where it is not demanded."""
    own_cell: tuple[int, int] | None
    """Column and row of the site's own point, if it is known and lies on the map."""


def mapped_topics(book: Rulebook, wanted: Sequence[str] = ()) -> list[Topic]:
    """Return the topics that a map shows: all demands and the notes that bind, or those that begin with a word."""
    topics = book.vocabulary.topics.values()
    shown = [topic for topic in topics if topic.join != "notes" or topic.topic in BINDING_NOTES]
    return [t for t in shown if not wanted or any(f"{t.topic}.".startswith(f"{word}.") for word in wanted)]


def regions(found: Grid, book: Rulebook) -> Regions:
    """Lay the map out."""
    values = _figures(found, book)
    levels = {key: _levels(key, rows, book) for key, rows in values.items()}
    words: dict[Item, str] = {}
    signatures: dict[int, frozenset[Item]] = {}

    def signature(demands: tuple[Demand, ...]) -> frozenset[Item]:
        if id(demands) not in signatures:
            signatures[id(demands)] = frozenset(_item(demand, levels, book, words) for demand in demands)
        return signatures[id(demands)]

    laid = [[signature(cell) for cell in row] for row in found.cells]
    counts = Counter(entry for row in laid for entry in row)
    own = own_cell(found)
    here = signature(found.own) if own and found.own is not None else None
    first = {entry: number for number, entry in reversed(list(enumerate(entry for row in laid for entry in row)))}
    lettered = sorted(counts, key=lambda entry: (entry != here, -counts[entry], first[entry]))[: len(LETTERS)]
    lettered.sort(key=lambda entry: (len(entry), first[entry]))
    names = dict(zip(lettered, LETTERS, strict=False))
    common = frozenset.intersection(*counts) if counts else frozenset()
    order = {item: number for number, item in enumerate(words)}
    places = {topic: number for number, topic in enumerate(book.vocabulary.topics)}
    taken = _taken(counts, book)

    def said(items: Iterable[Item], *, everywhere: bool = False) -> tuple[str, ...]:
        lines: dict[str, None] = {}
        bare: list[str] = []
        for item in sorted(items, key=lambda item: (places[str(item[0])], order[item])):
            topic = book.vocabulary.topics[str(item[0])]
            if topic.join == "materials" and not item[2]:
                bare.append(topic.title.lower().removesuffix(" material"))
            else:
                text = _more(item, taken[topic.topic], book) if topic.topic in taken else words[item]
                lines.setdefault(text)
        if everywhere:
            # What may be taken in every region, where the regions differ in what may be taken besides.
            for name, good in taken.items():
                lines.setdefault(f"{book.vocabulary.topics[name].title}: take {_named(good, book)}")
        return (*lines, *([f"No material is proven for: {', '.join(bare)}"] if bare else []))

    shown = [Region(names[e], counts[e], said(e - common), e == here) for e in lettered]
    rest = sum(counts[entry] for entry in counts if entry not in names)
    if rest:
        hint = f"{len(counts) - len(lettered)} further sets of demands; fewer topics (--topic) or a smaller range"
        shown.append(Region(OTHERS, rest, (hint,), False))
    letters = tuple(tuple(names.get(entry, OTHERS) for entry in row) for row in laid)
    return Regions(letters, tuple(shown), said(common, everywhere=True), levels, values, own)


def own_cell(found: Grid) -> tuple[int, int] | None:
    """Return column and row of the cell in which the site's own point lies; None if it is not known or outside."""
    places = []
    for axis in (found.x, found.y):
        if axis.own is None or not axis.own.point:
            return None
        share = axis.share(axis.own.low)
        if not -1e-9 <= share <= 1 + 1e-9:
            return None
        places.append(min(axis.cells - 1, max(0, int(share * axis.cells))))
    return places[0], places[1]


def demanded_figures(demand: Demand) -> dict[str, float]:
    """Return the figures of a demand that rest on something told."""
    figures = {} if demand.value is None else {"value": demand.value}
    figures.update(demand.parameters)
    return {name: value for name, value in figures.items() if name not in demand.unknown and math.isfinite(value)}


def figure_title(key: Figure, book: Rulebook) -> str:
    """Return what a figure is called."""
    topic, item, name = key
    about = book.vocabulary.topics[topic]
    if name == "value":
        return about.title
    code = book.tables[about.table or ""].rows[item].name
    return f"{code}, {name}"


def figure_unit(key: Figure, book: Rulebook) -> tuple[str, bool]:
    """Return the unit of a figure and whether it is a difference."""
    topic = book.vocabulary.topics[key[0]]
    return (topic.unit or "", topic.difference) if key[2] == "value" else (topic.parameters[key[2]], False)


def _figures(found: Grid, book: Rulebook) -> dict[Figure, tuple[tuple[float | None, ...], ...]]:
    """The hardest figure of every cell, for figures that are not the same wherever they are demanded."""
    cells: dict[Figure, dict[tuple[int, int], float]] = {}
    for y, row in enumerate(found.cells):
        for x, demands in enumerate(row):
            for demand in demands:
                down = book.vocabulary.topics[demand.topic].join == "lowest"
                for name, value in demanded_figures(demand).items():
                    own = cells.setdefault((demand.topic, demand.item, name), {})
                    own[x, y] = (min if down else max)(own.get((x, y), value), value)
    return {
        key: tuple(tuple(own.get((x, y)) for x in range(found.x.cells)) for y in range(found.y.cells))
        for key, own in cells.items()
        if max(own.values()) - min(own.values()) > 1e-6 * max(map(abs, own.values()))
    }


def _levels(key: Figure, rows: Sequence[Sequence[float | None]], book: Rulebook) -> tuple[float, ...]:
    unit, difference = figure_unit(key, book)
    values = [value for row in rows for value in row if value is not None]
    known = [quantities.from_si(value, unit, difference=difference) for value in values]
    low, high = min(known), max(known)
    topic = book.vocabulary.topics[key[0]]
    if topic.steps and key[2] == "value":
        found: list[float] = list(topic.steps)
    elif low > 0 and high / low >= WIDE:
        decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
        found = [float(f"{step}e{decade}") for decade in decades for step in (1, 2, 5)]
        while len([level for level in found if low < level < high]) > BANDS + 1:
            found = [level for level in found if f"{level:e}"[0] == "1"] if len(found) > len(decades) else found[::2]
    else:
        step = round_step((high - low) / BANDS)
        found = [step * number for number in range(math.floor(low / step), math.ceil(high / step) + 1)]
    inside = [round(level, 12) for level in found if low < level < high]
    return tuple(quantities.to_si(level, unit, difference=difference) for level in inside)


def _item(demand: Demand, levels: dict[Figure, tuple[float, ...]], book: Rulebook, words: dict[Item, str]) -> Item:
    """What counts of a demand for telling regions apart; its words are put into `words`."""
    topic = book.vocabulary.topics[demand.topic]
    if topic.join == "notes":
        item: Item = (demand.topic, demand.state, demand.item)
        text = f"{topic.title}: {book.rules[demand.item].title}"
    elif topic.join == "materials":
        take = tuple(v.material for v in demand.materials if v.possible == "resists")
        item = (demand.topic, demand.state, take)
        text = f"{topic.title}: {f'take {_named(take, book)}' if take else 'none is proven'}"
    else:
        bands, parts = [], []
        for name, value in demanded_figures(demand).items():
            key = (demand.topic, demand.item, name)
            number, said = _band(value, key, levels.get(key), book)
            bands.append((name, number if key in levels else round(value, 9)))
            parts.append(said if name == "value" else f"{name} {said}")
        parts += [f"{name} not known yet" for name in demand.unknown]
        item = (demand.topic, demand.state, demand.item, tuple(bands), demand.unknown)
        code = book.tables[topic.table].rows[demand.item].name if topic.table else ""
        figures = ", ".join(parts)
        text = f"{topic.title}: {f'{code} ({figures})' if code and figures else code or figures}"
    words.setdefault(item, text if demand.state == "certain" else f"{text} (open)")
    return item


def _taken(sets: Iterable[frozenset[Item]], book: Rulebook) -> dict[str, tuple[str, ...]]:
    """Return, by topic, the materials that may be taken in every region, where regions differ in what may be taken."""
    found: dict[str, tuple[str, ...]] = {}
    every = list(sets)
    for topic in book.vocabulary.topics.values():
        if topic.join != "materials":
            continue
        takes = [item[2] for items in every for item in items if item[0] == topic.topic]
        if len(takes) == len(every) and len(set(takes)) > 1:
            first = takes[0]
            assert isinstance(first, tuple)
            good = tuple(name for name in first if all(isinstance(t, tuple) and name in t for t in takes))
            if good:
                found[topic.topic] = good
    return found


def _more(item: Item, everywhere: tuple[str, ...], book: Rulebook) -> str:
    take = item[2]
    assert isinstance(take, tuple)
    more = tuple(name for name in take if name not in everywhere)
    title = book.vocabulary.topics[str(item[0])].title
    text = f"{title}: also {_named(more, book)}" if more else f"{title}: nothing else"
    return text if item[1] == "certain" else f"{text} (open)"


def _named(materials: Sequence[str], book: Rulebook) -> str:
    rows = book.tables["materials"].rows
    return listing([rows[name].name for name in materials], 6)


def _band(value: float, key: Figure, levels: tuple[float, ...] | None, book: Rulebook) -> tuple[int, str]:
    """Return the number of the band in which a figure lies, and the band in words; the figure where it never varies."""
    unit, difference = figure_unit(key, book)
    topic = book.vocabulary.topics[key[0]]

    def show(figure: float) -> str:
        return quantities.show(figure, unit, difference=difference)

    if levels is None:
        lead = topic.lead or ("at most" if topic.join == "lowest" else "at least")
        return 0, f"{lead} {show(value)}" if key[2] == "value" else show(value)
    number = bisect_left(levels, value * (1 - CLOSE) if value > 0 else value)
    if not levels:
        return 0, f"about {show(value)}"
    if number == 0:
        return 0, f"{'below' if topic.join == 'lowest' else 'up to'} {show(levels[0])}"
    if number == len(levels):
        return number, f"above {show(levels[-1])}"
    return number, f"{show(levels[number - 1])} to {show(levels[number])}"
