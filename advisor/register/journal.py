"""What a register has worked out so far, kept beside its output, so that a stopped run goes on where it was.

The first line names the rulebook and the catalogue; with others, or with another version of this file's form, nothing
in it counts. Every further line is one set of answers by its digest, and how all types fare there. A line that was cut
off, or does not agree with its own check sum, does not count.
"""

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import TextIO

from advisor.faults import Fault, InputError, Place
from advisor.register.judge import Fare

FORM = "siteworthy.register.journal/1"


class Journal:
    """Used as a statement; `known` holds what an earlier run has worked out."""

    def __init__(self, path: Path | None, rulebook: str, catalogue: str, types: int) -> None:
        self.path = path
        self._head = json.dumps({"form": FORM, "rulebook": rulebook, "catalogue": catalogue, "types": types})
        self.known: dict[str, Fare] = {}
        self._stream: TextIO | None = None

    def __enter__(self) -> "Journal":
        if self.path is None:
            return self
        try:
            fresh = True
            if self.path.exists():
                fresh = not self._read(self.path)
            self._stream = self.path.open("w" if fresh else "a", encoding="utf-8")
            if fresh:
                self._write(self._head)
            else:
                # A line that was cut off must not swallow the next one.
                self._write("")
        except (OSError, UnicodeDecodeError) as problem:
            reason = getattr(problem, "strerror", None) or "no text"
            what, accepted = f"cannot be used as a journal ({reason})", "another place for --journal"
            raise InputError([Fault(Place(str(self.path)), what, accepted)]) from None
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._stream is not None:
            self._stream.close()

    def add(self, found: Mapping[str, Fare]) -> None:
        """Enter what was worked out."""
        if self._stream is not None:
            for key, fare in found.items():
                body = f"{key} {fare.fit:x} {fare.unfit:x}"
                self._write(f"{body} {_check(body)}")

    def _write(self, line: str) -> None:
        assert self._stream is not None
        self._stream.write(f"{line}\n")
        self._stream.flush()

    def _read(self, path: Path) -> bool:
        """Read the journal; tell whether it is of the same rulebook and catalogue. Never takes what is no journal."""
        lines = path.read_text("utf-8").splitlines()
        if lines and FORM not in lines[0]:
            what, accepted = "is no journal and is not written over", "another place for --journal"
            raise InputError([Fault(Place(str(path)), what, accepted)])
        if not lines or lines[0] != self._head:
            return False
        for line in lines[1:]:
            body, _, check = line.rpartition(" ")
            parts = body.split(" ")
            if len(parts) == 3 and check == _check(body):
                self.known[parts[0]] = Fare(int(parts[1], 16), int(parts[2], 16))
        return True


def _check(body: str) -> str:
    return hashlib.sha256(body.encode()).hexdigest()[:8]
