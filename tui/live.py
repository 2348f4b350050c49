"""The requirement sheet while somebody types: the advice by the quick evaluator, as rows that a list can show.

The quick evaluators give the same runs as the engine of record (property tests hold them together) in a part of the
time; proofs and reports are made from the engine of record, on demand. Nothing here knows a screen.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.advise import Advice, Advisor
from advisor.document import Condition, Proof
from advisor.interview import Interviewer, OpenQuestion
from advisor.report.requirement import DocumentBuilder
from advisor.rulebook import Rulebook
from advisor.site import Site
from advisor.topics import Demand
from tui.reckon import Reckoner

NOTES = (
    ("beyond", "Beyond every published test"),
    ("evidence", "Papers and test reports to ask for"),
    ("practice", "How to mount and use it"),
    ("caution", "Cautions"),
)
STOP, CLASH = "Stop: outside this tool", "Clashes"
REFER, DOUBT = "To be referred unless an open answer excludes it", "Clashes unless an open answer excludes them"
SURE, OPEN, SPARE = "The unit must have", "Open, and binding until it is answered", "Not needed"
UNUSED = "On answers"


@dataclass(frozen=True)
class Row:
    """One line of the sheet: where it stands, what it says, and how sure it is.

    `key` names the same thing from one sheet to the next, so that a change can be marked.
    """

    key: str
    section: str
    title: str
    text: str
    why: str = ""
    state: str = ""
    """certain, open, or empty where there is nothing to be sure of."""
    topic: str = ""
    item: str = ""
    demand: Demand | None = None


@dataclass(frozen=True)
class Sheet:
    """All rows in the order in which they are read, the open questions, and the advice they come from."""

    advice: Advice
    rows: tuple[Row, ...]
    questions: tuple[OpenQuestion, ...]

    def by_key(self) -> dict[str, Row]:
        return {row.key: row for row in self.rows}

    def counts(self) -> tuple[int, int]:
        """Return how many demands are certain and how many open."""
        states = [row.state for row in self.rows if row.section in (SURE, OPEN)]
        return states.count("certain"), states.count("open")


@dataclass(frozen=True)
class Changes:
    """What is new, what reads otherwise and what is gone, by the keys of the rows."""

    new: frozenset[str] = frozenset()
    other: frozenset[str] = frozenset()
    gone: tuple[Row, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.new or self.other or self.gone)


def sheet(reckoner: Reckoner, site: Site) -> Sheet:
    """Return the sheet of a site. Raises EngineError."""
    advice = reckoner.advise(site)
    builder = DocumentBuilder(advice, reckoner.advisor)
    rows = _rows(advice, builder)
    questions = Interviewer(advice, advice.rules, reckoner.book).questions()
    return Sheet(advice, tuple(rows), tuple(questions))


def _rows(advice: Advice, builder: DocumentBuilder) -> list[Row]:
    refer = advice.notes["refer"]
    rows = [_note(entry, STOP) for entry in refer if entry.state == "certain"]
    rows += [Row(f"unused|{text}", UNUSED, "", text) for text in advice.site.unused]
    clashes = advice.notes["conflict"]
    rows += [_note(entry, CLASH) for entry in clashes if entry.state == "certain"]
    demands = [_demand(entry, builder) for entry in advice.demands]
    rows += [row for row in demands if row.state == "certain"]
    rows += [row for row in demands if row.state == "open"]
    rows += [_note(entry, REFER) for entry in refer if entry.state == "open"]
    rows += [_note(entry, DOUBT) for entry in clashes if entry.state == "open"]
    for topic, section in NOTES:
        rows += sorted((_note(entry, section) for entry in advice.notes[topic]), key=lambda row: row.state)
    for spare in advice.spares:
        title = builder.book.vocabulary.topics[spare.topic].title
        name = builder.code(Demand(spare.topic, "certain", spare.item))
        rows.append(
            Row(f"spare|{spare.topic}|{spare.item}", SPARE, title, name, spare.text, "", spare.topic, spare.item)
        )
    return rows


def _demand(demand: Demand, builder: DocumentBuilder) -> Row:
    topic = builder.book.vocabulary.topics[demand.topic]
    head = builder.headline(demand)
    why = next((text for text in demand.texts if text != head), "")
    # A figure may stand twice on one topic, what is certain and what is open beyond it.
    part = demand.item or (demand.state if demand.value is not None else "")
    section = SURE if demand.state == "certain" else OPEN
    key = f"{demand.topic}|{part}"
    return Row(key, section, topic.title, head, why, demand.state, demand.topic, demand.item, demand)


def _note(entry: Demand, section: str) -> Row:
    return Row(f"{entry.topic}|{entry.item}", section, "", entry.item, "", entry.state, entry.topic, "", entry)


def nearest(row: Row, sheet: Sheet, advisor: Advisor) -> Condition | None:
    """Return the told value behind a row that stands nearest to its threshold, as a part of the value; None without."""
    return _nearest(row, sheet, DocumentBuilder(sheet.advice, advisor))


def margins(sheet: Sheet, advisor: Advisor) -> dict[str, Condition]:
    """Return for the key of every demand the value behind it that stands nearest to its threshold.

    A number without a unit, such as a year, has no nought to measure from and is left out.
    """
    builder = DocumentBuilder(sheet.advice, advisor)
    found = {row.key: _nearest(row, sheet, builder) for row in sheet.rows if row.section in (SURE, OPEN)}
    return {key: condition for key, condition in found.items() if condition is not None and condition.value.unit}


def _nearest(row: Row, sheet: Sheet, builder: DocumentBuilder) -> Condition | None:
    if row.demand is None:
        return None
    proof = (
        builder.note(row.demand).proof if row.demand.topic in sheet.advice.notes else builder.demand(row.demand).proof
    )
    found = [c for c in _conditions(proof) if c.margin is not None and c.value.high and c.origin != "concluded"]
    return min(found, key=lambda c: abs(c.margin or 0.0) / abs(c.value.high or 1.0), default=None)


def _conditions(proof: Proof) -> Iterable[Condition]:
    for reason in proof.reasons:
        yield from reason.conditions
        for inner in reason.rests_on:
            yield from _conditions(inner)


def names(question: OpenQuestion, book: Rulebook) -> list[str]:
    """Name what hangs on a question: codes by their names, figures and notes by their topic."""
    found = []
    for demand in question.demands:
        topic = book.vocabulary.topics[demand.topic]
        row = book.tables[topic.table].rows.get(demand.item) if topic.table else None
        found.append(row.name if row is not None else topic.title.lower())
    return list(dict.fromkeys(found))


def changes(before: Sheet | None, after: Sheet) -> Changes:
    """Return what differs between two sheets; nothing if there was none before."""
    if before is None:
        return Changes()
    old, new = before.by_key(), after.by_key()
    return Changes(
        frozenset(new.keys() - old.keys()),
        frozenset(key for key in new.keys() & old.keys() if _said(new[key]) != _said(old[key])),
        tuple(row for key, row in old.items() if key not in new and row.section in (SURE, OPEN, STOP)),
    )


def _said(row: Row) -> tuple[str, str]:
    return row.text, row.state
