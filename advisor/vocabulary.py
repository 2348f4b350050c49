"""What can be said of a site: templates (nouns of the trade) and their slots, read from `knowledge/vocabulary`.

A template is asked of the user, or `derived`: then only rules fill it. `many` lets several instances stand. Each
slot has one kind: a quantity (`unit`), a pure `number`, a choice (`choices`), a row of a table (`row`), or free
`text`. A slot that is `relevant` only under a condition is absent otherwise. `harsher` says which way an answer
is harder on the unit, for the tests of monotony; `assume` is what is taken, and said, where nothing is told.
"""

from functools import cached_property
from typing import Any, Literal

from pydantic import Field, model_validator

from advisor.schema import Entry

Lever = Literal["move", "shield", "procedure", "chemistry", "mounting", "choice of unit", "process"]


class Slot(Entry):
    """One thing that can be said of a template's instance."""

    slot: str = Field(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$")
    ask: str = ""
    help: str = ""
    called: str = ""
    """What it is called in a text where it is not known; its name, if nothing is given."""
    unit: str | None = None
    difference: bool = False
    number: bool = False
    text: bool = False
    word: bool = False
    """A word of an open list, such as the name of a statement on a spec sheet."""
    choices: dict[str, str] | None = None
    also: dict[str, list[str]] = {}
    """Other words for a choice, or words for a figure of a quantity, as a person may write them."""
    heads: Literal["alone", "any", "parts", "within"] | None = None
    """A longer phrase that ends in one of the slot's words is read as that word ("paint shop" as "shop"), alone or as
    any of the words known in it; `parts` reads only phrases of which each part is known; `within` reads any known word
    in it ("steel rope" as "steel")."""
    never: list[str] = []
    """A phrase that holds one of these is not read by its end."""
    nouns: list[str] = []
    """The only words at the end of a phrase by which it may be read; any known one, if none are named."""
    yields: list[str] = []
    """Choices that give way to the others which a phrase names as well: a dusty, salty hall is salty."""
    leads: bool = False
    """A phrase that begins with one of the slot's words and goes on by a preposition is read by that word."""
    row: str | None = None
    plausible: str | None = None
    rest: str | None = None
    """How far the untold side of a bound goes ("max 60 degC"), where the plausible range goes further than use does."""
    asks: Literal["low", "high"] | None = None
    """The end that the question is about, where neither is harder in all: "up to 60 degC" is then the figure itself."""
    counts: Literal["low"] | None = None
    """A told range is what the figure runs through, and this end of it is the answer."""
    low_end: str | None = None
    """A told range is what the figure runs through: this slot takes its high end, the slot named here its low end."""
    relevant: dict[str, dict[str, Any]] | None = None
    turns: dict[str, dict[str, str]] = {}
    """What a figure told here makes of the answer to another slot: a spray with a pressure is a hose."""
    harsher: Literal["up", "down", "listed"] | None = None
    assume: str | float | None = None
    assume_cell: list[str] | None = Field(default=None, min_length=2, max_length=2)
    """[slot, column]: what is taken where nothing is told is that column of the row which the slot names."""
    others_none: str | float | None = None
    """What `others: none` says of this slot where it is not told."""
    others_none_as: str | None = None
    """Or, the slot of the template whose told answer it then shares."""
    implies: dict[str, dict[str, list[str]]] = {}
    """What a spelling says of slots that the site leaves open: spelling, then template.slot, then its words."""
    from_date: bool = False
    """Where nothing is told, the year of the site's date with its fraction is taken."""
    lever: Lever | None = None
    """By what a designer can move the answer; none where it is given."""
    effort: str = ""
    """What moving it usually takes."""
    toward: list[str] = []
    """The choices that the lever leads to; all where none are named and the choices have no order."""
    swap: str | None = None
    """The table whose rows list the answers that may stand in for each other; no other swap is proposed."""

    @property
    def kind(self) -> Literal["span", "words", "text"]:
        if self.text:
            return "text"
        return "words" if self.choices is not None or self.row is not None or self.word else "span"

    @model_validator(mode="after")
    def _one_kind(self) -> "Slot":
        choices, row = self.choices is not None, self.row is not None
        if sum([self.unit is not None, self.number, self.text, self.word, choices, row]) != 1:
            raise ValueError("a slot has exactly one of unit, number, text, word, choices, row")
        if self.choices is not None and not set(self.also) <= set(self.choices):
            raise ValueError("'also' gives other words for the slot's own choices")
        if self.also and self.choices is None and self.unit is None:
            raise ValueError("'also' gives words for choices or for figures of a quantity")
        if self.heads and self.kind != "words":
            raise ValueError("'heads' is for slots that hold words")
        if self.kind == "span" and self.plausible is None:
            raise ValueError("a quantity needs its plausible range")
        return self


class Template(Entry):
    """A noun of the trade and what can be said of it."""

    template: str = Field(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$")
    about: str
    subject: str = ""
    """The heading under which an interview asks for it."""
    many: bool = False
    derived: bool = False
    claimed: bool = False
    """Filled from a spec sheet in an audit: neither asked of the user nor concluded by rules."""
    none: dict[str, str] | None = None
    """What `TEMPLATE: none` in a site file stands for; a template with `many` needs none of it."""
    kept_by: list[str] = []
    """Templates that, once told, keep `others: none` from denying this one, since it says what the unit or the place
    is rather than what is there besides; `always` keeps it in any case."""
    alternatives: list[list[str]] = []
    """Groups of slots of which one answer is enough."""
    lever: Lever | None = None
    """By what an instance can be done away with; none where it is given."""
    effort: str = ""
    rising: list[list[str]] = []
    """Groups of quantities of which none can be below the one before it, such as the lowest and highest temperature."""
    presets: str | None = None
    """The table whose rows may stand for a set of answers, by the key `preset`."""
    slots: list[Slot]

    @cached_property
    def by_name(self) -> dict[str, Slot]:
        return {slot.slot: slot for slot in self.slots}


class Topic(Entry):
    """A subject of demands: how several demands on it become one, and how a claim is held against it."""

    topic: str = Field(pattern=r"^[a-z]+(\.[a-z_]+)*$")
    title: str
    join: Literal["codes", "highest", "lowest", "materials", "notes"]
    unit: str | None = None
    difference: bool = False
    table: str | None = None
    """For `codes`: the table whose rows are the codes and say what each covers."""
    role: str | None = None
    """For `materials`: the role that a material must have in the materials table."""
    parameters: dict[str, str] = {}
    """For `codes`: figures a code may carry, with their units; the larger asks more."""
    audit: Literal["always", "if named"] = "always"
    """Whether a sheet that is silent on it is asked, or only one that names such a part."""
    least: bool = False
    """What follows from a standard is the least that a unit has: where that is too little, a person asks."""
    weight: int = 10
    """How much an open demand on it counts when the next question is chosen."""
    about: str = ""
    lead: str = ""
    """The words before a figure, where 'at least' or 'at most' would not be said."""
    steps: list[float] = []
    """Figures in the topic's unit in which units are offered, rising; a map of the demand is drawn in these bands."""

    @cached_property
    def slots(self) -> dict[str, Slot]:
        """What a condition on a demand of the topic may test."""
        slots: dict[str, Slot] = {}
        if self.join == "codes" and self.table:
            slots["item"] = Slot(slot="item", row=self.table)
            for name, unit in self.parameters.items():
                slots[name] = Slot(slot=name, unit=unit, plausible=f"0 .. 1e12 {unit}")
        elif self.join in ("highest", "lowest"):
            slots["value"] = Slot(
                slot="value",
                unit=self.unit,
                number=self.unit is None,
                plausible=f"-1e9 .. 1e9 {self.unit or ''}".strip(),
                difference=self.difference,
            )
        return slots


class Vocabulary(Entry):
    """All templates and topics."""

    templates: dict[str, Template]
    topics: dict[str, Topic]
