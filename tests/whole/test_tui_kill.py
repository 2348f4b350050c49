"""What a kill at any moment leaves: all but the answer being given, and a site file that loads.

A child process answers one question after another as the interface does, keeps each, saves now and then, and writes
down which it has kept. It is killed without warning, and what is on the disk is held against what it said.
"""

import os
import random
import select
import signal
import struct
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


class Terminal:
    """The program on a terminal of its own."""

    def __init__(self, *arguments: str, env: dict[str, str]) -> None:
        import fcntl
        import pty
        import termios

        self.process, self.handle = pty.fork()
        if not self.process:
            os.execvpe(sys.executable, [sys.executable, "-m", "advisor.cli", *arguments], {**os.environ, **env})
        fcntl.ioctl(self.handle, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))

    def until(self, words: bytes, most: float = 60) -> None:
        """Read until the words have been shown."""
        seen, end = b"", time.monotonic() + most
        while words not in seen:
            assert time.monotonic() < end, seen[-2000:]
            if select.select([self.handle], [], [], 0.1)[0]:
                seen += os.read(self.handle, 65536)

    def type(self, words: bytes) -> None:
        os.write(self.handle, words)

    def kill(self) -> None:
        os.kill(self.process, signal.SIGKILL)
        os.waitpid(self.process, 0)
        os.close(self.handle)


@pytest.mark.skipif(sys.platform != "linux", reason="the folder of the state is set as Linux has it")
def test_the_whole_interface_killed_in_a_terminal_loses_the_field_being_typed(tmp_path: Path, loaded: Loaded) -> None:
    site, state = tmp_path / "site.yaml", tmp_path / "state" / "siteworthy"
    site.write_text("# mine\nsite: Filler 3\n", "utf-8")
    state.mkdir(parents=True)
    (state / "cautions-shown").write_text("shown\n", "utf-8")
    env = {"PYTHONPATH": str(ROOT), "XDG_STATE_HOME": str(state.parent), "TERM": "xterm-256color"}
    terminal = Terminal("ask", str(site), env=env)
    try:
        terminal.until(b"certain,")
        terminal.type(b"\x06")
        terminal.until(b"narrow")
        terminal.type(b"largest size")
        terminal.until(b"argest")
        terminal.type(b"\r")
        terminal.until(b"in mm")
        terminal.type(b"65 mm\r")
        _until(lambda: any((state / "unsaved").glob("*.json")))
        terminal.type(b"12")
    finally:
        terminal.kill()
    (left,) = Session.recoverable(state)
    assert Session.recover(loaded, left).text == "# mine\nsite: Filler 3\nunit:\n  largest_size: 65 mm\n"
    assert site.read_text("utf-8") == "# mine\nsite: Filler 3\n"
