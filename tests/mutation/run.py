"""Changes the knowledge in small ways, one at a time, and counts how many changes the quick knowledge tests notice.

Run: python tests/mutation/run.py [--kind KIND] [--rules WORD] [--sample N] [--no-cells] [--jobs N] [--survivors FILE].
What notices is the examples of the rules, the cases at their edges and the case book, by the quick evaluator, and the
second reading of a table; other tests may notice more.
`dropped word` (one of a list) and `moved edge` (a threshold that itself counts or not) stand beside the score.
What cannot be told apart from the right rulebook is given beside the share killed of all: an altered cell that leaves
every rule as it was, and what is listed with the reason under `equivalent/`; a listed one that is killed is printed.
Cells that nobody can read a second time are listed with the reason under `borne/`; they count as survivors too.
"""

import argparse
import multiprocessing
import random
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), *(str(HERE.parent / name) for name in ("", "cases", "outside", ".."))]

from mutants import KINDS, Mutant, of_cells, of_rule  # noqa: E402  the path must stand first
from watchers import Watch  # noqa: E402

from advisor import yamlfile  # noqa: E402
from advisor.loading import Loaded, load  # noqa: E402

BESIDE = ("dropped word", "moved edge")


def mutants(loaded: Loaded, *, word: str, cells: bool, only: str) -> list[Mutant]:
    """Return the mutants wanted."""
    found: list[Mutant] = []
    for rule in loaded.book.rules.values():
        if word in rule.rule:
            variants = sorted((e for e in loaded.rules if e.rule.rule == rule.rule), key=lambda entry: entry.variant)
            found += of_rule(rule, variants, loaded.book)
    if cells:
        found += of_cells(loaded)
    return [mutant for mutant in found if mutant.kind == only or not only]


def noticed(watch: Watch, found: list[Mutant], jobs: int) -> Iterator[str]:
    """Try every mutant in order and tell what notices it; processes are forked, as a mutant is too large to send."""
    global _found, _watch
    _found, _watch = found, watch
    with multiprocessing.get_context("fork").Pool(jobs, _quiet) as pool:
        yield from pool.imap(_try, range(len(found)), chunksize=4)


def _quiet() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)


def _try(number: int) -> str:
    return _watch.noticed_by(_found[number])


_found: list[Mutant]
_watch: Watch


def equivalent() -> set[tuple[str, str]]:
    """(rule, what was done) of every mutant that is listed as one that cannot be told apart."""
    entries = [entry for path in sorted((HERE / "equivalent").glob("*.yaml")) for entry in yamlfile.load(path).data]
    return {(entry["rule"], entry["what"]) for entry in entries if entry["why"]}


def borne() -> set[tuple[str, str, str]]:
    """(table, row, column) of every cell listed as one that nobody can read a second time; row '' for all rows."""
    entries = [entry for path in sorted((HERE / "borne").glob("*.yaml")) for entry in yamlfile.load(path).data]
    cells = [(*entry["cell"].split("."), entry.get("rows", [""])) for entry in entries if entry["why"]]
    return {(table, row, column) for table, column, rows in cells for row in rows}


def report(mutants: list[tuple[Mutant, str]]) -> list[str]:
    """Print the shares by kind, and return the survivors that are listed nowhere."""
    listed = equivalent()
    for kinds in (*((kind,) for kind in KINDS), tuple(kind for kind in KINDS if kind not in BESIDE)):
        own = [(mutant, by) for mutant, by in mutants if mutant.kind in kinds]
        if not own:
            continue
        same = sum(not by and (mutant.same or (mutant.subject, mutant.what) in listed) for mutant, by in own)
        hit = sum(bool(by) for _, by in own)
        shares = [f"{100 * hit / max(1, total):5.1f} %" for total in (len(own), len(own) - same)]
        name = kinds[0] if len(kinds) == 1 else f"all but {' and '.join(BESIDE)}"
        beside = f", {shares[1]} without {same} that cannot be told apart" if same else ""
        print(f"{name:38} {hit:6} of {len(own):6} killed, {shares[0]}{beside}")
    for mutant, by in mutants:
        if by and (mutant.subject, mutant.what) in listed:
            print(f"listed as equivalent, but killed by {by}: {mutant.subject}: {mutant.what}")
    left = [m for m, by in mutants if not (by or m.same or (m.subject, m.what) in listed)]
    cells = borne()
    open_ = [m for m in left if not m.cell or not {m.cell, (m.cell[0], "", m.cell[2])} & cells]
    print(f"{len(left) - len(open_)} survivors are listed as borne")
    return sorted(f"{mutant.kind:20} {mutant.subject}: {mutant.what}" for mutant in open_)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kind", default="", choices=["", *KINDS])
    parser.add_argument("--rules", default="", help="only rules with this in their name")
    parser.add_argument("--sample", type=int, default=0, help="only so many mutants, drawn at random")
    parser.add_argument("--no-cells", action="store_true", help="leave the tables alone")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--survivors", type=Path, help="write the survivors that are listed nowhere to this file")
    options = parser.parse_args()
    start = time.monotonic()
    loaded = load()
    watch = Watch(loaded)
    found = mutants(loaded, word=options.rules, cells=not (options.no_cells or options.rules), only=options.kind)
    if options.sample and options.sample < len(found):
        found = random.Random(1).sample(found, options.sample)
    print(f"{len(found)} mutants, {len(watch.watchers)} examples and cases, ready in {time.monotonic() - start:.0f} s")
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # a run that is stopped says how far it came
    tried: list[tuple[Mutant, str]] = []
    try:
        for mutant, by in zip(found, noticed(watch, found, options.jobs), strict=True):
            tried.append((mutant, by))
            if len(tried) % 500 == 0:
                print(f"  {len(tried)} in {time.monotonic() - start:.0f} s", file=sys.stderr, flush=True)
    except KeyboardInterrupt:
        print(f"stopped after {len(tried)} mutants")
    lines = "".join(f"{line}\n" for line in report(tried))
    print(f"in {time.monotonic() - start:.0f} s")
    if options.survivors:
        options.survivors.write_text(lines, "utf-8")
    else:
        print(lines, end="")


if __name__ == "__main__":
    main()
