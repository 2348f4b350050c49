"""A register of 5,000 invented points against 2,000 invented units by the command, beside the audits in CLIPS.

Run: python tests/benchmarks/register.py [POINTS] [UNITS] [POINTS_FOR_CLIPS]. Needs the extras `bench` and `register`.
Prints seconds and peak memory of the command, what a point costs within a process that is loaded, and the ratio to
CLIPS a point; the last two by the time of the processor, as other work on the machine does not count in it.

CLIPS (clipspy) gets, for each of its points, the demands that this program works out, the codes and materials as facts,
and the claims of every unit as this program reads them; it works out findings and verdicts by rules of its own, as in
`catalogue.py`, and all of its verdicts must equal ours, or the run fails. It is spared the working out of the demands,
which is in our figure, and it reads the cells of the catalogue again for each point, which is printed and taken off.
"""

import json
import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import catalogue
import make_catalogue
import make_register

from advisor.advise import Advisor
from advisor.audit import Auditor
from advisor.catalogue.columns import guess
from advisor.catalogue.csvfile import CsvFile
from advisor.catalogue.run import read_cell
from advisor.loading import load
from advisor.register.journal import Journal
from advisor.register.points import read_points
from advisor.register.run import fares
from advisor.register.units import read_units
from advisor.sheet import SheetReader
from advisor.site import read_site

ROOT = Path(__file__).resolve().parents[2]


MEASURED = """
import resource, sys
from advisor.cli import main
main(sys.argv[1:])
found = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
print(max(use.ru_maxrss for use in found), sum(use.ru_utime + use.ru_stime for use in found), file=sys.stderr)
"""


@dataclass(frozen=True)
class Cost:
    """Seconds by the clock and of the processors, and peak memory in MB of the largest process."""

    clock: float
    processor: float
    memory: float


def command(points: Path, units: Path, out: Path, jobs: int) -> tuple[Cost, dict]:
    """What the command costs as a whole process, and its document."""
    arguments = ["register", str(points), str(units), "--format", "json", "-o", str(out), "--jobs", str(jobs)]
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", MEASURED, *arguments], cwd=ROOT, check=True, capture_output=True, text=True
    )
    memory, processor = map(float, done.stderr.split()[-2:])
    return Cost(time.perf_counter() - start, processor, memory / 1024), json.loads(out.read_text("utf-8"))


def reading(path: Path, reader: SheetReader) -> float:
    """Seconds to read every different cell of the catalogue once."""
    start = time.perf_counter()
    source = CsvFile(path)
    chosen = guess(source.heads, [row for _, row in zip(range(500), source.rows(), strict=False)])
    known = set()
    for row in source.rows():
        for column in chosen.read:
            text = row.cells[column.index]
            if text and (column.index, text) not in known:
                known.add((column.index, text))
                read_cell(reader, str(path), column, row.line, text)
    return time.perf_counter() - start


def main(count: int, units: int, clips_points: int) -> None:
    """Run all of it and print the figures."""
    with tempfile.TemporaryDirectory() as folder:
        points_path, units_path, out = (Path(folder) / name for name in ("points.csv", "units.csv", "out.json"))
        make_register.make(count, points_path)
        make_catalogue.make(units, units_path)
        make_register.make(2, Path(folder) / "few.csv")
        command(Path(folder) / "few.csv", units_path, out, 1)  # fills the cache of the rulebook
        for jobs in (1, 2):
            cost, document = command(points_path, units_path, out, jobs)
            print(f"register command, --jobs {jobs}: {cost.clock:6.1f} s by the clock, "
                  f"{cost.processor:6.1f} s of processor, {cost.memory:.0f} MB")  # fmt: skip
        served, cover = sum(point["fit"] > 0 for point in document["points"]), document["fit"]
        kinds = f"{document['answers']} different sets of answers, {len(document['groups'])} groups that fare alike"
        proof = "proven" if cover["proven"] else "not proven"
        print(f"  {count} points with {kinds}; {served} points have a fit unit")
        print(f"  cover of {len(cover['types'])} types, {proof}")

        loaded = load()
        reader = SheetReader(loaded.book)
        start = time.process_time()
        points = read_points(points_path, loaded.book)
        read = read_units([units_path], reader)
        first = time.process_time()
        with Journal(None, "", "", 0) as journal:
            found = fares(points, read, loaded, journal)
        inside = time.process_time() - start
        print(
            f"in this process: reading points and units {first - start:.1f} s, the rest {inside - first + start:.1f} s"
        )
        ours = inside / count
        print(f"  {1e3 * ours:.2f} ms a point, {1e3 * inside / len(found):.2f} ms a different set of answers")

        advisor = Advisor(loaded)
        again = reading(units_path, reader)
        spent, differ, verdicts = 0.0, 0, Counter()
        step = max(1, len(points) // clips_points)
        for point in points[::step][:clips_points]:
            auditor = Auditor(advisor.advise(read_site(point.document, loaded.book)), loaded.book)
            start = time.process_time()
            theirs = catalogue.Clips(auditor, reader).verdicts(units_path, units)
            spent += time.process_time() - start - again
            fare = found[point.key]
            for number, entry in enumerate(read.types):
                own = "fit" if fare.fit >> number & 1 else "unfit" if fare.unfit >> number & 1 else "unproven"
                for unit in entry.units:
                    verdicts[own] += 1
                    differ += own != theirs[unit.line - 2]
        each = spent / clips_points
        print(f"CLIPS: {clips_points} points, {each:.2f} s a point (and {again:.2f} s to read the cells, taken off); "
              f"{dict(verdicts)}, {differ} verdicts differ")  # fmt: skip
        print(f"ratio CLIPS to register, a point: {each / ours:.0f}")
        print(f"peak memory of this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    if differ:
        sys.exit("verdicts differ")


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:]]
    main(*(given + [5000, 2000, 5][len(given) :]))
