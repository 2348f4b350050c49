"""Longer phrases in the trade's words, read by the word that stands at their end.

English puts the noun that says what a thing is last: a paint shop is a shop, a steel rolling mill a mill. Where a slot
allows it (`heads` in the vocabulary) a phrase that nobody listed is read by the longest known spelling at its end.
Every other known spelling in the phrase may be meant as well, so the answer is any of them and the harder one binds;
only of places the end counts alone, since the engine room of a ship is a room. A phrase with a preposition, a joining
word or a denial is not read, since there the last word is not the noun.
"""

from collections.abc import Collection, Mapping

NO_HEAD = frozenset(
    """
    a about above across after against along an and around as at away before behind below beneath beside
    between but by circa close except far for free from if in inside instead into like maybe near nearby
    never next no non none nor not of off on onto opposite or out outside over past perhaps than the through
    to toward towards under unless until up upon via when where with within without
    """.split()  # noqa: SIM905 - a list of words reads better as a line of words
)
LONGEST = 8
UNNAMED = "unknown"
"""The row that a table keeps for what has no name: "granite dust" is granite, and no dust without a name."""


def phrase(
    words: str, spellings: Mapping[str, tuple[str, ...]], never: Collection[str] = (), *, alone: bool = False
) -> tuple[str, ...] | None:
    """Return all that a plain phrase may mean by the spellings it holds, or None where its end is no known one.

    A phrase with one of the words in `never` before its end is not read; `alone` takes the spelling at its end only.
    """
    parts = words.split()
    if not 1 < len(parts) <= LONGEST or NO_HEAD.intersection(parts):
        return None
    head = next((start for start in range(1, len(parts)) if " ".join(parts[start:]) in spellings), None)
    if head is None or set(never) & set(parts[:head]):
        return None
    found = list(spellings[" ".join(parts[head:])])
    start = head if alone else 0
    while start < head:
        stop = next((end for end in range(head, start, -1) if " ".join(parts[start:end]) in spellings), None)
        if stop is not None:
            found += spellings[" ".join(parts[start:stop])]
        start = stop or start + 1
    named = [word for word in found if word != UNNAMED]
    return tuple(dict.fromkeys(named or found))
