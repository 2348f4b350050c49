"""The readers of `fuzz.py` under atheris, which looks for input that takes a new way through the code.

Run: python tests/fuzz_guided.py READER SECONDS. Needs atheris, which is no extra of this project, as it is not made
for every platform. It ends at the first defect and prints the input.
"""

import sys
import tempfile
from pathlib import Path

import atheris

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

with atheris.instrument_imports(include=["advisor"]):
    import fuzz

LONGEST_INPUT = 2000


def main() -> None:
    name, seconds = sys.argv[1], sys.argv[2]
    make, read = fuzz.READERS[name]
    texts = make()
    fuzz.fault_of(read, texts[0])

    def one(data: bytes) -> None:
        fault = fuzz.fault_of(read, data.decode("utf-8", "replace"))
        if fault:
            raise AssertionError(fault)

    with tempfile.TemporaryDirectory() as folder:
        for number, text in enumerate(texts):
            (Path(folder) / str(number)).write_bytes(text.encode("utf-8")[:LONGEST_INPUT])
        limits = [f"-max_total_time={seconds}", f"-max_len={LONGEST_INPUT}", "-verbosity=1", "-timeout=30"]
        atheris.Setup([sys.argv[0], *limits, folder], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
