"""What is wrong with an input, where, and what would be accepted instead.

A `Fault` is one line for the person who wrote the file. Readers put faults into a `Collector` and go on, so that
one run shows all faults of a file; `Collector.raise_any` ends the reading with every fault found. A line number
is given only where it is known.
"""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field


@dataclass(frozen=True, order=True)
class Place:
    """A place in a file; line and column count from 1 and are None where they are not known."""

    path: str
    line: int | None = None
    column: int | None = None

    def __str__(self) -> str:
        return ":".join(str(part) for part in (self.path, self.line, self.column) if part is not None)


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong: where, what, and what is accepted there."""

    place: Place
    what: str
    accepted: str = ""

    def __str__(self) -> str:
        line = f"{self.place}: {self.what}" + (f"; {self.accepted}" if self.accepted else "")
        return "".join(sign if sign.isprintable() else " " for sign in line)


class InputError(Exception):
    """Input that cannot be used; `faults` holds one entry for each thing to mend."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(sorted(set(faults)))
        super().__init__(*self.faults)

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)


@dataclass
class Collector:
    """Gathers faults while a reader goes on."""

    faults: list[Fault] = field(default_factory=list)

    def add(self, place: Place, what: str, accepted: str = "") -> None:
        self.faults.append(Fault(place, what, accepted))

    def raise_any(self) -> None:
        """Raise InputError if anything was found."""
        if self.faults:
            raise InputError(self.faults)


def shorten(value: object, limit: int = 60) -> str:
    """Return the value as one short quoted line, for use in a message."""
    text = str(value).replace("\n", " ")
    return repr(text if len(text) <= limit else text[: limit - 1] + "…")


def nearest(word: str, known: Iterable[str], *, most: int = 12) -> str:
    """Return 'did you mean ...?' for the closest known word, or else the list of what is accepted."""
    names = [str(name) for name in known]
    close = difflib.get_close_matches(str(word).lower(), [name.lower() for name in names], n=1, cutoff=0.6)
    if close:
        hit = next(name for name in names if name.lower() == close[0])
        return f"did you mean {hit}? Accepted: {listing(names, most)}" if len(names) <= most else f"did you mean {hit}?"
    return f"accepted: {listing(names, most)}"


def listing(names: Iterable[str], most: int = 12) -> str:
    """Return the names joined by commas, cut after `most`."""
    words = list(names)
    rest = len(words) - most
    return ", ".join(words[:most]) + (f" and {rest} more" if rest > 0 else "")
