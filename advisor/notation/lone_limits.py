"""Lines that claim nothing themselves and limit what other lines claim.

    limit   = whole                                    "All values are targets": every claim
            | upkeep                                   "Replace the seal yearly": the ratings
            | subject { words } limiting               "The IP rating applies with the cap only": the ratings
            | ( condition | part ) { words } hint      "Only when mated": some claim, most likely a rating

Whether a condition says so by itself stands at it in the lexicon (`alone`); what counts as limiting are its lists of
hints, exceptions, negations, doubts and warnings.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor.notation.drafts import RATINGS
from advisor.notation.elements import Element, Mark, Phrase, Unknown
from advisor.notation.items import Condition, Item, Reading
from advisor.notation.lexicon import Lexicon
from advisor.notation.models import UPKEEP, WHOLE
from advisor.notation.scan import Scan
from advisor.notation.tokens import fold

APART = "stated apart"
"""The condition on a claim that a line elsewhere limits, where no word of the lexicon says how."""
_FITTED = frozenset({"accessory", "cover"})
"""Families of conditions that limit a claim even on a line of their own: "with cap fitted"."""
_MATED = frozenset({"mating"})
_SHORT = 6
"""Words of such a line at most."""


@dataclass(frozen=True)
class Limit:
    """Kinds of readings that a line limits ("any": all; none: it is open which), and with what conditions."""

    kinds: frozenset[str] = frozenset()
    conditions: tuple[Condition, ...] = ()

    def applied(self, item: Item) -> Item:
        """The reading with the conditions, if it is of a kind that is limited."""
        if item.kind not in self.kinds and "any" not in self.kinds:
            return item
        more = tuple(one for one in self.conditions if not item.has(one.name))
        return replace(item, conditions=(*item.conditions, *more))


def limit_of(words: Lexicon, text: str, reading: Reading, *, stray: bool) -> Limit | None:
    """What a line limits elsewhere; None if nothing. `stray` tells that it is a footnote whose mark stands nowhere."""
    if any(item.kind in RATINGS for item in reading.items):
        return None
    elements = Scan(words, text).elements
    phrases = [element for element in elements if isinstance(element, Phrase)]
    names = [name for phrase in phrases for name in phrase.names("condition")]
    apart = (Condition(APART, text),)
    ways = {words.conditions[name].alone for name in names}
    if WHOLE in ways:
        return Limit(frozenset({"any"}), apart)
    if UPKEEP in ways:
        own = (Condition(name, text) for name in names if words.conditions[name].alone == UPKEEP)
        return Limit(frozenset(RATINGS), tuple(own))
    on_ratings = [name for name in names if _rates(words, name)]
    if any(phrase.named("subject") for phrase in phrases) and (on_ratings or _turned(words, text, elements)):
        own = (Condition(name, text) for name in dict.fromkeys(on_ratings))
        return Limit(frozenset(RATINGS), tuple(own) or apart)
    if any(item.kind != "part" for item in reading.items):
        return None
    first = next((element for element in elements if not isinstance(element, Mark)), None)
    named = first.named("condition") if isinstance(first, Phrase) else ""
    needed = named and words.conditions[named].family in _FITTED and 1 < len(text.split()) <= _SHORT
    hinted = _hinted(words, text, elements)
    if not (names or any(phrase.named("part") for phrase in phrases) or (stray and hinted)):
        return None
    if not (stray or needed or hinted):
        return None
    if not on_ratings:
        return Limit()
    # Of which reading it speaks is open, so that only what weakens none is taken for what it is.
    mated = all(words.conditions[name].family in _MATED for name in on_ratings)
    own = (Condition(name, text) for name in on_ratings)
    return Limit(frozenset(RATINGS), tuple(own) if mated else apart)


def _rates(words: Lexicon, name: str) -> bool:
    """Whether a condition is one of ratings above all, or of any claim."""
    kinds = set(words.conditions[name].kinds)
    return "any" in kinds or set(RATINGS) <= kinds


def _hinted(words: Lexicon, text: str, elements: Sequence[Element]) -> bool:
    """Whether a line has a word such as "only", "if", "except"."""
    return any(
        (isinstance(e, Phrase) and e.named("except"))
        or (isinstance(e, Unknown) and words.hints.intersection(map(fold, text[e.start : e.end].split())))
        for e in elements
    )


def _turned(words: Lexicon, text: str, elements: Sequence[Element]) -> bool:
    """Whether a line denies, doubts, limits or warns in any of its words: "not", "requires", "only", "void"."""
    said = {fold(word.strip(".,;:()")) for word in text.split()}
    return bool(said & (words.doubts | words.warnings | words.hints)) or any(
        isinstance(e, Phrase) and (e.named("negation") or e.named("doubt")) for e in elements
    )
