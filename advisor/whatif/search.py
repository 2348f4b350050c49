"""Finds the smallest changes of a site's answers that reach a goal: single ones, and pairs where no single one does.

Along a track the looked-at options are tried outwards; between the last that fails and the first that does it the
smallest is found by halving. Pairs are built from options that each take away some of the reasons for the demand and
together all of them; each pair is run, and then each half is made as small as the other allows.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.whatif.edits import Edit
from advisor.whatif.goals import Goal
from advisor.whatif.leaves import Leaves
from advisor.whatif.tracks import Option, Track
from advisor.whatif.world import Outcome, World

MOST_PAIR_RUNS = 120
MOST_PARTS = 24
MOST_PAIRS = 4


@dataclass(frozen=True)
class Found:
    """Options, one a track, that together reach a goal."""

    parts: tuple[tuple[Track, Option], ...]

    @property
    def edits(self) -> tuple[Edit, ...]:
        return tuple(option.edit for _, option in self.parts)

    @property
    def size(self) -> float:
        return sum(option.size for _, option in self.parts)


class Search:
    """Searches one world along its tracks."""

    def __init__(self, world: World, tracks: Sequence[Track]) -> None:
        self.world, self._tracks = world, tracks
        self._leaves = Leaves(world.advice.possible, world.site, world.advisor.loaded.rules, world.book)

    def tracks(self, goal: Goal) -> list[Track]:
        """Return the tracks that move an answer which has a part in the demand; no other can drop it."""
        leaves = {leaf for fact in goal.demand.facts for leaf in self._leaves.every(fact)}
        instances = {identity for identity, _ in leaves}
        return [
            track
            for track in self._tracks
            if (
                track.instance.id in instances if track.slot is None else (track.instance.id, track.slot.slot) in leaves
            )
        ]

    def singles(self, goal: Goal) -> list[Found]:
        """Return the smallest single change on every track that reaches the goal.

        An instance is left out only where no smaller change of it does.
        """
        found: list[Found] = []
        for track in self.tracks(goal):
            if track.slot is None and any(part[0].instance is track.instance for own in found for part in own.parts):
                continue
            found += [Found(((track, track.options[place]),)) for place in self._smallest(goal, track, ())]
        return found

    def _smallest(self, goal: Goal, track: Track, others: tuple[Edit, ...]) -> list[int]:
        """Return the places of the smallest options of a track that reach the goal beside other edits."""

        def does(place: int) -> bool:
            outcome = self.world.after((*others, track.options[place].edit))
            return outcome is not None and goal.met(outcome)

        if not track.ordered:
            return [place for place in track.marks if does(place)]
        before = -1
        for mark in track.marks:
            if does(mark):
                while mark - before > 1:
                    middle = (mark + before) // 2
                    before, mark = (before, middle) if does(middle) else (middle, mark)
                return [mark]
            before = mark
        return []

    def pairs(self, goal: Goal) -> list[Found]:
        """Return small pairs of changes that reach the goal together; at most MOST_PAIRS, from a bounded search."""
        wanted = self._reasons(goal, self.world.start)
        if not wanted:
            return []
        parts = self._weakening(goal, wanted)
        candidates = [
            (one, other)
            for one, other in itertools.combinations(parts, 2)
            if one[0].instance is not other[0].instance or None not in (one[0].slot, other[0].slot)
            if (one[0].instance.id, one[0].slot) != (other[0].instance.id, other[0].slot)
            if one[2] | other[2] >= wanted
        ]
        candidates.sort(key=lambda pair: pair[0][0].options[pair[0][1]].size + pair[1][0].options[pair[1][1]].size)
        found: list[Found] = []
        seen: set[tuple[tuple[str, str], ...]] = set()
        for one, other in candidates[:MOST_PAIR_RUNS]:
            places = tuple(sorted(track.options[place].edit.place for track, place, _ in (one, other)))
            if len(found) >= MOST_PAIRS or any(_smaller(own, places) for own in seen):
                continue
            outcome = self.world.after((one[0].options[one[1]].edit, other[0].options[other[1]].edit))
            if outcome is None or not goal.met(outcome):
                continue
            seen.add(places)
            found.append(self._shrunk(goal, one, other))
        return found

    def _shrunk(self, goal: Goal, one: tuple[Track, int, object], other: tuple[Track, int, object]) -> Found:
        fixed = other[0].options[other[1]]
        first = self._down(goal, one[0], one[1], (fixed.edit,))
        second = self._down(goal, other[0], other[1], (first.edit,))
        return Found(((one[0], first), (other[0], second)))

    def _down(self, goal: Goal, track: Track, place: int, others: tuple[Edit, ...]) -> Option:
        found = self._smallest(goal, track, others) if track.ordered else [place]
        return track.options[found[0] if found else place]

    def _weakening(self, goal: Goal, wanted: frozenset[object]) -> list[tuple[Track, int, frozenset[object]]]:
        """Return options that take away some of the reasons, for each track the nearest for every set of them."""
        found: list[tuple[Track, int, frozenset[object]]] = []
        for track in self.tracks(goal):
            seen: set[frozenset[object]] = set()
            for place in track.marks:
                outcome = self.world.after((track.options[place].edit,))
                gone = wanted - self._reasons(goal, outcome) if outcome is not None else frozenset()
                if gone and gone not in seen:
                    seen.add(gone)
                    found.append((track, place, gone))
        found.sort(key=lambda part: (-len(part[2]), part[0].options[part[1]].size))
        return found[:MOST_PARTS]

    def _reasons(self, goal: Goal, outcome: Outcome) -> frozenset[object]:
        """The firings that demand what the goal wants gone."""
        facts = set(goal.demand.facts)
        return frozenset(
            reason
            for reason in outcome.reasons.get(goal.topic.topic, ())
            if reason[0] in facts  # type: ignore[index]
        )


def _smaller(found: tuple[tuple[str, str], ...], places: tuple[tuple[str, str], ...]) -> bool:
    """Whether a pair found moves the same answers, or only a slot where the other leaves the instance out."""
    return all(any(own == place or (own[0] == place[0] and not place[1]) for own in found) for place in places)
