"""The rules as their authors write them, and the rulebook that holds them with vocabulary and tables.

The models here say what a rule file may hold; `engine.compiled` turns rules into the one form that is evaluated.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal

from pydantic import Field, model_validator

from advisor.faults import Collector, Place
from advisor.resistance import MatrixFiles, Rating
from advisor.schema import Entry
from advisor.tables import Basis, Table
from advisor.vocabulary import Vocabulary

Kind = Literal["definition", "physics", "standard", "convention", "prudence"]
NOTE_TOPICS = ("evidence", "practice", "caution", "beyond", "refer", "conflict", "trap")
Pattern = dict[str, dict[str, Any]]


class DemandEntry(Entry):
    """`demand:` of a rule. Exactly one of `item`, `at_least`, `at_most` and `rule_out` says what is asked."""

    topic: str
    item: list[str] | None = None
    at_least: Any = Field(default=None, alias="at least")
    at_most: Any = Field(default=None, alias="at most")
    rule_out: Any = Field(default=None, alias="rule out")
    parameters: dict[str, Any] = Field(default={}, alias="with")
    text: str = ""

    @model_validator(mode="after")
    def _one_value(self) -> "DemandEntry":
        if sum(value is not None for value in (self.item, self.at_least, self.at_most, self.rule_out)) != 1:
            raise ValueError("a demand has exactly one of 'item', 'at least', 'at most', 'rule out'")
        return self


class SpareEntry(Entry):
    """`not needed:` of a rule: what may be left out of the specification, and is dropped when it is demanded."""

    topic: str
    item: list[str]
    text: str


class ExcludeEntry(Entry):
    """`rule out:` of a rule: materials that do not stand something.

    Either `by: resistance` with the slots of the exposure, or `column` with `below` or `above` and a value, or `rows`
    with what the columns of the materials table hold. `of` narrows a limit to rows of that kind.
    """

    by: Literal["resistance"] | None = None
    agent: Any = None
    strength: Any = None
    temperature: Any = None
    duration: Any = None
    column: str | None = None
    below: Any = None
    above: Any = None
    of: dict[str, Any] | None = None
    missing: Rating = "unknown"
    rows: dict[str, Any] | None = None
    roles: list[str] = []
    rating: Rating = "attacked"
    text: str = ""

    @model_validator(mode="after")
    def _one_means(self) -> "ExcludeEntry":
        if sum(value is not None for value in (self.by, self.column, self.rows)) != 1:
            raise ValueError("'rule out' has exactly one of 'by', 'column', 'rows'")
        if self.by and None in (self.agent, self.strength, self.temperature, self.duration):
            raise ValueError("'by: resistance' needs agent, strength, temperature and duration")
        if self.column and (self.below is None) == (self.above is None):
            raise ValueError("a limit has exactly one of 'below' and 'above'")
        if not self.by and not self.text:
            raise ValueError("say in 'text' why the materials are ruled out")
        return self


class Conclusion(Entry):
    """One entry of `then`: a demand, something not needed, or a note on one of the note topics."""

    demand: DemandEntry | None = None
    spare: SpareEntry | None = Field(default=None, alias="not needed")
    exclude: ExcludeEntry | None = Field(default=None, alias="rule out")
    evidence: str | None = None
    practice: str | None = None
    caution: str | None = None
    beyond: str | None = None
    refer: str | None = None
    conflict: str | None = None
    trap: str | None = None

    @model_validator(mode="after")
    def _one_conclusion(self) -> "Conclusion":
        if sum(getattr(self, name) is not None for name in type(self).model_fields) != 1:
            raise ValueError("an entry of 'then' holds exactly one conclusion")
        return self

    @property
    def note(self) -> tuple[str, str] | None:
        """The topic and text of a note, or None."""
        for name in NOTE_TOPICS:
            text = getattr(self, name)
            if text is not None:
                return name, text
        return None


class Rule(Entry):
    """One rule of the trade: when what holds, it concludes what, because of what, on whose word."""

    rule: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")
    title: str
    when: list[Pattern] = []
    any_of: list[list[Pattern]] = Field(default=[], alias="any")
    unless: list[Pattern] = []
    derive: dict[str, dict[str, Any]] = {}
    then: list[Conclusion] = []
    because: str
    source: str = Field(min_length=3)
    basis: Basis
    kind: Kind
    checked: str = Field(pattern=r"^20\d\d-\d\d$")
    not_when: str = Field(default="", alias="not when")
    not_monotone: str = Field(default="", alias="not monotone")
    """Why a harsher answer may rightly take this rule's conclusion away; empty for nearly all rules."""
    worst: str | None = Field(default=None, pattern=r"^[a-z_]+\.[a-z_0-9]+$")
    """alias.slot: of several firings only the one with the largest value is worded."""
    apart: list[str] = []
    """Aliases that must rest on different instances of what was told: one source is not two."""
    pool: bool = False
    """Of several firings on one told instance one fact is made, which allows whatever any of them allows."""
    certain_only: bool = Field(default=False, alias="certain only")
    """The rule holds answers against each other and says nothing while they are open."""
    fires: list[dict[str, Any]] = []
    """Examples: what is told of a site, as in a site file, with which the rule fires for certain."""
    silent: list[dict[str, Any]] = []

    @model_validator(mode="after")
    def _whole(self) -> "Rule":
        if not self.when and not self.any_of:
            raise ValueError("a rule has conditions under 'when' or 'any'")
        if not self.then and not self.derive:
            raise ValueError("a rule concludes something under 'then' or 'derive'")
        if self.pool and (self.then or self.any_of or len(self.when) != 1):
            raise ValueError("a rule with 'pool' binds one pattern under 'when' and has 'derive' only")
        return self


@dataclass
class Rulebook:
    """Vocabulary, tables and rules, with the place of each rule and the digest of all that was read."""

    vocabulary: Vocabulary
    tables: dict[str, Table]
    rules: dict[str, Rule]
    places: dict[str, Place] = field(default_factory=dict)
    digest: str = ""
    matrix: Callable[[], MatrixFiles] = lambda: MatrixFiles([], Collector())
    """Gives the resistance matrix, which is read only when a site names an agent."""
    waived: dict[str, str] = field(default_factory=dict)
    """Rules lifted by a plant's own rules, with the stated reason."""
    kept: dict[tuple[Any, ...], Any] = field(default_factory=dict, repr=False, compare=False)
    """What the readers of sites lay out once for all sites, by their own keys."""
