"""A catalogue of 100,000 invented rows audited by the command, beside the same verdicts in CLIPS and a pandas filter.

Run: python tests/benchmarks/catalogue.py [ROWS] [ROWS_FOR_CLIPS] [SITE]. Needs the extra `bench`. Prints seconds, peak
memory, what a row costs at a quarter and at all of the rows, and the ratios.

CLIPS (clipspy) gets the demands of the site, what each code covers and how each material stands as facts,
then the claims of each row as this program reads them, and works out findings and verdict by rules of its own; its
verdicts must equal ours row by row, or the run fails. The time to read the cells is in both figures. The pandas filter
is the one a buyer writes: a regular expression for the code, two figures and a set of materials; it does the verdict
only, and what it passes that the audit does not is printed.
"""

import csv
import re
import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from make_catalogue import make

from advisor.advise import Advisor
from advisor.audit import WHOLE, Auditor
from advisor.catalogue.columns import guess
from advisor.catalogue.csvfile import CsvFile
from advisor.catalogue.run import CatalogueAuditor
from advisor.claims import Claim
from advisor.loading import load
from advisor.outcomes import OUTCOMES
from advisor.sheet import SheetReader
from advisor.site import load_site

ROOT = Path(__file__).resolve().parents[2]
SITE = ROOT / "scenarios" / "ready-meals-washdown" / "site.yaml"
BATCH = 250
"""Rows asserted at a time; more do not make CLIPS quicker."""
VERDICTS = {0: "fit", 1: "unproven", 2: "unproven", 3: "unfit"}

CONSTRUCTS = (
    """(deftemplate claim (slot row) (slot topic) (slot part) (slot credit) (slot item) (slot value) (slot depth)
         (slot duration) (slot denied) (slot floor) (slot apart) (slot place) (slot id) (slot variant))""",
    """(deftemplate demand (slot id) (slot topic) (slot join) (slot item) (slot value) (slot depth) (slot duration)
         (slot open) (slot role) (slot least))""",
    "(deftemplate pair (slot topic) (slot claimed) (slot wanted) (slot kind) (slot depth) (slot duration) (slot skip))",
    "(deftemplate denies (slot topic) (slot denied) (slot wanted))",
    "(deftemplate ladder (slot topic) (slot lower) (slot wanted) (slot strict))",
    "(deftemplate stands (slot demand) (slot material) (slot rank))",
    "(deftemplate concerns (slot row) (slot demand))",
    "(deftemplate alone (slot row) (slot demand) (slot part) (slot rank) (slot claim))",
    "(deftemplate part (slot row) (slot demand) (slot part) (slot rank))",
    "(deftemplate finding (slot row) (slot demand) (slot rank))",
    """(deffunction limited (?rank ?credit)
         (if (neq ?rank 0) then (return (if (and (eq ?credit none) (neq ?rank 3)) then 1 else ?rank)))
         (if (eq ?credit full) then (return 0))
         (if (eq ?credit conditional) then (return 1))
         3)""",
    """(deffunction reached (?given ?needed)
         (if (= ?needed 0) then (return 0))
         (if (< ?given 0) then (return 1))
         (if (< ?given (* ?needed 0.999999999)) then (return 3))
         0)""",
    """(deffunction code (?kind ?skip ?d ?own-d ?need-d ?t ?own-t ?need-t)
         (if (eq ?kind often) then (return 1))
         (if (eq ?kind none) then (return 3))
         (bind ?first (if (eq ?skip yes) then 0 else (reached ?d (max ?own-d ?need-d))))
         (if (neq ?first 0) then (return ?first))
         (if (eq ?skip yes) then 0 else (reached ?t (max ?own-t ?need-t))))""",
    """(deffunction assured (?rank ?least ?floor)
         (if (and (= ?rank 3) (eq ?least yes) (eq ?floor yes)) then 1 else ?rank))""",
    """(defrule codes (declare (salience 60))
         (demand (id ?n) (topic ?topic) (join codes) (item ?w) (depth ?nd) (duration ?nt)
           (least ?least))
         (claim (row ?r) (id ?c) (topic ?topic) (part ?p) (item ?i&~none) (credit ?cr) (denied no)
           (depth ?d) (duration ?t) (floor ?floor))
         (pair (topic ?topic) (claimed ?i) (wanted ?w) (kind ?k) (depth ?od) (duration ?ot) (skip ?s))
         => (assert (alone (row ?r) (demand ?n) (part ?p) (claim ?c)
              (rank (limited (assured (code ?k ?s ?d ?od ?nd ?t ?ot ?nt) ?least ?floor) ?cr)))))""",
    """(defrule figures-up (declare (salience 60))
         (demand (id ?n) (topic ?topic) (join highest) (value ?v))
         (claim (row ?r) (id ?c) (topic ?topic) (part ?p) (value ?x&~none) (credit ?cr) (denied no) (floor ?f))
         (not (claim (row ?r) (topic ?topic) (part ?p) (credit full) (denied no) (floor ~?f&no) (apart no)))
         => (assert (alone (row ?r) (demand ?n) (part ?p) (claim ?c)
              (rank (limited (if (<= (- ?v ?x) (* (abs ?v) 1e-9)) then 0 else 3) ?cr)))))""",
    """(defrule figures-down (declare (salience 60))
         (demand (id ?n) (topic ?topic) (join lowest) (value ?v))
         (claim (row ?r) (id ?c) (topic ?topic) (part ?p) (value ?x&~none) (credit ?cr) (denied no) (floor ?f))
         (not (claim (row ?r) (topic ?topic) (part ?p) (credit full) (denied no) (floor ~?f&no) (apart no)))
         => (assert (alone (row ?r) (demand ?n) (part ?p) (claim ?c)
              (rank (limited (if (<= (- ?x ?v) (* (abs ?v) 1e-9)) then 0 else 3) ?cr)))))""",
    """(defrule materials (declare (salience 60))
         (demand (id ?n) (topic ?topic) (join materials))
         (claim (row ?r) (id ?c) (topic ?topic) (part ?p) (item ?m) (credit ?cr) (denied no))
         (stands (demand ?n) (material ?m) (rank ?k))
         => (assert (alone (row ?r) (demand ?n) (part ?p) (claim ?c) (rank (limited ?k ?cr)))))""",
    """(defrule best-of-part (declare (salience 50))
         (alone (row ?r) (demand ?n) (part ?p) (rank ?k))
         (demand (id ?n) (join ~materials))
         (not (alone (row ?r) (demand ?n) (part ?p) (rank ?k2&:(< ?k2 ?k))))
         => (assert (part (row ?r) (demand ?n) (part ?p) (rank ?k))))""",
    """(defrule worst-of-part (declare (salience 50))
         (alone (row ?r) (demand ?n) (part ?p) (rank ?k))
         (demand (id ?n) (join materials))
         (not (alone (row ?r) (demand ?n) (part ?p) (rank ?k2&:(> ?k2 ?k))))
         => (assert (part (row ?r) (demand ?n) (part ?p) (rank ?k))))""",
    """(defrule another-variant (declare (salience 45))
         ?f <- (part (row ?r) (demand ?n) (part ?p) (rank 3))
         (demand (id ?n) (topic ?topic) (join materials))
         (claim (row ?r) (topic ?topic) (part ?p) (variant ?v))
         (not (and (claim (row ?r) (id ?c) (topic ?topic) (part ?p) (variant ?v))
                   (alone (row ?r) (demand ?n) (part ?p) (claim ?c) (rank 3))))
         (not (and (claim (row ?r) (id ?c) (topic ?topic) (part ?p) (variant none))
                   (alone (row ?r) (demand ?n) (part ?p) (claim ?c) (rank 3))))
         => (retract ?f) (assert (part (row ?r) (demand ?n) (part ?p) (rank 1))))""",
    """(defrule only-denied (declare (salience 50))
         (demand (id ?n) (topic ?topic) (item ?w))
         (claim (row ?r) (topic ?topic) (part ?p) (denied yes) (item ?i))
         (or (test (eq ?i none)) (denies (topic ?topic) (denied ?i) (wanted ?w)))
         (not (claim (row ?r) (topic ?topic) (part ?p) (denied no)))
         => (assert (part (row ?r) (demand ?n) (part ?p) (rank (if (eq ?i none) then 1 else 3)))))""",
    """(defrule denied-too (declare (salience 40))
         ?f <- (part (row ?r) (demand ?n) (part ?p) (rank 0))
         (demand (id ?n) (topic ?topic) (item ?w))
         (claim (row ?r) (topic ?topic) (part ?p) (denied yes) (item ?i))
         (or (test (eq ?i none)) (denies (topic ?topic) (denied ?i) (wanted ?w)))
         => (retract ?f) (assert (part (row ?r) (demand ?n) (part ?p) (rank 1))))""",
    """(defrule lower-elsewhere (declare (salience 40))
         ?f <- (part (row ?r) (demand ?n) (part ?p) (rank 0))
         (demand (id ?n) (topic ?topic) (join codes) (item ?w))
         (ladder (topic ?topic) (wanted ?w) (lower ?i) (strict ?strict))
         (claim (row ?r) (topic ?topic) (part ?p) (item ?i) (credit full) (denied no) (floor no) (apart no)
           (place ?place))
         (or (test (eq ?strict yes))
             (not (and (alone (row ?r) (demand ?n) (part ?p) (rank 0) (claim ?c))
                       (claim (row ?r) (id ?c) (topic ?topic) (place ?place)))))
         => (retract ?f) (assert (part (row ?r) (demand ?n) (part ?p) (rank 1))))""",
    """(defrule figures-differ (declare (salience 40))
         ?f <- (part (row ?r) (demand ?n) (part ?p) (rank 0))
         (demand (id ?n) (topic ?topic) (join highest|lowest))
         (claim (row ?r) (id ?c) (topic ?topic) (part ?p) (credit full) (denied no) (floor no) (apart no))
         (alone (row ?r) (demand ?n) (part ?p) (claim ?c) (rank ~0))
         => (retract ?f) (assert (part (row ?r) (demand ?n) (part ?p) (rank 1))))""",
    """(defrule soften (declare (salience 35))
         ?f <- (part (row ?r) (demand ?n) (part ?p) (rank 3)) (demand (id ?n) (open yes))
         => (retract ?f) (assert (part (row ?r) (demand ?n) (part ?p) (rank 1))))""",
    """(defrule whole (declare (salience 20))
         (part (row ?r) (demand ?n) (rank ?k))
         (not (part (row ?r) (demand ?n) (rank ?k2&:(> ?k2 ?k))))
         (demand (id ?n) (role ?role))
         => (if (and (= ?k 0) (eq ?role no) (not (any-factp ((?x part))
                (and (eq ?x:row ?r) (eq ?x:demand ?n) (eq ?x:part unit)))))
              then (assert (finding (row ?r) (demand ?n) (rank 1)))
              else (assert (finding (row ?r) (demand ?n) (rank ?k)))))""",
    """(defrule silent (declare (salience 10))
         (concerns (row ?r) (demand ?n)) (not (part (row ?r) (demand ?n)))
         => (assert (finding (row ?r) (demand ?n) (rank 2))))""",
)  # fmt: skip


def word(text: object) -> str:
    """A CLIPS symbol."""
    return re.sub(r"[^A-Za-z0-9.-]", "_", str(text)) or "none"


class Clips:
    """The verdicts by CLIPS."""

    def __init__(self, auditor: Auditor, reader: SheetReader) -> None:
        import clips

        self.auditor, self.reader = auditor, reader
        self.env = clips.Environment()
        for construct in CONSTRUCTS:
            self.env.build(construct)
        self.env.build(f"(deffacts site {' '.join(self._facts())})")
        self.claim, self.concern = self.env.find_template("claim"), self.env.find_template("concerns")
        self.finding = self.env.find_template("finding")
        self.demands = dict(auditor.demands)
        self.ids = {id(d): f"d{n}" for n, d in enumerate(d for own in self.demands.values() for d in own)}

    def _facts(self) -> Iterator[str]:
        book, number = self.auditor.book, 0
        for name, own in self.auditor.demands.items():
            topic = book.vocabulary.topics[name]
            for demand in own:
                value = "none" if demand.value is None else repr(demand.value)
                needs = " ".join(f"({n} {float(demand.parameters.get(n, 0.0))!r})" for n in ("depth", "duration"))
                flags = demand.state == "open", topic.role, topic.least
                opened, role, least = ("yes" if flag else "no" for flag in flags)
                yield (
                    f"(demand (id d{number}) (topic {word(name)}) (join {topic.join}) (item {word(demand.item)})"
                    f" (value {value}) {needs} (open {opened}) (role {role})"
                    f" (least {least}))"
                )
                if topic.join == "materials":
                    yield from self._standing(name, f"d{number}")
                number += 1
            if topic.table:
                yield from self._pairs(name, {demand.item for demand in own})

    def _standing(self, name: str, number: str) -> Iterator[str]:
        """How every material stands for the demand: the table of the site that a material buyer would have."""
        for slug in self.auditor.book.tables["materials"].rows:
            claim = Claim(name, "unit", "full", slug, materials=(slug,))
            outcome = self.auditor.findings(name, (claim,), frozenset())[0].outcome
            yield f"(stands (demand {number}) (material {word(slug)}) (rank {OUTCOMES.index(outcome)}))"

    def _pairs(self, name: str, wanted: set[str]) -> Iterator[str]:
        topic = self.auditor.book.vocabulary.topics[name]
        rows = self.auditor.book.tables[topic.table or ""].rows
        for goal in wanted:
            cells = rows[goal].cells
            for key, row in rows.items():
                if row.cells.get("phenomenon") != cells.get("phenomenon"):
                    continue  # a discharge level says nothing of a burst level
                covers = key == goal or goal in row.cells.get("covers", ())
                kind = "covers" if covers else "often" if goal in row.cells.get("often_covers", ()) else "none"
                figures = {
                    n: cells[n][1] if n in cells and key != goal and topic.parameters else 0.0
                    for n in ("depth", "duration")
                }
                skip = "yes" if not topic.parameters or (key != goal and "depth" in row.cells) else "no"
                numbers = " ".join(f"({n} {float(v)!r})" for n, v in figures.items())
                codes = f"(claimed {word(key)}) (wanted {word(goal)})"
                yield f"(pair (topic {word(name)}) {codes} (kind {kind}) {numbers} (skip {skip}))"
            for lower in (*cells.get("covers", ()), goal, *cells.get("often_covers", ())):
                yield f"(denies (topic {word(name)}) (denied {word(lower)}) (wanted {word(goal)}))"
            for lower in cells.get("covers", ()):
                if not any(n in rows[lower].cells for n in topic.parameters):
                    strict = "no" if topic.parameters else "yes"
                    yield f"(ladder (topic {word(name)}) (lower {word(lower)}) (wanted {word(goal)}) (strict {strict}))"

    def verdicts(self, path: Path, rows: int) -> list[str]:
        """The verdict of every row."""
        source = CsvFile(path)
        columns = guess(source.heads, [row for _, row in zip(range(500), source.rows(), strict=False)])
        reading = CatalogueAuditor(self.auditor, self.reader, 0)
        known: dict[tuple[int, str], Any] = {}
        found: list[str] = []
        batch: list[tuple[int, bool]] = []
        self.env.reset()
        for number, row in enumerate(source.rows()):
            if number >= rows:
                break
            cells = []
            for column in columns.read:
                text = row.cells[column.index]
                if text:
                    key = (column.index, text)
                    if key not in known:
                        known[key] = reading._cell(source.path, column, row.line, text, len(known))
                    cells.append(known[key])
            held = any(cell.doubts for cell in cells) or bool(self.auditor.held_back)
            self._assert(number, cells, reading)
            batch.append((number, held))
            if len(batch) == BATCH:
                found += self._run(batch)
                batch = []
        return found + self._run(batch)

    def _assert(self, number: int, cells: list[Any], reading: CatalogueAuditor) -> None:
        claims = {claim.key: claim for cell in cells for _, own in cell.claims for claim in own}
        parts = frozenset().union(*[cell.parts for cell in cells]) if cells else frozenset()
        for order, claim in enumerate(claims.values()):
            row = self.auditor.parts.get(claim.part)
            flags = {n: self._symbol("yes" if getattr(claim, n) else "no") for n in ("denied", "floor", "apart")}
            for item in claim.materials or (claim.item,):
                self.claim.assert_fact(
                    row=number,
                    id=order,
                    topic=self._symbol(claim.topic),
                    credit=self._symbol(claim.credit),
                    part=self._symbol(WHOLE if row is None or row.cells["whole"] else claim.part),
                    item=self._symbol(item or "none"),
                    value=self._symbol("none") if claim.value is None else claim.value,
                    depth=claim.parameters.get("depth", -1.0),
                    duration=min(1e12, claim.parameters.get("duration", -1.0)),
                    place=claim.place,
                    variant=self._symbol(claim.variant or "none"),
                    **flags,
                )
        stated = {claim.topic for claim in claims.values()}
        for topic in self.demands:
            if topic in stated:
                concerned = self.demands[topic]
            else:
                concerned = [finding.demand for finding in self.auditor.findings(topic, (), parts)]
            for demand in concerned:
                self.concern.assert_fact(row=number, demand=self._symbol(self.ids[id(demand)]))

    def _symbol(self, text: str) -> Any:
        import clips

        return clips.Symbol(word(text))

    def _run(self, batch: list[tuple[int, bool]]) -> list[str]:
        self.env.run()
        worst: dict[int, int] = {}
        for fact in self.finding.facts():
            row, rank = int(fact["row"]), int(fact["rank"])
            worst[row] = max(worst.get(row, 0), rank)
        self.env.reset()
        verdicts = []
        for row, held in batch:
            verdict = VERDICTS[worst.get(row, 0)]
            verdicts.append("unproven" if verdict == "fit" and held else verdict)
        return verdicts


def by_pandas(path: Path) -> list[bool]:
    """What a buyer's filter passes for the hot wash: IP66 and IP69 by eye, two figures, and a list of materials."""
    import pandas as pd

    table = pd.read_csv(path, dtype=str, keep_default_na=False)
    rating = table["Protection class"]
    water = rating.str.contains(r"6[6K]") & rating.str.contains(r"69K?|/69|IP69")
    low = pd.to_numeric(table["Ambient temp. min [°C]"], errors="coerce") <= 4
    high = pd.to_numeric(table["Ambient temp. max [°C]"], errors="coerce") >= 65
    steel = table["Housing material"].isin(["1.4404", "316L", "V4A", "1.4301", "V2A", "PPS"])
    seal = table["Seal"].str.contains("EPDM")
    return list(water & low & high & steel & seal)


def command(site: Path, path: Path, out: Path) -> tuple[float, float, list[dict[str, str]]]:
    """Seconds, peak megabytes and rows of the command as a whole process."""
    code = "import resource, sys; from advisor.cli import main; main(sys.argv[1:]); " \
           "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)"  # fmt: skip
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", code, "audit", str(site), str(path), "--format", "csv", "-o", str(out)],
        cwd=ROOT, check=True, capture_output=True, text=True,
    )  # fmt: skip
    seconds = time.perf_counter() - start
    with out.open(encoding="utf-8", newline="") as stream:
        return seconds, int(done.stderr.split()[-1]) / 1024, list(csv.DictReader(stream))


def main(rows: int, clips_rows: int, site: Path) -> None:
    """Run all of it and print the figures."""
    with tempfile.TemporaryDirectory() as folder:
        whole, quarter, out = Path(folder) / "whole.csv", Path(folder) / "quarter.csv", Path(folder) / "out.csv"
        make(rows, whole)
        make(rows // 4, quarter)
        command(site, quarter, out)  # fills the cache of the rulebook, as it is after the first command
        few = command(site, quarter, out)[0]
        seconds, memory, results = command(site, whole, out)
        ours = {int(row["line"]): row["verdict"] for row in results}
        further = (seconds - few) / (rows - rows // 4) * 1e6
        print(f"audit command   {rows:>8} rows {seconds:8.1f} s  {memory:6.0f} MB  {dict(Counter(ours.values()))}")
        print(f"                {rows // 4:>8} rows {few:8.1f} s  ({further:.0f} us a further row)")
        advisor = Advisor(load())
        advice = advisor.advise(load_site(site, advisor.book))
        auditor, reader = Auditor(advice, advisor.book), SheetReader(advisor.book)
        start = time.perf_counter()
        run = CatalogueAuditor(auditor, reader, 0)
        source = CsvFile(whole)
        sample = [row for _, row in zip(range(500), source.rows(), strict=False)]
        run.catalogue(str(whole), guess(source.heads, sample), source.rows())
        inside = time.perf_counter() - start
        print(f"audit alone     {rows:>8} rows {inside:8.1f} s  (within a process that has the advice)")
        clips = Clips(auditor, reader)
        start = time.perf_counter()
        theirs = clips.verdicts(whole, clips_rows)
        spent = time.perf_counter() - start
        differ = [line for line, verdict in enumerate(theirs, start=2) if ours[line] != verdict]
        counts = dict(Counter(theirs))
        print(f"CLIPS           {clips_rows:>8} rows {spent:8.1f} s  {counts}, {len(differ)} verdicts differ")
        start = time.perf_counter()
        passed = by_pandas(whole)
        quick = time.perf_counter() - start
        good = Counter(ours[line] for line, passes in enumerate(passed, start=2) if passes)
        print(f"pandas filter   {rows:>8} rows {quick:8.1f} s  passes {sum(passed)}, by the audit: {dict(good)}")
        print(f"ratio CLIPS to audit, a row:  {(spent / clips_rows) / (inside / rows):6.1f}")
        print(f"ratio audit to pandas, a row: {inside / quick:6.1f}")
        print(f"peak memory of this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    if differ:
        sys.exit(f"verdicts differ, first at line {differ[0]}: ours {ours[differ[0]]}, CLIPS {theirs[differ[0] - 2]}")


if __name__ == "__main__":
    given = sys.argv[1:]
    main(
        int(given[0]) if given else 100_000,
        int(given[1]) if len(given) > 1 else 10_000,
        Path(given[2]) if len(given) > 2 else SITE,
    )
