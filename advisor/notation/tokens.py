"""Text to tokens: numbers, words, signs, line ends, each with its place.

A word is a run of letters, so `IP6K9K` is five tokens; `gap` tells whether blank space stood before. Numbers keep
their spelling, since 1,500 can only be valued once the unit is known. Words also carry a folded form (case,
accents and umlauts levelled: `Gehäuse` and `GEHAEUSE` are both `gehaeuse`). A German compound is cut in two where
both halves are words of the lexicon (`Edelstahlgehäuse`).
"""

import re
import unicodedata
from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

NUMBER, WORD, SIGN, LINE = "number", "word", "sign", "line"

# One pattern for the lexical level only; all that has structure is read by the grammars on tokens.
_TOKEN = re.compile(
    r"(?P<number>[0-9]{1,3}(?:['’][0-9]{3})+(?:[.,][0-9]+)?(?![0-9])|[0-9]+(?:[.,][0-9]+)*)"
    r"|(?P<word>(?:[^\W\d_][\u0300-\u036f\u00ad\u200b]*)+)"
    r"|(?P<line>[\r\n\u2028\u2029]+|\t)"
    r"|(?P<sign>\.{2,}|<=|>=|\+/-|->|[^\s\u00ad\u200b-\u200f\u2060\ufeff])"
)
_JOINED_CODES = re.compile(r"[0-9]{2},[0-9]{2}(?![0-9.,])")
_INVISIBLE = re.compile(r"[\u00ad\u200b]")
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})
_IP = re.compile(r"[iIl][pP][xX]?[wW]?\Z|[lI]P\Z")

DASHES = frozenset("-‐‑‒–—−﹣-")
"""All signs that serve as minus, hyphen or range dash."""


class Token(NamedTuple):
    """One token. `norm` is the folded text of a word and the text itself otherwise."""

    kind: str
    text: str
    norm: str
    start: int
    end: int
    gap: bool


@lru_cache(maxsize=20_000)
def fold(text: str) -> str:
    """The form in which words are compared: lower case, umlauts spelled out, other accents dropped."""
    text = unicodedata.normalize("NFKC", _INVISIBLE.sub("", text)).casefold().translate(_UMLAUTS)
    if text.isascii():
        return text
    return "".join(c for c in unicodedata.normalize("NFD", text) if not unicodedata.combining(c))


def tokenise(text: str, halves: Callable[[str], tuple[int, str]] | None = None) -> list[Token]:
    """Cut the text into tokens. `halves` gives for a word where to cut it in two and its first word, 0 for no cut."""
    tokens: list[Token] = []
    position = 0
    last_end = 0
    while (match := _TOKEN.search(text, position)) is not None:
        kind = match.lastgroup or SIGN
        start, end = match.span()
        if kind == NUMBER:
            end = _number_end(text, tokens, start, end)
        piece = text[start:end]
        gap = start > last_end or not tokens
        cut, first = halves(piece) if kind == WORD and halves is not None and len(piece) >= 8 else (0, "")
        if cut:
            tokens.append(Token(WORD, piece[:cut], first, start, start + cut, gap))
            tokens.append(Token(WORD, piece[cut:], fold(piece[cut:]), start + cut, end, True))
        else:
            tokens.append(Token(kind, piece, fold(piece) if kind == WORD else piece, start, end, gap))
        position = last_end = end
    return tokens


def _number_end(text: str, tokens: list[Token], start: int, end: int) -> int:
    """Where a number ends. Digits after the letters IP, and two codes joined by a comma, are no decimals."""
    digits = start
    while digits < end and text[digits].isdigit():
        digits += 1
    if digits == end:
        return end
    after_ip = bool(tokens) and tokens[-1].kind == WORD and _IP.match(tokens[-1].text) is not None
    if after_ip or _JOINED_CODES.match(text, start):
        return digits
    return end
