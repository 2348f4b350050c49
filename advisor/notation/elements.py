"""The middle level between tokens and readings: codes, quantities, names, phrases and marks in their order.

The scanner turns tokens into elements; the assembling grammars take elements and build drafts of readings, marking
each element they used as `taken`. What is left untaken at the end qualifies a reading or was not understood.
"""

from dataclasses import dataclass, field

from advisor.notation.lexicon import Entry, MaterialName, Unit
from advisor.notation.models import StandardModel

# Marks, by what they do: a `break` ends a clause, the others part or join within it.
SEP, OPEN, CLOSE, COLON, BREAK = "sep", "open", "close", "colon", "break"
AND, OR, WITH, INCLUDING, AT = "and", "or", "with", "including", "at"


@dataclass(slots=True, eq=False)
class Element:
    """A stretch of the text."""

    start: int
    end: int
    taken: bool = field(default=False, kw_only=True)


@dataclass(slots=True, eq=False)
class Mark(Element):
    """Punctuation or a joining word."""

    sign: str
    text: str = ""


@dataclass(slots=True, eq=False)
class Unknown(Element):
    """Words or signs that are in no list."""


@dataclass(slots=True, eq=False)
class Phrase(Element):
    """Words of the lexicon, with all that they can mean."""

    entries: tuple[Entry, ...]

    def named(self, cls: str) -> str:
        """The name under one class, '' if it does not mean such a thing."""
        for entry in self.entries:
            if entry.cls == cls:
                return entry.name
        return ""

    def names(self, cls: str) -> list[str]:
        """All names under one class."""
        return [entry.name for entry in self.entries if entry.cls == cls]


@dataclass(slots=True, eq=False)
class Quantity(Element):
    """Figures with the units they can have. A single figure stands in `values[0]`, a range in two, a list in more.

    `spread` says how they were joined: '' single, 'range' or 'list'. `limit` is max, min or ''.
    """

    values: tuple[str, ...]
    units: tuple[tuple[Unit, ...], ...]
    spread: str = ""
    limit: str = ""
    signed: bool = False
    tolerance: bool = False
    notes: list[str] = field(default_factory=list)

    def has(self, dimension: str) -> bool:
        """Whether the figures can be of this dimension."""
        return bool(self.units) and any(unit.dimension == dimension for unit in self.units[0])

    def only(self, dimension: str) -> bool:
        """Whether the figures can be of no other dimension."""
        return bool(self.units) and all(unit.dimension == dimension for unit in self.units[0])

    @property
    def bare(self) -> bool:
        """Whether no unit was given."""
        return not self.units


@dataclass(slots=True, eq=False)
class BareUnit(Element):
    """A unit with no figure, as in a label "[°C]"."""

    units: tuple[Unit, ...]


@dataclass(slots=True, eq=False)
class Code(Element):
    """One IP code, its places as strings."""

    first: str
    second: str
    additional: str = ""
    supplementary: str = ""
    oil: str = ""
    impact_numeral: str = ""
    notes: tuple[str, ...] = ()
    credit: bool = True


@dataclass(slots=True, eq=False)
class TypeCode(Element):
    """One enclosure type."""

    type: str
    standard: str | None
    notes: tuple[str, ...] = ()
    credit: bool = True


@dataclass(slots=True, eq=False)
class ImpactCode(Element):
    """One IK code."""

    code: str
    notes: tuple[str, ...] = ()
    credit: bool = True


@dataclass(slots=True, eq=False)
class ThreadSize(Element):
    """A thread."""

    size: str


@dataclass(slots=True, eq=False)
class Named(Element):
    """A name of one or several materials."""

    names: tuple[MaterialName, ...]
    text: str
    sure: bool
    filler: str = ""
    parts: tuple[str, ...] = ()


@dataclass(slots=True, eq=False)
class Cited(Element):
    """A standard. `key` is its body and number, `known` its entry in the lexicon if it has one."""

    key: str
    edition: str
    known: StandardModel | None


@dataclass(slots=True, eq=False)
class Law(Element):
    """A regulation, a directive or a clause of one."""

    key: str
    name: str
    topic: str
