"""Standards, laws and threads as spec sheets cite them.

    standard = body { ["/"] body } ["-"] [letter] number { "-" part } [ "part" n ] [ (":" | "-") year ]
    law      = { words } "EC"|"EU"|"EG" ... n "/" n  |  n "/" n "/" "EC"  |  a known n "/" n
    cfr      = [ "FDA" ] [ "21" ] "CFR" { words } 177.2600  |  "FDA" 177.2600
    thread   = "M" n [ "x" n ]  |  "G" | "R" | "Pg" | "NPT" ... size

The key of a standard is its leading body (IEC before ISO before EN before national bodies) and its number with
part, for example `IEC 61000-4-2`; `DIN EN 60529` is `EN 60529`.
"""

from collections.abc import Sequence

from advisor.notation.elements import Cited, Law, ThreadSize
from advisor.notation.lexicon import Lexicon
from advisor.notation.models import StandardModel
from advisor.notation.tokens import DASHES, NUMBER, WORD, Token

_ORDER = ("IEC", "ISO", "EN", "JIS")
_PART_WORDS = frozenset({"part", "teil", "pt", "t"})
_UNION = frozenset({"ec", "eu", "eg", "ce", "ewg", "eec", "ue"})
_LAW_WORDS = frozenset(
    {"regulation", "verordnung", "vo", "directive", "richtlinie", "no", "nr", "n", "reg", "the", ".", "(", ")"}
)
LAW_STARTS = _UNION | {"fda", "cfr", "title", "21", "regulation", "verordnung", "vo", "directive", "richtlinie"}
_CFR_WORDS = frozenset({"title", "part", "section", "sec", "§", "21", ".", ",", "parts", "teil", "-", "–"})
_THREADS = {"m": "M", "g": "G", "r": "R", "rp": "Rp", "pg": "Pg", "npt": "NPT", "rd": "Rd", "unf": "UNF", "tr": "Tr"}


def standard(lexicon: Lexicon, tokens: Sequence[Token], index: int) -> tuple[Cited, int] | None:
    """The standard cited at `index`, and the index after it."""
    start = index
    bodies: list[str] = []
    while index < len(tokens) and tokens[index].kind == WORD and tokens[index].text.upper() in lexicon.bodies:
        bodies.append(tokens[index].text.upper())
        index += 1
        joined = index + 1 < len(tokens) and (tokens[index].text == "/" or tokens[index].text in DASHES)
        if joined and (tokens[index + 1].text.upper() in lexicon.bodies or tokens[index + 1].kind == NUMBER):
            index += 1
    if not bodies or index >= len(tokens):
        return None
    number, index = _number(tokens, index, bodies)
    if not number:
        return None
    body = next((b for b in _ORDER if b in bodies), bodies[0])
    number, index = _parts(tokens, index, number)
    edition = ""
    if index + 1 < len(tokens) and tokens[index].text == ":" and _year(tokens[index + 1]):
        edition, index = tokens[index + 1].text, index + 2
    elif "-" in number and len(year := number.rsplit("-", 1)[1]) == 4 and year[:2] in ("19", "20"):
        number, edition = number.rsplit("-", 1)
    known = known_standard(lexicon, body, number)
    key = f"MIL-STD-{number}" if body == "MIL" else f"{body} {number}"
    return Cited(tokens[start].start, tokens[index - 1].end, key, edition, known), index


def next_standard(lexicon: Lexicon, tokens: Sequence[Token], index: int, before: Cited) -> tuple[Cited, int] | None:
    """A known number after a standard and a stroke, of the same body: "ISO 9223/12944"; and the index after it."""
    if tokens[index].kind != NUMBER or not tokens[index].text.isdigit():
        return None
    body = before.key.partition(" ")[0]
    number, after = _parts(tokens, index + 1, tokens[index].text)
    known = known_standard(lexicon, body, number)
    if known is None or len(tokens[index].text) < 4:
        return None
    return Cited(tokens[index].start, tokens[after - 1].end, f"{body} {number}", "", known), after


def _number(tokens: Sequence[Token], index: int, bodies: list[str]) -> tuple[str, int]:
    letter = ""
    token = tokens[index]
    if token.kind == WORD and len(token.text) == 1 and index + 1 < len(tokens) and tokens[index + 1].kind == NUMBER:
        letter, index = token.text.upper(), index + 1
    if index >= len(tokens) or tokens[index].kind != NUMBER:
        return "", index
    token = tokens[index]
    number, index = token.text, index + 1
    if letter == "C" and number == "22.2" and index + 2 < len(tokens) and tokens[index].norm == "no":
        index += 2 if tokens[index + 1].text == "." else 1
        return (f"C22.2 No. {tokens[index].text}", index + 1) if index < len(tokens) else ("", index)
    if index < len(tokens) and not tokens[index].gap and tokens[index].kind == WORD:
        if len(tokens[index].text) > 1 or bodies[0] not in ("UL", "MIL", "BS"):
            return "", index
        number, index = number + ("" if bodies[0] == "MIL" else tokens[index].text.upper()), index + 1
    if "JIS" in bodies and letter:
        return f"{letter} {number}", index
    return letter + number, index


def _parts(tokens: Sequence[Token], index: int, number: str) -> tuple[str, int]:
    while index + 1 < len(tokens) and tokens[index].text in DASHES and tokens[index + 1].kind == NUMBER:
        part = tokens[index + 1]
        if part.gap or not part.text.isdigit() or len(part.text) > 4 or tokens[index].gap:
            break
        number, index = f"{number}-{part.text}", index + 2
    if index < len(tokens) and tokens[index].norm in _PART_WORDS:
        after = index + 1
        if after < len(tokens) and tokens[after].text == ".":
            after += 1
        if after < len(tokens) and tokens[after].kind == NUMBER:
            number, index = f"{number}-{tokens[after].text}", after + 1
    return number, index


def _year(token: Token) -> bool:
    return token.kind == NUMBER and len(token.text) == 4 and token.text[:2] in ("19", "20")


def known_standard(lexicon: Lexicon, body: str, number: str) -> StandardModel | None:
    """The lexicon's entry for a number, or for the nearest number above it in the tree of parts."""
    key = number.upper()
    while True:
        for row in lexicon.standards.get(key, ()):
            if row.body in ("", body):
                return row
        if "-" not in key:
            return None
        key = key.rsplit("-", 1)[0]


def law(lexicon: Lexicon, tokens: Sequence[Token], index: int) -> tuple[Law, int] | None:
    """The regulation, directive or CFR clause cited at `index`, and the index after it."""
    start = index
    token = tokens[index]
    if token.norm in ("fda", "cfr", "title") or token.text == "21":
        return _cfr(tokens, index)
    united = ""
    while index < len(tokens) and (tokens[index].norm in _LAW_WORDS or tokens[index].norm in _UNION):
        if tokens[index].text == "." and not united:
            return None
        united = united or (tokens[index].text.upper() if tokens[index].norm in _UNION else "")
        index += 1
        if index - start > 8:
            return None
    if index + 2 >= len(tokens) or tokens[index].kind != NUMBER or tokens[index + 1].text != "/":
        return None
    first, second = tokens[index].text, tokens[index + 2].text
    number = f"{first}/{second}"
    known = lexicon.laws.get(number)
    after = index + 3
    if after + 1 < len(tokens) and tokens[after].text == "/" and tokens[after + 1].norm in _UNION:
        united, after = united or tokens[after + 1].text.upper(), after + 2
    plausible = united and first.isdigit() and second.isdigit() and (len(first) == 4 or len(second) == 4)
    if known is None and not plausible:
        return None
    if tokens[index + 2].kind != NUMBER:
        return None
    name = known.name if known else "union-law"
    return Law(tokens[start].start, tokens[after - 1].end, number, name, known.topic if known else "other"), after


def _cfr(tokens: Sequence[Token], index: int) -> tuple[Law, int] | None:
    start = index
    seen = tokens[index].norm == "cfr"
    fda = tokens[index].norm == "fda"
    index += 1
    while index < len(tokens) and (tokens[index].norm in _CFR_WORDS or tokens[index].norm == "cfr"):
        seen = seen or tokens[index].norm == "cfr"
        index += 1
    if index >= len(tokens) or tokens[index].kind != NUMBER or not (seen or fda):
        return None
    clause = tokens[index].text.removeprefix("21.")
    after = index + 1
    if not clause.split(".")[0].isdigit() or len(clause.split(".")[0]) != 3:
        return None
    if "." not in clause and not seen:
        return None
    if after + 1 < len(tokens) and tokens[after].text == "." and tokens[after + 1].norm.startswith("xx"):
        after += 2
    while after + 2 < len(tokens) and (tokens[after].text, tokens[after + 2].text) == ("(", ")"):
        if len(tokens[after + 1].text) > 2:
            break
        clause += f"({tokens[after + 1].text})"
        after += 3
    return Law(tokens[start].start, tokens[after - 1].end, f"21 CFR {clause}", "us-21-cfr", "food"), after


def next_clause(tokens: Sequence[Token], index: int) -> tuple[Law, int] | None:
    """A further clause of 21 CFR on a list: "177.1520 and 177.2600"."""
    part, _, clause = tokens[index].text.partition(".")
    if tokens[index].kind != NUMBER or len(part) != 3 or not 3 <= len(clause) <= 4 or not clause.isdigit():
        return None
    return Law(tokens[index].start, tokens[index].end, f"21 CFR {tokens[index].text}", "us-21-cfr", "food"), index + 1


def thread(tokens: Sequence[Token], index: int) -> tuple[ThreadSize, int] | None:
    """The thread size at `index`, and the index after it."""
    token = tokens[index]
    prefix = _THREADS.get(token.norm)
    if token.kind != WORD or prefix is None or index + 1 >= len(tokens) or tokens[index + 1].kind != NUMBER:
        return None
    if prefix in ("M", "R", "G") and (token.text != prefix or (prefix == "M" and tokens[index + 1].gap)):
        return None
    size, after = prefix + tokens[index + 1].text, index + 2
    if after + 1 < len(tokens) and tokens[after].text == "/" and tokens[after + 1].kind == NUMBER:
        size, after = f"{size}/{tokens[after + 1].text}", after + 2
    if after + 1 < len(tokens) and tokens[after].norm in ("x", "×") and tokens[after + 1].kind == NUMBER:
        size, after = f"{size}x{tokens[after + 1].text.replace(',', '.')}", after + 2
    elif after < len(tokens) and not tokens[after].gap and tokens[after].kind in (WORD, NUMBER):
        return None
    return ThreadSize(token.start, tokens[after - 1].end, size), after
