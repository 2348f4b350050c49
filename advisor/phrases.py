"""Longer phrases in the trade's words, read by the known words that carry them.

English puts the noun that says what a thing is last: a paint shop is a shop, a steel rolling mill a mill. Where a slot
allows it (`heads` in the vocabulary) a phrase that nobody listed is read by the longest known spelling at its end.
Every other known spelling in the phrase may be meant as well, so the answer is any of them and the harder one binds;
only of places the end counts alone, since the engine room of a ship is a room. Of a phrase in several parts ("foam and
hose", "driving rain with spray") each part must be known, and any of them may be meant. A phrase may begin with its
noun and go on by a preposition (`leads`): "clouds of dust", "bolted to the press". How often, how much and "in the"
are left out. Where the answers have an order, what is not understood beside a known word may be anything harder. What
holds a denial is not read.
"""

import functools
import itertools
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

Spellings = Mapping[str, tuple[str, ...]]

DENIALS = frozenset("never no non none nor not except free nothing unless without instead".split())  # noqa: SIM905
# Lists of words read better as lines of words.
_GO_ON = frozenset(
    """
    after against along around at by during for from in inside into of on onto over through to under using when with
    """.split()  # noqa: SIM905
)
_PARTICLES = frozenset("between down off out".split())  # noqa: SIM905
"""What a phrase may go on by as well, though it is no sign that its end is not the noun (down feathers)."""
NO_HEAD = (
    DENIALS
    | _GO_ON
    | frozenset(
        """
        a about above across an and as away before behind below beneath beside between but circa close far if like
        maybe near nearby next off opposite or out outside past perhaps than the toward towards until up upon via
        where within
        """.split()  # noqa: SIM905
    )
)
_JOINTS = (
    (re.compile(r"\s+or\s+|\s*/\s*"), False),
    (re.compile(r"\s*[,;+&]\s*|\s+(?:and|plus|then|also|sometimes)\s+"), True),
    (re.compile(r"\s+with\s+"), True),
)
"""What joins the parts of a phrase, the loosest first, and whether both are meant or one of them."""
_SHARE = re.compile(r"\b\d+(?:[.,]\d+)?\s*%\s*")
_FIGURE = re.compile(r"\s+\(?[a-z]?[+-]*\d\S*(?:\s+\S+)?\Z")
_LEAD = re.compile(r"(?:(?:in|on|at|inside|into|onto|some|the|a|an|then)\s+)+")
_ENDING = re.compile(r"(?<=\w\w)(?:([^aeiou\W])\1(?:ing|ed)|(\w)(?:ing|ed|es|s|e|y))\Z")
LONGEST = 8
UNNAMED = "unknown"
"""The row that a table keeps for what has no name: "granite dust" is granite, and no dust without a name."""


def phrase(
    words: str,
    spellings: Spellings,
    never: Collection[str] = (),
    *,
    heads: str = "any",
    leads: bool = False,
    tails: Collection[str] = (),
    order: Sequence[str] = (),
    nouns: Collection[str] = (),
    yields: Collection[str] = (),
) -> tuple[str, ...] | None:
    """Return all that a phrase may mean by the spellings it holds, or None where it cannot be read.

    A phrase with one of the words in `never` before its end is not read; `heads` and `leads` are those of the slot.
    What `yields` gives way to any other answer that the phrase names as well.
    With `nouns` no other word may stand at the end of a phrase that is read by it.
    `tails` at the end of a part, and figures there, say how often or how much, and nothing of what it is. Where the
    answers have an `order`, mild to harsh, the harsher of two that are both meant stands; and what leads is not the
    mildest, since a dry cloth with alcohol is not dry.
    """
    if DENIALS.intersection(re.split(r"[\s,;/+&]+", words)):
        return None
    reader = _Reader(spellings, never, heads, leads, tails, order, nouns)
    words = _SHARE.sub("", words).strip()
    found = reader.read(words) or reader.at_least(words)
    return found and (tuple(word for word in found if word not in yields) or found)


def in_other_number(word: str, named: Spellings) -> tuple[str, ...] | None:
    """Return what the word means where only its plural, or only its singular, is known."""
    return (named.get(word[:-1]) if word.endswith("s") else named.get(f"{word}s")) if len(word) > 3 else None


@dataclass(frozen=True)
class _Reader:
    spellings: Spellings
    never: Collection[str]
    heads: str
    leads: bool
    tails: Collection[str]
    order: Sequence[str]
    nouns: Collection[str]

    @functools.cached_property
    def stems(self) -> dict[str, tuple[str, ...]]:
        """What the spellings mean by their stems: "misted" is no other way of cleaning than "mist"."""
        found: dict[str, tuple[str, ...]] = {}
        for spelling, words in self.spellings.items():
            found[_stem(spelling)] = tuple(dict.fromkeys([*found.get(_stem(spelling), ()), *words]))
        return found

    def at_least(self, words: str) -> tuple[str, ...] | None:
        """Return the hardest answer that the phrase names and all that are harder, since the rest is not understood."""
        parts = words.split()
        known = [word for word in _within(parts, self.spellings) if word in self.order]
        if len(parts) < 2 or not known:
            return None
        return tuple(self.order[max(map(self.order.index, known)) :])

    def read(self, words: str) -> tuple[str, ...] | None:
        """Return what a phrase means as a whole, or else part by part."""
        known = next((form for form in (words, self._bare(words)) if form in self.spellings), None)
        if known is not None:
            return self.spellings[known]
        for joint, both in _JOINTS:
            parts = [part for part in joint.split(words) if part]
            if len(parts) < 2:
                continue
            read = [self.read(part) for part in parts]
            if not all(read):
                break
            found = [word for part in read for word in part or ()]
            if both and set(found) <= set(self.order):
                harder = (max(pair, key=self.order.index) for pair in itertools.product(*(part or () for part in read)))
                return _named(list(harder))
            return _named(found)
        else:
            return self.part(words)
        return self.by_start(words) if self.leads else None

    def part(self, words: str) -> tuple[str, ...] | None:
        """Return what one part of a phrase means: as it stands, then without its tail, then without its lead."""
        for form in (words, self._bare(words), _LEAD.sub("", self._bare(words), count=1)):
            found = self.noun(form) if form else None
            if not found and self.leads:
                found = self.by_start(form)
            if not found and self.heads == "within" and not NO_HEAD.intersection(form.split()):
                found = _named(_within(form.split(), self.spellings))
            if found:
                return found
        return None

    def by_start(self, words: str) -> tuple[str, ...] | None:
        """Return what a phrase means that begins with its noun and goes on by a preposition."""
        parts = words.split()
        if not 2 < len(parts) <= LONGEST or set(self.never) & set(parts):
            return None
        for stop in (stop for stop in range(len(parts) - 2, 0, -1) if parts[stop] in _GO_ON | _PARTICLES):
            found = self.noun(" ".join(parts[:stop]))
            if found:
                read = _named([*found, *([] if self.heads == "alone" else _within(parts[stop + 1 :], self.spellings))])
                mild = self.heads != "alone" and read == tuple(self.order[:1])
                return None if mild else read
        return None

    def noun(self, words: str) -> tuple[str, ...] | None:
        """Return what known words mean, or a phrase by the noun at its end."""
        found = self.spellings.get(words) or in_other_number(words, self.spellings) or self.stems.get(_stem(words))
        if found or self.heads == "parts" or (self.nouns and words.split()[-1] not in self.nouns):
            return found
        return _by_end(words, self.spellings, self.never, alone=self.heads == "alone")

    def _bare(self, words: str) -> str:
        while True:
            shorter = _FIGURE.sub("", words)
            for tail in self.tails:
                shorter = shorter.removesuffix(f" {tail}").removeprefix(f"{tail} ")
            if shorter == words:
                return words
            words = shorter


def _stem(words: str) -> str:
    """Return the words without the endings by which English bends them."""
    return " ".join(_ENDING.sub(lambda match: match[1] or match[2] or "", word) for word in words.split())


def _by_end(
    words: str, spellings: Spellings, never: Collection[str], *, alone: bool
) -> tuple[str, ...] | None:
    parts = words.split()
    if not 1 < len(parts) <= LONGEST or NO_HEAD.intersection(parts):
        return None
    head = next((start for start in range(1, len(parts)) if " ".join(parts[start:]) in spellings), None)
    if head is None or set(never) & set(parts[:head]):
        return None
    found = list(spellings[" ".join(parts[head:])])
    return _named([*found, *([] if alone else _within(parts[:head], spellings))])


def _within(parts: list[str], spellings: Spellings) -> list[str]:
    """Return what the known spellings among the words mean, the longest first."""
    found: list[str] = []
    start = 0
    while start < len(parts):
        stop = next((end for end in range(len(parts), start, -1) if " ".join(parts[start:end]) in spellings), None)
        if stop is not None:
            found += spellings[" ".join(parts[start:stop])]
        start = stop or start + 1
    return found


def _named(found: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys([word for word in found if word != UNNAMED] or found))
