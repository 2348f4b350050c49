"""Broken input for every reader of files: real files with signs, lines and pieces of others put in wrong places.

A reader may take what it is given or refuse it with faults that each say what is wrong; anything else it raises, and an
input that takes it longer than `LONGEST`, is a defect. Run: python tests/fuzz.py READER SECONDS [SEED]; the seed that
is printed with a failure makes its input again.
"""

import contextlib
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import strategies  # noqa: E402  the path must stand first

from advisor import yamlfile  # noqa: E402
from advisor.catalogue.columns import guess  # noqa: E402
from advisor.catalogue.csvfile import CsvFile  # noqa: E402
from advisor.faults import InputError  # noqa: E402
from advisor.loading import load  # noqa: E402
from advisor.sheet import SheetReader  # noqa: E402
from advisor.site import load_site  # noqa: E402

LONGEST = 10.0
"""Seconds for one input of a few kilobytes."""
LARGEST = 20_000
SMALL = ROOT / "tests" / "units" / "bad_input" / "knowledge"
SIGNS = "\0\t\r\n '\"[]{}():;,|-+*/.%°µΩ±≥…–&!@#<>=\\~^$0123456789eIPxXK\ufeff\u202e\u2028\x1b\ud800"
PIECES = (
    "- ", ": ", "{", "}}", "[[[[", "&a ", "*a", "!!python/object/apply:os.system [id]", "!!binary x", "<<: *a", "---\n",
    "null", "~", "1e999", "-0", "9" * 60, "IP" * 50, "IP69K/IP6X", "-25...+70 °C", "M12 x 1", "10 to 5 bar", "1/0 in",
    "0x1F", ".inf", ".nan", "=cmd|' /C calc'!A0", '"' * 7, "sep=;\n", ";" * 200, "(" * 300, "a" * 3000, "\n" * 300,
)  # fmt: skip


def broken(texts: list[str], pick: random.Random) -> str:
    """Return one of the texts with a few things wrong."""
    text = pick.choice(texts)
    for _ in range(pick.randint(1, 8)):
        at = pick.randint(0, len(text))
        end = min(len(text), at + pick.choice((0, 1, 1, 2, 8, 60)))
        other = pick.choice(texts)
        start = pick.randint(0, len(other))
        lines = text.split("\n")
        line = pick.randrange(len(lines))
        text = pick.choice((
            text[:at] + pick.choice(SIGNS) + text[end:],
            text[:at] + pick.choice(PIECES) + text[end:],
            text[:at] + text[end:],
            text[:at] + other[start : start + pick.randint(1, 400)] + text[end:],
            "\n".join([*lines[:line], *lines[line : line + 1] * pick.randint(0, 30), *lines[line + 1 :]]),
            text[:at] + text[at:end] * pick.randint(2, 40) + text[end:],
        ))[:LARGEST]  # fmt: skip
    return text


def sites() -> list[str]:
    return [path.read_text("utf-8") for path in sorted((ROOT / "scenarios").glob("*/site.yaml"))]


def sheets() -> list[str]:
    folders = (ROOT / "scenarios").glob("*/units/*.txt"), (ROOT / "tests" / "units" / "notation_sheets").glob("*.txt")
    return [path.read_text("utf-8") for paths in folders for path in sorted(paths)]


def sheet_files() -> list[str]:
    return [path.read_text("utf-8") for path in sorted((ROOT / "scenarios").glob("*/units/*.yaml"))]


def tables() -> list[str]:
    rows = ["Type;Protection;Housing;Temperature;Price", "A 1;IP67;V4A;-25...+70 °C;12,50", "B;IP68/IP69K;PBT;;1.234,5"]
    return ["\n".join(rows), "\n".join(row.replace(";", ",").replace(",5", "") for row in rows), "\t".join(rows)]


def rules() -> list[str]:
    own = (SMALL / "rules" / "base.yaml").read_text("utf-8").replace("rule: base", "rule: own")
    shipped = sorted((ROOT / "knowledge" / "rules").glob("w*.yaml"))
    return [own, own, own, *(path.read_text("utf-8")[:6000] for path in shipped)]


@contextlib.contextmanager
def written(text: str, name: str) -> Iterator[Path]:
    """The text as a file, as a person would have it."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        yield path


def site(text: str) -> None:
    with written(text, "site.yaml") as path:
        load_site(path, strategies.rulebook().book)


def sheet(text: str) -> None:
    SheetReader(strategies.rulebook().book).from_text(text, "unit", "sheet.txt")


def sheet_file(text: str) -> None:
    with written(text, "sheet.yaml") as path:
        SheetReader(strategies.rulebook().book).from_document(yamlfile.load(path))


def table(text: str) -> None:
    with written(text, "catalogue.csv") as path:
        found = CsvFile(path)
        guess(found.heads, list(found.rows())[:50])


def rule_file(text: str) -> None:
    with written(text, "own.yaml") as path:
        _ = load([path.parent], knowledge=SMALL).rules


READERS: dict[str, tuple[Callable[[], list[str]], Callable[[str], None]]] = {
    "site": (sites, site),
    "sheet": (sheets, sheet),
    "sheet_file": (sheet_files, sheet_file),
    "table": (tables, table),
    "rules": (rules, rule_file),
}


def fault_of(read: Callable[[str], None], text: str) -> str:
    """Return what is wrong with how a reader takes a text, or nothing."""
    start = time.perf_counter()
    try:
        read(text)
    except InputError as problem:
        if not problem.faults or not all(fault.what.strip() and "\n" not in str(fault) for fault in problem.faults):
            return f"a fault that says nothing, or not in one line: {problem}"
    except Exception as problem:  # noqa: BLE001 - whatever it is, it should have been a fault
        return f"{type(problem).__name__}: {problem}"
    took = time.perf_counter() - start
    return f"took {took:.1f} s" if took > LONGEST else ""


def main() -> int:
    name, seconds = sys.argv[1], float(sys.argv[2])
    texts, read = READERS[name][0](), READERS[name][1]
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    fault_of(read, texts[0])  # what is loaded once is not the reader's time
    start, count, failed, slowest = time.monotonic(), 0, 0, 0.0
    while time.monotonic() - start < seconds:
        begin = time.perf_counter()
        fault = fault_of(read, broken(texts, random.Random(seed)))
        slowest = max(slowest, time.perf_counter() - begin)
        if fault:
            failed += 1
            print(f"seed {seed}: {fault[:300]}", flush=True)
        seed, count = seed + 1, count + 1
    print(f"{name}: {count} inputs in {time.monotonic() - start:.0f} s, {failed} defects, slowest {slowest:.2f} s")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
