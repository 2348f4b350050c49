"""What one `require` costs, part by part, and the inference at rulebooks of 100, 300 and 1,000 rules.

Run: python tests/benchmarks/inference.py [RUNS]. Prints medians in milliseconds. The first table times the command as a
whole process beside a process that only imports experta, pydantic, yaml and pint (its floor); the second cuts the
shipped rulebook down or copies its rules under new names, to the size wanted, and times each part on one site.
"""

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from advisor.advise import gather
from advisor.engine.bounds import evaluate
from advisor.engine.chaining import Chainer
from advisor.engine.compiled import CompiledRule
from advisor.engine.compiler import RuleCompiler
from advisor.faults import Collector
from advisor.loading import Loaded, load
from advisor.site import load_site

ROOT = Path(__file__).resolve().parents[2]
SITE = ROOT / "scenarios" / "ready-meals-washdown" / "site.yaml"
FLOOR = (
    "import collections, collections.abc; collections.Mapping = collections.abc.Mapping; "
    "import experta, pydantic, yaml, pint"
)
SIZES = (100, 300, 1000)


def median_ms(work: Callable[[], object], runs: int) -> float:
    """Return the median duration of a piece of work in milliseconds."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def process(*arguments: str) -> Callable[[], object]:
    """Return a whole process as a piece of work."""
    return lambda: subprocess.run([sys.executable, *arguments], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)


def sized(loaded: Loaded, size: int) -> tuple[Loaded, tuple[CompiledRule, ...]]:
    """Return the rulebook cut to, or filled up with copies to, the number of rules."""
    rules = dict(list(loaded.book.rules.items())[:size])
    for number in range(1, 1 + size // len(loaded.book.rules)):
        for name, rule in loaded.book.rules.items():
            if len(rules) < size:
                rules[f"{name}-copy{number}"] = rule.model_copy(update={"rule": f"{name}-copy{number}"})
    book = replace(loaded.book, rules=rules)
    return Loaded(book, loaded.rules), RuleCompiler(book, Collector()).compile()


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    loaded = load()
    floor = median_ms(process("-c", FLOOR), runs)
    whole = median_ms(process("-m", "advisor.cli", "require", str(SITE), "--proofs"), runs)
    print(f"whole command with proofs {whole:.0f} ms, imports alone {floor:.0f} ms, ratio {whole / floor:.2f}")
    print(f"{'rules':>6} {'compile':>9} {'network':>9} {'certain':>9} {'possible':>9} {'quick, both':>12} {'join':>7}")
    for size in SIZES:
        small, rules = sized(loaded, size)
        book = small.book
        facts = load_site(SITE, book).facts()
        site = load_site(SITE, book)
        chainer = Chainer(rules, book)
        compile_ms = median_ms(lambda book=book: RuleCompiler(book, Collector()).compile(), runs)
        first = median_ms(lambda rules=rules, book=book, facts=facts: Chainer(rules, book).run(facts, certain=True), 1)
        certain_ms = median_ms(lambda chainer=chainer, facts=facts: chainer.run(facts, certain=True), runs)
        possible_ms = median_ms(lambda chainer=chainer, facts=facts: chainer.run(facts, certain=False), runs)

        def quick(rules: tuple[CompiledRule, ...] = rules, book: object = book, facts: list = facts) -> None:
            evaluate(rules, [fact for fact in facts if fact.certain], book, certain=True)
            evaluate(rules, facts, book, certain=False)

        runs_of = chainer.run(facts, certain=True), chainer.run(facts, certain=False)

        def join(site: object = site, runs_of: tuple = runs_of, book: object = book, rules: tuple = rules) -> None:
            gather(site, *runs_of, book, rules)

        join_ms = median_ms(join, runs)
        print(
            f"{size:>6} {compile_ms:>9.1f} {first - certain_ms:>9.1f} {certain_ms:>9.1f} {possible_ms:>9.1f}"
            f" {median_ms(quick, runs):>12.1f} {join_ms:>7.1f}"
        )


if __name__ == "__main__":
    main()
