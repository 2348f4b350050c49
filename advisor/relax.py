"""Which smallest change of a site drops or lowers a demand, and what else that change does.

`Relaxer(advisor, site).changes(topic, value)` gives the changes for one topic; `relaxations` gives them goal by goal
with the answers that would settle an open demand, for one topic or for all. Every change that is given has been run,
on all topics, and carries everything that it shifts, for better or worse. It is true only of a plant that has really
been changed so; what is referred (explosive atmospheres, safety functions and the like) is no goal, and a change
that lets a referral go says so. The raising of EngineError is that of every run.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from advisor.advise import Advisor
from advisor.difference import Shift, compare
from advisor.report.requirement import DocumentBuilder
from advisor.rulebook import NOTE_TOPICS
from advisor.site import Site
from advisor.topics import Demand
from advisor.vocabulary import Topic
from advisor.whatif.edits import Edit
from advisor.whatif.goals import Goal, goals
from advisor.whatif.search import Found, Search
from advisor.whatif.settle import Settled, Settler
from advisor.whatif.tracks import thresholds, tracks
from advisor.whatif.world import Outcome, World

MOST_CHANGES = 6


@dataclass(frozen=True)
class Step:
    """One answer that is moved: what it is, from where to where, by what, and to which step the figure is rounded."""

    about: str
    before: str
    after: str
    lever: str
    effort: str
    rounded: str = ""

    @property
    def text(self) -> str:
        if self.after == LEFT_OUT:
            return f"{self.about} {LEFT_OUT}"
        return f"{self.about} from {self.before} to {self.after}"


LEFT_OUT = "left out"


@dataclass(frozen=True)
class Change:
    """A change of one answer or two that reaches a goal, and everything that it shifts."""

    steps: tuple[Step, ...]
    edits: tuple[Edit, ...]
    then: str
    """What is still asked on the topic afterwards, in a few words."""
    shifts: tuple[Shift, ...] = ()
    """Everything that is other afterwards, the goal itself included."""
    instead: tuple[str, ...] = ()
    """Other words for the one answer that is moved, which do as well and ask no more."""
    size: float = 0.0
    site: Site | None = field(default=None, repr=False, compare=False)

    @property
    def text(self) -> str:
        return " and ".join(step.text for step in self.steps)

    @property
    def better(self) -> list[Shift]:
        return [shift for shift in self.shifts if shift.better and not shift.note]

    @property
    def worse(self) -> list[Shift]:
        return [shift for shift in self.shifts if not shift.better and shift.topic not in ("evidence", "practice")]

    @property
    def referrals(self) -> list[Shift]:
        """Referrals that the changed answers would no longer make: for the competent person, never a gain."""
        return [shift for shift in self.shifts if shift.topic == "refer" and shift.kind == "dropped"]

    @property
    def lines(self) -> list[str]:
        """The change in a few lines of plain text, the first the change itself."""
        effort = "; ".join(dict.fromkeys(f"{step.lever}: {step.effort}" for step in self.steps))
        steps = ", ".join(dict.fromkeys(step.rounded for step in self.steps if step.rounded))
        instead = f", or {', '.join(self.instead)}" if self.instead else ""
        lines = [self.text + instead + (f" (in steps of {steps})" if steps else ""), effort, f"Then: {self.then}."]
        lines += [f"Asks more: {said(shift)}" for shift in self.worse]
        lines += [f"Referral not made any more: {shift.before}" for shift in self.referrals]
        return lines


def said(shift: Shift) -> str:
    """Return a shift in one line."""
    if shift.title and shift.topic.startswith("material."):
        return f"{shift.title}: {'may be taken again' if shift.better else 'no longer to be taken'}: {shift.after}"
    if shift.note:
        return shift.before or shift.after
    if shift.before and shift.after:
        return f"{shift.title}: {shift.after} instead of {shift.before}"
    return f"{shift.title}: {shift.before or shift.after}"


@dataclass(frozen=True)
class Relaxation:
    """A goal with the changes that reach it, smallest and least harmful first; none if nothing movable does."""

    goal: Goal
    changes: tuple[Change, ...]
    settled: tuple[Settled, ...] = ()
    more: int = 0
    """Changes that reach it too and are not shown."""
    paired: bool = False
    """Whether the changes are pairs, since no single one reaches the goal."""

    @property
    def topic(self) -> Topic:
        return self.goal.topic


class Relaxer:
    """Answers what would change the demands on one site. Raises EngineError for a site that cannot be evaluated."""

    def __init__(self, advisor: Advisor, site: Site) -> None:
        self.advisor, self.site, self.book = advisor, site, advisor.book
        self._worlds: dict[bool, World] = {}
        self._shifts: dict[frozenset[Edit], tuple[Shift, ...]] = {}

    def world(self, *, materials: bool = False) -> World:
        """Return the site's world, made once; with the materials of parts only where they are asked for."""
        if materials not in self._worlds:
            self._worlds[materials] = World(self.advisor, self.site, materials=materials)
        return self._worlds[materials]

    def changes(self, topic: str, item: str | None = None) -> list[Change]:
        """Return the changes that drop or lower what is demanded on a topic, or one value of it."""
        found = self.relaxations(topic, item or "")
        return [change for relaxation in found for change in relaxation.changes]

    def relaxations(self, topic: str = "", value: str = "") -> list[Relaxation]:
        """Return what to aim at and how, for one topic or all. Raises InputError for a value the topic has not."""
        world = self.world()
        builder = DocumentBuilder(world.advice, self.advisor)
        found = goals(world.start, self.book, builder.headline, topic, value)
        paths = tracks(self.site, self.book, thresholds(self.advisor.loaded.rules))
        searches: dict[bool, Search] = {}
        settlers: dict[bool, Settler] = {}
        relaxations = []
        for goal in found:
            materials = goal.topic.join == "materials"
            if materials not in searches:
                searches[materials] = Search(self.world(materials=materials), paths)
                settlers[materials] = Settler(self.world(materials=materials), self.advisor)
            relaxations.append(self._relaxation(goal, searches[materials], settlers[materials], builder))
        return relaxations

    def _relaxation(self, goal: Goal, search: Search, settler: Settler, builder: DocumentBuilder) -> Relaxation:
        settled = settler.settled(goal) if goal.state == "open" else ()
        found = search.singles(goal)
        paired = not found and not settled
        if paired:
            found = search.pairs(goal)
        changes = [change for own in found if (change := self._change(goal, own, builder)) is not None]
        changes.sort(key=lambda change: (len(change.referrals), len(change.worse), change.size, change.text))
        changes = _gathered(changes)
        return Relaxation(goal, tuple(changes[:MOST_CHANGES]), settled, max(0, len(changes) - MOST_CHANGES), paired)

    def _change(self, goal: Goal, found: Found, builder: DocumentBuilder) -> Change | None:
        outcome = self.world().whole(found.edits)
        if outcome is None or not goal.met(outcome):
            return None
        steps = tuple(
            Step(
                about=about(track.instance.template, track.instance.label, track.slot.slot if track.slot else ""),
                before=track.now,
                after=option.said,
                lever=track.lever,
                effort=track.effort,
                rounded=option.step,
            )
            for track, option in found.parts
        )
        shifts = self._shifted(outcome, builder)
        if any(shift.topic == "conflict" and shift.kind == "new" for shift in shifts):
            # Answers that clash are no change of the plant but a contradiction.
            return None
        return Change(steps, found.edits, _then(goal, outcome, builder), shifts, (), found.size, outcome.site)

    def _shifted(self, outcome: Outcome, builder: DocumentBuilder) -> tuple[Shift, ...]:
        """Return everything that an outcome shifts; worked out once for a change that serves many goals."""
        key = frozenset(outcome.edits)
        if key not in self._shifts:
            names = self.book.vocabulary.topics
            before, after = _topics(self.world().start, names), _topics(outcome, names)
            self._shifts[key] = tuple(compare(before, after, self.book, builder.headline))
        return self._shifts[key]


def _gathered(changes: list[Change]) -> list[Change]:
    """Name with a change the other words to which the same single answer could go; they stand behind it."""
    kept: dict[object, Change] = {}
    for change in changes:
        step = change.steps[0]
        alone = len(change.steps) == 1 and not step.rounded and step.after != LEFT_OUT
        asked = tuple(said(shift) for shift in (*change.worse, *change.referrals))
        key: object = (change.edits[0].place, asked) if alone else change.edits
        first = kept.setdefault(key, change)
        if first is not change:
            kept[key] = replace(first, instead=(*first.instead, step.after))
    return list(kept.values())


def about(template: str, label: str, slot: str) -> str:
    """Return what an answer is about, for example `wash (hot rinse), pressure`."""
    where = template.replace("_", " ") + (f" ({label})" if label else "")
    return f"{where}, {slot.replace('_', ' ')}" if slot else where


def _topics(outcome: Outcome, names: Iterable[str]) -> dict[str, tuple[Demand, ...]]:
    return {name: outcome.on(name) for name in names}


def _then(goal: Goal, outcome: Outcome, builder: DocumentBuilder) -> str:
    left = outcome.on(goal.topic.topic)
    if goal.topic.topic in NOTE_TOPICS:
        return "it falls away"
    words = [builder.headline(demand) + (" (open)" if demand.state == "open" else "") for demand in left]
    return "; ".join(words) if words else "nothing is asked on it"
