"""Tokens to elements: at each token the grammars are tried in a fixed order and the first that fits wins.

Order: line end; IP code; listed code; IK code; thread; standard; law; the longer of phrase and material name
(a quantity with a unit beats a name that is no longer than it); quantity; punctuation; unknown. Filler words
yield no element, their places are kept apart so that nothing is taken for unread that is only empty.
"""

from collections.abc import Sequence

from advisor.notation import codes, enclosures, references
from advisor.notation.elements import (
    AND,
    AT,
    BREAK,
    CLOSE,
    COLON,
    INCLUDING,
    OPEN,
    OR,
    SEP,
    WITH,
    BareUnit,
    Cited,
    Code,
    Element,
    Law,
    Mark,
    Named,
    Phrase,
    Quantity,
    TypeCode,
    Unknown,
)
from advisor.notation.figures import figure, unit_at
from advisor.notation.lexicon import Entry, Lexicon, MaterialName
from advisor.notation.naming import Name, material, name_at
from advisor.notation.tokens import DASHES, LINE, NUMBER, SIGN, WORD, Token

_MARKS = {
    "(": OPEN, "[": OPEN, "{": OPEN, ")": CLOSE, "]": CLOSE, "}": CLOSE, ":": COLON, "=": COLON,
    ",": SEP, "/": SEP, "|": SEP, "&": AND, "+": AND, "·": SEP, ";": BREAK, "•": BREAK, "▪": BREAK, "‣": BREAK,
    "*": BREAK, "●": BREAK, "■": BREAK, "–": SEP, "—": SEP, "->": SEP, "→": SEP, "@": AT, "¦": SEP,
}
_JOINING = {"and": AND, "or": OR, "with": WITH, "including": INCLUDING, "at": AT}
_QUOTES = frozenset("\"'“”„‚‘’«»®™©`´*")


class Scan:
    """One pass over the tokens of a text. `elements` is the result; it never fails."""

    def __init__(self, lexicon: Lexicon, text: str) -> None:
        self.lexicon = lexicon
        self.text = text
        self.tokens: Sequence[Token] = lexicon.tokens(text)
        self.elements: list[Element] = []
        self._first = ""
        index = 0
        while index < len(self.tokens):
            index = self._step(index)

    def _step(self, index: int) -> int:
        token = self.tokens[index]
        if token.kind == LINE:
            return self._mark(BREAK if token.text != "\t" else SEP, index)
        for attempt in (self._code, self._cited):
            after = attempt(index)
            if after:
                return after
        named = self._name(index)
        counted = self._quantity(index)
        if counted is not None and not counted[0].bare and self._figure_first(named, counted[1]):
            return self._count(*counted)
        if named is not None:
            return self._take(index, *named)
        if counted is not None:
            return self._count(*counted)
        return self._rest(index)

    # ---- codes and citations ----------------------------------------------------------------------------------
    def _code(self, index: int) -> int:
        token = self.tokens[index]
        if token.kind == WORD:
            read = codes.ingress(self.lexicon, self.tokens, index)
            if read is not None and not self._in_number(index, read[1]):
                self.elements += read[0]
                self._first = read[0][-1].first or "X"
                return read[1]
            one = enclosures.impact(self.lexicon, self.tokens, index) or references.thread(self.tokens, index)
            if one is not None and not self._outranked(index, one[1]):
                self.elements.append(one[0])
                return one[1]
        if self._first and self.elements and (token.kind == NUMBER or token.norm == "x"):
            last = self.elements[-1]
            if isinstance(last, Code):
                joint = " "
            elif isinstance(last, Mark) and last.sign in (SEP, AND, OR, BREAK) and last.text != "-":
                joint = last.text
            else:
                return 0
            read_on = codes.listed(self.lexicon, self.tokens, index, self._first, joint)
            if read_on is not None:
                self.elements.append(read_on[0])
                return read_on[1]
        return 0

    def _in_number(self, start: int, end: int) -> bool:
        """Whether a code is only a piece of an order number: "123-IP67-55"."""
        before, after = self.tokens[max(0, start - 2) : start], self.tokens[end : end + 2]
        glued = len(before) == 2 and before[1].text in DASHES and not before[1].gap and not self.tokens[start].gap
        goes_on = len(after) == 2 and after[0].text in DASHES and not after[0].gap and not after[1].gap
        return glued and (goes_on or before[0].kind == NUMBER)

    def _cited(self, index: int) -> int:
        token = self.tokens[index]
        if token.kind == WORD and token.text.upper() in self.lexicon.bodies:
            cited = references.standard(self.lexicon, self.tokens, index)
            if cited is not None and not self._outranked(index, cited[1]):
                self.elements.append(cited[0])
                return cited[1]
        slash = token.kind == NUMBER and index + 1 < len(self.tokens) and self.tokens[index + 1].text == "/"
        if slash or token.norm in references.LAW_STARTS or token.text == "(":
            law = references.law(self.lexicon, self.tokens, index)
            if law is not None:
                self.elements.append(law[0])
                return law[1]
        last = self.elements[-2:]
        if len(last) == 2 and isinstance(last[0], Cited) and isinstance(last[1], Mark) and last[1].text == "/":
            following = references.next_standard(self.lexicon, self.tokens, index, last[0])
            if following is not None:
                self.elements.append(following[0])
                return following[1]
        before = [e for e in self.elements[-2:] if isinstance(e, Law)]
        if before and before[0].name == "us-21-cfr":
            clause = references.next_clause(self.tokens, index)
            if clause is not None:
                self.elements.append(clause[0])
                return clause[1]
        return 0

    def _outranked(self, index: int, end: int) -> bool:
        """Whether a longer phrase, or a list of enclosure types, stands where a standard was found."""
        named = self._name(index)
        if named is None:
            return False
        if isinstance(named[0], tuple):
            return named[1] >= end and any(name.sure for name in named[0])
        if named[1] > end or (named[1] == end and any(entry.cls == "statement" for entry in named[0])):
            return True
        return any(
            entry.cls == "head" and enclosures.enclosure(self.lexicon, self.tokens, named[1], entry.name, entry.data)
            for entry in named[0]
        )

    # ---- names ------------------------------------------------------------------------------------------------
    def _name(self, index: int) -> Name | None:
        last = self.elements[-1] if self.elements else None
        beside = isinstance(last, Named)
        return name_at(
            self.lexicon, self.text, self.tokens, index, after_material=beside, announced=self._announced()
        )

    def _announced(self) -> bool:
        """Whether a part word or the word material stands right before, a colon apart at most."""
        near = self.elements[-2:]
        if near and isinstance(near[-1], Mark) and near[-1].sign == COLON:
            near.pop()
        last = near[-1] if near else None
        return isinstance(last, Phrase) and bool(last.named("part") or last.named("topic") == "material")

    def _take(self, index: int, names: list[Entry] | tuple[MaterialName, ...], after: int) -> int:
        start, end = self.tokens[index].start, self.tokens[after - 1].end
        if isinstance(names, tuple):
            named, after = material(self.lexicon, self.text, self.tokens, (index, after), names)
            self.elements.append(named)
            return after
        for entry in names:
            if entry.cls == "head":
                listed = enclosures.enclosure(self.lexicon, self.tokens, after, entry.name, entry.data)
                if listed is not None:
                    listed[0][0].start = start
                    self.elements += listed[0]
                    return listed[1]
        meant = tuple(entry for entry in names if entry.cls not in ("head", "filler"))
        joining = next((entry for entry in meant if entry.cls == "connector"), None)
        last = self.elements[-1] if self.elements else None
        announced = isinstance(last, Phrase) and last.named("topic") in ("criterion", "level")
        if announced and after - index == 1 and len(self.tokens[index].text) == 1:
            self.elements.append(Unknown(start, end))
        elif joining is not None:
            self.elements.append(Mark(start, end, _JOINING[joining.name], joining.name))
        elif meant:
            self._phrase(Phrase(start, end, meant))
        elif any(entry.cls == "head" for entry in names):
            self.elements.append(Unknown(start, end))
        return after

    def _phrase(self, phrase: Phrase) -> None:
        """Add a phrase. Of two parts in a row the last is meant, except that `housing` never outranks another."""
        last = self.elements[-1] if self.elements else None
        if isinstance(last, Phrase) and last.named("part") and phrase.named("part") and last.end <= phrase.start:
            joined = self.text[last.end : phrase.start]
            if joined.strip("-‐‑ ") == "" and "\n" not in joined:
                keep = last if phrase.named("part") == "body" else phrase
                self.elements[-1] = Phrase(last.start, phrase.end, keep.entries)
                return
        self.elements.append(phrase)

    def _figure_first(self, named: Name | None, end: int) -> bool:
        """Whether a figure with a unit is meant rather than a name of the same stretch: 5 g, not the jacket 5G."""
        if named is None or named[1] < end:
            return True
        if named[1] > end or not isinstance(named[0], tuple) or self._announced():
            return False
        return not any(name.sure for name in named[0])

    # ---- figures ----------------------------------------------------------------------------------------------
    def _quantity(self, index: int) -> tuple[Quantity, int] | None:
        token = self.tokens[index]
        if token.kind == WORD and token.norm not in ("plus", "minus"):
            return None
        if token.text in DASHES and self.elements and isinstance(self.elements[-1], (Code, TypeCode, Quantity, Named)):
            # "IP68-5bar", "IP68 - 5 bar": a dash; "IP67 -25 °C": a minus sign.
            after = self.tokens[index + 1] if index + 1 < len(self.tokens) else None
            return figure(self.lexicon, self.tokens, index) if token.gap and after and not after.gap else None
        return figure(self.lexicon, self.tokens, index)

    def _count(self, quantity: Quantity, after: int) -> int:
        last = self.elements[-1] if self.elements else None
        if isinstance(last, Phrase) and (limit := last.named("limit")):
            if quantity.spread != "range" and not quantity.limit:
                quantity.limit = limit
                quantity.start = last.start
                self.elements.pop()
            elif quantity.spread == "range" and limit == "min":
                quantity.start = last.start
                self.elements.pop()
        self.elements.append(quantity)
        return after

    # ---- the rest ---------------------------------------------------------------------------------------------
    def _rest(self, index: int) -> int:
        token = self.tokens[index]
        units, after = unit_at(self.lexicon, self.tokens, index)
        last = self.elements[-1] if self.elements else None
        closed = after < len(self.tokens) and self.tokens[after].text in ")]"
        if units and closed and isinstance(last, Mark) and last.sign == OPEN:
            self.elements.append(BareUnit(token.start, self.tokens[after - 1].end, units))
            return after
        if token.text == ".":
            return self._stop(index)
        if token.text in DASHES:
            loose = token.gap and index + 1 < len(self.tokens) and self.tokens[index + 1].gap
            after_code = isinstance(last, (Code, TypeCode))
            if loose or after_code:
                self.elements.append(Mark(token.start, token.end, SEP, "-"))
            return index + 1
        if token.text in _MARKS:
            return self._mark(_MARKS[token.text], index)
        if token.text in _QUOTES or token.text in "_":
            return index + 1
        after = index + 1
        while after < len(self.tokens) and not self.tokens[after].gap and self.tokens[after].kind in (WORD, NUMBER):
            if self.tokens[after - 1].kind == SIGN:
                break
            after += 1
        self.elements.append(Unknown(token.start, self.tokens[after - 1].end))
        self._first = ""
        return after

    def _stop(self, index: int) -> int:
        """A full stop ends a clause unless it belongs to an abbreviation or stands inside a word."""
        before = self.tokens[index - 1] if index else None
        after = self.tokens[index + 1] if index + 1 < len(self.tokens) else None
        if before is None or after is None or not after.gap:
            return index + 1
        if before.norm in self.lexicon.abbreviations or (after.kind == WORD and after.text[0].islower()):
            return index + 1
        return self._mark(BREAK, index)

    def _mark(self, sign: str, index: int) -> int:
        token = self.tokens[index]
        self.elements.append(Mark(token.start, token.end, sign, token.text))
        if sign == BREAK and token.text != ";":
            self._first = ""
        return index + 1
