"""Autosaved work: one small file for each session in the state folder, there from the first change to the last save.

A session holds a lock on its journal while it lives. What a killed process leaves behind is thus free and offered
for recovery, what another living window works on is not. Where there are no such locks all journals are offered.
"""

import contextlib
import hashlib
import json
import os
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from platformdirs import user_state_dir

from advisor.faults import Fault, InputError, Place
from tui.files import write_whole

try:
    import fcntl
except ImportError:
    fcntl = None  # type: ignore[assignment]


def state_folder(state_dir: Path | None) -> Path:
    """Return the folder for what is remembered between runs; None is the user's own."""
    return state_dir if state_dir is not None else Path(user_state_dir("siteworthy", appauthor=False))


@dataclass(frozen=True)
class Recovery:
    """Work that was not saved. `path` is the file it began as, None for a new site; `journal` is where it lies."""

    path: Path | None
    saved_at: datetime
    title: str
    journal: Path
    text: str = field(repr=False, default="")
    base: str = ""
    """The mark of the file's content when it was read, to tell whether somebody changed it since."""

    def discard(self) -> None:
        """Throw the work away."""
        _remove(self.journal)


class Journal:
    """Where one session keeps its work until it is saved."""

    def __init__(self, state_dir: Path | None, path: Path | None = None) -> None:
        """`path` is a journal left behind that this session takes over."""
        self.folder = state_folder(state_dir) / "unsaved"
        self.path = path or self.folder / f"{uuid.uuid4().hex}.json"
        self._lock: Any = None
        self._written = ""

    def write(self, text: str, path: Path | None, base: str, title: str) -> None:
        """Keep the text. Raises InputError if it cannot be written; what was kept before then still stands."""
        if self._written == text:
            return
        entry = {
            "path": str(path) if path else None,
            "saved_at": datetime.now().astimezone().isoformat(timespec="seconds"),
            "title": title,
            "base": base,
            "text": text,
            "check": hashlib.sha256(text.encode()).hexdigest(),
        }
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as problem:
            raise InputError(
                [Fault(Place(str(self.folder)), f"cannot be made ({problem.strerror})", "save your work to a file")]
            ) from None
        self.claim()
        write_whole(self.path, json.dumps(entry, ensure_ascii=False, indent=1) + "\n")
        self._written = text

    def claim(self) -> bool:
        """Take the lock; false if another living session has it."""
        if self._lock is None and self.folder.is_dir():
            self._lock = _locked(self.path)
        return self._lock is not None or fcntl is None

    def discard(self) -> None:
        """Remove what is kept and give up the lock."""
        _remove(self.path)
        self._written = ""
        self.close()

    def close(self) -> None:
        """Give up the lock and leave what is kept for recovery."""
        if self._lock is not None:
            self._lock.close()
            self._lock = None


def recoverable(state_dir: Path | None = None) -> list[Recovery]:
    """Return what no living session holds, newest first. A journal that is not whole is passed over and left."""
    return sorted(_found(state_folder(state_dir) / "unsaved"), key=lambda found: found.saved_at, reverse=True)


def _found(folder: Path) -> Iterator[Recovery]:
    for journal in sorted(folder.glob("*.json")) if folder.is_dir() else ():
        with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
            lock = _locked(journal)
            if lock is None and fcntl is not None:
                continue
            if lock is not None:
                lock.close()
            entry = json.loads(journal.read_text("utf-8"))
            if hashlib.sha256(entry["text"].encode()).hexdigest() != entry["check"]:
                continue
            path = Path(entry["path"]) if entry["path"] else None
            saved_at = datetime.fromisoformat(entry["saved_at"])
            yield Recovery(path, saved_at, entry["title"], journal, entry["text"], entry["base"])


def _locked(journal: Path) -> Any:
    """Return the open lock beside a journal; None if another session holds it or there are no locks here."""
    if fcntl is None:
        return None
    stream = None
    try:
        stream = journal.with_suffix(".lock").open("a")
        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        if stream is not None:
            stream.close()
        return None
    return stream


def _remove(journal: Path) -> None:
    for path in (journal, journal.with_suffix(".lock")):
        with contextlib.suppress(OSError):
            os.unlink(path)
