"""The JSON contract of `field`: each source with its keep-out distances and its picture; figures in coherent SI."""

from pydantic import Field

from advisor.document import Figure, Part, RulebookStamp

SCHEMA_FIELD = "siteworthy.field/1"
Point = tuple[float, float]


class KeepOut(Part):
    """How far a unit of some immunity, or a person, has to stay away; at the worst where an answer is open."""

    unit: str
    field: Figure | None
    distance: Figure
    known: bool
    """Whether the distance rests on figures that are known; else it is the largest of those allowed."""


class FieldLine(Part):
    """The line of one flux density; on the conductor's side a unit of that immunity is out of place."""

    unit: str
    level: Figure
    paths: list[list[Point]]


class FieldPicture(Part):
    """A square of the plane, in metres, seen along the conductors or, of a throat, from above it."""

    left: float
    low: float
    size: float
    wires: list[Point]
    loop: list[Point]
    unit: Point
    at_unit: Figure
    """The flux density with its margin that the picture has at the unit."""
    lines: list[FieldLine]
    blocks: list[str]
    """Rows from low to high: for each block how many of the lines' levels the field reaches."""
    note: str
    factor: float
    """Peak factor times margin, by which the field of the current as told was multiplied."""


class FieldSource(Part):
    """One conductor or magnet."""

    name: str
    layout: str
    about: str
    kind: str
    peak: Figure | None
    design: Figure | None
    keep_out: list[KeepOut]
    picture: FieldPicture | None
    no_picture: str
    """Why there is no picture."""


class FieldDocument(Part):
    """The document of `siteworthy field --format json`."""

    schema_name: str = Field(default=SCHEMA_FIELD, alias="schema")
    version: str
    rulebook: RulebookStamp
    site: dict[str, object]
    sources: list[FieldSource]
    together: Figure | None
    """The most, with its margin, that sources make at the unit which are told to act at the same time."""
