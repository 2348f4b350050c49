"""Units held against one site, for a screen: what was opened, how each unit fares, and the closer look at one of them.

A `Bench` belongs to one state of the site. Of a row of a catalogue only its outcome is kept; it is read again from its
file when it is looked at closely. All slow parts are meant for a worker; one lock keeps them apart.
"""

import threading
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from advisor import yamlfile
from advisor.advise import Advisor
from advisor.audit import Audit, Auditor
from advisor.catalogue.command import TABLES, Gathered, add_catalogue, open_catalogue, read_file
from advisor.catalogue.run import CatalogueAuditor, Result
from advisor.claims import Claim
from advisor.document import FindingEntry, Outcome, UnitEntry
from advisor.faults import Fault, InputError, Place
from advisor.report.audited import AuditBuilder
from advisor.report.requirement import DocumentBuilder
from advisor.sheet import SheetReader, UnitSheet
from tui.session import Session

AROUND = 2
"""Lines of a sheet shown before and after a claim."""
FREE_TEXT = (".txt", ".text", ".md", ".pdf")
"""Kinds of sheet whose reading a person should confirm."""


@dataclass(frozen=True)
class Wanted:
    """One demand as a column of the matrix; `number` is its place among the outcomes of a unit."""

    number: int
    topic: str
    title: str
    demanded: str
    state: str


@dataclass(frozen=True)
class Excerpt:
    """A line of a sheet: where it stands, what it says, and whether it makes the claim."""

    place: str
    text: str
    hit: bool


@dataclass(frozen=True)
class Opened:
    """One unit looked at closely. `entry.findings` stand in the order of `audit.findings`."""

    result: Result
    audit: Audit
    entry: UnitEntry
    at: dict[int, int]
    """From the number of a demand to the finding on it."""
    lines: tuple[tuple[str, str], ...] = ()
    """(place, text) of every line of the sheet, or of every cell of the row."""
    by_cell: bool = False

    def excerpt(self, claim: Claim) -> list[Excerpt]:
        """Return the words around a claim as they stand on the sheet."""
        hit = (claim.place if self.by_cell else claim.line) - 1
        if not 0 <= hit < len(self.lines):
            return []
        low = hit if self.by_cell else max(0, hit - AROUND)
        high = hit + 1 if self.by_cell else hit + AROUND + 1
        found = [Excerpt(*self.lines[n], n == hit) for n in range(low, min(high, len(self.lines)))]
        return [line for line in found if line.text.strip() or line.hit]

    def place(self, claim: Claim) -> str:
        """Return where a claim stands, in words."""
        hit = (claim.place if self.by_cell else claim.line) - 1
        return self.lines[hit][0] if 0 <= hit < len(self.lines) else ""


@dataclass
class Bench:
    """Everything opened against the present site of a session. Making one is slow; raises InputError."""

    session: Session
    version: int = field(init=False)
    faults: list[Fault] = field(default_factory=list)
    """Files and rows that could not be audited."""

    def __post_init__(self) -> None:
        self.version = self.session.version
        self.advisor = Advisor(self.session.loaded)
        self.book = self.advisor.book
        self.reader = SheetReader(self.book)
        self.advice = self.session.advice()
        self.auditor = Auditor(self.advice, self.book)
        self.documents = DocumentBuilder(self.advice, self.advisor)
        self.builder = AuditBuilder(self.documents, self.advisor)
        self.gathered = Gathered(CatalogueAuditor(self.auditor, self.reader, 0))
        self.units: dict[str, UnitSheet] = {}
        self.audits: dict[str, Audit] = {}
        self.places: dict[str, Callable[[int], str]] = {}
        self.texts: dict[str, list[str]] = {}
        self.wanted = self._wanted()
        self._sums: tuple[list[Result], Counter[str], list[Counter[Outcome | None]]] | None = None
        self._lock = threading.Lock()

    def _wanted(self) -> list[Wanted]:
        found = []
        for number, (topic, index) in enumerate(self.gathered.run.ranking.demands):
            demand = self.auditor.demands[topic][index]
            entry = self.book.vocabulary.topics[topic]
            text = self.documents.headline(demand) if entry.role is None else "one that stands what is told"
            found.append(Wanted(number, topic, entry.title, text, demand.state))
        return sorted(found, key=lambda wanted: wanted.state)

    @property
    def results(self) -> list[Result]:
        return self.gathered.run.ranking.results

    @property
    def ordered(self) -> list[Result]:
        """All units, the best first."""
        return self._reckoned()[0]

    @property
    def counts(self) -> Counter[str]:
        """How many units have which verdict."""
        return self._reckoned()[1]

    @property
    def tallies(self) -> list[Counter[Outcome | None]]:
        """How the units fare on each demand, by its number."""
        return self._reckoned()[2]

    def _reckoned(self) -> tuple[list[Result], Counter[str], list[Counter[Outcome | None]]]:
        """Of a hundred thousand units this takes a moment, so it is done once and not for every key."""
        ranking = self.gathered.run.ranking
        if self._sums is None or len(self._sums[0]) != len(ranking.results):
            self._sums = ranking.ordered(), ranking.counts(), ranking.tallies()
        return self._sums

    def drop(self, source: str) -> None:
        """Take a file off the bench."""
        ranking = self.gathered.run.ranking
        ranking.results = [result for result in ranking.results if result.source != source]
        self._sums = None
        self.units.pop(source, None)
        self.audits.pop(source, None)
        self.places.pop(source, None)
        self.texts.pop(source, None)
        self.gathered.columns.pop(source, None)
        self.faults = [fault for fault in self.faults if fault.place.path != source]
        self.gathered.faults = [fault for fault in self.gathered.faults if fault.place.path != source]
        self.gathered.notes = [note for note in self.gathered.notes if not note.startswith(f"{source}: ")]

    def add(self, path: Path, notice: Callable[[float], None] = lambda _: None) -> None:
        """Audit a file, anew if it was on the bench; `notice` hears the share done. Raises InputError."""
        with self._lock:
            self.drop(str(path))
            try:
                if path.suffix.lower() in TABLES:
                    before = len(self.gathered.faults)
                    add_catalogue(path, self.gathered, "", notice)
                    self.faults += self.gathered.faults[before:]
                else:
                    self._sheet(path)
            except InputError as problem:
                self.faults += problem.faults
                raise
            finally:
                self._sums = None
                self._reckoned()

    def _sheet(self, path: Path) -> None:
        unit, pages = read_file(path, self.reader)
        source = str(path)
        self.units[source] = unit
        self.places[source] = pages.place if pages else lambda line: f"line {line}"
        self.texts[source] = (pages.text if pages else yamlfile.read_text(path, wide=True)).split("\n")
        self.audits[source] = self.auditor.audit(unit)
        self.gathered.run.add(self.audits[source])

    def outcome(self, result: Result, wanted: Wanted) -> Outcome | None:
        """Return how a unit fares on a demand, None where that does not concern it."""
        return result.fate.outcomes[wanted.number]

    def said(self, result: Result, wanted: Wanted) -> str:
        """Return the reason for an outcome in words; '' for a row of a catalogue, which is not kept."""
        demand = [demand for own in self.auditor.demands.values() for demand in own][wanted.number]
        audit = self.audits.get(result.source)
        finding = next((f for f in audit.findings if f.demand is demand), None) if audit else None
        if finding is None:
            return ""
        quotes = ", ".join(dict.fromkeys(f"“{claim.quote}”" for claim in finding.claims))
        return f"claimed {quotes}. {finding.text}" if quotes else finding.text

    def unit(self, result: Result) -> tuple[UnitSheet, tuple[tuple[str, str], ...]]:
        """Return a unit with the lines of its sheet; a row is read again. Raises InputError."""
        if result.source in self.units:
            place, texts = self.places[result.source], self.texts[result.source]
            return self.units[result.source], tuple((place(n), text) for n, text in enumerate(texts, 1))
        source, columns = open_catalogue(Path(result.source), self.reader)
        row = next((row for row in source.rows() if row.line == result.line), None)
        if row is None:
            raise InputError([Fault(Place(result.source, result.line), "this row is no longer there")])
        cells = tuple((f"line {row.line}, {head}", text) for head, text in zip(source.heads, row.cells, strict=True))
        return self.gathered.run.unit(columns, result.source, row), cells

    def open(self, result: Result) -> Opened:
        """Look at one unit closely, with all reasons. Raises InputError."""
        with self._lock:
            unit, lines = self.unit(result)
            audit = self.auditor.audit(unit)
            numbers = {id(d): n for n, d in enumerate(d for own in self.auditor.demands.values() for d in own)}
            at = {numbers[id(finding.demand)]: index for index, finding in enumerate(audit.findings)}
            return Opened(result, audit, self.builder.unit(audit), at, lines, result.line > 0)

    def best(self, most: int) -> list[UnitSheet]:
        """Return the best units in full. Raises InputError."""
        with self._lock:
            return [self.unit(result)[0] for result in self.ordered[:most]]


def findings(opened: Opened) -> list[FindingEntry]:
    """Return the findings in the order in which they are read: what falls short first, certain before open."""
    order = ("falls short", "unstated", "unclear", "meets")
    return sorted(opened.entry.findings, key=lambda found: (order.index(found.finding), found.state))
