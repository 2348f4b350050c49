"""The JSON contract of `map`: axes, regions with their demands, and the grid of cells; figures in coherent SI."""

from typing import Literal

from pydantic import Field

from advisor.document import Figure, Part, RulebookStamp

SCHEMA_MAP = "siteworthy.map/1"


class AxisEntry(Part):
    """One axis: the answer that varies, its range, and the middles of its cells, where the demands were worked out."""

    slot: str
    title: str
    low: float
    high: float
    unit: str
    """Coherent SI, of all figures of the axis."""
    text: str
    scale: Literal["linear", "logarithmic"]
    cells: list[float]
    ticks: list[tuple[float, str]]
    """Share of the length, and the number in `shown_unit`."""
    shown_unit: str
    own: Figure | None
    """The site's own answer; null where it gives none."""


class RegionEntry(Part):
    """Cells with the same demands. `demands` are those that not every region has."""

    letter: str
    cells: int
    share: float
    demands: list[str]
    own: bool
    """It has the demands of the site's own point, which is worked out by itself."""


class FigureEntry(Part):
    """A demanded figure that changes over the map, the hardest at every cell; null where it is not demanded."""

    topic: str
    value: str
    parameter: str
    title: str
    unit: str
    levels: list[float]
    level_texts: list[str]
    values: list[list[float | None]]


class MapDocument(Part):
    """The document of `siteworthy map --format json`; rows run along y from its low end."""

    schema_name: str = Field(default=SCHEMA_MAP, alias="schema")
    version: str
    rulebook: RulebookStamp
    site: dict[str, object]
    x: AxisEntry
    y: AxisEntry
    topics: list[str]
    """The topics that were mapped, where the call named some; empty for all demands."""
    rows: list[str]
    """A letter for every cell."""
    regions: list[RegionEntry]
    common: list[str]
    """What is demanded in every region."""
    figures: list[FigureEntry]
    own_cell: tuple[int, int] | None
    """Column and row of the site's own point, from 0."""
