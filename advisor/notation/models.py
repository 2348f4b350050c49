"""The shape of the lexicon files, checked on loading: unknown keys are refused.

Each class is one file of `knowledge/notation/`; the files themselves say in their heads what the keys mean.
`MaterialTable` takes of a materials table only what naming needs and leaves the rest to others.
"""

from typing import Any

from pydantic import BaseModel, ConfigDict, Field


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class UnitModel(_Strict):
    """One unit: how it is spelled and what it is in the base unit of its dimension."""

    unit: str
    dimension: str
    factor: float
    offset: float = 0.0
    grouped: bool = False
    reference: str = ""
    about: str = ""
    strict: list[str] = Field(default_factory=list)
    loose: list[str] = Field(default_factory=list)


class UnitsFile(_Strict):
    """units.yaml"""

    dimensions: dict[str, str]
    units: list[UnitModel]


class IngressCodes(_Strict):
    """The places of an IP code and what may stand in them."""

    heads: list[str]
    first: list[str]
    second: list[str]
    additional: list[str]
    supplementary: list[str]
    oil: list[str]
    immersion: list[str]
    listed_first: list[str]
    listed_second: list[str]
    source: str
    basis: str


class EnclosureCodes(_Strict):
    """The enclosure types and the words that announce them."""

    types: list[str]
    heads: dict[str, str]
    letter_only: list[str]
    source: str
    basis: str


class ImpactCodes(_Strict):
    """The IK codes with their energies in joule."""

    codes: dict[str, float]
    source: str
    basis: str


class CodesFile(_Strict):
    """codes.yaml"""

    ingress: IngressCodes
    enclosure: EnclosureCodes
    impact: ImpactCodes


class NotesFile(_Strict):
    """notes.yaml"""

    notes: dict[str, str]


class PartModel(_Strict):
    """A part of a unit and its words."""

    about: str = ""
    words: list[str]


class PartsFile(_Strict):
    """parts.yaml"""

    parts: dict[str, PartModel]


WHOLE, UPKEEP = "sheet", "ratings"
"""What a condition beside no reading limits, other than by a statement: all claims, or the ratings."""


class ConditionModel(_Strict):
    """A condition, the readings it can limit and the family within which it excludes others.

    Those of its words that are `forward` speak only of what follows them: "designed for IP66", never "IP66, designed
    for daily cleaning".
    """

    family: str
    kinds: list[str]
    words: list[str]
    forward: list[str] = []
    spans: bool = False
    """It labels all readings behind it up to the end of the line."""
    alone: str = ""
    """What it does beside no reading: `sheet` limits all claims, `ratings` those; else the topic of a statement."""


class ConditionsFile(_Strict):
    """conditions.yaml"""

    conditions: dict[str, ConditionModel]
    limits: dict[str, list[str]]
    negations: list[str]
    subjects: list[str]
    turns: list[str]
    affirmations: list[str]
    hints: list[str]
    narrowing: list[str]
    exceptions: list[str]
    unticked: list[str]
    absences: list[str]
    harmless: list[str]
    doubts: list[str]
    inner: list[str]
    elsewhere: list[str]
    places: list[str]
    warnings: list[str]


class LabelsFile(_Strict):
    """labels.yaml"""

    roles: dict[str, list[str]]
    topics: dict[str, list[str]]
    waves: dict[str, list[str]]
    finishes: dict[str, list[str]]
    coats: list[str]
    binders: dict[str, list[str]]
    sure_names: list[str]
    unsure_names: list[str]
    loose_names: list[str]
    more_names: dict[str, list[str]]
    asides: list[str]
    targets: list[str]
    standard_targets: list[str]
    fillers: list[str]
    connectors: dict[str, list[str]]
    abbreviations: list[str]


class StatementModel(_Strict):
    """A statement in words."""

    topic: str
    words: list[str]
    figure: str = ""
    figured: bool = False
    largest: dict[str, float] = {"length": 1.0}
    """By dimension, in base units, the figure above which one is not its own: no roughness or radius exceeds 1 m."""
    refers: bool = False
    literal: bool = False
    role: str = ""


class StatementsFile(_Strict):
    """statements.yaml"""

    statements: dict[str, StatementModel]
    phenomena: dict[str, list[str]]
    weld_immunity: list[str]


class StandardModel(_Strict):
    """A standard that sheets cite."""

    number: str
    topic: str
    about: str
    body: str = ""
    withdrawn: bool = False


class LawModel(_Strict):
    """A regulation or directive that sheets cite, by its running number."""

    number: str
    name: str
    topic: str
    about: str


class StandardsFile(_Strict):
    """standards.yaml"""

    bodies: list[str]
    standards: list[StandardModel]
    laws: list[LawModel]


class MaterialRow(BaseModel):
    """What naming needs of a row of the materials table."""

    model_config = ConfigDict(extra="ignore", frozen=True)
    name: str = ""
    aliases: list[str] = Field(default_factory=list)
    roles: list[str] = Field(default_factory=list)
    worst_of: list[str] = Field(default_factory=list)
    family: str = ""
    kind: str = Field(default="", alias="class")


class MaterialTable(BaseModel):
    """A slice of the materials table."""

    model_config = ConfigDict(extra="ignore", frozen=True)
    table: str
    rows: dict[str, Any]
