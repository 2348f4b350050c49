"""Writing a result to a file: whole or not at all.

A regular file is written aside, flushed to the disk and renamed, so that a full disk or a kill leaves the old file. A
device or a pipe is written to as it is: renaming would put a file in its place.
"""

import contextlib
import os
import tempfile
from pathlib import Path

from advisor.faults import Fault, InputError, Place


def save(path: Path, text: str) -> None:
    """Write the text to the path. Raises InputError when it cannot be written."""
    try:
        if path.exists() and not path.is_file() and not path.is_dir():
            with path.open("w", encoding="utf-8") as stream:
                stream.write(text)
        else:
            _replace(path.resolve(), text)
    except (OSError, RuntimeError) as problem:  # a link that leads to itself is a RuntimeError
        what = f"cannot be written ({getattr(problem, 'strerror', None) or 'a link that leads nowhere'})"
        raise InputError([Fault(Place(str(path)), what, "another place for -o")]) from None


def _replace(path: Path, text: str) -> None:
    mode = path.stat().st_mode & 0o777 if path.exists() else 0o644
    aside = ""
    try:
        with tempfile.NamedTemporaryFile(
            "w", dir=path.parent, delete=False, encoding="utf-8", prefix=f".{path.name}."
        ) as stream:
            aside = stream.name
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(aside, mode)
        os.replace(aside, path)
    except OSError:
        with contextlib.suppress(OSError):
            os.unlink(aside)
        raise
