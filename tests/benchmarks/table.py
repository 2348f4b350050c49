"""All benchmarks as one table: python tests/benchmarks/table.py [RUNS] [CATALOGUE_ROWS]. Needs the extra `test`.

Commands run as processes of their own, with the median time and the peak memory of the largest run. Engines run in this
process, on one scenario and both readings, beside CLIPS with the same rulebook and the same functions behind it. The
other scripts of this folder measure one subject each in more depth.
"""

import os
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "benchmarks"), str(ROOT)]

from make_catalogue import make  # noqa: E402  the path must stand first

SITE = ROOT / "scenarios" / "ready-meals-washdown"
FLOOR = (
    "import collections, collections.abc as a; collections.Mapping = a.Mapping; import experta, pydantic, yaml, pint"
)


def child(arguments: list[str], cache: str) -> tuple[float, float]:
    """Return seconds and megabytes of a process; what it finds in its site is no failure."""
    start = time.perf_counter()
    own = {**os.environ, "PYTHONPATH": str(ROOT), "SITEWORTHY_CACHE": cache}
    quiet = [(os.POSIX_SPAWN_OPEN, number, os.devnull, os.O_WRONLY, 0) for number in (1, 2)]
    number = os.posix_spawn(sys.executable, [sys.executable, *arguments], own, file_actions=quiet)
    _, status, used = os.wait4(number, 0)
    if os.waitstatus_to_exitcode(status) not in (0, 1):
        raise SystemExit(f"failed: {' '.join(arguments)}")
    return time.perf_counter() - start, used.ru_maxrss / 1024


def commands(runs: int, rows: int, folder: Path) -> None:
    """Print what whole commands take."""
    cache, catalogue = str(folder / "cache"), folder / "catalogue.csv"
    make(rows, catalogue)
    program = ["-m", "advisor.cli"]
    listed = {
        "imports alone (experta, pydantic, yaml, pint)": ["-c", FLOOR],
        "--help": [*program, "--help"],
        "require, nothing cached": [*program, "require", str(SITE)],
        "require": [*program, "require", str(SITE)],
        "require with proofs, HTML": [*program, "require", str(SITE), "--proofs", "--format", "html"],
        "explain IPX9": [*program, "explain", str(SITE), "IPX9"],
        "relax": [*program, "relax", str(SITE)],
        "audit of four sheets": [*program, "audit", str(SITE), str(SITE / "units")],
        f"audit of a catalogue of {rows} rows": [*program, "audit", str(SITE), str(catalogue)],
    }
    print(f"{'command':50} {'median s':>9} {'peak MB':>8}")
    for name, arguments in listed.items():
        cold = name.endswith("nothing cached")
        many = 1 if cold or "catalogue" in name else runs
        measured = [child(arguments, str(folder / f"cold{number}") if cold else cache) for number in range(many)]
        seconds = statistics.median(entry[0] for entry in measured)
        print(f"{name:50} {seconds:9.2f} {max(entry[1] for entry in measured):8.0f}", flush=True)


def parts(runs: int) -> None:
    """Print what the parts take in a process that runs already."""
    # Not before the commands ran: a child's peak counts what its parent held when it was started.
    from oracle_clips import ClipsEngine

    from advisor.advise import Advisor, gather
    from advisor.engine.bounds import evaluate
    from advisor.engine.chaining import Chainer
    from advisor.engine.compiler import RuleCompiler
    from advisor.faults import Collector
    from advisor.loading import load
    from advisor.site import load_site

    loaded = load()
    book, rules, site = loaded.book, loaded.rules, load_site(SITE / "site.yaml", loaded.book)
    facts, advisor = site.facts(), Advisor(loaded)
    chainer, clips = Chainer(rules, book), ClipsEngine(rules, book)
    sure = [fact for fact in facts if fact.certain]
    runs_of = evaluate(rules, sure, book, certain=True), evaluate(rules, facts, book, certain=False)
    chainer.run(facts, certain=True)  # its network is built by the first run

    def both(run: Callable[..., object]) -> Callable[[], object]:
        return lambda: (run(facts, certain=True), run(facts, certain=False))

    def quick(given: object, *, certain: bool) -> object:
        return evaluate(rules, sure if certain else facts, book, certain=certain)

    listed: dict[str, Callable[[], object]] = {
        "load, cached": load,
        "compile all rules": lambda: RuleCompiler(book, Collector()).compile(),
        "network of all rules, and one run": lambda: Chainer(rules, book).run(facts, certain=True),
        "read one site": lambda: load_site(SITE / "site.yaml", book),
        "engine of record, all rules, both readings": both(chainer.run),
        "CLIPS, all rules, both readings": both(clips.run),
        "quick evaluator, all rules, both readings": both(quick),
        "advice on one site, only the rules it needs": lambda: advisor.advise(site),
        "joining the demands": lambda: gather(site, *runs_of, book, rules),
    }
    print(f"\n{f'part ({len(book.rules)} rules, {len(rules)} alternatives)':50} {'median ms':>9}")
    for name, work in listed.items():
        times = []
        for _ in range(runs):
            start = time.perf_counter()
            work()
            times.append(1000 * (time.perf_counter() - start))
        print(f"{name:50} {statistics.median(times):9.1f}", flush=True)


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    rows = int(sys.argv[2]) if len(sys.argv) > 2 else 10_000
    print(f"Python {platform.python_version()}, {os.cpu_count()} processors, median of {runs}\n")
    with tempfile.TemporaryDirectory() as folder:
        commands(runs, rows, Path(folder))
    parts(runs)


if __name__ == "__main__":
    main()
