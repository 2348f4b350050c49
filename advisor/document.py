"""The JSON contract: what `require` and `explain` give to other programs, as pydantic models.

Figures are plain numbers in coherent SI with their unit beside them; texts carry the trade's units. Fields may be
added in later versions with the same `schema` name; none is taken away or changes its meaning.
"""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

SCHEMA_REQUIRE = "siteworthy.require/1"
SCHEMA_EXPLAIN = "siteworthy.explain/1"
State = Literal["certain", "open"]
RATED = {"resists": "take", "limited": "with care", "unknown": "not proven", "attacked": "ruled out"}
"""What a material's rating says to whoever chooses."""


class Part(BaseModel):
    """Base of all parts of a document."""

    model_config = ConfigDict(frozen=True, populate_by_name=True)


class Figure(Part):
    """A value as an interval in coherent SI; both ends agree for a point. Words stand in `text` only."""

    low: float | None = None
    high: float | None = None
    unit: str = ""
    text: str


class Condition(Part):
    """One condition of a rule, as it stood: the value, the test, and how far the value is from the threshold."""

    about: str
    """What was tested, as template and slot."""
    value: Figure
    test: str
    holds: State
    """`open` if it holds only for some of the allowed values."""
    origin: str
    """told, preset, assumed, unknown, silent, not relevant, or concluded."""
    margin: float | None = None
    """Distance from the threshold in coherent SI, positive on the side that fulfils the test."""
    margin_text: str = ""


class Computation(Part):
    """One computed value: formula, inputs, result, and on whose word."""

    about: str
    formula: str
    inputs: dict[str, Figure] = {}
    result: Figure
    source: str = ""
    basis: str = ""
    model: str = ""
    notes: list[str] = []
    steps: list["Computation"] = []


class Reason(Part):
    """One firing of a rule that supports a conclusion."""

    rule: str
    title: str
    because: str
    source: str
    basis: str
    kind: str
    checked: str
    not_when: str = ""
    place: str = ""
    conditions: list[Condition] = []
    computations: list[Computation] = []
    rests_on: list["Proof"] = []


class Proof(Part):
    """Why something was concluded: every reason, the strongest first."""

    conclusion: str
    state: State
    reasons: list[Reason] = []
    more_reasons: int = 0
    """Further firings of the same rules on other instances, not printed."""


class MaterialEntry(Part):
    """One material for a role: its rating for certain and at worst, and what speaks against it."""

    material: str
    name: str
    certain: str
    possible: str
    reasons: list[str] = []


class DemandEntry(Part):
    """One thing that the unit must be or show."""

    topic: str
    title: str
    value: float | str
    """A code as text, or a figure in coherent SI."""
    unit: str = ""
    parameters: dict[str, Figure] = {}
    materials: list[MaterialEntry] = []
    """For a material of a part: every material of the role, in order of preference."""
    state: State
    text: str
    proof: Proof


class NoteEntry(Part):
    """A paper to ask for, a way to mount, a caution, or what no test covers."""

    text: str
    state: State
    proof: Proof


class Question(Part):
    """An answer that is missing or wide, and the demands that hang on it."""

    slot: str
    ask: str
    help: str = ""
    decides: list[str]


class NotNeeded(Part):
    """A code that may be left out."""

    topic: str
    value: str
    text: str
    rule: str


class RulebookStamp(Part):
    """Which knowledge was used."""

    digest: str
    rules: int
    waived: dict[str, str] = {}


class Requirement(Part):
    """The document of `siteworthy require --format json`."""

    schema_name: str = Field(default=SCHEMA_REQUIRE, alias="schema")
    version: str
    rulebook: RulebookStamp
    site: dict[str, object]
    unused_answers: list[str] = []
    demands: list[DemandEntry]
    open_questions: list[Question]
    conflicts: list[NoteEntry]
    beyond: list[NoteEntry]
    refer: list[NoteEntry]
    cautions: list[NoteEntry]
    practice: list[NoteEntry]
    evidence: list[NoteEntry]
    not_needed: list[NotNeeded]


class NearMiss(Part):
    """A rule that would have concluded it, and the first condition that failed."""

    rule: str
    title: str
    failed: str
    """The condition that failed, with the value that failed it."""
    also_failed: int = 0
    because: str
    source: str


class Explanation(Part):
    """The document of `siteworthy explain --format json`."""

    schema_name: str = Field(default=SCHEMA_EXPLAIN, alias="schema")
    version: str
    rulebook: RulebookStamp
    site: dict[str, object]
    topic: str
    value: str = ""
    demands: list[DemandEntry] = []
    why_not: list[NearMiss] = []


SCHEMA_AUDIT = "siteworthy.audit/1"
Outcome = Literal["meets", "falls short", "unstated", "unclear"]


class ClaimEntry(Part):
    """A claim that was held against a demand, in the words of the sheet."""

    quote: str
    part: str
    line: int = 0
    value: float | str | None = None
    unit: str = ""
    parameters: dict[str, Figure] = {}
    credit: str
    notes: list[str] = []


class FindingEntry(Part):
    """How one binding demand fares with one unit."""

    topic: str
    title: str
    part: str
    finding: Outcome
    demanded: str
    state: State
    claimed: list[ClaimEntry]
    text: str
    lacking: Figure | None = None
    proof: Proof


class ClaimNote(Part):
    """A claim that does not mean what it seems to, with the rule that says so."""

    text: str
    proof: Proof


class UnitEntry(Part):
    """One unit and its verdict."""

    unit: str
    about: str = ""
    source: str = ""
    verdict: Literal["fit", "unfit", "unproven"]
    held_back: list[str] = []
    findings: list[FindingEntry]
    claim_notes: list[ClaimNote] = []
    not_understood: list[str] = []


class AuditDocument(Part):
    """The document of `siteworthy audit --format json`; units stand best first."""

    schema_name: str = Field(default=SCHEMA_AUDIT, alias="schema")
    version: str
    rulebook: RulebookStamp
    site: dict[str, object]
    units: list[UnitEntry]
    evidence: list[NoteEntry] = []
    beyond: list[NoteEntry] = []
    refer: list[NoteEntry] = []
    cautions: list[NoteEntry] = []
