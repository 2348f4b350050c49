"""From a site and two slots to the document of `map`."""

from collections.abc import Callable, Sequence

from advisor import __version__, quantities
from advisor.document import Figure
from advisor.engine.wording import say_span
from advisor.faults import Fault, InputError, nearest
from advisor.loading import Loaded
from advisor.maps.axis import PLACE, Axis, axis
from advisor.maps.document import AxisEntry, FigureEntry, MapDocument, RegionEntry
from advisor.maps.grid import grid
from advisor.maps.regions import Regions, figure_title, figure_unit, mapped_topics, regions
from advisor.report.requirement import site_block, stamp
from advisor.rulebook import Rulebook
from advisor.site import Site

COLUMNS, ROWS = 60, 40
MOST_CELLS = 200


def map_document(
    site: Site,
    slots: Sequence[str],
    loaded: Loaded,
    *,
    ranges: Sequence[str] = (),
    cells: tuple[int, int] = (COLUMNS, ROWS),
    topics: Sequence[str] = (),
    notice: Callable[[float], None] = lambda share: None,
) -> MapDocument:
    """Work out the map. `ranges` are `SLOT=LOW .. HIGH`. Raises InputError and EngineError."""
    book = loaded.book
    given = _ranges(slots, ranges)
    x, y = (
        axis(slot, site, book, given=given.get(number, ""), cells=count)
        for number, (slot, count) in enumerate(zip(slots, cells, strict=True))
    )
    if (x.instance, x.slot.slot) == (y.instance, y.slot.slot):
        raise InputError([Fault(PLACE, "both axes are the same answer", "two different slots")])
    mapped = mapped_topics(book, topics)
    for word in topics:
        if not mapped_topics(book, [word]):
            accepted = nearest(word, [topic.topic for topic in mapped_topics(book)], most=60)
            raise InputError([Fault(PLACE, f"there is no topic {word!r}", accepted)])
    found = grid(site, x, y, loaded, mapped, notice)
    laid = regions(found, book)
    total = x.cells * y.cells
    return MapDocument(
        version=__version__,
        rulebook=stamp(book),
        site=site_block(site),
        x=_axis(slots[0], x),
        y=_axis(slots[1], y),
        topics=list(topics),
        rows=["".join(row) for row in laid.letters],
        regions=[
            RegionEntry(letter=r.letter, cells=r.cells, share=r.cells / total, demands=list(r.apart), own=r.own)
            for r in laid.regions
        ],
        common=list(laid.common),
        figures=_figures(laid, book),
        own_cell=laid.own_cell,
    )


def _ranges(slots: Sequence[str], texts: Sequence[str]) -> dict[int, str]:
    """Return the range given for each axis."""
    found: dict[int, str] = {}
    for text in texts:
        slot, equals, given = text.partition("=")
        numbers = [n for n, name in enumerate(slots) if slot.strip() in (name, name.rpartition(".")[2], "xy"[n])]
        if not equals or not numbers:
            accepted = f"'{slots[0]}=LOW .. HIGH' or '{slots[1]}=LOW .. HIGH'"
            raise InputError([Fault(PLACE, f"--range {text!r} names neither axis", accepted)])
        if len(numbers) > 1 or numbers[0] in found:
            raise InputError([Fault(PLACE, f"--range {text!r} is one too many", "one range for x=, one for y=")])
        found[numbers[0]] = given.strip()
    return found


def _axis(spec: str, own: Axis) -> AxisEntry:
    difference = own.slot.difference
    figure = None
    if own.own is not None:
        text = say_span(own.own, own.unit, difference)
        figure = Figure(low=own.own.low, high=own.own.high, unit=quantities.si_unit(own.unit), text=text)
    return AxisEntry(
        slot=spec,
        title=own.name,
        low=own.low,
        high=own.high,
        unit=quantities.si_unit(own.unit),
        text=f"{own.show(own.low)} to {own.show(own.high)}",
        scale="logarithmic" if own.log else "linear",
        cells=own.middles(),
        ticks=own.ticks(),
        shown_unit=quantities.pretty_unit(own.unit),
        own=figure,
    )


def _figures(laid: Regions, book: Rulebook) -> list[FigureEntry]:
    entries = []
    for key, rows in laid.values.items():
        unit, difference = figure_unit(key, book)
        levels = laid.levels[key]
        entries.append(
            FigureEntry(
                topic=key[0],
                value=key[1],
                parameter="" if key[2] == "value" else key[2],
                title=figure_title(key, book),
                unit=quantities.si_unit(unit),
                levels=list(levels),
                level_texts=[quantities.show(level, unit, difference=difference) for level in levels],
                values=[list(row) for row in rows],
            )
        )
    return entries
