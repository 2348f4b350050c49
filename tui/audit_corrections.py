"""What was read out of a text or PDF sheet, line by line, for a person to confirm or correct; and the sheet it gives.

A line counts only if it is taken. Lines whose reading is doubtful begin as not taken, as in a sheet that the command
line saves. The sheet keeps where each line came from, and what a person left out, as comments.
"""

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from advisor import quantities
from advisor.catalogue import writer
from advisor.claims import Claim
from advisor.faults import Fault, InputError, Place, nearest
from advisor.notation.errors import NotationError
from advisor.notation.lexicon import note_text
from advisor.rulebook import Rulebook
from advisor.sheet import SheetReader, UnitSheet, read_entry

UNIT = "unit"


@dataclass(frozen=True)
class Line:
    """One line of a sheet as it was read: `text` in the notation's spelling, `quote` the words of the sheet."""

    part: str
    text: str
    place: str
    quote: str
    taken: bool
    doubt: str = ""
    own: bool = False
    """Written or changed by the person."""
    missed: bool = False
    """Words of the sheet that make no claim so far."""

    @property
    def spelt(self) -> str:
        """The line as a person edits it: the part before a colon, unless it speaks of the whole unit."""
        return self.text if self.part == UNIT else f"{self.part}: {self.text}"


def lines_of(unit: UnitSheet, reader: SheetReader, place: Callable[[int], str]) -> list[Line]:
    """Return what was read of a sheet, and behind it what was not understood."""
    found: dict[tuple[str, str, str], Line] = {}
    for said in unit.said:
        part = said.part if said.part in reader.claim_reader.parts else UNIT
        text, doubt = writer.written([said], part, reader.claim_reader)
        tables = reader.claim_reader.tables
        doubtful = [note for note in said.item.notes if tables.worth_of_note(note) != "full"]
        if doubtful:
            doubt = " ".join(map(note_text, doubtful))
        text = _shorter(text, part, reader)
        found.setdefault((part, text, said.quote), Line(part, text, place(said.line), said.quote, not doubt, doubt))
    missed = [m for m in unit.missed if m.why != "heading"]
    return [*found.values(), *(Line(UNIT, m.quote, place(m.line), m.quote, False, m.why, missed=True) for m in missed)]


def _shorter(text: str, part: str, reader: SheetReader) -> str:
    """Drop a part named in the text where the part that it stands under says the same."""
    _, colon, rest = text.partition(": ")
    if part == UNIT or not colon:
        return text
    readings = [read_entry(words, part, part, 0)[0] for words in (text, rest)]
    full, short = [{claim.key for claim in reader.claims(entries)} for entries in readings]
    return rest if full and full == short else text


def edited(line: Line, spelt: str, reader: SheetReader) -> Line:
    """Return the line as a person wrote it, taken. Raises InputError where it names an unknown part or says nothing."""
    head, colon, rest = spelt.partition(":")
    part, text = (head.strip().lower(), rest.strip()) if colon and head.strip().isalpha() else (UNIT, spelt.strip())
    if part != UNIT and part not in reader.claim_reader.parts:
        known = reader.claim_reader.parts
        raise InputError([Fault(Place("line"), f"there is no part {part!r}", nearest(part, [UNIT, *known], most=40))])
    if not text:
        raise InputError([Fault(Place("line"), "says nothing", "what the sheet says, such as IP67")])
    same = (part, text) == (line.part, line.text)
    return replace(line, part=part, text=text, taken=True, own=line.own or not same, missed=False, doubt="")


def understood(line: Line, reader: SheetReader, book: Rulebook) -> list[str]:
    """Return what a line will be held to claim, in words; a line that claims nothing says so."""
    try:
        entries, missed = read_entry(line.text, "" if line.part == UNIT else line.part, line.part, 0)
    except NotationError as problem:
        return [str(problem)]
    words = [_words(claim, book) for claim in reader.claims(entries)]
    words += [f"not understood: “{m.quote}”" for m in missed]
    return list(dict.fromkeys(words)) or ["makes no claim that is audited"]


def _words(claim: Claim, book: Rulebook) -> str:
    topic = book.vocabulary.topics[claim.topic]
    if claim.item and topic.table:
        value = book.tables[topic.table].rows[claim.item].name
    elif claim.materials:
        value = ", ".join(book.tables["materials"].rows[slug].name for slug in claim.materials)
    elif claim.value is not None:
        value = quantities.show(claim.value, topic.unit or "", difference=topic.difference)
    else:
        value = claim.quote
    more = [f"{n} {quantities.show(v, topic.parameters[n])}" for n, v in claim.parameters.items() if v != float("inf")]
    of = f" of the {claim.part}" if claim.part != UNIT else ""
    credit = {"full": "", "conditional": " (only under its condition)", "none": " (proves nothing)"}[claim.credit]
    return f"{'not ' if claim.denied else ''}{topic.title}{of}: {' '.join([value, *more])}{credit}"


def sheet(name: str, source: str, lines: Iterable[Line]) -> str:
    """Return the confirmed sheet as YAML."""
    kept = [line for line in lines if not line.missed]
    parts = dict.fromkeys(line.part for line in kept if line.taken and line.part != UNIT)
    text = [
        "# Read by siteworthy; a person held every line against the sheet. What was left out stands behind a #.",
        f"unit: {_quoted(name)}",
        f"about: {_quoted(f'Read from {source} and confirmed.')}",
        *_section("claims:", [line for line in kept if line.part == UNIT and line.taken], "  "),
    ]
    if parts:
        text.append("parts:")
    for part in parts:
        text += _section(f"  {part}:", [line for line in kept if line.part == part and line.taken], "    ")
    left = [line for line in kept if not line.taken]
    if left:
        text.append("# Left out:")
        text += [f"#   {_quoted(line.spelt)}  {_origin(line)}" for line in left]
    return "\n".join(text) + "\n"


def _section(head: str, lines: list[Line], indent: str) -> list[str]:
    return [head if lines else f"{head} []", *(f"{indent}- {_quoted(line.text)}  # {_origin(line)}" for line in lines)]


def _origin(line: Line) -> str:
    words = f"{line.place}: {_quoted(line.quote)}" if line.quote else "written by hand"
    return words + ("; corrected" if line.own and line.quote else "")


def _quoted(text: str) -> str:
    """A text as a double-quoted YAML scalar on one line."""
    return json.dumps("".join(sign if sign.isprintable() else " " for sign in text), ensure_ascii=False)
