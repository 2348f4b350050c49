"""What a kill at any moment leaves: all but the answer being given, and a site file that loads.

A child process answers one question after another as the interface does, keeps each, saves now and then, and writes
down which it has kept. It is killed without warning, and what is on the disk is held against what it said.
"""

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import DEPTH, ROOT

from advisor.loading import Loaded
from tui.session import Session

KILLS = 50 if DEPTH >= 4 else 10

NURSERY = """
import os, signal, sys
from pathlib import Path
from advisor.loading import load
from tui.session import Session

def work(path, state, said):
    session = Session.open(loaded, path, state)
    said.write(b"ready\\n")
    number = 0
    while True:
        number += 1
        session.answer("unit", 0, "note", f"answer {number}")
        session.autosave()
        said.write(b"%d\\n" % number)
        if number % 4 == 0:
            session.save()
        if number % 9 == 0:
            session.add("wash", "mains-hose")
            session.autosave()
            session.undo()
            session.autosave()

loaded = load()
signal.signal(signal.SIGCHLD, signal.SIG_IGN)
for line in sys.stdin:
    child = os.fork()
    if not child:
        folder = Path(line.strip())
        work(folder / "site.yaml", folder / "state", open(folder / "said", "wb", buffering=0))
    print(child, flush=True)
"""
"""Loads the rulebook once, and for each folder named to it forks a child that works there."""


@pytest.fixture(scope="module")
def nursery() -> Iterator[subprocess.Popen[str]]:
    process = subprocess.Popen(
        [sys.executable, "-c", NURSERY], env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    yield process
    process.communicate(timeout=10)


def killed(nursery: subprocess.Popen[str], folder: Path, wait: float) -> int:
    """Let a child answer for a while, kill it, and return the last answer that it said it had kept."""
    assert nursery.stdin is not None and nursery.stdout is not None
    nursery.stdin.write(f"{folder}\n")
    nursery.stdin.flush()
    child, said = int(nursery.stdout.readline()), folder / "said"
    try:
        _until(lambda: said.exists() and said.read_bytes().startswith(b"ready\n"))
        time.sleep(wait)
    finally:
        os.kill(child, signal.SIGKILL)
    _until(lambda: not _lives(child))
    lines = said.read_text().splitlines()[1:]
    return int(lines[-1]) if lines else 0


def _until(done, most: float = 60) -> None:
    end = time.monotonic() + most
    while not done():
        assert time.monotonic() < end
        time.sleep(0.005)


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a kill without warning is a signal of POSIX")
@pytest.mark.parametrize("seed", range(KILLS))
def test_a_kill_loses_at_most_the_answer_being_given(seed: int, tmp_path: Path, nursery, loaded: Loaded) -> None:
    path, state = tmp_path / "site.yaml", tmp_path / "state"
    path.write_text((ROOT / "scenarios" / "cold-store-door" / "site.yaml").read_text("utf-8"), "utf-8")
    kept = killed(nursery, tmp_path, random.Random(seed).uniform(0, 0.6))

    on_disk = Session.open(loaded, path, state)
    left = Session.recoverable(state)
    session = Session.recover(loaded, left[0]) if left else on_disk
    note = str(session.written("unit", 0, "note") or "answer 0")
    assert len(left) <= 1
    assert int(note.removeprefix("answer ")) in (kept, kept + 1)
    assert session.text.startswith("# Invented example: the frame of a cold-store door.")
