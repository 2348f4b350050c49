"""From what a spec sheet says to claims on the topics of the demands.

A reading of the notation may make several claims (an IP code claims on solids and on water, a Type also what the
one-way table turns it into). `credit` says what a claim is worth: full, conditional (a person must confirm that its
condition holds here), or none (kept and shown, but it proves nothing). Denied claims and codes that do not exist get
no credit. What the conditions are worth stands in the table `claim_conditions`.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Literal

from advisor import quantities
from advisor.notation import items as said
from advisor.notation.lexicon import note_text
from advisor.physics import hydrostatics
from advisor.rulebook import Rulebook

Credit = Literal["full", "conditional", "none"]
CREDITS: tuple[Credit, ...] = ("full", "conditional", "none")
Adder = Callable[..., None]
"""Enters a claim: the topic, and by keyword what `Claim` holds."""


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

    @property
    def key(self) -> tuple[object, ...]:
        """What two claims with the same meaning share."""
        return self.topic, self.part, self.credit, self.item, self.value, tuple(self.parameters.items()), self.materials


class ClaimReader:
    """Turns readings of one rulebook's notation into claims."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.conditions = book.tables["claim_conditions"].rows
        self.water, self.solids = book.tables["water_codes"].rows, book.tables["solids_codes"].rows
        self.types = book.tables["enclosure_types"].rows
        self.parts = book.tables["claim_parts"].rows

    def claims(self, item: said.Item, part: str, line: int = 0) -> list[Claim]:
        """Return the claims that one reading makes for one part."""
        credit, notes = self._credit(item)
        made: list[Claim] = []

        def add(topic: str, more: tuple[str, ...] = (), worth: Credit = credit, **values: Any) -> None:
            if topic in self.book.vocabulary.topics:
                made.append(Claim(topic, part, worth, item.quote, notes=(*notes, *more), line=line, **values))

        if isinstance(item, said.IngressRating):
            self._ingress(item, add)
        elif isinstance(item, said.EnclosureType):
            self._enclosure(item, add)
        elif isinstance(item, said.Temperature):
            _temperature(item, add)
        elif isinstance(item, said.Material):
            for role in self.parts[part].cells.get("roles", ()) if part in self.parts else ():
                add(f"material.{role}", materials=item.slugs)
        elif isinstance(item, said.MagneticImmunity):
            if item.flux_t is not None:
                for wave in item.waveforms:
                    add(f"immunity.magnetic.{_WAVES.get(wave, wave)}", value=item.flux_t)
                if not item.waveforms:
                    # A figure without its waveform may be any: it is looked into for each, and credited for none.
                    for topic in self.book.vocabulary.topics:
                        if topic.startswith("immunity.magnetic."):
                            add(topic, value=item.flux_t, worth=max(credit, "conditional", key=CREDITS.index))
        elif isinstance(item, said.Impact):
            if item.ik:
                add("impact", item=item.ik)
            elif item.energy_j is not None:
                add("impact", value=item.energy_j)
        elif isinstance(item, said.Vibration):
            if item.acceleration_ms2 is not None:
                add("vibration", value=item.acceleration_ms2)
        elif isinstance(item, said.Shock):
            if item.acceleration_ms2 is not None:
                add("shock", value=item.acceleration_ms2)
        elif isinstance(item, said.Statement):
            if item.name == "surface-roughness" and item.value is not None:
                add("surface.roughness", value=item.value)
            elif item.topic == "venting":
                add("venting", item="balance")
        return made

    def _credit(self, item: said.Item) -> tuple[Credit, tuple[str, ...]]:
        credit: Credit = "full"
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
        if water not in self.water:
            return
        parameters = {}
        more: tuple[str, ...] = ()
        if item.second == "8":
            depth = immersion_depth(item)
            if depth is not None:
                parameters["depth"] = depth
            if item.duration_s is not None:
                parameters["duration"] = item.duration_s
            elif item.has("continuous"):
                parameters["duration"] = float("inf")
            missing = [name for name in ("depth", "duration") if name not in parameters]
            if missing:
                more = (f"IPX8 without {' and '.join(missing)} cannot be verified: ask for them.",)
        add("ingress.water", item=water, parameters=parameters, more=more)

    def _enclosure(self, item: said.EnclosureType, add: Adder) -> None:
        row = self.types.get(item.type)
        if row is None:
            return
        add("enclosure.type", item=item.type)
        turned = (f"{row.name} turned into an IP code by the one-way table of NEMA 250.",)
        if "solids" in row.cells:
            add("ingress.solids", item=row.cells["solids"], more=turned)
        for code in row.cells.get("water", ()):
            parameters = {name: row.cells[name][0] for name in ("depth", "duration") if name in row.cells}
            add("ingress.water", item=code, parameters=parameters if code == "IPX8" else {}, more=turned)


_WAVES = {"pulsed": "pulse"}


def _temperature(item: said.Temperature, add: Adder) -> None:
    """A service range claims both ends and stands for the wash too; a cleaning temperature for the wash alone."""
    low = None if item.low_degc is None else quantities.to_si(item.low_degc, "degC")
    high = None if item.high_degc is None else quantities.to_si(item.high_degc, "degC")
    if item.role in ("operating", "unspecified", "surface"):
        if low is not None:
            add("temperature.low", value=low)
        if high is not None:
            add("temperature.high", value=high)
            add("temperature.wash", value=high)
    elif item.role in ("cleaning", "sterilisation", "medium") and high is not None:
        add("temperature.wash", value=high)


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
