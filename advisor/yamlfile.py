"""Reads YAML strictly: what a person wrote is what is meant, and every value knows its place.

The C parser is used where it is there. The scalar rules are narrower than YAML 1.1, whose surprises are traps in
a file of figures: only true and false are truth values (`no`, `on` and `off` are words), a number is written in
plain decimal form (`010`, `1:30` and dates are words), and two equal keys in one mapping are a fault.
Anchors, aliases and tags are refused: no file here needs them, and they are how a small file becomes a huge one.
"""

import codecs
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from advisor.faults import Collector, Fault, InputError, Place

LARGEST_FILE = 5_000_000
"""Bytes; a limit on what is parsed, far above any site, sheet or rule file."""
DEEPEST = 40
LONGEST_NUMBER = 40
"""Digits; anything longer is left as text, which no quantity reads."""

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_NUMBER = re.compile(r"[+-]?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?\Z")
_WORDS: dict[str, Any] = {"true": True, "false": False, "null": None, "~": None, "": None}
_KINDS = ("str", "int", "float", "bool", "null", "timestamp", "merge", "value", "seq", "map")
_PLAIN_TAGS = {"!", *(f"tag:yaml.org,2002:{kind}" for kind in _KINDS)}
_DEEPER = {
    yaml.MappingStartEvent: 1,
    yaml.SequenceStartEvent: 1,
    yaml.MappingEndEvent: -1,
    yaml.SequenceEndEvent: -1,
}
Steps = tuple[str | int, ...]
"""The path to an entry: keys and item numbers from the root."""


@dataclass(frozen=True)
class Document:
    """The plain data of a YAML file and the place of every key and item by its path."""

    path: str
    data: Any
    positions: dict[Steps, tuple[int, int]] = field(default_factory=dict)

    def place(self, *steps: str | int) -> Place:
        """Return the place of the entry, or of the nearest enclosing one that has a place."""
        for length in range(len(steps), -1, -1):
            mark = self.positions.get(steps[:length])
            if mark:
                return Place(self.path, *mark)
        return Place(self.path)


def read_text(path: Path, shown: str | None = None, *, wide: bool = False) -> str:
    """Return the file's text. Raises InputError if it cannot be read, is too large, or is not UTF-8.

    `wide` takes UTF-16 as well, as text saved by office programs.
    """
    place = Place(shown or str(path))
    try:
        if path.is_dir():
            raise InputError([Fault(place, "is a folder", "a file is needed")])
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_FILE + 1)
    except OSError as problem:
        raise InputError([Fault(place, f"cannot be read ({problem.strerror or problem})")]) from None
    if len(raw) > LARGEST_FILE:
        raise InputError([Fault(place, "is too large", f"at most {LARGEST_FILE // 1_000_000} MB are read")])
    try:
        return raw.decode(_encoding(raw) if wide else "utf-8-sig")
    except UnicodeDecodeError as problem:
        line = raw.count(b"\n", 0, problem.start) + 1
        raise InputError(
            [Fault(Place(place.path, line), "is not UTF-8 text", "save the file with the encoding UTF-8")]
        ) from None


def _encoding(raw: bytes) -> str:
    """Tell UTF-16 from UTF-8 by its mark, or by the zero bytes beside the letters where it has none."""
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    zeros = raw[1::2].count(0), raw[0::2].count(0)
    if max(zeros) > len(raw) // 4:
        return "utf-16-le" if zeros[0] > zeros[1] else "utf-16-be"
    return "utf-8-sig"


def load(path: Path, shown: str | None = None) -> Document:
    """Read one YAML document. Raises InputError with every fault of form found."""
    name = shown or str(path)
    return parse(read_text(path, name), name)


def parse(text: str, name: str) -> Document:
    """Parse one YAML document from text; `name` is the path shown in messages."""
    faults = Collector()
    try:
        loader = _Loader(text)
        try:
            document = _Builder(loader, name, faults).document()
        finally:
            loader.dispose()
    except yaml.MarkedYAMLError as problem:
        mark = problem.problem_mark or problem.context_mark
        place = Place(name, mark.line + 1, mark.column + 1) if mark else Place(name)
        hint = "indent with spaces, not tabs" if "\\t" in (problem.problem or "") or _tab(text, mark) else ""
        raise InputError(
            [Fault(place, f"is not well-formed YAML ({problem.problem or problem.context})", hint)]
        ) from None
    except yaml.YAMLError as problem:
        what = str(getattr(problem, "reason", problem)).split("\n", 1)[0]
        raise InputError([Fault(Place(name), f"is not readable as YAML text ({what})")]) from None
    faults.raise_any()
    return document


def _tab(text: str, mark: Any) -> bool:
    lines = text.splitlines()
    return bool(mark) and mark.line < len(lines) and "\t" in lines[mark.line][: mark.column + 1]


class _Builder:
    """Makes the plain data out of the events of the parser: quicker than by its nodes, and refusing on the way."""

    def __init__(self, loader: Any, name: str, faults: Collector) -> None:
        self._loader, self._name, self._faults = loader, name, faults
        self._positions: dict[Steps, tuple[int, int]] = {}
        self._depth = 0

    def document(self) -> Document:
        """Return the only document of the text; None stands for its data where there is none."""
        data = None
        self._next()
        event = self._next()
        if isinstance(event, yaml.DocumentStartEvent):
            data = self._value(self._next(), ())
            self._next()
            event = self._next()
        if not isinstance(event, yaml.StreamEndEvent):
            raise yaml.composer.ComposerError(
                "expected a single document in the stream", None, "but found another document", event.start_mark
            )
        return Document(self._name, data, self._positions)

    def _next(self) -> Any:
        event = self._loader.get_event()
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            what = "anchors and aliases (& and *) are not used here"
            raise InputError([Fault(self._at(event), what, "write the value out")])
        self._depth += _DEEPER.get(type(event), 0)
        if self._depth > DEEPEST:
            raise InputError([Fault(self._at(event), "is nested too deeply", f"at most {DEEPEST} levels")])
        return event

    def _at(self, event: Any) -> Place:
        return Place(self._name, event.start_mark.line + 1, event.start_mark.column + 1)

    def _value(self, event: Any, path: Steps) -> Any:
        """Return the data that begins with an event, and read up to its end."""
        mark = event.start_mark
        self._positions.setdefault(path, (mark.line + 1, mark.column + 1))
        if event.tag and event.tag not in _PLAIN_TAGS:
            what = f"the tag {event.tag} is not used here"
            self._faults.add(self._at(event), what, "plain text, numbers, lists and mappings")
            self._skip(event)
            return None
        if isinstance(event, yaml.ScalarEvent):
            return _scalar(event)
        return self._list(path) if isinstance(event, yaml.SequenceStartEvent) else self._mapping(path)

    def _list(self, path: Steps) -> list[Any]:
        items: list[Any] = []
        while not isinstance(event := self._next(), yaml.SequenceEndEvent):
            items.append(self._value(event, (*path, len(items))))
        return items

    def _mapping(self, path: Steps) -> dict[str, Any]:
        result: dict[str, Any] = {}
        while not isinstance(event := self._next(), yaml.MappingEndEvent):
            key = event.value if isinstance(event, yaml.ScalarEvent) else None
            if key is None:
                self._faults.add(self._at(event), "a key must be plain text")
            elif key in result:
                self._faults.add(self._at(event), f"the key {key!r} stands twice in one mapping", "keep one of them")
            if key is None or key in result:
                self._skip(event)
                self._skip(self._next())
                continue
            self._positions[(*path, key)] = (event.start_mark.line + 1, event.start_mark.column + 1)
            result[key] = self._value(self._next(), (*path, key))
        return result

    def _skip(self, event: Any) -> None:
        """Read up to the end of what begins with an event."""
        outside = self._depth - _DEEPER.get(type(event), 0)
        while self._depth > outside:
            self._next()


def _scalar(event: Any) -> Any:
    text: str = event.value
    if event.style:
        return text
    if text in _WORDS:
        return _WORDS[text]
    if len(text) <= LONGEST_NUMBER and _NUMBER.match(text):
        return float(text) if any(sign in text for sign in ".eE") else int(text)
    return text
