"""The JSON contract of `register`: how each type of units fares at each point, and the fewest types for all points."""

from pydantic import Field

from advisor.document import Part, RulebookStamp

SCHEMA_REGISTER = "siteworthy.register/1"


class Place(Part):
    """A unit or a point and where it stands."""

    name: str
    source: str
    line: int


class TypeEntry(Part):
    """Units with equal claims, named by the first."""

    name: str
    units: list[Place]


class PointEntry(Part):
    """One point. Counts are of units."""

    name: str
    source: str
    line: int
    group: int
    """Points of one group fare alike with all units; its number in `groups`, from 0."""
    fit: int
    unproven: int
    unfit: int


class GroupEntry(Part):
    """Points that fare alike."""

    points: int
    example: str
    verdicts: str
    """A letter for every type: F fit, P unproven, U unfit."""


class ChosenType(Part):
    """A type of the smallest set, the points that it serves, and those that no other of the set serves."""

    name: str
    serves: int
    alone: int


class CoverEntry(Part):
    """The fewest types that serve all points which any unit serves."""

    types: list[ChosenType]
    proven: bool
    """Whether it is proven that no fewer types do."""
    unserved: int
    examples: list[str]
    """Some of the points that no unit serves."""


class RegisterDocument(Part):
    """The document of `siteworthy register --format json`."""

    schema_name: str = Field(default=SCHEMA_REGISTER, alias="schema")
    version: str
    rulebook: RulebookStamp
    catalogue: str
    """Digest of all that was read of units."""
    answers: int
    """Different sets of answers among the points."""
    taken: int
    """How many of them were taken from the journal of an earlier run."""
    units: int
    types: list[TypeEntry]
    groups: list[GroupEntry]
    points: list[PointEntry]
    fit: CoverEntry
    provable: CoverEntry
    """The same if all that is unproven were proven: what to ask the makers for."""
    notes: list[str]
    """How the columns of catalogues were read."""
