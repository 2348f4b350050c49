"""The IP code, read from tokens.

    ip      = head [ noise ] code
    head    = "IP" | "lP" | "I.P." | "IPX" | "IPW"            any case; l for I from scanners
    noise   = "." | "-" | "_" | ":" | "=" | blank
    code    = first [K] second [K] { letter }                  6K9K, X7, 20C, 54W
            | first "(" second { "/" second } ")"              6(6/7)
            | first second "(" digit ")"                       66(9), the obsolete impact numeral
    next    = joint ( first second | [X] second )              /67, & 69K, /X7, /8
    joint   = "/" | "," | "&" | "+" | "and" | ";" | "|" | blank

O stands for 0 and l or I for 1 inside a code, with a note. Blanks may stand between the numerals of a code and
before a K, nowhere else. What has the letters IP and a numeral but is no code (IP77, IP68K, IP670, IP6, IP 1 to
67) is returned without credit. A code that was listed without the letters IP is taken after `/`, `&` and "and" if
no unit follows; after a comma or a blank it must look like nothing else (first 5 or 6, second 4 to 9).
"""

from collections.abc import Sequence

from advisor.notation.elements import Code
from advisor.notation.figures import unit_at
from advisor.notation.lexicon import Lexicon
from advisor.notation.tokens import NUMBER, WORD, Token

_SLIPS = {"O": "0", "o": "0", "l": "1", "I": "1"}
NOISE = frozenset({".", "-", "_", ":", "=", "‐", "‑", "–"})
_LETTERS = frozenset("KXABCDHMSWFG")
RANGE_WORDS = frozenset({"to", "bis", "through", "...", "…", ".."})


def head(lexicon: Lexicon, tokens: Sequence[Token], index: int) -> tuple[str, int] | None:
    """Letters left over from an IP head (`X` of IPX, `W` of IPW) and the index after it; None if it is none."""
    token = tokens[index]
    if token.kind != WORD or len(token.text) > 7:
        return None
    letters = token.norm
    if letters[:2] in lexicon.codes.ingress.heads:
        rest = token.text[2:]
        if letters[:2] == "lp" and token.text[:2] != "lP":
            return None
        lettered = rest[:2].upper() == "XX" and all(c.upper() in _LETTERS for c in rest[2:])
        if lettered or all(c in "xXkKwW" or c in _SLIPS for c in rest):
            return rest, index + 1
        return None
    if letters in ("i", "l") and index + 2 < len(tokens):
        dot, p = tokens[index + 1], tokens[index + 2]
        if dot.text == "." and p.norm == "p" and not dot.gap and not p.gap:
            return "", index + 3
    return None


def ingress(lexicon: Lexicon, tokens: Sequence[Token], index: int) -> tuple[list[Code], int] | None:
    """The IP code with its letters at `index`, expanded if it is bracketed, and the index after it."""
    start = index
    opened = head(lexicon, tokens, index)
    if opened is None:
        return None
    rest, index = opened
    while index < len(tokens) and tokens[index].text in NOISE and index + 1 < len(tokens):
        index += 1
    pieces, after = _pieces(tokens, index, rest)
    if not any(c.isdigit() or c in "Xx" for c in pieces) or (after == index and not _complete(pieces)):
        return None
    ranged = after < len(tokens) and tokens[after].norm in RANGE_WORDS and is_number(tokens, after + 1)
    # "IP68 bis 10 bar" is no range of codes.
    if ranged and len(pieces) <= 2 and not unit_at(lexicon, tokens, after + 2)[0]:
        span = tokens[start].start, tokens[after + 1].end
        return [Code(*span, pieces, "", notes=("range-of-codes",), credit=False)], after + 2
    bracketed = _bracketed(lexicon, tokens, after, pieces)
    if bracketed is not None:
        codes, after = bracketed
        for code in codes:
            code.start, code.end = tokens[start].start, tokens[after - 1].end
        return codes, after
    code = parse(lexicon, pieces)
    code.start, code.end = tokens[start].start, tokens[after - 1].end
    if tokens[start].norm.startswith("l"):
        code.notes += ("scan-slip",)
    if is_number(tokens, after + 1) and tokens[after].text == "(" and len(tokens[after + 1].text) == 1:
        close = after + 2
        if close < len(tokens) and tokens[close].text == ")" and code.credit:
            code.impact_numeral, code.end = tokens[after + 1].text, tokens[close].end
            code.notes += ("impact-numeral",)
            after = close + 1
    return [code], after


def listed(
    lexicon: Lexicon, tokens: Sequence[Token], index: int, first: str, joint: str
) -> tuple[Code, int] | None:
    """A code without the letters IP that goes on a list after `joint`; `first` is the numeral it may inherit."""
    token = tokens[index]
    if token.kind == WORD and token.norm not in ("x",):
        return None
    pieces, after = _pieces(tokens, index, "")
    if not pieces or unit_at(lexicon, tokens, after)[0] or len(token.text) > 2:
        return None
    follows = tokens[after] if after < len(tokens) else None
    if follows is not None and not follows.gap and (follows.kind in (WORD, NUMBER) or follows.text in "-%.°"):
        return None
    if follows is not None and follows.text in ("°", "%", "±", "x", "×"):
        return None
    slash = joint in ("/", "&", "+", "and", "or", "|")
    notes: tuple[str, ...] = ()
    bare = pieces.rstrip("K")
    if len(bare) == 1 and bare.isdigit():
        if joint != "/":
            return None
        pieces, notes = first + pieces, ("numeral-missing-first",)
    code = parse(lexicon, pieces)
    if not code.credit or (code.first == "X" and first != "X"):
        if code.first != "X" or not code.credit:
            return None
        code.first, notes = first, ("numeral-missing-first",)
    if not slash:
        rules = lexicon.codes.ingress
        word_after = follows is not None and follows.kind == WORD and follows.gap
        if code.first.rstrip("K") not in rules.listed_first or code.second.rstrip("K") not in rules.listed_second:
            return None
        if word_after and not code.second.endswith("K"):
            return None
        notes += ("loose-listing",)
    code.notes += notes
    code.start, code.end = token.start, tokens[after - 1].end
    return code, after


def parse(lexicon: Lexicon, pieces: str) -> Code:
    """The code that a row of signs after the letters IP spells; without credit if there is no such code."""
    rules = lexicon.codes.ingress
    notes: list[str] = []
    supplementary = ""
    text = pieces
    if text[:1].upper() == "W":
        text, supplementary = text[1:], "W"
        notes.append("old-w-position")
    place = 0
    numerals: list[str] = []
    while place < len(text) and len(numerals) < 2:
        sign = text[place]
        if sign in _SLIPS:
            sign = _SLIPS[sign]
            notes.append("scan-slip")
        numeral = sign.upper()
        place += 1
        if not (numeral.isdigit() or numeral == "X"):
            break
        if place < len(text) and text[place].upper() == "K":
            numeral += "K"
            place += 1
        numerals.append(numeral)
    if len(numerals) < 2:
        return Code(0, 0, "".join(numerals) or text, "", notes=(*notes, "one-numeral"), credit=False)
    first, second = numerals
    rest = text[place:]
    credit = True
    if rest[:1].isdigit():
        return Code(0, 0, first, second + rest, notes=(*notes, "three-digits"), credit=False)
    if first.rstrip("K") not in rules.first or first not in rules.first:
        notes.append("k-not-possible" if first.rstrip("K") in rules.first else "first-above-six")
        credit = False
    if second not in rules.second:
        notes.append("k-not-possible")
        credit = False
    additional = oil = ""
    for letter in rest.upper():
        if letter in rules.additional and not (additional or supplementary.replace("W", "") or oil):
            additional = letter
        elif letter in rules.supplementary and letter not in supplementary:
            supplementary += letter
        elif letter in rules.oil and not oil:
            oil = letter
        else:
            notes.append("unknown-letter")
            credit = False
            break
    notes += _remarks(first, second, supplementary, oil, additional)
    return Code(0, 0, first, second, additional, supplementary, oil, notes=tuple(dict.fromkeys(notes)), credit=credit)


def _remarks(first: str, second: str, supplementary: str, oil: str, additional: str) -> list[str]:
    notes = []
    if second == "9K" and first != "X" and not first.endswith("K"):
        notes.append("hybrid-9k")
    if first == "X" and second != "X":
        notes.append("no-first")
    if second == "X" and not additional:
        notes.append("no-second")
    if first == second == "0":
        notes.append("no-protection")
    if oil:
        notes.append("oil-letter")
    if "S" in supplementary:
        notes.append("still-only")
    if "M" in supplementary:
        notes.append("moving-only")
    return notes


def _pieces(tokens: Sequence[Token], index: int, rest: str) -> tuple[str, int]:
    """The signs of a code from `index` on, blanks and token bounds gone, and the index after them."""
    pieces = rest
    while index < len(tokens):
        token = tokens[index]
        glued = not token.gap or not pieces or (pieces == rest and not _complete(pieces))
        if token.kind == NUMBER and token.text.isdigit():
            spaced_pair = len(pieces) == 1 and len(token.text) == 1
            if not (glued or spaced_pair) or len(token.text) > 4:
                break
        elif token.kind == WORD:
            if not pieces and token.norm not in ("x", "xx", "kx", "o"):
                break
            if not _fits(token.text, glued, pieces):
                break
        else:
            break
        pieces += token.text
        index += 1
    return pieces, index


def _fits(text: str, glued: bool, pieces: str) -> bool:
    if glued:
        return (len(text) <= 4 and all(c.upper() in _LETTERS or c in _SLIPS for c in text)) or len(text) == 1
    return text in ("K", "k") and pieces[-1:] in ("9", "6", "4") and len(pieces) == 2


def _complete(pieces: str) -> bool:
    return sum(1 for c in pieces if c.isdigit() or c in "xX") >= 2


def is_number(tokens: Sequence[Token], index: int) -> bool:
    """Whether a number stands at `index`."""
    return index < len(tokens) and tokens[index].kind == NUMBER


def _bracketed(
    lexicon: Lexicon, tokens: Sequence[Token], index: int, pieces: str
) -> tuple[list[Code], int] | None:
    """`6(6/7)`: after one numeral, its partners in brackets."""
    if len(pieces.rstrip("Kk")) != 1 or index >= len(tokens) or tokens[index].text != "(":
        return None
    codes: list[Code] = []
    index += 1
    while index < len(tokens):
        second, after = _pieces(tokens, index, "")
        if not second:
            return None
        codes.append(parse(lexicon, pieces + second))
        index = after
        if index < len(tokens) and tokens[index].text in "/,+&":
            index += 1
        elif index < len(tokens) and tokens[index].text == ")":
            return codes, index + 1
        else:
            return None
    return None
