"""Which answer to an open question would drop an open demand: not a change of the plant but a fact to be settled.

The questions are those that the demand's proof hangs on. Each allowed word is run; for a quantity both ends of every
stretch between thresholds are run and the turning points found by halving, so that the answer is given as intervals.
"""

from dataclasses import dataclass

from advisor.advise import Advisor
from advisor.engine.conditions import words_of
from advisor.interview import Interviewer
from advisor.site import Instance
from advisor.values import Span, Words
from advisor.vocabulary import Slot
from advisor.whatif.edits import Edit
from advisor.whatif.goals import Goal
from advisor.whatif.rungs import Scale, scale
from advisor.whatif.tracks import thresholds
from advisor.whatif.world import World

MOST_WORDS = 60
MOST_SHOWN = 5


@dataclass(frozen=True)
class Settled:
    """An open question, and the answers to it that drop the demand, in words and as edits that were run."""

    instance: Instance
    slot: str
    ask: str
    answers: tuple[str, ...]
    edits: tuple[Edit, ...]

    @property
    def text(self) -> str:
        more = f" or {len(self.answers) - MOST_SHOWN} more" if len(self.answers) > MOST_SHOWN else ""
        return f"{self.ask} It is dropped if the answer is {', or '.join(self.answers[:MOST_SHOWN])}{more}."


class Settler:
    """Finds the settling answers in one world."""

    def __init__(self, world: World, advisor: Advisor) -> None:
        self.world, self.book = world, advisor.book
        self._interviewer = Interviewer(world.advice, world.advice.rules, self.book)
        self._marks = thresholds(advisor.loaded.rules)
        self._instances = world.site.by_id()

    def settled(self, goal: Goal) -> tuple[Settled, ...]:
        """Return every open question of which some answer by itself drops the demand."""
        keys = sorted({key for fact in goal.demand.facts for key in self._interviewer.deciders(fact)})
        found = [self._one(goal, self._instances[identity], name) for identity, name in keys]
        return tuple(entry for entry in found if entry is not None)

    def _one(self, goal: Goal, instance: Instance, name: str) -> Settled | None:
        template = self.book.vocabulary.templates[instance.template]
        slot = template.by_name[name]
        where = f"{instance.label}: " if instance.label else ""
        if not instance.certain:
            edit = Edit(template.template, template.template, "")
            told = f"none: there is no {template.template.replace('_', ' ')} at this point"
            found = [(told, edit)] if self._does(goal, edit) else []
        else:
            domain = instance.answers[name].domain
            found = self._words(goal, instance, slot, domain) if isinstance(domain, Words) else []
            found = self._spans(goal, instance, slot, domain) if isinstance(domain, Span) else found
        if not found:
            return None
        return Settled(instance, name, where + slot.ask, tuple(words for words, _ in found), tuple(e for _, e in found))

    def _does(self, goal: Goal, edit: Edit) -> bool:
        outcome = self.world.after((edit,))
        return outcome is not None and goal.met(outcome)

    def _words(self, goal: Goal, instance: Instance, slot: Slot, domain: Words) -> list[tuple[str, Edit]]:
        known = [word for word in words_of(slot, self.book.tables) if word in domain.options]
        names = self.book.tables[slot.row].rows if slot.row else {}
        edits = [(word, Edit(instance.template, instance.id, slot.slot, word)) for word in known[:MOST_WORDS]]
        return [(names[w].name if w in names else w, edit) for w, edit in edits if self._does(goal, edit)]

    def _spans(self, goal: Goal, instance: Instance, slot: Slot, domain: Span) -> list[tuple[str, Edit]]:
        along = scale(slot)
        rungs = [rung for rung in along.rungs if domain.low <= rung <= domain.high]
        if not rungs:
            return []
        figures = self._marks.get((instance.template, slot.slot), ())
        places = {0, len(rungs) - 1}
        for figure in figures:
            near = sum(rung < figure for rung in rungs)
            places |= {place for place in (near - 1, near, near + 1) if 0 <= place < len(rungs)}

        def edit(place: int) -> Edit:
            return Edit(instance.template, instance.id, slot.slot, along.written(rungs[place]))

        def does(place: int) -> bool:
            return self._does(goal, edit(place))

        stretches: list[list[int]] = []
        before: int | None = None
        for place in sorted(places):
            now = does(place)
            was = bool(stretches) and stretches[-1][1] == before
            if before is not None and was != now:
                low, high = before, place
                while high - low > 1:
                    middle = (low + high) // 2
                    low, high = (middle, high) if does(middle) == was else (low, middle)
                if was:
                    stretches[-1][1] = low
                else:
                    stretches.append([high, place])
            elif now:
                if was:
                    stretches[-1][1] = place
                else:
                    stretches.append([place, place])
            before = place
        last = len(rungs) - 1
        return [(_said(along, rungs, low, high, last), edit(low)) for low, high in stretches]


def _said(along: Scale, rungs: list[float], low: int, high: int, last: int) -> str:
    if low == 0 and high == last:
        return "anything"
    if low == 0:
        return f"at most {along.said(rungs[high])}"
    if high == last:
        return f"at least {along.said(rungs[low])}"
    return f"between {along.said(rungs[low])} and {along.said(rungs[high])}"
