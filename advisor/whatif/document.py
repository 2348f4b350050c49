"""The JSON contract of `relax` and `diff`, in the manner of `advisor.document`."""

from pydantic import Field

from advisor.document import Part, RulebookStamp, State

SCHEMA_RELAX = "siteworthy.relax/1"
SCHEMA_DIFF = "siteworthy.diff/1"


class ShiftEntry(Part):
    """One demand or note that is other afterwards."""

    topic: str
    title: str
    kind: str
    """dropped, eased, new, raised, settled (certain now), or opened (hangs on an open answer now)."""
    before: str = ""
    after: str = ""


class EditEntry(Part):
    """One answer as it has to be written in the site file; an empty slot leaves the instance out."""

    instance: str
    slot: str
    value: str | float


class StepEntry(Part):
    """One answer that is moved, and what that takes."""

    about: str
    before: str
    after: str
    lever: str
    effort: str
    rounded: str = ""
    """The step to which the figure is rounded: it is larger than needed by less."""


class ChangeEntry(Part):
    """A change that reaches the goal, as it was run, and everything that it shifts."""

    steps: list[StepEntry]
    edits: list[EditEntry]
    instead: list[str] = []
    """Other words for the one answer that is moved, which do as well and ask no more."""
    then: str
    shifts: list[ShiftEntry]
    referrals: list[str] = []
    """Referrals that the changed answers would no longer make; they stay with whoever they are referred to."""


class SettleEntry(Part):
    """An open question, and the answers that drop the demand."""

    slot: str
    ask: str
    answers: list[str]


class GivenEntry(Part):
    """One answer of a minimal reason."""

    about: str
    value: str
    origin: str
    movable: bool


class ReasonEntry(Part):
    """Answers that force the demand by themselves."""

    answers: list[GivenEntry]
    rules: list[str]


class GoalEntry(Part):
    """One demand, what is aimed at, and what reaches it."""

    topic: str
    title: str
    demand: str
    state: State
    aim: str
    changes: list[ChangeEntry]
    pairs: bool
    more: int
    settle: list[SettleEntry] = []
    reasons: list[ReasonEntry] = []


class EndEntry(Part):
    """One end of an interval; no shifts where it runs on to the end of what is plausible."""

    value: float
    text: str
    shifts: list[ShiftEntry] = []


class HoldEntry(Part):
    """Over which interval round one answer the demands stay the same, in coherent SI."""

    about: str
    slot: str
    now: str
    origin: str
    unit: str
    low: EndEntry
    high: EndEntry
    text: str
    margin: float | None = None
    near: str = ""
    flag: str = ""


class AdmissionEntry(Part):
    """Changes that let a unit in, and the verdict then; `silent` counts what its sheet leaves open."""

    changes: list[ChangeEntry]
    verdict: str
    silent: int


class RejectedEntry(Part):
    """A unit that falls short, and what would let it in."""

    unit: str
    shortfalls: list[str]
    admissions: list[AdmissionEntry]


class RelaxDocument(Part):
    """The document of `siteworthy relax --format json`."""

    schema_name: str = Field(default=SCHEMA_RELAX, alias="schema")
    version: str
    rulebook: RulebookStamp
    site: dict[str, object]
    topic: str = ""
    value: str = ""
    goals: list[GoalEntry] = []
    refer: list[str] = []
    """What is referred; no change of an answer relaxes it."""
    holds: list[HoldEntry] = []
    rejected: list[RejectedEntry] = []


class AnswerEntry(Part):
    """One answer that is other on the other side."""

    about: str
    before: str
    after: str


class RevisedEntry(ShiftEntry):
    """A shift with why: rules that no longer or newly conclude it, and the changed answers they rest on."""

    state: str = ""
    rules_gone: list[str] = []
    rules_new: list[str] = []
    because: list[str] = []


class DiffDocument(Part):
    """The document of `siteworthy diff --format json`; `site` is the later side."""

    schema_name: str = Field(default=SCHEMA_DIFF, alias="schema")
    version: str
    rulebook: RulebookStamp
    site: dict[str, object]
    before: dict[str, object]
    before_rulebook: RulebookStamp
    answers: list[AnswerEntry]
    shifts: list[RevisedEntry]
    rules_added: list[str] = []
    rules_lifted: dict[str, str] = {}
