"""Writes what was read and found: a sheet as YAML to confirm or correct, and results as CSV.

A saved sheet has one claim a line in the notation's own spelling, with its place and the words quoted behind it. One
whose reading is doubtful, or that would be read differently from what is written, stands as a comment: it counts only
after a person took the sign away. What was not understood is listed at the end. CSV cells that a spreadsheet would run
as a formula get an apostrophe in front.
"""

import contextlib
import csv
import itertools
import re
from collections.abc import Callable, Iterable, Iterator
from io import StringIO
from pathlib import Path

from advisor.catalogue.run import Fate, Ranking
from advisor.claims import ClaimReader
from advisor.faults import Fault, InputError, Place
from advisor.notation import write
from advisor.notation.drafts import RATINGS
from advisor.sheet import Said, UnitSheet, read_entry

_FORMULA = tuple("=+-@\t\r\n|%＝＋－＠")
_PLAIN_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?\Z")
_UNSAFE = re.compile(r"[^\w-]+")
LONGEST_NAME = 80


def neutralised(text: str) -> str:
    """A cell that no spreadsheet takes for a formula; plain numbers stay as they are."""
    if not text.isprintable():
        text = "".join(sign if sign.isprintable() else " " for sign in text)
    if text.lstrip().startswith(_FORMULA) and not _PLAIN_NUMBER.match(text):
        return f"'{text}"
    return text


def csv_results(ranking: Ranking, titles: Iterable[str]) -> Iterator[str]:
    """Yield the lines of a CSV table of all units, the best first; `titles` name the demands."""
    buffer = StringIO()
    writer = csv.writer(buffer, lineterminator="\n")

    def line(cells: Iterable[object]) -> str:
        buffer.seek(0)
        buffer.truncate()
        writer.writerow(cells)
        return buffer.getvalue()

    counts = ("falls short", "unstated", "unclear", "surplus")
    yield line(["place", "unit", "source", "line", "verdict", *counts, *map(neutralised, titles)])
    tails: dict[Fate, str] = {}
    for place, result in enumerate(ranking.ordered(), start=1):
        fate = result.fate
        tail = tails.get(fate)
        if tail is None:
            outcomes = [outcome or "not concerned" for outcome in fate.outcomes]
            tail = tails[fate] = line([fate.verdict, *fate.rank, *outcomes])
        head = line([place, neutralised(result.name), neutralised(result.source), result.line or ""])
        yield f"{head[:-1]},{tail}"


def sheet_yaml(unit: UnitSheet, claims: ClaimReader, place: Callable[[int], str] = lambda line: f"line {line}") -> str:
    """A read sheet as YAML, to be confirmed or corrected; `place` words the place of a line."""
    head = [
        "# Read by siteworthy; nothing here is confirmed. Hold every line against the sheet, correct it, and take the",
        "# sign # away from those that are commented out only if the sheet really says so.",
        f"unit: {_quoted(unit.name)}",
        f"about: {_quoted(f'Read from {unit.source}.')}",
    ]
    by_part: dict[str, list[Said]] = {}
    for said in unit.said:
        by_part.setdefault(said.part if said.part in claims.parts else "unit", []).append(said)
    lines = [*head, *_section("claims:", by_part.pop("unit", []), "unit", "  ", claims, place)]
    if by_part:
        sections = [_section(f"  {part}:", own, part, "    ", claims, place) for part, own in by_part.items()]
        lines += ["parts:", *(line for section in sections for line in section)]
    if unit.missed:
        lines.append("# Not read as a claim:")
        lines += [f"#   {place(m.line)}: {_quoted(m.quote)} ({m.why})" for m in unit.missed]
    return "\n".join(lines) + "\n"


def _section(
    title: str, own: list[Said], part: str, indent: str, claims: ClaimReader, place: Callable[[int], str]
) -> list[str]:
    lines, live = [], False
    for listed in _lists(own):
        text, why = written(listed, part, claims)
        said = listed[0]
        live = live or not why
        note = f"  # {place(said.line)}: {_quoted(', '.join(s.quote for s in listed))}{'; ' if why else ''}{why}"
        lines.append(f"{'# ' if why else ''}{indent}- {_quoted(text)}{note}")
    return [f"{title}{'' if live else ' []'}", *dict.fromkeys(lines)]


def _lists(own: list[Said]) -> Iterator[list[Said]]:
    """Ratings of one line stand in one entry, as on the sheet: codes of one entry add up, those of two must agree."""
    for (_, rating), group in itertools.groupby(own, lambda said: (said.line, said.item.kind in RATINGS)):
        together = list(group)
        yield from [together] if rating else [[said] for said in together]


def written(listed: list[Said], part: str, claims: ClaimReader) -> tuple[str, str]:
    """The claims in the notation's spelling, and why they must be confirmed before they count ('' if not)."""
    text = " / ".join(dict.fromkeys(write(said.item) for said in listed))
    notes = {note for said in listed for note in said.item.notes}
    doubt = [note for note in notes if claims.tables.worth_of_note(note) != "full"]
    if doubt:
        return text, f"doubtful ({', '.join(sorted(doubt))})"
    entries, _ = read_entry(text, "" if part == "unit" else part, part, listed[0].line)
    before = {claim.key for said in listed for claim in claims.claims(said.item, said.part)}
    after = {claim.key for s in entries for claim in claims.claims(s.item, s.part)}
    return text, "" if before == after else "cannot be written so that it is read the same"


def _quoted(text: str) -> str:
    """A text as a double-quoted YAML scalar on one line."""
    plain = "".join(sign if sign.isprintable() else " " for sign in text)
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def sheet_path(wanted: Path, unit: UnitSheet, several: bool) -> Path:
    """Where a sheet is saved: the file named, or in the folder named a file by the unit's own name, made harmless.

    Raises InputError if that is no .yaml file or exists already, so that nothing is written over.
    """
    path = wanted
    if several or wanted.is_dir():
        if not wanted.is_dir():
            raise InputError([Fault(Place(str(wanted)), "is no folder", "a folder, since several sheets are saved")])
        stem = _UNSAFE.sub("-", unit.name).strip("-_")[:LONGEST_NAME] or "sheet"
        path = wanted / f"{stem}.yaml"
    if path.suffix.lower() not in (".yaml", ".yml"):
        raise InputError([Fault(Place(str(path)), "is no place for a sheet", "a name that ends in .yaml")])
    if path.exists() or path.is_symlink():
        raise InputError([Fault(Place(str(path)), "exists already", "another name for --save-sheet")])
    return path


def save(path: Path, text: str) -> None:
    """Write a new file, whole or not at all; never over one that is there. Raises InputError."""
    made = False
    try:
        with path.open("x", encoding="utf-8") as stream:
            made = True
            stream.write(text)
    except OSError as problem:
        if made:
            with contextlib.suppress(OSError):
                path.unlink()
        raise InputError([Fault(Place(str(path)), f"cannot be written ({problem.strerror})")]) from None
