"""Files written whole or not at all: aside, flushed to the disk, renamed; with one clear line where it cannot be done.

The old file stays until the new one is complete, keeps its permissions, and is followed through a symbolic link.
"""

import contextlib
import hashlib
import os
import stat
import tempfile
from pathlib import Path

from advisor.faults import Fault, InputError, Place


def write_whole(path: Path, text: str) -> None:
    """Replace the file by the text. Raises InputError, with the old file untouched, where it cannot be written."""
    aside = ""
    try:
        target = path.resolve()
        handle, aside = tempfile.mkstemp(prefix=f".{target.name[:80]}.", dir=target.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(text.encode("utf-8"))
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(aside, _mode(target))
        os.replace(aside, target)
    except OSError as problem:
        with contextlib.suppress(OSError):
            os.unlink(aside)
        reason = problem.strerror or str(problem)
        raise InputError(
            [Fault(Place(str(path)), f"cannot be written ({reason})", "what stood there before is untouched")]
        ) from None
    _flush_folder(target.parent)


def digest(path: Path) -> str:
    """Return a mark of the file's content, '' where there is no file."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except FileNotFoundError:
        return ""
    except OSError as problem:
        return f"unreadable: {problem.strerror}"


def _mode(path: Path) -> int:
    try:
        return stat.S_IMODE(path.stat().st_mode)
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _flush_folder(folder: Path) -> None:
    """Make the renaming itself last; not every file system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
