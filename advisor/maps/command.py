"""What `siteworthy map` does with its arguments: the call checked, a bar of progress, the document."""

import re
from collections.abc import Sequence

from advisor.engine.firing import EngineError
from advisor.faults import Fault, InputError, shorten
from advisor.loading import Loaded
from advisor.maps.axis import PLACE
from advisor.maps.build import COLUMNS, ROWS, map_document
from advisor.maps.document import MapDocument
from advisor.progress import Progress
from advisor.site import Site

FEWEST, MOST = 2, 200


def cells_of(text: str) -> tuple[int, int]:
    """Return the columns and rows that `--cells` names. Raises InputError."""
    if not text:
        return COLUMNS, ROWS
    parts = re.fullmatch(r"\s*(\d{1,4})\s*[x×]\s*(\d{1,4})\s*", text)
    if not parts or not all(FEWEST <= int(part) <= MOST for part in parts.groups()):
        what = f"--cells {shorten(text)} is no size of a map"
        raise InputError([Fault(PLACE, what, f"COLUMNSxROWS of {FEWEST} to {MOST} each, such as 60x40")])
    return int(parts[1]), int(parts[2])


def draw(
    site: Site,
    slots: tuple[str, str],
    loaded: Loaded,
    ranges: Sequence[str],
    cells: tuple[int, int],
    topics: Sequence[str],
) -> MapDocument:
    """Return the map's document. Raises InputError."""
    with Progress("map") as notice:
        try:
            return map_document(site, slots, loaded, ranges=ranges, cells=cells, topics=topics, notice=notice)
        except EngineError as problem:
            raise InputError([problem.fault]) from None
