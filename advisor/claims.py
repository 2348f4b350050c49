"""From what a spec sheet says to claims on the topics of the demands.

A reading of the notation may make several claims (an IP code claims on solids and on water, a Type also what the
one-way table turns it into). `credit` says what a claim is worth: full, conditional (a person must confirm that its
condition holds here), or none (kept and shown, but it proves nothing). Denied claims and codes that do not exist get
no credit; a denial is kept as a claim, since it speaks against what the same sheet says elsewhere. What the
conditions are worth stands in the table `claim_conditions`; a reading that the notation itself marks as doubtful
(`DOUBTFUL`) is worth no more than a conditional one.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Literal

from advisor import emc, quantities
from advisor.notation import items as said
from advisor.notation.lexicon import note_text
from advisor.physics import hydrostatics
from advisor.rulebook import Rulebook
from advisor.tables import Row

Credit = Literal["full", "conditional", "none"]
CREDITS: tuple[Credit, ...] = ("full", "conditional", "none")
Adder = Callable[..., None]
"""Enters a claim: the topic, and by keyword what `Claim` holds."""
DOUBTFUL = frozenset(
    ("unread-beside", "scan-slip", "thousands-or-decimal", "sign-or-dash", "two-units-disagree", "unit-assumed")
)
"""Notes of the notation after which a person must look at the sheet before the claim counts."""
_APART = frozenset(("unmated", "without cover"))
"""Conditions of a state outside service: such a claim does not contradict the one for service."""
_NAMED_CODES = {"corrosion": "corrosivity", "cable-motion": "cable", "pollution": "pollution"}
"""Topics of the notation's statements that name a code of a topic of the audit, in their words or by their name."""
_VAGUE_DENIALS: Mapping[str, tuple[str, ...]] = {
    "wash": ("ingress.water", "temperature.wash"),
    "ingress-word": ("ingress.water", "ingress.solids"),
    "restriction": ("ingress.water", "ingress.solids", "enclosure.type"),
    "thermal-shock": ("temperature.wash",),
    "cold": ("temperature.low",),
    "chemical": ("material.",),
    "corrosion": ("material.",),
    "uv": ("material.",),
}
"""Topics of the notation's statements, and what a denial of such a statement speaks against; `material.` is the
material of the part that the statement speaks of."""


@dataclass(frozen=True)
class Claim:
    """One claim on one topic, in coherent SI, with the words that make it."""

    topic: str
    part: str
    credit: Credit
    quote: str
    item: str = ""
    value: float | None = None
    parameters: Mapping[str, float] = field(default_factory=dict, hash=False)
    materials: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    """Why the credit is not full, and what else a reader must know."""
    line: int = 0
    denied: bool = False
    """The sheet says that the unit does not have it; without code, figure or material it denies the whole topic."""
    floor: bool = False
    """It follows from another statement as the least that holds, so a better claim beside it is no contradiction."""
    apart: bool = False
    """It speaks of a state outside service (connector open, cover off)."""
    place: int = 0
    """The entry of the sheet: two ratings in one entry are a list, in two entries they must agree."""

    @property
    def key(self) -> tuple[object, ...]:
        """What two claims with the same meaning share."""
        own = (self.topic, self.part, self.credit, self.item, self.value, tuple(self.parameters.items()))
        return *own, self.materials, self.denied, self.floor, self.apart


class ClaimReader:
    """Turns readings of one rulebook's notation into claims."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.conditions = book.tables["claim_conditions"].rows
        self.water, self.solids = book.tables["water_codes"].rows, book.tables["solids_codes"].rows
        self.types = book.tables["enclosure_types"].rows
        self.parts = book.tables["claim_parts"].rows
        self.fields = [topic for topic in book.vocabulary.topics if topic.startswith("immunity.magnetic.")]

    def claims(self, item: said.Item, part: str, line: int = 0, place: int | None = None) -> list[Claim]:
        """Return the claims that one reading makes for one part; `place` is the entry, the line by default."""
        credit, notes = self._credit(item)
        made: list[Claim] = []
        common: dict[str, Any] = {"part": part, "line": line, "place": line if place is None else place}
        common["denied"] = item.denied
        common["apart"] = any(condition.name in _APART for condition in item.conditions)

        def add(topic: str, more: tuple[str, ...] = (), worth: Credit = "full", **values: Any) -> None:
            if topic in self.book.vocabulary.topics:
                worth = max(credit, worth, key=CREDITS.index)
                made.append(Claim(topic, credit=worth, quote=item.quote, notes=(*notes, *more), **{**common, **values}))

        if isinstance(item, said.IngressRating):
            self._ingress(item, add)
        elif isinstance(item, said.EnclosureType):
            self._enclosure(item, add)
        elif isinstance(item, said.Temperature):
            _temperature(item, add)
        elif isinstance(item, said.Material):
            for topic in self._materials(part, item.slugs):
                add(topic, materials=item.slugs)
        elif isinstance(item, said.MagneticImmunity):
            self._magnetic(item, add)
        elif isinstance(item, said.Impact):
            if item.ik:
                add("impact", item=item.ik)
            elif item.energy_j is not None:
                add("impact", value=item.energy_j)
        elif isinstance(item, (said.Vibration, said.Shock)):
            if item.acceleration_ms2 is not None:
                add(item.kind, value=item.acceleration_ms2)
        elif isinstance(item, said.EmcStatement):
            for code in emc.claimed(item.standard, item.levels, self.book.tables):
                add("emc", item=code)
        elif isinstance(item, said.Statement):
            self._statement(item, part, add)
        return made

    def _materials(self, part: str, slugs: tuple[str, ...] = ()) -> list[str]:
        """The topics of a part's material; of a part with several roles those that the material can have, if any."""
        roles: list[str] = list(self.parts[part].cells.get("roles", ())) if part in self.parts else []
        rows = self.book.tables["materials"].rows
        fitting = [role for role in roles if any(role in self._roles(rows[slug]) for slug in slugs if slug in rows)]
        return [f"material.{role}" for role in fitting or roles]

    def _roles(self, row: Row) -> set[str]:
        rows = self.book.tables["materials"].rows
        named = [rows[key] for key in row.cells.get("worst_of", ()) if key in rows]
        return {role for entry in (row, *named) for role in entry.cells.get("roles", ())}

    def _magnetic(self, item: said.MagneticImmunity, add: Adder) -> None:
        if item.flux_t is None:
            if item.denied:
                for topic in self.fields:
                    add(topic)
            return
        for wave in item.waveforms:
            add(f"immunity.magnetic.{_WAVES.get(wave, wave)}", value=item.flux_t)
        if not item.waveforms:
            # A figure without its waveform may be any: it is looked into for each, and credited for none.
            for topic in self.fields:
                add(topic, value=item.flux_t, worth="conditional")

    def _statement(self, item: said.Statement, part: str, add: Adder) -> None:
        if item.name == "surface-roughness" and item.value is not None:
            add("surface.roughness", value=item.value)
        elif item.topic == "venting":
            more = ("Ask for the rating of the balancing element itself; a drain or a fan opens the unit.",)
            add("venting", item="balance", worth="conditional", more=more)
        elif item.topic in _NAMED_CODES:
            topic = _NAMED_CODES[item.topic]
            rows = self.book.tables[self.book.vocabulary.topics[topic].table or ""].rows
            words = item.quote.casefold().replace("-", " ").split()
            for code, row in rows.items():
                if (
                    code in (item.name, item.quote)
                    or code.casefold() in words
                    or row.name.casefold() == " ".join(words)
                ):
                    add(topic, item=code, part="unit")
        elif item.reference and not item.denied:
            for code in emc.claimed(item.reference, (), self.book.tables):
                add("emc", item=code)
        if (item.denied and not item.name.endswith("-free")) or item.topic == "restriction":
            # "Not for high-pressure cleaning" names no code, and speaks against all of them.
            for start in _VAGUE_DENIALS.get(item.topic, ()):
                for topic in self._materials(part) if start == "material." else [start]:
                    add(topic, worth="none", denied=True)

    def _credit(self, item: said.Item) -> tuple[Credit, tuple[str, ...]]:
        credit: Credit = "conditional" if DOUBTFUL.intersection(item.notes) else "full"
        notes = [_note(name) for name in item.notes]
        for condition in item.conditions:
            row = self.conditions.get(condition.name.replace(" ", "-"))
            worth: Credit = row.cells["credit"] if row else "conditional"
            credit = max(credit, worth, key=CREDITS.index)
            notes.append(
                str(row.cells["text"]) if row else f"The sheet limits it: {condition.quote or condition.name}."
            )
        if item.denied:
            return "none", (*notes, "The sheet says that the unit does not have it.")
        if getattr(item, "credit", True) is False:
            return "none", tuple(notes)
        return credit, tuple(notes)

    def _ingress(self, item: said.IngressRating, add: Adder) -> None:
        solids, water = f"IP{item.first}X", f"IPX{item.second}"
        if solids in self.solids:
            add("ingress.solids", item=solids)
        elif item.first == "0" and not item.denied:
            add("ingress.solids", item=next(iter(self.solids)), worth="none", denied=True, more=(_ZERO,))
        if item.second == "0" and not item.denied:
            add("ingress.water", item=next(iter(self.water)), worth="none", denied=True, more=(_ZERO,))
        if water not in self.water:
            return
        if item.second != "8":
            add("ingress.water", item=water)
            return
        parameters = {}
        depth = immersion_depth(item)
        if depth is not None:
            parameters["depth"] = depth
        if item.duration_s is not None:
            parameters["duration"] = item.duration_s
        elif item.has("continuous"):
            parameters["duration"] = float("inf")
        missing = [name for name in ("depth", "duration") if name not in parameters]
        more = (f"IPX8 without {' and '.join(missing)} cannot be verified: ask for them.",) if missing else ()
        if item.pressure_pa is None or item.absolute or "pressure-unreferenced" not in item.notes:
            add("ingress.water", item=water, parameters=parameters, more=more)
            return
        # Gauge or absolute is not said: the smaller depth counts in full, the larger one only once it is confirmed.
        add("ingress.water", item=water, parameters=parameters, more=more, worth="conditional")
        least = hydrostatics.fresh_water_depth(max(0.0, hydrostatics.gauge_from_absolute(item.pressure_pa)))
        if least > 0:
            add("ingress.water", item=water, parameters={**parameters, "depth": least}, more=more, floor=True)

    def _enclosure(self, item: said.EnclosureType, add: Adder) -> None:
        row = self.types.get(item.type)
        if row is None:
            return
        add("enclosure.type", item=item.type)
        turned = (f"{row.name} turned into an IP code by the one-way table of NEMA 250.",)
        if "solids" in row.cells:
            add("ingress.solids", item=row.cells["solids"], more=turned, floor=True)
        for code in row.cells.get("water", ()):
            parameters = {name: row.cells[name][0] for name in ("depth", "duration") if name in row.cells}
            add("ingress.water", item=code, parameters=parameters if code == "IPX8" else {}, more=turned, floor=True)


_WAVES = {"pulsed": "pulse"}
_ZERO = "Numeral 0 says that there is no protection."
_INSIDE = "Said of the medium or of sterilising, which reach the face; ask whether the outside stands the cleaning."
_SURFACE = "A surface temperature may be what the unit gives off; ask whether it is what it stands."


def _temperature(item: said.Temperature, add: Adder) -> None:
    """A service range claims both ends and stands for the wash too; a cleaning temperature for the wash alone.

    A figure that holds for a time only is conditional: the time must be held against the site.
    """
    low = None if item.low_degc is None else quantities.to_si(item.low_degc, "degC")
    high = None if item.high_degc is None else quantities.to_si(item.high_degc, "degC")
    worth: Credit = "full" if item.duration_s is None else "conditional"
    more = () if item.duration_s is None else (f"Holds for {item.duration_s / 60:g} min only.",)
    if item.role == "surface":
        worth, more = "conditional", (*more, _SURFACE)
    if item.role in ("operating", "unspecified", "surface"):
        if low is not None:
            add("temperature.low", value=low, worth=worth, more=more)
        if high is not None:
            add("temperature.high", value=high, worth=worth, more=more)
            add("temperature.wash", value=high, worth=worth, more=more, floor=True)
    elif item.role == "cleaning" and high is not None:
        add("temperature.wash", value=high, worth=worth, more=more)
    elif item.role in ("sterilisation", "medium") and high is not None:
        add("temperature.wash", value=high, worth="conditional", more=(*more, _INSIDE))


def immersion_depth(item: said.IngressRating) -> float | None:
    """Return the depth of fresh water that a rating states by itself or by a pressure, taken as gauge unless said."""
    if item.depth_m is not None:
        return item.depth_m
    if item.pressure_pa is None:
        return None
    gauge = hydrostatics.gauge_from_absolute(item.pressure_pa) if item.absolute else item.pressure_pa
    return hydrostatics.fresh_water_depth(gauge)


@lru_cache(maxsize=256)
def _note(name: str) -> str:
    return note_text(name)


def distinct(claims: Iterable[Claim]) -> list[Claim]:
    """Return the claims without those that say the same again, in their order."""
    return list({claim.key: claim for claim in claims}.values())
