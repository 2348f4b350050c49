"""What changed between two states of a site, or of one site under two rulebooks, and why.

Answers are held against each other instance by instance: entries that may stand several times by their name, the
others by their order. Every shift of a demand or note names the rules that no longer conclude it, those that newly
do, and the changed answers on which they rest.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from advisor.advise import Advice, Advisor
from advisor.difference import Shift, compare, makers
from advisor.engine.wording import say
from advisor.report.requirement import DocumentBuilder
from advisor.rulebook import NOTE_TOPICS, Rulebook
from advisor.site import Instance, Site
from advisor.topics import Demand
from advisor.values import Absent
from advisor.whatif.leaves import Leaf, Leaves, rules_of

NOTHING = "not told of"


@dataclass(frozen=True)
class AnswerChange:
    """One answer that is other: what it is about, both values in words, and its place on either side."""

    about: str
    before: str
    after: str
    places: frozenset[Leaf]


@dataclass(frozen=True)
class Revised:
    """A shift with why."""

    shift: Shift
    rules_gone: tuple[str, ...]
    rules_new: tuple[str, ...]
    because: tuple[str, ...]


@dataclass(frozen=True)
class Revision:
    """All that changed."""

    answers: tuple[AnswerChange, ...]
    shifts: tuple[Revised, ...]


def revise(before: Advice, after: Advice, old: Advisor, new: Advisor) -> Revision:
    """Return what changed from one advice to the other; the two advisors hold the two rulebooks."""
    answers = changed_answers(before.site, after.site, new.book)
    builder = DocumentBuilder(after, new)
    found = compare(_by_topic(before), _by_topic(after), new.book, builder.headline)
    traces = [
        Leaves(advice.possible, advice.site, advisor.loaded.rules, advisor.book)
        for advice, advisor in ((before, old), (after, new))
    ]
    return Revision(tuple(answers), tuple(_revised(shift, before, after, traces, answers) for shift in found))


def _by_topic(advice: Advice) -> Mapping[str, list[Demand]]:
    found: dict[str, list[Demand]] = {}
    for demand in (*advice.demands, *(note for notes in advice.notes.values() for note in notes)):
        found.setdefault(demand.topic, []).append(demand)
    return found


def _revised(shift: Shift, before: Advice, after: Advice, traces: list[Leaves], answers: list[AnswerChange]) -> Revised:
    # A demand on the side of `before` has its facts in that run; what both sides demand alike explains nothing.
    sides = []
    for advice in (before, after):
        held = [d for d in advice.on(shift.topic) if _about(d, shift)]
        sides.append({fact for demand in held for fact in demand.facts})
    rules = [rules_of(facts, advice.possible) for facts, advice in zip(sides, (before, after), strict=True)]
    because: list[str] = []
    for facts, leaves in zip(sides, traces, strict=True):
        for fact in sorted(facts):
            for place in (place for way in leaves.of_fact(fact) for place in way):
                because += [f"{a.about}: {a.before}, now {a.after}" for a in answers if place in a.places]
    return Revised(
        shift, tuple(sorted(rules[0] - rules[1])), tuple(sorted(rules[1] - rules[0])), tuple(dict.fromkeys(because))
    )


def _about(demand: Demand, shift: Shift) -> bool:
    """Whether a demand on a side is one of those that the shift is about."""
    if shift.topic in NOTE_TOPICS:
        return any(makers(demand) & makers(own) for own in shift.demands)
    if demand.item:
        return any(demand.item == own.item for own in shift.demands)
    return True


def changed_answers(before: Site, after: Site, book: Rulebook) -> list[AnswerChange]:
    """Return every answer that says something else on the other side."""
    found: list[AnswerChange] = []
    for name, template in book.vocabulary.templates.items():
        for one, other in _aligned(name, before, after):
            label = (other or one).label if (other or one) else ""  # type: ignore[union-attr]
            where = name.replace("_", " ") + (f" ({label})" if label else "")
            if one is None or other is None:
                known = one or other
                assert known is not None
                places = frozenset((known.id, slot) for slot in known.answers)
                told = _told(known, book)
                if told:
                    found.append(AnswerChange(where, told if one else NOTHING, told if other else NOTHING, places))
                continue
            for slot in template.slots:
                was, now = one.answers[slot.slot], other.answers[slot.slot]
                if was.domain == now.domain or (isinstance(was.domain, Absent) and isinstance(now.domain, Absent)):
                    continue
                words = [
                    say(answer.domain, slot, book) + (" (assumed)" if answer.origin == "assumed" else "")
                    for answer in (was, now)
                ]
                if words[0] == words[1]:
                    continue
                places = frozenset([(one.id, slot.slot), (other.id, slot.slot)])
                found.append(AnswerChange(f"{where}, {slot.slot.replace('_', ' ')}", words[0], words[1], places))
    return found


def _told(instance: Instance, book: Rulebook) -> str:
    slots = book.vocabulary.templates[instance.template].by_name
    return ", ".join(
        f"{name.replace('_', ' ')} {say(answer.domain, slots[name], book)}"
        for name, answer in instance.answers.items()
        if answer.origin in ("told", "preset") and not isinstance(answer.domain, Absent)
    )


def _aligned(template: str, before: Site, after: Site) -> list[tuple[Instance | None, Instance | None]]:
    old = [instance for instance in before.instances if instance.template == template]
    new = [instance for instance in after.instances if instance.template == template]
    pairs: list[tuple[Instance | None, Instance | None]] = []
    for instance in list(new):
        mate = next((one for one in old if one.label and one.label == instance.label), None)
        if mate is not None:
            pairs.append((mate, instance))
            old.remove(mate)
            new.remove(instance)
    while old and new:
        pairs.append((old.pop(0), new.pop(0)))
    return pairs + [(one, None) for one in old] + [(None, other) for other in new]
