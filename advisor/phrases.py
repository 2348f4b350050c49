"""Longer phrases in the trade's words, read by the known words that carry them.

English puts the noun that says what a thing is last: a paint shop is a shop, a steel rolling mill a mill. Where a slot
allows it (`heads` in the vocabulary) a phrase that nobody listed is read by the longest known spelling at its end.
Every other known spelling in the phrase may be meant as well, so the answer is any of them and the harder one binds;
only of places the end counts alone, since the engine room of a ship is a room. Of a phrase in several parts ("foam and
hose", "driving rain with spray") each part must be known, and any of them may be meant. A phrase may begin with its
noun and go on by a preposition (`leads`): "clouds of dust", "bolted to the press". What holds a denial is not read.
"""

import re
from collections.abc import Collection, Mapping

Spellings = Mapping[str, tuple[str, ...]]

DENIALS = frozenset("never no non none nor not except free nothing unless without instead".split())  # noqa: SIM905
_GO_ON = frozenset("against along around at by from in inside into of on onto over through to under when".split())  # noqa: SIM905
NO_HEAD = (
    DENIALS
    | _GO_ON
    | frozenset(
        """
        a about above across after an and as away before behind below beneath beside between but circa close far for
        if like maybe near nearby next off opposite or out outside past perhaps than the toward towards until up upon
        via where with within
        """.split()  # noqa: SIM905 - a list of words reads better as a line of words
    )
)
_JOINTS = re.compile(r"\s*[,;/+&]\s*|\s+(?:and|or|plus|then|with|sometimes|also)\s+")
_SHARE = re.compile(r"\b\d+(?:[.,]\d+)?\s*%\s*")
LONGEST = 8
UNNAMED = "unknown"
"""The row that a table keeps for what has no name: "granite dust" is granite, and no dust without a name."""


def phrase(
    words: str, spellings: Spellings, never: Collection[str] = (), *, alone: bool = False, leads: bool = False
) -> tuple[str, ...] | None:
    """Return all that a phrase may mean by the spellings it holds, or None where it cannot be read.

    A phrase with one of the words in `never` before its end is not read; `alone` takes the spelling at its end only;
    `leads` lets a known word at its start carry it.
    """
    if DENIALS.intersection(re.split(r"[\s,;/+&]+", words)):
        return None
    words = _SHARE.sub("", words).strip()
    if words in spellings:
        return spellings[words]
    read = [_part(part, spellings, never, alone, leads) for part in _JOINTS.split(words) if part]
    if read and all(read):
        return tuple(dict.fromkeys(word for found in read for word in found or ()))
    return _by_start(words, spellings, never) if leads else None


def in_other_number(word: str, named: Spellings) -> tuple[str, ...] | None:
    """Return what the word means where only its plural, or only its singular, is known."""
    return (named.get(word[:-1]) if word.endswith("s") else named.get(f"{word}s")) if len(word) > 3 else None


def _part(
    words: str, spellings: Spellings, never: Collection[str], alone: bool, leads: bool
) -> tuple[str, ...] | None:
    words = re.sub(r"^(?:the|a|an|some|then) ", "", words)
    found = spellings.get(words) or in_other_number(words, spellings)
    found = found or _by_end(words, spellings, never, alone=alone)
    return found or (_by_start(words, spellings, never) if leads else None)


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


def _by_start(words: str, spellings: Spellings, never: Collection[str]) -> tuple[str, ...] | None:
    parts = words.split()
    if not 2 < len(parts) <= LONGEST or set(never) & set(parts):
        return None
    for stop in range(len(parts) - 2, 0, -1):
        found = spellings.get(" ".join(parts[:stop]))
        if found and parts[stop] in _GO_ON:
            return _named([*found, *_within(parts[stop + 1 :], spellings)])
    return None


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
