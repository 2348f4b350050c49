"""The readings: what a text says, each with its place, the words quoted, and what limits it.

All are frozen. Figures are plain floats in the unit that the field name ends with (`depth_m`, `low_degc`,
`pressure_pa`); a figure that the text does not give is None. `start` and `end` are character offsets into the
text read and `quote` is that stretch. `notes` are short names of `knowledge/notation/notes.yaml`, `conditions`
limit the reading, `parts` say of which part of the unit it speaks (empty: the text does not say), `denied` is
true where the text says that the unit does *not* have it.
"""

from dataclasses import dataclass, replace
from typing import Any, ClassVar


@dataclass(frozen=True, slots=True)
class Condition:
    """A limit on a claim: `name` is one of `knowledge/notation/conditions.yaml`."""

    name: str
    quote: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """What all readings have in common."""

    kind: ClassVar[str] = "item"
    start: int = 0
    end: int = 0
    quote: str = ""
    notes: tuple[str, ...] = ()
    conditions: tuple[Condition, ...] = ()
    parts: tuple[str, ...] = ()
    denied: bool = False

    def has(self, condition: str) -> bool:
        """Whether the reading is limited by this condition."""
        return any(entry.name == condition for entry in self.conditions)


@dataclass(frozen=True, slots=True, kw_only=True)
class IngressRating(Item):
    """One IP code. `credit` is False for a code that does not exist or is too doubtful to count.

    `pressure_pa` is the immersion pressure with numerals 7 and 8 and the nozzle pressure with 9 and 9K; it is
    gauge unless `absolute`. `duration_s` and `water_degc` belong to the same test. `oil` is a letter of JIS C 0920,
    `impact_numeral` the obsolete national third numeral.
    """

    kind: ClassVar[str] = "ingress"
    first: str
    second: str
    additional: str = ""
    supplementary: str = ""
    oil: str = ""
    impact_numeral: str = ""
    standard: str | None = None
    edition: str | None = None
    depth_m: float | None = None
    pressure_pa: float | None = None
    absolute: bool = False
    duration_s: float | None = None
    water_degc: float | None = None
    credit: bool = True

    @property
    def code(self) -> str:
        """The code in its normal spelling, without the conditions of its test."""
        return f"IP{self.first}{self.second}{self.additional}{self.supplementary}{self.oil}"


@dataclass(frozen=True, slots=True, kw_only=True)
class EnclosureType(Item):
    """One enclosure type of NEMA 250, UL 50E or CSA C22.2 No. 94.2; `standard` is None for a bare "Type"."""

    kind: ClassVar[str] = "enclosure"
    type: str
    standard: str | None = None
    credit: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Temperature(Item):
    """A range or one limit. `role`: operating, storage, transport, medium, cleaning, sterilisation, surface or
    unspecified. `duration_s` is how long it may last."""

    kind: ClassVar[str] = "temperature"
    low_degc: float | None = None
    high_degc: float | None = None
    role: str = "unspecified"
    duration_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressure(Item):
    """A range or one limit. `role`: operating, medium, cleaning, maximum, proof, burst or unspecified;
    `reference`: gauge, absolute or unstated."""

    kind: ClassVar[str] = "pressure"
    low_pa: float | None = None
    high_pa: float | None = None
    role: str = "unspecified"
    reference: str = "unstated"
    duration_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Material(Item):
    """A material by its rows in the materials table; several `slugs` when the name fits several.

    `name` is the spelling met, `generic` true for a family without a grade, `filler` a reinforcement such as
    GF30, `finishes` surface treatments.
    """

    kind: ClassVar[str] = "material"
    slugs: tuple[str, ...]
    name: str
    generic: bool = False
    filler: str = ""
    finishes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MagneticImmunity(Item):
    """Immunity to a magnetic field. `flux_t` None: a word without a figure. `waveforms`: ac, dc, pulsed, mf."""

    kind: ClassVar[str] = "magnetic"
    flux_t: float | None = None
    waveforms: tuple[str, ...] = ()
    low_hz: float | None = None
    high_hz: float | None = None
    duration_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Impact(Item):
    """An IK code, or an energy, or both; `energy_j` is that of the code if none is given."""

    kind: ClassVar[str] = "impact"
    ik: str = ""
    energy_j: float | None = None
    test_degc: float | None = None
    """At which temperature it was hit."""
    standard: str | None = None
    credit: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Vibration(Item):
    """Acceleration (peak, or rms if `rms`), travel (peak to peak if `peak_to_peak`), frequencies, time."""

    kind: ClassVar[str] = "vibration"
    acceleration_ms2: float | None = None
    travel_m: float | None = None
    peak_to_peak: bool = False
    low_hz: float | None = None
    high_hz: float | None = None
    duration_s: float | None = None
    axes: int | None = None
    rms: bool = False
    standard: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shock(Item):
    """Peak acceleration, pulse length, number of shocks and axes."""

    kind: ClassVar[str] = "shock"
    acceleration_ms2: float | None = None
    duration_s: float | None = None
    count: int | None = None
    axes: int | None = None
    standard: str | None = None


@dataclass(frozen=True, slots=True)
class Level:
    """One figure of an immunity test, in the unit named (V, V/m, A/m, A)."""

    value: float
    unit: str
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EmcStatement(Item):
    """An EMC standard with the levels, the severity and the criterion given, if any."""

    kind: ClassVar[str] = "emc"
    standard: str
    levels: tuple[Level, ...] = ()
    severity: str = ""
    criterion: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement(Item):
    """Any other claim in words: `name` and `topic` from `knowledge/notation/statements.yaml` or `standards.yaml`.

    `reference` is the clause or standard cited with it, `value` a figure that belongs to it, in `unit`
    (hours of salt spray are seconds, Ra is metre).
    """

    kind: ClassVar[str] = "statement"
    name: str
    topic: str
    reference: str | None = None
    value: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread(Item):
    """A thread or connector size such as M12, G1/2, Pg9."""

    kind: ClassVar[str] = "thread"
    size: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartHeading(Item):
    """A word that names a part with no claim beside it: what follows speaks of that part."""

    kind: ClassVar[str] = "part"


@dataclass(frozen=True, slots=True)
class Fragment:
    """A stretch that was not read. `why`: not understood, no reading, or set aside."""

    start: int
    end: int
    quote: str
    why: str = "not understood"


@dataclass(frozen=True, slots=True)
class Reading:
    """All that was found in a text, in order, and all that was not understood."""

    text: str
    items: tuple[Item, ...] = ()
    unread: tuple[Fragment, ...] = ()

    def of(self, kind: str) -> tuple[Item, ...]:
        """The items of one kind."""
        return tuple(item for item in self.items if item.kind == kind)


def meaning(item: Item) -> Item:
    """The item without its place, quotes and notes: what two spellings of the same claim have in common."""
    bare: dict[str, Any] = {
        "start": 0,
        "end": 0,
        "quote": "",
        "notes": (),
        "conditions": tuple(sorted((Condition(entry.name) for entry in set(item.conditions)), key=lambda c: c.name)),
    }
    if isinstance(item, Material):
        bare["name"] = ""
    return replace(item, **bare)
