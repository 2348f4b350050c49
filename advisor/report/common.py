"""What the Markdown and HTML reports share: words, the order of notes, the site's answers as rows, safe text.

Sheets and site files may hold anything. `visible` is the first step of every escape: it writes characters that a
reader cannot see, or that turn the direction of the line, as `\\x07` or `\\u202e`, so that no text can pass for
another and the result can always be encoded.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from advisor.document import NoteEntry, RulebookStamp

VERDICTS = {
    "fit": "every binding demand is met by the sheet",
    "unfit": "something falls short",
    "unproven": "nothing falls short, but something is silent or unclear, or the point is referred",
}
FINDINGS = {
    "falls short": "Falls short",
    "unstated": "The sheet is silent: ask",
    "unclear": "Read, but a person must decide",
    "meets": "Meets",
}
"""Findings in the order in which they are read, with the heading over each."""
LETTERS = {"meets": "M", "falls short": "S", "unstated": "U", "unclear": "?", "": "–"}
"""The mark of a finding; the dash stands where the demand does not concern the unit."""
FOLDED_IN_PRINT = "Folded reasons are not printed; write the report with --proofs to have all of them opened."

_HEAD = ("site", "about", "date", "reference")
_TURNING = frozenset("\u200e\u200f\u061c\u2028\u2029\ufeff\ufffe\uffff" + "".join(map(chr, range(0x202A, 0x202F))))
_TURNING_PAIRS = frozenset(map(chr, range(0x2066, 0x206A)))


def visible(text: object) -> str:
    """Return the text with line breaks and tabs as blanks and every control or turning character written out."""
    return "".join(_seen(letter) for letter in re.sub(r"[\r\n\t\v\f]+", " ", str(text)))


def _seen(letter: str) -> str:
    if letter.isprintable() or letter == " ":
        return letter
    code = ord(letter)
    if unicodedata.category(letter) in ("Cc", "Cs", "Co", "Cn") or letter in _TURNING or letter in _TURNING_PAIRS:
        return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
    return " " if unicodedata.category(letter).startswith("Z") else letter


@dataclass(frozen=True)
class Answers:
    """One instance of a template with what was answered of it, as it was written; `word` where it is one word."""

    about: str
    slots: tuple[tuple[str, str], ...] = ()
    word: str = ""


def answers(site: Mapping[str, object]) -> list[Answers]:
    """Return the answers of a document's site block, an entry for each instance."""
    told = site.get("answers")
    rows = []
    for template, value in told.items() if isinstance(told, Mapping) else ():
        if template in _HEAD:
            continue
        many = value if isinstance(value, list) else [value]
        for number, entry in enumerate(many, 1):
            about = f"{template} {number}" if len(many) > 1 else str(template)
            if isinstance(entry, Mapping):
                rows.append(Answers(about, tuple((str(slot), said(answer)) for slot, answer in entry.items())))
            else:
                rows.append(Answers(about, word=said(entry)))
    return rows


def said(value: object) -> str:
    """Return an answer as text; lists and mappings inside an answer on one line."""
    if isinstance(value, Mapping):
        return ", ".join(f"{key}: {said(entry)}" for key, entry in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(said(entry) for entry in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "unknown" if value is None else str(value)


def certain(entries: Iterable[NoteEntry]) -> list[NoteEntry]:
    """Return the notes that hold for certain."""
    return [entry for entry in entries if entry.state == "certain"]


def pending(entries: Iterable[NoteEntry]) -> list[NoteEntry]:
    """Return the notes that hang on an open answer."""
    return [entry for entry in entries if entry.state == "open"]


def stamp(version: str, rulebook: RulebookStamp, site: Mapping[str, object], on: str) -> list[tuple[str, str]]:
    """Return what every report is stamped with, as label and text."""
    rows = [
        ("Report of", on),
        ("Date of the site file", str(site.get("date") or "")),
        ("Reference", str(site.get("reference") or "")),
        ("siteworthy", f"version {version}"),
        ("Rulebook", f"{rulebook.digest} ({rulebook.rules} rules)"),
    ]
    return [(label, text) for label, text in rows if text]
