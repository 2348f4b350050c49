"""From what a spec sheet says to claims on the topics of the demands.

A reading of the notation may make several claims (an IP code claims on solids and on water, a Type also what the
one-way table turns it into). `credit` says what a claim is worth: full, conditional (a person must confirm that its
condition holds here), or none (kept and shown, but it proves nothing). Denied claims and codes that do not exist get
no credit; a denial is kept as a claim, since it speaks against what the same sheet says elsewhere. What words,
conditions, marks of the notation, ranges, waveforms and materials are worth stands in the tables `claim_*`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from advisor import emc, quantities
from advisor.claim_tables import CREDITS, ClaimTables, Credit
from advisor.notation import items as said
from advisor.notation.lexicon import note_text
from advisor.notation.variants import ONE_VARIANT
from advisor.physics import vibration
from advisor.rating_claims import Adder, RatingReader
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
    narrow: bool = False
    """It says of what alone the same claim elsewhere on the sheet holds."""
    place: int = 0
    """The entry of the sheet: two ratings in one entry are a list, in two entries they must agree."""

    variant: str = ""
    """The variant that it is said of, where the sheet has several; one of two alternatives counts as one."""

    limit: str = ""
    """Of a denial by a limit of use ("max. cleaning pressure 20 bar"): use, or mild where it only weighs on a claim."""

    shown_at: float | None = None
    """Lowest temperature for which it is shown, in kelvin, where the sheet names that of the test."""

    own: bool = False
    """A figure said of this very subject: where it falls short, none that follows from another statement helps."""

    idle: str = ""
    """Answer of the site (`template.slot=word`) for which what limits the claim does not matter."""

    eased: tuple[tuple[str, str, bool], ...] = ()
    """Of a material: rules whose reasons against it the sheet answers, the words that do, and whether by a test."""

    @property
    def key(self) -> tuple[object, ...]:
        """What two claims with the same meaning share."""
        own = (self.topic, self.part, self.credit, self.item, self.value, tuple(self.parameters.items()))
        flags = (self.denied, self.limit, self.floor, self.apart, self.narrow, self.own)
        return *own, self.materials, *flags, self.variant, self.idle, self.shown_at, self.eased


class ClaimReader:
    """Turns readings of one rulebook's notation into claims."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.tables = ClaimTables.of(book)
        self.ratings = RatingReader(book)
        self.parts = book.tables["claim_parts"].rows

    def claims(self, item: said.Item, part: str, line: int = 0, place: int | None = None) -> list[Claim]:
        """Return the claims that one reading makes for one part; `place` is the entry, the line by default."""
        credit, notes, idle = self._credit(item)
        made: list[Claim] = []
        common: dict[str, Any] = {"part": part, "line": line, "place": line if place is None else place}
        common["denied"], common["idle"] = item.denied, idle
        common["variant"] = next((_variant(c, item) for c in item.conditions if c.name in VARIANTS), "")
        common["narrow"] = self.tables.narrows(item)
        common["apart"] = self.tables.flagged(item, "apart")

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
            self.ratings.ingress(item, common["place"], add)
            self._shown(part, add)
        elif isinstance(item, said.EnclosureType):
            self.ratings.enclosure(item, add)
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
            if code := item.ik or self._blow(item.energy_j):
                add("impact", item=code, shown_at=self.tables.shown_down_to(item.test_degc))
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
        if self.tables.flagged(item, "absent"):
            made += [replace(claim, denied=True) for claim in made]
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
            own = row.cells["wash"] == "own" and row.cells["credit"] == "full"
            add("temperature.wash", value=values["high"], worth=worth, more=more, floor=least, own=own)

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
            ample, least = subject.cells.get("ample", subject.cells.get("whole")), subject.cells.get("idle_from")
            stated = None if item.value is None else quantities.to_si(item.value, item.unit)
            if ample is not None and stated is not None and stated >= ample[0]:
                return
            idle = str(subject.cells.get("idle", "")) if not least or not stated or stated >= least[0] else ""
            water = self.ratings.water
            for name in subject.cells.get("against", ()):
                subject_of, _, code = name.partition(" ")
                bound, parameters = subject.cells.get("bounds"), {}
                if bound:
                    tested = water[code].cells.get(bound) if code in water else None
                    limit = stated or 0.0
                    if tested is not None and limit >= tested[0] * (1 - CLOSE):
                        continue
                    parameters = {bound: limit} if tested is None else {}
                for topic in self._subjects(subject_of, part):
                    add(
                        topic, item=code, worth="none", denied=True, parameters=parameters,
                        idle=idle, limit="mild" if subject.cells.get("mild") else "use",
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


_RMS = ("Stated as rms or for random vibration: ask for the sine test and its peak.",)
_GUESSED = ("The sheet does not say of which part it is; ask.",)
_NO_FIGURE = "Ask for mT, waveform and frequency."


def _variant(condition: said.Condition, item: said.Item) -> str:
    """What keeps the variants of a sheet apart: their label, or the place where none is given ("NBR or FKM")."""
    return condition.quote.casefold() if condition.name == ONE_VARIANT else f"{item.quote} ({condition.quote})"


@lru_cache(maxsize=256)
def _note(name: str) -> str:
    return note_text(name)


def distinct(claims: Iterable[Claim]) -> list[Claim]:
    """Return the claims without those that say the same again, in their order."""
    return list({claim.key: claim for claim in claims}.values())
