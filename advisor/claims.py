"""From what a spec sheet says to claims on the topics of the demands.

A reading of the notation may make several claims (an IP code claims on solids and on water, a Type also what the
one-way table turns it into). `credit` says what a claim is worth: full, conditional (a person must confirm that its
condition holds here), or none (kept and shown, but it proves nothing). Denied claims and codes that do not exist get
no credit; a denial is kept as a claim, since it speaks against what the same sheet says elsewhere. What words,
conditions, marks of the notation, ranges, waveforms and materials are worth stands in the tables `claim_*`.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from advisor import emc, quantities
from advisor.claim_tables import CREDITS, ClaimTables, Credit
from advisor.notation import items as said
from advisor.notation.lexicon import note_text
from advisor.notation.variants import ONE_VARIANT
from advisor.physics import hydrostatics, vibration
from advisor.rulebook import Rulebook
from advisor.values import CLOSE

WHOLE = "unit"
COATING = "coating"
VARIANTS = (ONE_VARIANT, "variant dependent")
WETTED = ("wetted", "process-connection")
"""Parts whose list of materials names the seal besides: "wetted: 316L, FKM"."""
_SI_UNIT = {"deg": "degree"}
"""Units that the notation calls by another word than the quantities do."""
FIELD_OF = {"pulsed": "pulse"}
"""Kinds of field that the notation calls by another word."""
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
    denied: bool = False
    """The sheet says that the unit does not have it; without code, figure or material it denies the whole topic."""
    floor: bool = False
    """It follows from another statement as the least that holds, so a better claim beside it is no contradiction."""
    apart: bool = False
    """It speaks of a state outside service (connector open, cover off)."""
    place: int = 0
    """The entry of the sheet: two ratings in one entry are a list, in two entries they must agree."""

    variant: str = ""
    """The variant that it is said of, where the sheet has several; one of two alternatives counts as one."""

    limit: str = ""
    """Of a denial by a limit of use ("max. cleaning pressure 20 bar"): use, or mild where it only weighs on a claim."""

    idle: str = ""
    """Answer of the site (`template.slot=word`) for which what limits the claim does not matter."""

    eased: tuple[tuple[str, str, bool], ...] = ()
    """Of a material: rules whose reasons against it the sheet answers, the words that do, and whether by a test."""

    @property
    def key(self) -> tuple[object, ...]:
        """What two claims with the same meaning share."""
        own = (self.topic, self.part, self.credit, self.item, self.value, tuple(self.parameters.items()))
        flags = (self.denied, self.limit, self.floor, self.apart)
        return *own, self.materials, *flags, self.variant, self.idle, self.eased


class ClaimReader:
    """Turns readings of one rulebook's notation into claims."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.tables = ClaimTables.of(book)
        self.water, self.solids = book.tables["water_codes"].rows, book.tables["solids_codes"].rows
        self.types = book.tables["enclosure_types"].rows
        self.parts = book.tables["claim_parts"].rows

    def claims(self, item: said.Item, part: str, line: int = 0, place: int | None = None) -> list[Claim]:
        """Return the claims that one reading makes for one part; `place` is the entry, the line by default."""
        credit, notes, idle = self._credit(item)
        made: list[Claim] = []
        common: dict[str, Any] = {"part": part, "line": line, "place": line if place is None else place}
        common["denied"], common["idle"] = item.denied, idle
        common["variant"] = next((_variant(c, item) for c in item.conditions if c.name in VARIANTS), "")
        common["apart"] = any(self.tables.apart(condition.name) for condition in item.conditions)

        def add(topic: str, more: tuple[str, ...] = (), worth: Credit = "full", **values: Any) -> None:
            if topic in self.book.vocabulary.topics:
                # What a statement denies is claimed by its denial: "output is not frozen".
                turned = item.denied and values.get("denied") is False
                own, said_of = self._credit(replace(item, denied=False))[:2] if turned else (credit, notes)
                worth = max(own, worth, key=CREDITS.index)
                made.append(
                    Claim(topic, credit=worth, quote=item.quote, notes=(*said_of, *more), **{**common, **values})
                )

        if isinstance(item, said.IngressRating):
            self._ingress(item, common["place"], add)
            self._shown(part, add)
        elif isinstance(item, said.EnclosureType):
            self._enclosure(item, add)
        elif isinstance(item, said.Temperature):
            self._temperature(item, add)
        elif isinstance(item, said.Material):
            for topic in self._materials(part, item.slugs):
                guessed = part == WHOLE and topic != f"material.{COATING}" and topic not in self._materials(part)
                add(topic, materials=item.slugs, worth="conditional" if guessed else "full", more=_GUESSED * guessed)
            for row in () if item.denied else self.tables.proved(part, item.slugs):
                # Said of the material, so that a bolder statement elsewhere on the sheet is no contradiction.
                against: dict[str, Any] = {"denied": True} if row.cells.get("denies") else {"floor": True}
                worth = row.cells.get("credit", "full")
                more = (str(row.cells["text"]),) if "text" in row.cells else ()
                add(row.cells["topic"], item=row.cells["item"], part=WHOLE, worth=worth, more=more, **against)
        elif isinstance(item, said.MagneticImmunity):
            self._magnetic(item, add)
        elif isinstance(item, said.Impact):
            if item.ik:
                add("impact", item=item.ik)
            elif code := self._blow(item.energy_j):
                add("impact", item=code)
        elif isinstance(item, (said.Vibration, said.Shock)):
            if item.acceleration_ms2 is not None:
                rms = isinstance(item, said.Vibration) and item.rms
                add(item.kind, value=item.acceleration_ms2, worth="conditional" if rms else "full", more=_RMS * rms)
            elif isinstance(item, said.Vibration) and item.travel_m and item.high_hz:
                peak = item.travel_m / 2 if item.peak_to_peak else item.travel_m
                more = (f"Computed from the travel at {item.high_hz:g} Hz; it is less below: ask for that too.",)
                add(item.kind, value=vibration.acceleration(item.high_hz, peak), worth="conditional", more=more)
        elif isinstance(item, said.EmcStatement):
            for code in emc.claimed(item.standard, item.levels, self.book.tables):
                add("emc", item=code, floor=not item.levels)
            if not item.levels:
                self._undecided(item.standard, add)
        elif isinstance(item, said.Statement):
            self._statement(item, part, add)
        return made

    def _blow(self, energy: float | None) -> str:
        """Return the highest code whose energy in joule a stated energy reaches; empty if none."""
        rows = self.book.tables["ik_codes"].rows.values()
        reached = [row for row in rows if energy is not None and row.cells["energy"][0] <= energy * (1 + CLOSE)]
        return max(reached, key=lambda row: row.cells["energy"][0]).key.upper() if len(reached) > 1 else ""

    def _shown(self, part: str, add: Adder) -> None:
        """A rating of a part shows that the part is there."""
        row = self.parts.get(part)
        if row is not None and "shows" in row.cells:
            add(row.cells["shows"], item=row.cells["item"], part=WHOLE)

    def _materials(self, part: str, slugs: tuple[str, ...] = ()) -> list[str]:
        """The topics of a part's material; of a part with several roles those that the material can have, if any.

        A coat named of a part is judged as a coat, whatever lies under it.
        """
        roles: list[str] = list(self.parts[part].cells.get("roles", ())) if part in self.parts else []
        rows = self.tables.materials
        own = [self.tables.roles(rows[slug]) for slug in slugs if slug in rows]
        if own and all(found == {COATING} for found in own):
            return [f"material.{COATING}"]
        fitting = [role for role in roles if any(role in found for found in own)]
        if not fitting and part in (WHOLE, *WETTED) and own and len(set.union(*own)) == 1:
            return [f"material.{role}" for role in own[0]]  # "IP65, PP, NBR": what seals only is the seal
        return [f"material.{role}" for role in fitting or roles]

    def _magnetic(self, item: said.MagneticImmunity, add: Adder) -> None:
        if item.flux_t is None:
            if item.denied:
                for row in self.tables.fields.values():
                    for kind in row.cells.get("counts", ()):
                        add(f"immunity.magnetic.{kind}")
                return
            for wave in item.waveforms or ("unstated",):
                cells = self.tables.fields[wave].cells
                for kind in (*cells.get("counts", ()), *cells.get("looked_into", ())):
                    add(f"immunity.magnetic.{kind}", worth="conditional", more=(_NO_FIGURE,))
            return
        for wave in item.waveforms or ("unstated",):
            cells = self.tables.fields[wave].cells
            factor = self.tables.factor(condition.name for condition in item.conditions) if wave == "ac" else 1.0
            for kind in cells.get("counts", ()):
                add(f"immunity.magnetic.{kind}", value=item.flux_t * factor, floor=kind != FIELD_OF.get(wave, wave))
            more = (str(cells["text"]),) if "text" in cells else ()
            for kind in cells.get("looked_into", ()):
                add(f"immunity.magnetic.{kind}", value=item.flux_t, worth="conditional", more=more)

    def _temperature(self, item: said.Temperature, add: Adder) -> None:
        """Claim by the state of use; a figure that holds for a time only must be held against the site."""
        row = self.tables.ranges.get(item.role)
        if row is None:
            return
        worth: Credit = row.cells["credit"]
        more = () if item.duration_s is None else (f"Holds for {item.duration_s / 60:g} min only.",)
        if more:
            worth = max(worth, "conditional", key=CREDITS.index)
        if "text" in row.cells:
            more = (*more, str(row.cells["text"]))
        ends = {"low": item.low_degc, "high": item.high_degc}
        values = {end: quantities.to_si(value, "degC") for end, value in ends.items() if value is not None}
        if row.cells["ends"]:
            for end, value in values.items():
                add(f"temperature.{end}", value=value, worth=worth, more=more)
        if row.cells["wash"] != "never" and "high" in values:
            least = row.cells["wash"] == "least"
            add("temperature.wash", value=values["high"], worth=worth, more=more, floor=least)

    def _statement(self, item: said.Statement, part: str, add: Adder) -> None:
        spoken = False
        for row in self.tables.spoken(item.name, part):
            cells = row.cells
            value = None if item.value is None else quantities.to_si(item.value, _SI_UNIT.get(item.unit, item.unit))
            if not (set(cells) & {"item", "word"} or value is not None):
                continue
            spoken = True
            where: dict[str, Any] = {"part": WHOLE} if cells.get("whole") else {}
            where |= {"item": code} if (code := cells.get("item")) else {"value": None if "word" in cells else value}
            if cells.get("denies"):
                where["denied"] = not item.denied
            more = (str(cells["text"]),) if "text" in cells else ()
            add(cells["topic"], worth=cells["credit"], more=more, **where)
        subject = self.tables.topics.get(item.topic)
        if subject is not None and item.value is not None and "figured" in subject.cells:
            subject = self.tables.topics[str(subject.cells["figured"])]
        if subject is not None and "codes_of" in subject.cells:
            self._named_codes(item, str(subject.cells["codes_of"]), add)
        elif item.reference and not item.denied and not spoken:
            for code in emc.claimed(item.reference, (), self.book.tables):
                add("emc", item=code, floor=True)
            self._undecided(item.reference, add)
        if subject is None:
            return
        if (item.denied and not item.name.endswith("-free")) or subject.cells.get("limits"):
            # "Not for high-pressure cleaning" names no code, and speaks against all of them.
            ample = subject.cells.get("ample")
            if ample is not None and item.value is not None and quantities.to_si(item.value, item.unit) >= ample[0]:
                return
            for name in subject.cells.get("against", ()):
                subject_of, _, code = name.partition(" ")
                bound, parameters = subject.cells.get("bounds"), {}
                if bound:
                    tested = self.water[code].cells.get(bound) if code in self.water else None
                    limit = 0.0 if item.value is None else quantities.to_si(item.value, item.unit)
                    if tested is not None and limit >= tested[0] * (1 - CLOSE):
                        continue
                    parameters = {bound: limit} if tested is None else {}
                for topic in self._subjects(subject_of, part):
                    add(
                        topic, item=code, worth="none", denied=True, parameters=parameters,
                        idle=str(subject.cells.get("idle", "")), limit="mild" if subject.cells.get("mild") else "use",
                    )

    def _subjects(self, name: str, part: str) -> list[str]:
        """The subjects of demands that a word of the table means: a material of the part, of all parts, or itself."""
        if name == "materials":
            return [topic for topic, entry in self.book.vocabulary.topics.items() if entry.join == "materials"]
        return self._materials(part) if name == "material" else [name]

    def _undecided(self, standard: str, add: Adder) -> None:
        for row in self.tables.undecided(standard):
            add(row.cells["topic"], worth="conditional", more=(str(row.cells["text"]),), floor=True)

    def _named_codes(self, item: said.Statement, topic: str, add: Adder) -> None:
        """Claim the codes that a statement names, in its words or by its own name."""
        subject = self.book.vocabulary.topics[topic]
        rows = self.book.tables[subject.table or ""].rows
        stated = {
            n: quantities.to_si(item.value, u) for n, u in subject.parameters.items() if item.unit == u and item.value
        }
        words = item.quote.casefold().replace("-", " ").split()
        for code, row in rows.items():
            if code in (item.name, item.quote) or code.casefold() in words or row.name.casefold() == " ".join(words):
                add(topic, item=code, part=WHOLE, parameters=stated)

    def _credit(self, item: said.Item) -> tuple[Credit, tuple[str, ...], str]:
        """What a reading is worth, why it is no more, and for which answer of the site it is worth it in full."""
        credit: Credit = max(map(self.tables.worth_of_note, item.notes), default="full", key=CREDITS.index)
        notes = [_note(name) for name in item.notes]
        idle = {"" if credit != "full" else None}
        for condition in item.conditions:
            row = self.tables.conditions.get(condition.name.replace(" ", "-"))
            worth: Credit = row.cells["credit"] if row else "conditional"
            credit = max(credit, worth, key=CREDITS.index)
            if worth != "full":
                idle.add(str(row.cells.get("idle", "")) if row else "")
            notes.append(
                str(row.cells["text"]) if row else f"The sheet limits it: {condition.quote or condition.name}."
            )
        if item.denied:
            return "none", (*notes, "The sheet says that the unit does not have it."), ""
        if getattr(item, "credit", True) is False:
            return "none", tuple(notes), ""
        only = idle - {None}
        return credit, tuple(notes), (only.pop() or "") if len(only) == 1 else ""

    def _ingress(self, item: said.IngressRating, place: int, add: Adder) -> None:
        solids, water = f"IP{item.first}X", f"IPX{item.second}"
        if solids in self.solids:
            add("ingress.solids", item=solids)
        elif item.first == "0" and not item.denied:
            add("ingress.solids", item=next(iter(self.solids)), worth="none", denied=True, more=(_ZERO,))
        if item.second == "0" and not item.denied:
            add("ingress.water", item=next(iter(self.water)), worth="none", denied=True, more=(_ZERO,))
        if water not in self.water:
            return
        # "IP54 ... IP69" is no list of what one enclosure has, since its first numeral is one only.
        if any(solids in row.cells["covers"] for row in self.solids.values()):
            place = ~(place * 10 + int(item.first[:1]))
        if item.second != "8":
            tested = self.water[water].cells.get("pressure")
            weaker = item.pressure_pa is not None and tested is not None and item.pressure_pa < tested[0] * (1 - CLOSE)
            heated, used = self.water[water].cells.get("temperature"), self._test_water(item)
            colder = heated is not None and used is not None and used < heated[0]
            more = _WEAKER * weaker + _COLDER * colder
            add("ingress.water", item=water, worth="conditional" if more else "full", more=more, place=place)
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

    def _test_water(self, item: said.IngressRating) -> float | None:
        """Return the temperature in kelvin of the water that a rating was tested with, by its figure or its words."""
        if item.water_degc is not None:
            return quantities.to_si(item.water_degc, "degC")
        rows = (self.tables.conditions.get(condition.name.replace(" ", "-")) for condition in item.conditions)
        told = [float(row.cells["water"][0]) for row in rows if row is not None and "water" in row.cells]
        return min(told, default=None)

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


_RMS = ("Stated as rms or for random vibration: ask for the sine test and its peak.",)
_GUESSED = ("The sheet does not say of which part it is; ask.",)
_NO_FIGURE = "Ask for mT, waveform and frequency."
_WEAKER = ("The pressure stated beside the rating is below that of its test: ask which test was run.",)
_COLDER = ("The water stated beside the rating is colder than that of its test: ask which test was run.",)
_ZERO = "Numeral 0 says that there is no protection."


def _variant(condition: said.Condition, item: said.Item) -> str:
    """What keeps the variants of a sheet apart: their label, or the place where none is given ("NBR or FKM")."""
    return condition.quote.casefold() if condition.name == ONE_VARIANT else f"{item.quote} ({condition.quote})"


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
