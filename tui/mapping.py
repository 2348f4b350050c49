"""Which answers of a site can span a map, and the map of two of them as text; nothing here knows a screen."""

from collections.abc import Callable

from advisor.engine.firing import EngineError
from advisor.faults import InputError
from advisor.loading import Loaded
from advisor.maps.axis import Axis, axis
from advisor.maps.build import map_document
from advisor.maps.document import MapDocument
from advisor.site import Site
from tui.outline import Option

SMALLEST = (20, 8)
"""Columns and rows below which a map shows nothing."""
LARGEST = (60, 40)
MARGINS = (16, 12)
"""Columns and rows of the screen that the axes, the heading and the first lines of the legend take."""


def options(site: Site, loaded: Loaded) -> list[Option]:
    """Return the answers that are figures: those that the site tells first, then those that could be told."""
    told: list[Option] = []
    untold: list[Option] = []
    for spec in _specs(site, loaded):
        try:
            found = axis(spec, site, loaded.book, cells=SMALLEST[0])
        except InputError:
            continue
        words = f"{found.slot.ask} {spec}"
        if found.own is None:
            untold.append(Option(spec, found.name, f"not told; {_range(found)}", words))
        else:
            told.append(Option(spec, found.name, f"now {_own(found)}; {_range(found)}", words))
    return told + untold


def _specs(site: Site, loaded: Loaded) -> list[str]:
    names: dict[str, int] = {}
    for instance in site.instances:
        names[instance.template] = names.get(instance.template, 0) + 1
    found = []
    for template, count in names.items():
        figures = [slot.slot for slot in loaded.book.vocabulary.templates[template].slots if slot.kind == "span"]
        heads = [template] if count == 1 else [f"{template}:{number + 1}" for number in range(count)]
        found += [f"{head}.{slot}" for head in heads for slot in figures]
    return found


def _own(found: Axis) -> str:
    assert found.own is not None
    low, high = found.show(found.own.low), found.show(found.own.high)
    return low if found.own.low == found.own.high else f"{low} to {high}"


def _range(found: Axis) -> str:
    return f"drawn from {found.show(found.low)} to {found.show(found.high)}"


def cells(width: int, height: int) -> tuple[int, int]:
    """Return the columns and rows of a map that fit a screen of so many signs."""
    room = width - MARGINS[0], height - MARGINS[1]
    across, up = (max(least, min(most, own)) for least, own, most in zip(SMALLEST, room, LARGEST, strict=True))
    return across, up


def drawn(
    site: Site, slots: tuple[str, str], loaded: Loaded, size: tuple[int, int], notice: Callable[[float], None]
) -> MapDocument:
    """Work out the map of two answers. Raises InputError."""
    try:
        return map_document(site, slots, loaded, cells=size, notice=notice)
    except EngineError as problem:
        raise InputError([problem.fault]) from None
