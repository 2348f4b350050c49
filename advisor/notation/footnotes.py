"""Footnotes of a pasted sheet: what stands below for a claim above.

    note = [blank] sign text        a line that begins with a sign: `1) Only with mated connector`, `* front side`
    mark = sign                     the same sign behind a claim or label: `IP69K 1)`, `Degree of protection *`
    sign = digit ")" | "(" digit ")" | letter ")" | superscript | "*" ... | "†" | "‡"

A line is a note only if its sign stands as a mark in an earlier line, so that numbered lists stay lists. The text of
the note is read as if it stood in brackets at the mark, and its own line is read besides. A note whose mark is
nowhere may belong to any claim; it is told by `stray`.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor.notation.items import Fragment, Item, Reading

_SIGN = r"(?:\(?[1-9a-f]\)|[¹²³⁴⁵⁶⁷⁸⁹]\)?|\*{1,3}\)?|[†‡])"
_NOTE = re.compile(rf"\s*({_SIGN})[ \t]*(?=\S)")
_MARK = re.compile(rf"(?<=\S)\s?({_SIGN})(?=[\s,;/|).]|$)")
_BULLET = re.compile(r"\s*\*[ \t]")
"""A star that opens more than one line is the sign of a list."""
_LOST = re.compile(r"(?<=[\w)])(?:\*{1,3}|[†‡])(?=[\s,;/|).]|$)|\s?\*{1,3}\)|(?<=IP[0-9X][0-9X])\s?\(?[1-9a-f]\)")
"""A mark right behind a word, which is no sign of a list, a star with its bracket, or a sign right behind a code."""
_EMPHASIS = re.compile(r"(?:^|[\s(])[*†‡]+\w")
"""Stars round a stretch of text: "**IP67**"."""
_MISSING = "see footnote"
_SUPERSCRIPTS = str.maketrans("¹²³⁴⁵⁶⁷⁸⁹", "123456789")


def _plain(sign: str) -> str:
    """One spelling for a sign: `(1)`, `1)` and `¹` are the same."""
    return sign.translate(_SUPERSCRIPTS).strip("()")


@dataclass(frozen=True)
class Footnotes:
    """The notes of a sheet by sign, and the numbers of the lines that are notes with a mark or without."""

    notes: dict[str, str]
    told: frozenset[int]
    stray: frozenset[int]

    def cut(self, text: str) -> tuple[str, str]:
        """Return a label without its marks, and the text of the notes that they call."""
        called = [self.notes[_plain(m[1])] for m in _MARK.finditer(text) if _plain(m[1]) in self.notes]
        if not called:
            return text, ""
        return _MARK.sub(lambda m: "" if _plain(m[1]) in self.notes else m[0], text), "; ".join(called)

    def spread(self, text: str, more: str = "") -> tuple[str, list[tuple[int, int, int]]]:
        """Return the text with each note in brackets at its mark, and where: (place, old length, new length).

        A star without its note is read as a reference to one that is not there.
        """
        pieces: list[str] = []
        changes: list[tuple[int, int, int]] = []
        last = 0
        for match in _MARK.finditer(text):
            note = self.notes.get(_plain(match[1]))
            if note is None and _LOST.match(text, match.start()) and not _EMPHASIS.search(text):
                note = _MISSING
            if note is not None:
                inserted = f" ({note})"
                changes.append((match.start(), match.end() - match.start(), len(inserted)))
                pieces += [text[last : match.start()], inserted]
                last = match.end()
        if more:
            changes.append((len(text), 0, len(more) + 3))
        tail = f" ({more})" if more else ""
        return "".join([*pieces, text[last:], tail]), changes


def footnotes(rows: Sequence[tuple[int, str]]) -> Footnotes:
    """Find the notes among the lines (number, text) of a sheet."""
    found: dict[str, str] = {}
    told: set[int] = set()
    stray: set[int] = set()
    listed = sum(1 for _, raw in rows if _BULLET.match(raw)) > 1
    for place, (number, raw) in enumerate(rows):
        match = _NOTE.match(raw)
        if match is None or (listed and _BULLET.match(raw)):
            continue
        sign = _plain(match[1])
        marked = any(sign in (_plain(m[1]) for m in _MARK.finditer(text)) for _, text in rows[:place])
        if marked and sign not in found:
            found[sign] = raw[match.end() :].strip().rstrip(".")
            told.add(number)
        elif not marked:
            stray.add(number)
    return Footnotes(found, frozenset(told), frozenset(stray))


def folded(reading: Reading, text: str, changes: Sequence[tuple[int, int, int]]) -> Reading:
    """Return a reading of the spread text as one of the text itself: without what the notes say by themselves."""

    def back(at: int) -> int:
        shift = 0
        for place, old, new in changes:
            start = place + shift
            if at <= start:
                break
            if at < start + new:
                return place
            shift += new - old
        return min(len(text), at - shift)

    def inside(start: int) -> bool:
        shift = 0
        for place, old, new in changes:
            if place + shift < start < place + shift + new:
                return True
            shift += new - old
        return False

    items: list[Item] = []
    for item in reading.items:
        if not inside(item.start):
            start, end = back(item.start), back(item.end)
            items.append(replace(item, start=start, end=end, quote=text[start:end]))
    unread = [
        Fragment(back(f.start), back(f.end), text[back(f.start) : back(f.end)], f.why)
        for f in reading.unread
        if not inside(f.start)
    ]
    return Reading(text, tuple(items), tuple(unread))
