"""Many demands on one topic become the few that stand: the topic's join over both readings.

`codes` is a union under the cover relation of the topic's table, with the larger figure for a parameter such as
depth; `highest` and `lowest` keep the hardest figure; `notes` keep every different text. What the certain reading
concludes is certain; what only the possible reading adds is open, and is left out where a certain demand covers it.
The result depends on what was concluded, never on the order.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from advisor import quantities
from advisor.engine.compiled import demand_template, spare_template
from advisor.engine.facts import Fact, Justification, Run
from advisor.materials import MaterialVerdict, verdicts
from advisor.rulebook import Rulebook
from advisor.tables import Table
from advisor.values import CLOSE, Span, Words
from advisor.vocabulary import Topic

State = Literal["certain", "open"]
VAGUE = 200.0
"""A temperature that spans more kelvins than this is not known; that it is so many times another says nothing of it."""


@dataclass(frozen=True)
class Demand:
    """What is asked on one topic: a code with its parameters, a figure, or the text of a note."""

    topic: str
    state: State
    item: str = ""
    value: float | None = None
    parameters: Mapping[str, float] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()
    """The parameters, or `value`, that rest on nothing told: the worst that is plausible stands in for them."""
    materials: tuple[MaterialVerdict, ...] = ()
    """For a role: every material that parts of it are made of, with its verdict."""
    texts: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()
    """The demand facts it was joined from; their justifications are its proof."""


@dataclass(frozen=True)
class Spare:
    """A code that may be left out, with the reason."""

    topic: str
    item: str
    text: str
    rule: str


def covers(
    table: Table,
    topic: Topic,
    item: str,
    parameters: Mapping[str, float],
    other: str,
    wanted: Mapping[str, float],
) -> bool:
    """Tell whether a code with its parameters meets another code with the parameters wanted of it."""
    if item != other and other not in table.rows[item].cells.get("covers", ()):
        return False
    needed = dict(wanted)
    if item != other:
        for name in topic.parameters:
            cell = table.rows[other].cells.get(name)
            if cell is not None:
                needed[name] = max(needed.get(name, 0.0), cell[1])
    # A code without its own figure (IPX9, IP6X) owes none; a code that has them must reach what is wanted.
    carried = [name for name in needed if name in parameters or item == other or table.rows[other].cells.get(name)]
    return all(
        parameters.get(name, -math.inf) >= needed[name] * (1 - CLOSE) for name in carried if _owed(table, item, name)
    )


def _owed(table: Table, item: str, name: str) -> bool:
    """A code whose own test fixes the figure in the table brings it with it."""
    return table.rows[item].cells.get(name) is None


def combine(topic: Topic, certain: Run, possible: Run, book: Rulebook) -> list[Demand]:
    """Return the demands on a topic, certain ones first. Empty if nothing is demanded."""
    if topic.join == "materials":
        return _materials(topic, certain, possible, book)
    name = demand_template(topic.topic)
    sure = _worst(certain.of(name), certain, book)
    maybe = _worst(possible.of(name), possible, book)
    maybe = [fact for fact in maybe if fact.id in certain.facts or not _certain_only(fact, possible, book)]
    return join(topic, sure, maybe, book)


def join(topic: Topic, sure: list[Fact], maybe: list[Fact], book: Rulebook) -> list[Demand]:
    """Join the demand facts of both readings on a topic that is not one of materials, certain demands first.

    `maybe` holds no fact that only rules made which say nothing while answers are open.
    """
    if topic.join == "codes":
        return _codes(topic, sure, maybe, book.tables[topic.table or ""])
    if topic.join in ("highest", "lowest"):
        return _figures(topic, sure, maybe)
    return _notes(topic, sure, maybe)


def _certain_only(fact: Fact, run: Run, book: Rulebook) -> bool:
    return all(book.rules[why.rule].certain_only for why in run.justifications[fact.id])


def _worst(facts: list[Fact], run: Run, book: Rulebook) -> list[Fact]:
    """Word each fact by its hardest firing, and of the notes of one rule keep only the hardest.

    Which instance is hardest is named by the rule; the others ask the same in milder words.
    """
    ranked: dict[str, float] = {}
    best: dict[str, float] = {}
    worded: list[Fact] = []
    for fact in facts:
        sizes = [(_size(why, run, book), why) for why in run.justifications[fact.id]]
        size, why = sizes[0] if len(sizes) == 1 else _hardest(sizes)
        text = run.texts.get((fact.id, why.key), fact.text)
        worded.append(fact if text == fact.text else replace(fact, text=text))
        if size is not None:
            ranked[fact.id] = size
            best[_note(fact)] = max(best.get(_note(fact), -math.inf), size)
    kept = [fact for fact in worded if fact.slots or fact.id not in ranked or ranked[fact.id] >= best[_note(fact)]]
    return sorted(kept, key=lambda fact: (-ranked.get(fact.id, 0.0), fact.id))


def _size(why: Justification, run: Run, book: Rulebook) -> float | None:
    """Return the value by which a rule ranks its firings; None for a rule that does not."""
    named = book.rules[why.rule].worst
    if named is None:
        return None
    alias, _, slot = named.partition(".")
    domain = run.facts[dict(why.bound)[alias]].slots.get(slot)
    return domain.high if isinstance(domain, Span) else -math.inf


def _note(fact: Fact) -> str:
    return f"{fact.template}|{fact.id.split('|')[1]}"


def _hardest(sizes: list[tuple[float | None, Justification]]) -> tuple[float | None, Justification]:
    """The firing with the largest value; of several equal ones the first by name."""
    largest = max((size is not None, size or 0.0) for size, _ in sizes)
    equal = [entry for entry in sizes if (entry[0] is not None, entry[0] or 0.0) == largest]
    # The sign at the end puts a name before those that are its beginning.
    return min(equal, key=lambda entry: f"{entry[1].rule} {entry[1].variant} {entry[1].bound}\U0010ffff")


def _codes(topic: Topic, sure: list[Fact], maybe: list[Fact], table: Table) -> list[Demand]:
    certain = _minimal(topic, _by_item(topic, sure, "certain"), table)
    found = _minimal(topic, _by_item(topic, maybe, "open"), table)
    beyond = [
        demand
        for demand in found
        if not any(covers(table, topic, held.item, held.parameters, demand.item, demand.parameters) for held in certain)
    ]
    return [*certain, *beyond]


def _by_item(topic: Topic, facts: list[Fact], state: State) -> list[Demand]:
    grouped: dict[str, list[Fact]] = {}
    for fact in facts:
        item = fact.slots["item"]
        assert isinstance(item, Words)
        grouped.setdefault(next(iter(item.options)), []).append(fact)
    demands = []
    for code, unordered in grouped.items():
        group = sorted(unordered, key=lambda fact: _hardness(topic, fact, state), reverse=True)
        parameters: dict[str, float] = {}
        unknown = []
        for name in topic.parameters:
            spans = [span for fact in group if isinstance(span := fact.slots.get(name), Span)]
            if not spans:
                continue
            parameters[name] = max(span.low if state == "certain" else span.high for span in spans)
            if not any(span.told for span in spans if state == "certain" or span.high == parameters[name]):
                unknown.append(name)
        ids = tuple(fact.id for fact in group)
        demands.append(
            Demand(topic.topic, state, code, None, parameters, tuple(unknown), texts=_texts(group), facts=ids)
        )
    return demands


def _hardness(topic: Topic, fact: Fact, state: State) -> tuple[float, ...]:
    """Return what sorts facts by their parameters, so that the text of the one whose figure is shown comes first."""
    spans = (fact.slots.get(name) for name in topic.parameters)
    return tuple(-math.inf if not isinstance(s, Span) else s.low if state == "certain" else s.high for s in spans)


def _minimal(topic: Topic, demands: list[Demand], table: Table) -> list[Demand]:
    order = list(table.rows)
    kept = [
        demand
        for demand in demands
        if not any(
            other.item != demand.item
            and covers(table, topic, other.item, other.parameters, demand.item, demand.parameters)
            for other in demands
        )
    ]
    return sorted(kept, key=lambda demand: order.index(demand.item))


def _figures(topic: Topic, sure: list[Fact], maybe: list[Fact]) -> list[Demand]:
    up = topic.join == "highest"

    def ends(facts: list[Fact], harder: bool) -> list[tuple[float, Fact]]:
        spans = [(fact.slots["value"], fact) for fact in facts]
        return [(span.high if up == harder else span.low, fact) for span, fact in spans if isinstance(span, Span)]

    best = max if up else min
    demands = []
    certain = ends([fact for fact in sure if _told(fact)], False)
    value = best((figure for figure, _ in certain), default=None)
    if value is not None:
        demands.append(_figure(topic, "certain", value, certain))
    possible = ends(maybe, True)
    hardest = best((figure for figure, _ in possible), default=None)
    new = hardest is not None and (value is None or not math.isclose(hardest, value, rel_tol=CLOSE))
    if hardest is not None and new and (value is None or (hardest > value if up else hardest < value)):
        harder = [(f, fact) for f, fact in possible if value is None or (f > value if up else f < value)]
        demands.append(_figure(topic, "open", hardest, harder))
    return demands


def _figure(topic: Topic, state: State, value: float, found: list[tuple[float, Fact]]) -> Demand:
    found = sorted(found, key=lambda entry: (abs(entry[0] - value), not _told(entry[1]), entry[1].id))
    told = _told(found[0][1]) and not (state == "open" and _vague(topic, found[0][1]))
    unknown = () if told else ("value",)
    texts = _texts([fact for _, fact in found])
    return Demand(
        topic.topic, state, "", value, unknown=unknown, texts=texts, facts=tuple(fact.id for _, fact in found)
    )


def _materials(topic: Topic, certain: Run, possible: Run, book: Rulebook) -> list[Demand]:
    """One demand for a role: what is left of its materials. None if nothing rules out any of them."""
    return of_materials(topic, verdicts(topic.role or "", book.tables["materials"], certain, possible))


def of_materials(topic: Topic, found: list[MaterialVerdict]) -> list[Demand]:
    """Return the demand on the materials of a role by the verdicts on them; none if nothing rules out any."""
    if all(verdict.possible == "resists" for verdict in found):
        return []
    state: State = "certain" if any(verdict.certain != "resists" for verdict in found) else "open"
    facts = {reason.fact for verdict in found for reason in verdict.reasons}
    return [Demand(topic.topic, state, materials=tuple(found), facts=tuple(sorted(facts)))]


def _told(fact: Fact) -> bool:
    value = fact.slots["value"]
    return isinstance(value, Span) and value.told


def _vague(topic: Topic, fact: Fact) -> bool:
    """A temperature that may lie anywhere in hundreds of kelvins says nothing, whatever part of it was told."""
    value = fact.slots["value"]
    wide = isinstance(value, Span) and value.high - value.low > VAGUE
    return wide and topic.unit is not None and quantities.si_unit(topic.unit) == "K" and not topic.difference


def _notes(topic: Topic, sure: list[Fact], maybe: list[Fact]) -> list[Demand]:
    demands: list[Demand] = []
    seen: dict[str, list[Fact]] = {}
    for fact in sure:
        seen.setdefault(fact.text, []).append(fact)
    demands += [
        Demand(topic.topic, "certain", text, texts=(text,), facts=tuple(f.id for f in fs)) for text, fs in seen.items()
    ]
    opened: dict[str, list[Fact]] = {}
    for fact in maybe:
        if fact.text not in seen:
            opened.setdefault(fact.text, []).append(fact)
    return demands + [
        Demand(topic.topic, "open", text, texts=(text,), facts=tuple(f.id for f in fs)) for text, fs in opened.items()
    ]


def _texts(facts: list[Fact]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(fact.text for fact in facts if fact.text))


def spare(topic: Topic, certain: Run, demanded: list[Demand], book: Rulebook) -> list[Spare]:
    """Return what may be left out: codes that rules call spare and that nothing demands, not even possibly."""
    if topic.join != "codes":
        return []
    table = book.tables[topic.table or ""]
    found = []
    for fact in certain.of(spare_template(topic.topic)):
        item = fact.slots["item"]
        assert isinstance(item, Words)
        code = next(iter(item.options))
        # Nothing at or above the code may be demanded: IPX6 makes it wrong to call IPX5 needless.
        if not any(
            code == demand.item or code in table.rows[demand.item].cells.get("covers", ()) for demand in demanded
        ):
            why = certain.justifications[fact.id][0]
            found.append(Spare(topic.topic, code, certain.texts.get((fact.id, why.key), fact.text), why.rule))
    return found
