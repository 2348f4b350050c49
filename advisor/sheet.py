"""A spec sheet: a unit as an assembly of parts with the claims that its maker makes of each.

A sheet is a YAML file or plain text. In YAML the claims stand as the sheet words them, under the part they speak of,
and are read by the same notation as plain text:

    unit: Invented level switch
    about: Invented.
    claims: [IP67 / IP69K, "-25 ... +85 °C", "housing 1.4404"]
    parts:
      seal: [EPDM]
      cable: [PUR]
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path

from pydantic import Field

from advisor import yamlfile
from advisor.claims import Claim, ClaimReader, distinct
from advisor.faults import Collector, Fault, InputError, Place, nearest
from advisor.notation.elements import Phrase
from advisor.notation.errors import LexiconError, TextTooLongError
from advisor.notation.items import Item, Material, PartHeading, Statement, Temperature
from advisor.notation.lexicon import lexicon
from advisor.notation.reader import NO_READING, NOT_UNDERSTOOD, read
from advisor.notation.scan import Scan
from advisor.notation.sheet_text import HEADING, LIMITS, Missed, read_sheet
from advisor.notation.tokens import fold
from advisor.rulebook import Rulebook
from advisor.schema import Entry, validate
from advisor.yamlfile import Document

WHOLE = "unit"
CLOSER = "the grade is named elsewhere"
UNREAD = "unread-beside"
"""The note of the notation on a claim beside which something like a condition was not understood."""
ONLY = "only-beside"
"""The note on one that such a condition narrows: "IP69 only with ..."."""
PLAIN_TEXT = (".txt", ".text", ".md")


class SheetFile(Entry):
    """A sheet in YAML, as written."""

    unit: str = Field(min_length=1)
    about: str = ""
    reference: str = ""
    claims: list[str] = []
    parts: dict[str, list[str]] = {}


@dataclass(frozen=True)
class Said:
    """One reading of the sheet, with the part it speaks of and its place."""

    item: Item
    part: str
    line: int
    quote: str


@dataclass(frozen=True)
class UnitSheet:
    """A unit with all that its sheet says."""

    name: str
    about: str = ""
    source: str = ""
    said: tuple[Said, ...] = ()
    claims: tuple[Claim, ...] = ()
    missed: tuple[Missed, ...] = ()
    parts: frozenset[str] = field(default_factory=frozenset)
    """The parts that the sheet speaks of."""
    doubts: tuple[str, ...] = ()
    """What holds the unit back whatever it claims: negations that were not understood."""


class SheetReader:
    """Reads sheets for one rulebook."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.claim_reader = ClaimReader(book)

    def load(self, path: Path) -> UnitSheet:
        """Read a sheet file. Raises InputError with every fault."""
        if path.suffix.lower() in PLAIN_TEXT:
            return self.from_text(yamlfile.read_text(path, wide=True), path.stem, str(path))
        return self.from_document(yamlfile.load(path))

    def from_text(self, text: str, name: str, source: str) -> UnitSheet:
        """Read a pasted sheet. Raises InputError if there is nothing to read, or too much."""
        try:
            found = read_sheet(text)
        except TextTooLongError as problem:
            raise InputError([Fault(Place(source), "is too long", str(problem))]) from None
        except LexiconError as problem:
            raise InputError([vocabulary_fault(problem)]) from None
        entries = spread([Said(c.item, c.part, c.line, c.quote) for c in found.claims])
        if not entries and not found.missed:
            raise InputError([Fault(Place(source), "is empty", "the text of a spec sheet")])
        return self._unit(name, "", source, entries, found.missed)

    def from_document(self, document: Document) -> UnitSheet:
        """Read a YAML sheet. Raises InputError with every fault found."""
        faults = Collector()
        if not isinstance(document.data, dict):
            raise InputError([Fault(document.place(), "is no spec sheet", "unit, about, claims, parts")])
        model = validate(SheetFile, document, (), document.data, faults)
        if model is not None:
            for part in model.parts:
                if part not in self.claim_reader.parts:
                    faults.add(
                        document.place("parts", part),
                        f"there is no part {part!r}",
                        nearest(part, self.claim_reader.parts),
                    )
        faults.raise_any()
        assert model is not None
        entries: list[Said] = []
        missed: list[Missed] = []
        for part, place, text in _lines(model, document):
            try:
                items, unread = read_entry(text, "" if part == "unit" else part, part, place.line or 0)
            except TextTooLongError as problem:
                faults.add(place, "is too long", str(problem))
                continue
            except LexiconError as problem:
                raise InputError([vocabulary_fault(problem)]) from None
            entries += items
            missed += unread
        faults.raise_any()
        return self._unit(model.unit, model.about, document.path, entries, tuple(missed))

    def from_cells(self, name: str, source: str, line: int, cells: Iterable[tuple[int, str, str]]) -> UnitSheet:
        """Read a row of a catalogue: (place, heading, text) of each cell that may make a claim."""
        entries: list[Said] = []
        missed: list[Missed] = []
        claims: list[Claim] = []
        for place, heading, text in cells:
            items, unread = read_entry(text, heading, "unit", line)
            claims += self.claims(self._joined(items), place)
            entries += items
            missed += unread
        parts = frozenset(said.part for said in entries)
        claims = self._eased(claims, entries)
        return UnitSheet(
            name, "", source, tuple(entries), tuple(distinct(claims)), tuple(missed), parts, doubts(missed)
        )

    def claims(self, entries: Iterable[Said], place: int | None = None) -> list[Claim]:
        """Return all claims that readings make; `place` is the entry they stand in, their line by default."""
        return [claim for s in entries for claim in self.claim_reader.claims(s.item, s.part, s.line, place)]

    def _unit(self, name: str, about: str, source: str, entries: list[Said], missed: tuple[Missed, ...]) -> UnitSheet:
        entries, closer = self._closer(self._joined(entries))
        missed = (*missed, *closer)
        claims = tuple(distinct(self._eased(self.claims(entries), entries)))
        parts = frozenset(said.part for said in entries)
        return UnitSheet(name, about, source, tuple(entries), claims, missed, parts, doubts(missed))

    def _eased(self, claims: list[Claim], entries: list[Said]) -> list[Claim]:
        """Note on claims of materials which reasons against them the sheet answers: "UV stabilised", "PTFE-coated"."""
        answers: list[tuple[str, tuple[str, str, bool]]] = []
        for entry in entries:
            item, part = entry.item, self._whole(entry.part)
            names: tuple[str, ...] = ()
            # "UL 746C f1 pending", "optional PTFE coat" answer nothing.
            held = item.denied or bool(item.conditions) or UNREAD in item.notes
            if isinstance(item, Statement) and not held:
                names = (item.name,)
            elif isinstance(item, Material) and not held:
                names = item.slugs
            for rule, tested in self.claim_reader.tables.answered(names):
                # A word on the unit speaks of every part; a test, and a coat on the housing, of the housing alone.
                wide = isinstance(item, Statement) and part == WHOLE and not tested
                answers.append(("" if wide else part, (rule, entry.quote, tested)))
        if not answers:
            return claims
        return [
            replace(claim, eased=tuple(answer for part, answer in answers if part in ("", self._whole(claim.part))))
            if claim.materials
            else claim
            for claim in claims
        ]

    def _whole(self, part: str) -> str:
        """Return the unit for its housing and for a cover, which is housing too, else the part itself."""
        parts = self.claim_reader.parts
        row = parts.get(part)
        return WHOLE if row is None or row.cells["roles"] == parts[WHOLE].cells["roles"] else part

    def _joined(self, entries: list[Said]) -> list[Said]:
        """Take electronics of their own for the unit where the sheet says such a thing of nothing else."""
        apart = {name for name, row in self.claim_reader.parts.items() if row.cells.get("apart")}
        others = {said.item.kind for said in entries if said.part not in apart}
        return [
            replace(said, part=WHOLE) if said.part in apart and said.item.kind not in others else said
            for said in entries
        ]

    def _closer(self, entries: list[Said]) -> tuple[list[Said], list[Missed]]:
        """Set aside a family of materials ("stainless steel") where the sheet names its grade for the same part."""
        whole = {name for name, row in self.claim_reader.parts.items() if row.cells["whole"]}
        rows = self.book.tables["materials"].rows
        named: dict[str, set[str]] = {}
        for said in entries:
            if isinstance(said.item, Material) and not said.item.generic and not said.item.denied:
                named.setdefault(WHOLE if said.part in whole else said.part, set()).update(said.item.slugs)
        kept: list[Said] = []
        aside: list[Missed] = []
        for said in entries:
            item = said.item
            if isinstance(item, Material) and item.generic and not item.denied:
                grades = named.get(WHOLE if said.part in whole else said.part, set())
                meant = {key for slug in item.slugs for key in rows[slug].cells.get("worst_of", ())}
                families = {str(rows[slug].cells["family"]) for slug in item.slugs if "family" in rows[slug].cells}
                own = [str(rows[grade].cells.get("family", "")) for grade in grades]
                own += [f"unknown {rows[grade].cells.get('class', '')}" for grade in grades]
                if grades & meant or any(family in one for family in families for one in own):
                    aside.append(Missed(said.line, 0, said.quote, CLOSER))
                    continue
            kept.append(said)
        return kept, aside


def vocabulary_fault(problem: LexiconError) -> Fault:
    """The fault of a file of the vocabulary, which is none of the sheet."""
    return Fault(Place(str(problem.path)), "cannot be read as vocabulary of spec sheets", problem.problem)


def read_entry(text: str, heading: str, part: str, line: int) -> tuple[list[Said], list[Missed]]:
    """Read one entry under its heading: what it says, of `part` where it names none, and what was not understood.

    Raises TextTooLong.
    """
    reading = read(text, heading)
    entries = [
        Said(item, own, line, item.quote)
        for item in reading.items
        if not isinstance(item, PartHeading)
        for own in (item.parts or (part,))
    ]
    return spread(entries), [Missed(line, 0, fragment.quote, fragment.why) for fragment in reading.unread]


def spread(entries: list[Said]) -> list[Said]:
    """Let a condition that was not understood limit all readings of its kind on its line: "IP66/IP67 only with ..."."""
    for note in (UNREAD, ONLY):
        limited = {
            (said.line, said.item.kind) for said in entries if note in said.item.notes and not _range(said.item)
        }
        entries = [
            replace(said, item=replace(said.item, notes=(*said.item.notes, note)))
            if (said.line, said.item.kind) in limited and note not in said.item.notes
            else said
            for said in entries
        ]
    return entries


def _range(item: Item) -> bool:
    """Whether it is a range of temperature with both ends, which stands for itself beside others."""
    return isinstance(item, Temperature) and None not in (item.low_degc, item.high_degc)


def doubts(missed: Iterable[Missed]) -> tuple[str, ...]:
    """Return a sentence for each negation that was not understood, and each limit that belongs to no claim."""
    found: dict[str, str] = {}
    for entry in missed:
        if entry.why == LIMITS:
            found[entry.quote] = "and not which claim it limits"
        elif entry.why in (NOT_UNDERSTOOD, NO_READING, HEADING) and _warns(entry.quote):
            found[entry.quote] = "which was not understood"
    return tuple(f"The sheet says {quote!r}, {why}: have a person read it." for quote, why in found.items())


@lru_cache(maxsize=4096)
def _warns(text: str) -> bool:
    """Whether a stretch of text denies something or has a word of a warning: "avoid", "wipe", "void"."""
    words = lexicon(None)
    if words.warnings.intersection(fold(token.text) for token in words.tokens(text)):
        return True
    return any(
        isinstance(element, Phrase) and element.named("negation") and not _contact(text, element.start, element.end)
        for element in Scan(words, text).elements
    )


def _contact(text: str, start: int, end: int) -> bool:
    """Whether a NO in capitals names a contact, normally open: "PNP, NO", "NO/NC", not "NO WATER"."""
    after = text[end:].lstrip()
    return text[start:end] == "NO" and not after[:1].isalpha()


def _lines(model: SheetFile, document: Document) -> Iterator[tuple[str, Place, str]]:
    """Yield (part, place in the file, text) of every claim line."""
    for number, text in enumerate(model.claims):
        yield "unit", document.place("claims", number), text
    for part, texts in model.parts.items():
        for number, text in enumerate(texts):
            yield part, document.place("parts", part, number), text
