"""What a relaxation aims at: a demand gone, or eased to a wanted figure, code or material.

A goal is met when nothing on its topic binds any more that is as hard as what it wants gone, neither for certain nor
while an answer is open. Referrals are no goals: what is referred is not relaxed.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Literal

from advisor import quantities
from advisor.difference import hardest, makers
from advisor.faults import Fault, InputError, Place, nearest
from advisor.materials import standing_for
from advisor.quantities import QuantityError
from advisor.rulebook import Rulebook
from advisor.tables import plain
from advisor.topics import Demand, covers
from advisor.values import CLOSE
from advisor.vocabulary import Topic
from advisor.whatif.world import Outcome

LEVELS = "usual_levels"
NEVER = ("refer",)
MOST_MATERIALS = 4
WORTH = {"degC": 2.0}
WORTH_SHARE = 0.05
"""By how much, or by what share of it, a figure must come down for the change to be worth it."""
WHOLE = ("beyond", "conflict")
"""Notes that a whole relaxation of a site aims at too."""


@dataclass(frozen=True)
class Goal:
    """A demand, and what shall become of it. `wanted` is the figure to come down (or up) to, None to drop it."""

    topic: Topic
    demand: Demand
    words: str
    """The demand as it stands."""
    aim: str
    """What is aimed at, after "to": `drop it`, `come down to 60 °C`."""
    wanted: float | None = None
    material: str = ""
    alike: int = 1
    """How many notes the same conclusion makes at the start, for several instances."""
    book: Rulebook = field(repr=False, compare=False, kw_only=True)

    @property
    def state(self) -> Literal["certain", "open"]:
        return self.demand.state

    def met(self, outcome: Outcome) -> bool:
        """Tell whether the goal is reached in an outcome."""
        if self.topic.join == "materials" and self._out(outcome):
            return False
        found = outcome.on(self.topic.topic)
        if self.topic.join == "codes":
            table, own = self.book.tables[self.topic.table or ""], self.demand
            return not any(
                covers(table, self.topic, held.item, held.parameters, own.item, own.parameters) for held in found
            )
        if self.topic.join == "materials":
            verdicts = [v for held in found for v in held.materials if self.material in ("", v.material)]
            return not verdicts or any(verdict.possible == "resists" for verdict in verdicts)
        if self.topic.join == "notes":
            left = [held for held in found if makers(held) & makers(self.demand)]
            return len(left) < self.alike and all(held.item != self.demand.item for held in left)
        return self._mild(hardest(self.topic, found))

    def _out(self, outcome: Outcome) -> bool:
        """A quick look at what is ruled out, which spares the verdicts on all materials where it already says no."""
        role, table = self.topic.role or "", self.book.tables["materials"]
        out = outcome.ruled_out().get(role, frozenset())
        wanted = [self.material] if self.material else [verdict.material for verdict in self.demand.materials]
        return all(out & set(standing_for(table.rows[key], role, table)) for key in wanted)

    def _mild(self, held: Demand | None) -> bool:
        if held is None or held.value is None:
            return True
        if self.wanted is None:
            return False
        slack = CLOSE * max(abs(self.wanted), abs(held.value))
        return held.value <= self.wanted + slack if self.topic.join == "highest" else held.value >= self.wanted - slack


def goals(
    start: Outcome, book: Rulebook, words: Callable[[Demand], str], topic: str = "", value: str = ""
) -> list[Goal]:
    """Return what to aim at: on every topic with demands, or on one, or at one value of it.

    Raises InputError for a value that is none of the topic's.
    """
    found: list[Goal] = []
    for name, entry in book.vocabulary.topics.items():
        if name in NEVER or (topic and name != topic):
            continue
        if not topic and entry.join == "notes" and name not in WHOLE:
            continue
        demands = start.on(name)
        if entry.join == "codes":
            found += _codes(entry, demands, book, words, value)
        elif entry.join == "materials":
            found += _materials(entry, demands, book, words, value, bool(topic))
        elif entry.join == "notes":
            alike = [sum(bool(makers(held) & makers(other)) for other in demands) for held in demands]
            found += [
                Goal(entry, held, held.item, "be rid of it", alike=count, book=book)
                for held, count in zip(demands, alike, strict=True)
            ]
        else:
            found += _figures(entry, demands, book, words, value)
    return found


def _codes(
    topic: Topic, demands: Iterable[Demand], book: Rulebook, words: Callable[[Demand], str], value: str
) -> list[Goal]:
    wanted = ""
    if value:
        rows = book.tables[topic.table or ""].rows
        named = {plain(word).replace(" ", ""): key for key, row in rows.items() for word in (key, row.name)}
        wanted = named.get(plain(value).replace(" ", ""), "")
        if not wanted:
            raise _unknown(topic, value, [row.name for row in rows.values()])
    return [
        Goal(topic, held, words(held), "drop it", book=book)
        for held in demands
        if not wanted or held.item == wanted or wanted in book.tables[topic.table or ""].rows[held.item].cells.get(
            "covers", ())
    ]  # fmt: skip


def _figures(
    topic: Topic, demands: Iterable[Demand], book: Rulebook, words: Callable[[Demand], str], value: str
) -> list[Goal]:
    held = hardest(topic, list(demands))
    unit = topic.unit or ""
    if held is None or held.value is None:
        return []
    wanted: float | None = None
    if value:
        try:
            low, high = quantities.parse(value, unit, difference=topic.difference)
            wanted = high if math.isinf(low) else low
        except QuantityError as problem:
            raise InputError([Fault(Place("relax"), f"{topic.topic}: {problem.what}", problem.accepted)]) from None
    else:
        up, slack = topic.join == "highest", WORTH.get(unit, WORTH_SHARE * abs(held.value))
        milder = [
            level for level in levels(topic, book) if (level < held.value - slack if up else level > held.value + slack)
        ]
        wanted = (max if up else min)(milder, default=None) if not held.unknown else None
    way = "come down to" if topic.join == "highest" else "need no more than"
    shown = quantities.show(wanted, unit, difference=topic.difference) if wanted is not None else ""
    return [Goal(topic, held, words(held), f"{way} {shown}" if shown else "drop it", wanted, book=book)]


def levels(topic: Topic, book: Rulebook) -> list[float]:
    """Return the figures in which units are commonly offered on a topic, in coherent SI."""
    table = book.tables.get(LEVELS)
    found: list[float] = []
    for row in table.rows.values() if table else ():
        if row.cells["topic"] == topic.topic:
            found += [
                quantities.parse(t, topic.unit or "", difference=topic.difference)[0] for t in row.cells["levels"]
            ]
    return found


def _materials(
    topic: Topic, demands: Iterable[Demand], book: Rulebook, words: Callable[[Demand], str], value: str, named: bool
) -> list[Goal]:
    """Aim at any material where none is left; where the topic is asked for, at the preferred ones that are out."""
    rows = book.tables["materials"].rows
    found = []
    for held in demands:
        order = [verdict.material for verdict in held.materials]
        left = {verdict.material for verdict in held.materials if verdict.possible == "resists"}
        if value:
            wanted = [key for key in order if plain(value) in (plain(key), plain(rows[key].name))]
            if not wanted:
                raise _unknown(topic, value, [rows[key].name for key in order])
        else:
            wanted = [key for key in order if key not in left][:MOST_MATERIALS] if named and left else []
            if not left:
                found.append(Goal(topic, held, words(held), "leave any material", book=book))
        found += [
            Goal(topic, held, words(held), f"may take {rows[key].name}", None, key, book=book)
            for key in wanted
            if key not in left
        ]
    return found


def _unknown(topic: Topic, value: str, known: list[str]) -> InputError:
    return InputError([Fault(Place("relax"), f"{value!r} is no value of {topic.topic}", nearest(value, known))])
