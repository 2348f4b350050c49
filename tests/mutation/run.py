"""Changes the knowledge in small ways, one at a time, and counts how many changes the quick knowledge tests notice.

Run: python tests/mutation/run.py [--kind KIND] [--rules WORD] [--sample N] [--no-cells] [--jobs N] [--survivors FILE].
What notices is the examples of the rules, the cases at their edges and the case book, by the quick evaluator, and the
second reading of a table; other tests may notice more.
`dropped word` (one of a list) and `moved edge` (a threshold that itself counts or not) stand beside the score.
"""

import argparse
import multiprocessing
import random
import signal
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), *(str(HERE.parent / name) for name in ("", "cases", "outside", ".."))]

from mutants import KINDS, Mutant, of_cells, of_rule  # noqa: E402  the path must stand first
from watchers import Watch  # noqa: E402

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
    with multiprocessing.get_context("fork").Pool(jobs, signal.signal, (signal.SIGINT, signal.SIG_IGN)) as pool:
        yield from pool.imap(_try, range(len(found)), chunksize=4)


def _try(number: int) -> str:
    return _watch.noticed_by(_found[number])


_found: list[Mutant]
_watch: Watch


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kind", default="", choices=["", *KINDS])
    parser.add_argument("--rules", default="", help="only rules with this in their name")
    parser.add_argument("--sample", type=int, default=0, help="only so many mutants, drawn at random")
    parser.add_argument("--no-cells", action="store_true", help="leave the tables alone")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--survivors", type=Path, help="write all survivors to this file")
    options = parser.parse_args()
    start = time.monotonic()
    loaded = load()
    watch = Watch(loaded)
    found = mutants(loaded, word=options.rules, cells=not (options.no_cells or options.rules), only=options.kind)
    if options.sample and options.sample < len(found):
        found = random.Random(1).sample(found, options.sample)
    print(f"{len(found)} mutants, {len(watch.watchers)} examples and cases, ready in {time.monotonic() - start:.0f} s")
    made: Counter[str] = Counter()
    killed: Counter[str] = Counter()
    survivors: list[str] = []
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # a run that is stopped says how far it came
    answers = noticed(watch, found, options.jobs)
    number = 0
    try:
        for number, (mutant, by) in enumerate(zip(found, answers, strict=True), 1):
            made[mutant.kind] += 1
            killed[mutant.kind] += bool(by)
            survivors += [] if by else [f"{mutant.kind:20} {mutant.subject}: {mutant.what}"]
            if number % 500 == 0:
                print(f"  {number} in {time.monotonic() - start:.0f} s", file=sys.stderr, flush=True)
    except KeyboardInterrupt:
        print(f"stopped after {number} mutants")
    for kind in (*(k for k in KINDS if k not in BESIDE), "", *BESIDE):
        if not kind:
            total, hit = (sum(count[k] for k in KINDS if k not in BESIDE) for count in (made, killed))
            print(f"{'all of these':20} {hit:6} of {total:6} killed, {100 * hit / max(1, total):5.1f} %")
        elif made[kind]:
            print(f"{kind:20} {killed[kind]:6} of {made[kind]:6} killed, {100 * killed[kind] / made[kind]:5.1f} %")
    print(f"in {time.monotonic() - start:.0f} s")
    lines = "".join(f"{line}\n" for line in sorted(survivors))
    if options.survivors:
        options.survivors.write_text(lines, "utf-8")
    else:
        print(lines, end="")


if __name__ == "__main__":
    main()
