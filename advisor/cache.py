"""Keeps parsed files as JSON in the user's cache folder, since parsing YAML is the slowest part of a short command.

An entry is named by the digest of the files it was parsed from and by the state of the program that checked them: a
newer, stricter program checks again. The cache may be deleted at any time; setting
SITEWORTHY_CACHE to a folder moves it, and to an empty value switches it off. What cannot be read or written, or does
not agree with the digest at its head, is passed over: the files are then parsed again.
"""

import contextlib
import functools
import hashlib
import json
import os
import re
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from advisor import __version__
from advisor.yamlfile import Document

MOST_KEPT = 24
"""Entries kept; the oldest go first."""


def name(digest: str) -> str:
    """Return the name of the entry for files of this digest, checked by the program as it now stands."""
    return hashlib.sha256(f"{digest} {_program()}".encode()).hexdigest()


@functools.cache
def _program() -> str:
    """Return what changes with every file of the program."""
    state = hashlib.sha256(__version__.encode())
    for path in sorted(Path(__file__).parent.rglob("*.py")):
        with contextlib.suppress(OSError):
            about = path.stat()
            state.update(f" {path.name} {about.st_size} {about.st_mtime_ns}".encode())
    return state.hexdigest()


def read(name: str) -> list[Document] | None:
    """Return the documents kept under a name, with the places of their entries; None if there are none."""
    try:
        return [_document(*entry) for entry in read_plain(name)]
    except (ValueError, TypeError, AttributeError):
        return None


def read_plain(name: str) -> Any:
    """Return the plain data kept under a name; None if there are none, or they are not what was written."""
    path = _file(name)
    try:
        digest, _, body = path.read_text("utf-8").partition("\n") if path else ("", "", "")
        if not body or hashlib.sha256(body.encode()).hexdigest() != digest:
            return None
        return json.loads(body)
    except (OSError, ValueError):
        return None


def _document(path: str, data: object, places: dict[str, list[int]]) -> Document:
    """Return a document that knows the places of its top-level entries only."""
    return Document(str(path), data, {(int(index),): (line, column) for index, (line, column) in places.items()})


def write(name: str, documents: Iterable[Document]) -> None:
    """Keep the documents under a name."""
    write_plain(name, [(document.path, document.data, _places(document)) for document in documents])


def write_plain(name: str, data: object) -> None:
    """Keep plain data under a name."""
    path = _file(name)
    if path is None:
        return
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        body = json.dumps(data)
        with tempfile.NamedTemporaryFile("w", dir=path.parent, delete=False, encoding="utf-8") as stream:
            stream.write(f"{hashlib.sha256(body.encode()).hexdigest()}\n{body}")
        os.replace(stream.name, path)
        # The folder may hold files of others.
        own = [entry for entry in path.parent.glob("*.json") if re.fullmatch(r"[0-9a-f]{32}(-[a-z]+)?", entry.stem)]
        for old in sorted(own, key=lambda entry: entry.stat().st_mtime)[:-MOST_KEPT]:
            old.unlink(missing_ok=True)
    except OSError:
        return


def _places(document: Document) -> dict[str, tuple[int, int]]:
    count = len(document.data) if isinstance(document.data, list) else 0
    return {str(index): document.positions[(index,)] for index in range(count) if (index,) in document.positions}


def _file(name: str) -> Path | None:
    place = os.environ.get("SITEWORTHY_CACHE")
    if place == "":
        return None
    base = Path(place) if place else Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "siteworthy"
    digest, _, kind = name.partition("-")
    return base / f"{digest[:32]}{'-' if kind else ''}{kind}.json"
