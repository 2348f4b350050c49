"""The JSON contract of an audit of many units: counts, how the units fare on each demand, the best of them in full."""

from typing import Literal

from pydantic import Field

from advisor.document import AuditDocument, Part

SCHEMA_CATALOGUE = "siteworthy.catalogue/1"
MOST_RANKED = 1_000
"""So many units are listed; a CSV table has all of them."""


class RankedUnit(Part):
    """One unit with its place in the order and its counts."""

    place: int
    unit: str
    source: str
    line: int = 0
    verdict: Literal["fit", "unfit", "unproven"]
    falls_short: int
    unstated: int
    unclear: int
    surplus: int


class DemandTally(Part):
    """How many units meet one demand, and how many do not."""

    topic: str
    demanded: str
    state: Literal["certain", "open"]
    meets: int
    unclear: int
    unstated: int
    falls_short: int
    not_concerned: int


class CatalogueDocument(AuditDocument):
    """The document of `siteworthy audit --format json` where many units are audited; `units` holds the best in full."""

    schema_name: str = Field(default=SCHEMA_CATALOGUE, alias="schema")
    audited: int
    counts: dict[str, int]
    columns: dict[str, list[str]]
    """For each catalogue: how its columns were read."""
    notes: list[str] = []
    rows_not_read: list[str] = []
    demands: list[DemandTally]
    ranked: list[RankedUnit]
