"""Audits the rows of a catalogue and puts the units in order.

Every different cell of a column is read once, and every different set of claims on a topic is judged once; of a row
only its verdict and its counts are kept, shared with all rows that fare alike. So the cost grows with the number of
rows for the look-ups alone, and the memory by about a name a row. The cells of the best rows are kept, so that they can
be shown in full. The verdicts are those of `Auditor.audit` on the same row, held by a test.
"""

from bisect import insort
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from advisor.audit import Audit, Auditor, Verdict, rank, verdict
from advisor.catalogue.columns import Column, ColumnMap
from advisor.catalogue.rows import Row
from advisor.claims import Claim
from advisor.faults import Fault, InputError, Place
from advisor.notation.errors import LexiconError, TextTooLongError
from advisor.outcomes import Outcome
from advisor.sheet import SheetReader, UnitSheet, doubts, read_entry, vocabulary_fault

NOTICE_EVERY = 1_000
"""Rows between two words on progress."""
Rank = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Fate:
    """How a unit fares, shared by all units that fare alike."""

    verdict: Verdict
    rank: Rank
    held: bool
    outcomes: tuple[Outcome | None, ...]
    """By demand, in the order of `Ranking.demands`; None where the demand does not concern the unit."""

    @property
    def order(self) -> tuple[object, ...]:
        """What puts units in order, the best first."""
        return *self.rank[:3], self.held, self.rank[3]


@dataclass(frozen=True, slots=True)
class Result:
    """One unit of a catalogue."""

    name: str
    source: str
    line: int
    fate: Fate

    @property
    def order(self) -> tuple[object, ...]:
        return *self.fate.order, self.name, self.line


@dataclass(frozen=True, slots=True, eq=False)
class _Cell:
    """What one cell says: its claims by the number of the topic, the parts it speaks of, what holds the unit back."""

    number: int
    claims: tuple[tuple[int, tuple[Claim, ...]], ...]
    parts: frozenset[str]
    doubts: bool


@dataclass
class Ranking:
    """All units of an audit with the best of them in full."""

    demands: tuple[tuple[str, int], ...]
    """(topic, number within the topic) of every demand, in the order of `Fate.outcomes`."""
    results: list[Result] = field(default_factory=list)
    best: list[tuple[tuple[object, ...], UnitSheet | tuple[ColumnMap, str, Row]]] = field(default_factory=list)

    def counts(self) -> Counter[str]:
        """How many units have which verdict."""
        return Counter(result.fate.verdict for result in self.results)

    def tallies(self) -> list[Counter[Outcome | None]]:
        """How the units fare on each demand."""
        fates = Counter(result.fate for result in self.results)
        found: list[Counter[Outcome | None]] = [Counter() for _ in self.demands]
        for fate, times in fates.items():
            for tally, outcome in zip(found, fate.outcomes, strict=True):
                tally[outcome] += times
        return found

    def ordered(self) -> list[Result]:
        """The units, the best first."""
        return sorted(self.results, key=lambda result: result.order)


class CatalogueAuditor:
    """Audits catalogues and sheets against one advice; keeps the best `top` for a closer look."""

    def __init__(self, auditor: Auditor, reader: SheetReader, top: int) -> None:
        self.auditor, self.reader, self.top = auditor, reader, top
        self.topics = list(auditor.demands)
        self.number_of = {topic: number for number, topic in enumerate(self.topics)}
        demands = ((topic, number) for topic, own in auditor.demands.items() for number in range(len(own)))
        self.ranking = Ranking(tuple(demands))
        self._judged: dict[tuple[object, ...], tuple[Outcome | None, ...]] = {}
        self._surplus: dict[tuple[object, ...], int] = {}
        self._fates: dict[tuple[object, ...], Fate] = {}

    def add(self, audit: Audit) -> None:
        """Enter a unit whose sheet was audited by itself."""
        found = {(finding.demand.topic, id(finding.demand)): finding.outcome for finding in audit.findings}
        outcomes = tuple(
            found.get((topic, id(demand))) for topic, own in self.auditor.demands.items() for demand in own
        )
        fate = self._fate(outcomes, audit.rank[3], bool(audit.held_back))
        self._enter(Result(audit.unit.name, audit.unit.source, 0, fate), audit.unit)

    def catalogue(
        self, source: str, columns: ColumnMap, rows: Iterable[Row], notice: Callable[[float], None] = lambda _: None
    ) -> None:
        """Audit every row. Raises InputError."""
        known: dict[tuple[int, str], _Cell] = {}
        read = columns.read
        sets: dict[frozenset[str], frozenset[str]] = {}
        for count, row in enumerate(rows):
            cells = []
            for column in read:
                text = row.cells[column.index]
                if text:
                    cell = known.get((column.index, text))
                    if cell is None:
                        cell = known[column.index, text] = self._cell(source, column, row.line, text, len(known))
                    cells.append(cell)
            parts = frozenset().union(*[cell.parts for cell in cells])
            fate = self._row(source, cells, sets.setdefault(parts, parts))
            self._enter(Result(columns.unit_name(row), source, row.line, fate), (columns, source, row))
            if count % NOTICE_EVERY == 0:
                notice(row.share)
        notice(1.0)

    def details(self) -> list[Audit]:
        """Audit the best units again, with all that is said of them."""
        units = [entry if isinstance(entry, UnitSheet) else self.unit(*entry) for _, entry in self.ranking.best]
        return [self.auditor.audit(unit) for unit in units]

    def unit(self, columns: ColumnMap, source: str, row: Row) -> UnitSheet:
        """The unit of a row with all that its cells say."""
        cells = [(c.index + 1, c.heading, c.phrase(row.cells[c.index])) for c in columns.read if row.cells[c.index]]
        return self.reader.from_cells(columns.unit_name(row), f"{source}:{row.line}", row.line, cells)

    def _enter(self, result: Result, more: UnitSheet | tuple[ColumnMap, str, Row]) -> None:
        self.ranking.results.append(result)
        best = self.ranking.best
        if self.top and (len(best) < self.top or result.order < best[-1][0]):
            insort(best, (result.order, more), key=lambda entry: entry[0])
            del best[self.top :]

    def _cell(self, source: str, column: Column, line: int, text: str, number: int) -> _Cell:
        found, parts, doubtful = read_cell(self.reader, source, column, line, text)
        by_topic: dict[int, list[Claim]] = {}
        for claim in found:
            topic = self.number_of.get(claim.topic)
            if topic is not None:
                by_topic.setdefault(topic, []).append(claim)
        claims = tuple((topic, tuple(own)) for topic, own in by_topic.items())
        return _Cell(number, claims, parts, doubtful)

    def _row(self, source: str, cells: list[_Cell], parts: frozenset[str]) -> Fate:
        claims: dict[int, tuple[Claim, ...]] = {}
        numbers: dict[int, tuple[int, ...]] = {}
        held = False
        for cell in cells:
            held = held or cell.doubts
            for topic, own in cell.claims:
                claims[topic] = claims.get(topic, ()) + own
                numbers[topic] = (*numbers.get(topic, ()), cell.number)
        outcomes: list[Outcome | None] = []
        surplus = 0
        for topic in range(len(self.topics)):
            key = (source, topic, numbers.get(topic) or parts)
            judged = self._judged.get(key)
            if judged is None:
                judged = self._judge(key, self.topics[topic], claims.get(topic, ()), parts)
            outcomes += judged
            surplus += self._surplus.get(key, 0)
        return self._fate(tuple(outcomes), surplus, held)

    def _judge(
        self, key: tuple[object, ...], topic: str, claims: tuple[Claim, ...], parts: frozenset[str]
    ) -> tuple[Outcome | None, ...]:
        distinct = tuple({claim.key: claim for claim in claims}.values())
        findings = self.auditor.findings(topic, distinct, parts)
        by_demand: dict[int, Outcome] = {id(finding.demand): finding.outcome for finding in findings}
        self._judged[key] = judged = tuple(by_demand.get(id(demand)) for demand in self.auditor.demands[topic])
        extra = rank(findings)[3]
        if extra:
            self._surplus[key] = extra
        return judged

    def _fate(self, outcomes: tuple[Outcome | None, ...], surplus: int, held: bool) -> Fate:
        held = held or bool(self.auditor.held_back)
        key = (outcomes, surplus, held)
        fate = self._fates.get(key)
        if fate is None:
            count = Counter(outcomes)
            counts = (count["falls short"], count["unstated"], count["unclear"], surplus)
            found = {outcome for outcome in outcomes if outcome is not None}
            fate = self._fates[key] = Fate(verdict(found, held), counts, held, outcomes)
        return fate


def read_cell(
    reader: SheetReader, source: str, column: Column, line: int, text: str
) -> tuple[list[Claim], frozenset[str], bool]:
    """Return what a cell claims, the parts it speaks of, and whether it denies what was not understood.

    Raises InputError.
    """
    try:
        entries, missed = read_entry(column.phrase(text), column.heading, "unit", 0)
    except TextTooLongError as problem:
        raise InputError([Fault(Place(source, line), f"column {column.head!r}: {problem}")]) from None
    except LexiconError as problem:
        raise InputError([vocabulary_fault(problem)]) from None
    claims = reader.claims(entries, column.index + 1)
    return claims, frozenset(said.part for said in entries), bool(doubts(missed))
