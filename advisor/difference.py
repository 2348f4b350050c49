"""What became other between two outcomes: demands and notes dropped, eased, new or raised, topic by topic.

Both sides are demands on the same topics, of one site before and after a change of its answers, of two sites, or of
one site under two rulebooks. A note is the same note if the same conclusion of the same rule made it, whatever
figures its wording carries. Open demands count like certain ones, since both bind.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from advisor.rulebook import NOTE_TOPICS, Rulebook
from advisor.topics import Demand, covers
from advisor.values import CLOSE
from advisor.vocabulary import Topic

Kind = Literal["dropped", "eased", "new", "raised", "settled", "opened"]
BETTER: tuple[Kind, ...] = ("dropped", "eased", "settled")
Words = Callable[[Demand], str]


@dataclass(frozen=True)
class Shift:
    """One demand or note that is other afterwards: `before` and `after` are its words, empty where there is none."""

    topic: str
    title: str
    kind: Kind
    before: str = ""
    after: str = ""
    demands: tuple[Demand, ...] = ()
    """What it is about: the demand before, the demand after, or both."""

    @property
    def better(self) -> bool:
        """Whether less is asked of the unit, or more is known."""
        return self.kind in BETTER

    @property
    def note(self) -> bool:
        return self.topic in NOTE_TOPICS


def compare(
    before: Mapping[str, Sequence[Demand]], after: Mapping[str, Sequence[Demand]], book: Rulebook, words: Words
) -> list[Shift]:
    """Return every shift in the order of the topics. `words` says a demand in a few words."""
    found: list[Shift] = []
    for name, topic in book.vocabulary.topics.items():
        old, new = before.get(name, ()), after.get(name, ())
        if old is new or list(old) == list(new):
            continue
        if topic.join == "codes":
            found += _codes(topic, old, new, book, words)
        elif topic.join in ("highest", "lowest"):
            found += _figures(topic, old, new, words)
        elif topic.join == "materials":
            found += _materials(topic, old, new, book)
        else:
            found += _notes(topic, old, new)
    return found


def _codes(topic: Topic, old: Sequence[Demand], new: Sequence[Demand], book: Rulebook, words: Words) -> list[Shift]:
    table = book.tables[topic.table or ""]

    def holds(one: Demand, other: Demand) -> bool:
        return covers(table, topic, one.item, one.parameters, other.item, other.parameters)

    shifts = []
    eased: set[int] = set()
    for demand in old:
        if any(holds(held, demand) for held in new):
            same = next((held for held in new if _same(held, demand)), None)
            if same is not None and same.state != demand.state:
                kind: Kind = "settled" if same.state == "certain" else "opened"
                shifts.append(Shift(topic.topic, topic.title, kind, words(demand), words(same), (demand, same)))
            continue
        milder = next((held for held in new if holds(demand, held) and not any(holds(was, held) for was in old
                      if was is not demand)), None)  # fmt: skip
        if milder is None:
            shifts.append(Shift(topic.topic, topic.title, "dropped", words(demand), "", (demand,)))
        else:
            eased.add(id(milder))
            shifts.append(Shift(topic.topic, topic.title, "eased", words(demand), words(milder), (demand, milder)))
    for demand in new:
        if id(demand) in eased or any(holds(was, demand) for was in old):
            continue
        milder = next((was for was in old if holds(demand, was)), None)
        kind = "new" if milder is None else "raised"
        pair = (demand,) if milder is None else (milder, demand)
        shifts.append(Shift(topic.topic, topic.title, kind, words(milder) if milder else "", words(demand), pair))
    return shifts


def _same(one: Demand, other: Demand) -> bool:
    return one.item == other.item and dict(one.parameters) == dict(other.parameters)


def _figures(topic: Topic, old: Sequence[Demand], new: Sequence[Demand], words: Words) -> list[Shift]:
    was, now = hardest(topic, old), hardest(topic, new)
    if was is None or now is None or was.value is None or now.value is None:
        shifts = [Shift(topic.topic, topic.title, "dropped", words(was), "", (was,))] if was else []
        return shifts + ([Shift(topic.topic, topic.title, "new", "", words(now), (now,))] if now else [])
    if math.isclose(was.value, now.value, rel_tol=CLOSE):
        if was.state == now.state:
            return []
        kind: Kind = "settled" if now.state == "certain" else "opened"
    else:
        kind = "eased" if (now.value < was.value) == (topic.join == "highest") else "raised"
    return [Shift(topic.topic, topic.title, kind, words(was), words(now), (was, now))]


def hardest(topic: Topic, demands: Sequence[Demand]) -> Demand | None:
    """Return the demand that binds on a topic of figures: the hardest of the certain and the open one."""
    pick = max if topic.join == "highest" else min
    return pick(demands, key=lambda demand: demand.value or 0.0, default=None)


def _materials(topic: Topic, old: Sequence[Demand], new: Sequence[Demand], book: Rulebook) -> list[Shift]:
    rows = book.tables["materials"].rows

    def usable(demands: Sequence[Demand]) -> dict[str, bool] | None:
        verdicts = [verdict for demand in demands for verdict in demand.materials]
        return {verdict.material: verdict.possible == "resists" for verdict in verdicts} or None

    was, now = usable(old), usable(new)
    # Where nothing rules out anything there is no demand on the role, and all its materials may be taken.
    every = list(was or now or {})
    back = [rows[key].name for key in every if not (was or {}).get(key, True) and (now or {}).get(key, True)]
    lost = [rows[key].name for key in every if (was or {}).get(key, True) and not (now or {}).get(key, True)]
    shifts = []
    if back:
        shifts.append(Shift(topic.topic, topic.title, "eased", "", _listed(back), (*old, *new)))
    if lost:
        shifts.append(Shift(topic.topic, topic.title, "raised", "", _listed(lost), (*old, *new)))
    return shifts


def _listed(names: list[str], most: int = 6) -> str:
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")


def makers(demand: Demand) -> frozenset[str]:
    """Return the rules, each with the number of its conclusion, that made a note."""
    return frozenset(fact.split("|")[1] for fact in demand.facts)


def _notes(topic: Topic, old: Sequence[Demand], new: Sequence[Demand]) -> list[Shift]:
    """Hold notes against each other by their words; where one conclusion only words it otherwise it is the same."""
    was, now = {demand.item for demand in old}, {demand.item for demand in new}
    gone: dict[str, list[Demand]] = {}
    come: dict[str, list[Demand]] = {}
    for demands, known, kept in ((old, now, gone), (new, was, come)):
        for demand in demands:
            if demand.item not in known:
                kept.setdefault(min(makers(demand)), []).append(demand)
    shifts = []
    for maker in sorted({*gone, *come}):
        left, right = gone.get(maker, []), come.get(maker, [])
        same = min(len(left), len(right))
        shifts += [Shift(topic.topic, topic.title, "dropped", note.item, "", (note,)) for note in left[same:]]
        shifts += [Shift(topic.topic, topic.title, "new", "", note.item, (note,)) for note in right[same:]]
    return shifts
