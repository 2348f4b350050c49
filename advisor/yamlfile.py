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
_PLAIN_TAGS = {
    f"tag:yaml.org,2002:{kind}"
    for kind in ("str", "int", "float", "bool", "null", "timestamp", "merge", "value", "seq", "map")
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
            _refuse_references(text, name)
            node = loader.get_single_node()
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
    except RecursionError:
        raise InputError([Fault(Place(name), "is nested too deeply")]) from None
    positions: dict[Steps, tuple[int, int]] = {}
    data = _plain(node, (), name, positions, faults) if node is not None else None
    faults.raise_any()
    return Document(name, data, positions)


def _tab(text: str, mark: Any) -> bool:
    lines = text.splitlines()
    return bool(mark) and mark.line < len(lines) and "\t" in lines[mark.line][: mark.column + 1]


def _refuse_references(text: str, name: str) -> None:
    """Refuse aliases and deep nesting from the event stream, before any node is built."""
    loader = _Loader(text)
    depth = 0
    try:
        while loader.check_event():
            event = loader.get_event()
            where = Place(name, event.start_mark.line + 1, event.start_mark.column + 1)
            if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
                raise InputError(
                    [Fault(where, "anchors and aliases (& and *) are not used here", "write the value out")]
                )
            depth += isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent))
            depth -= isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent))
            if depth > DEEPEST:
                raise InputError([Fault(where, "is nested too deeply", f"at most {DEEPEST} levels")])
    finally:
        loader.dispose()


def _plain(node: Any, path: Steps, name: str, positions: dict[Steps, tuple[int, int]], faults: Collector) -> Any:
    positions.setdefault(path, (node.start_mark.line + 1, node.start_mark.column + 1))
    if node.tag and node.tag not in _PLAIN_TAGS:
        faults.add(_at(node, name), f"the tag {node.tag} is not used here", "plain text, numbers, lists and mappings")
        return None
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node)
    if isinstance(node, yaml.SequenceNode):
        return [_plain(item, (*path, index), name, positions, faults) for index, item in enumerate(node.value)]
    result: dict[str, Any] = {}
    for key_node, value_node in node.value:
        if not isinstance(key_node, yaml.ScalarNode):
            faults.add(_at(key_node, name), "a key must be plain text")
            continue
        key = key_node.value
        if key in result:
            faults.add(_at(key_node, name), f"the key {key!r} stands twice in one mapping", "keep one of them")
            continue
        positions[(*path, key)] = (key_node.start_mark.line + 1, key_node.start_mark.column + 1)
        result[key] = _plain(value_node, (*path, key), name, positions, faults)
    return result


def _at(node: Any, name: str) -> Place:
    return Place(name, node.start_mark.line + 1, node.start_mark.column + 1)


def _scalar(node: Any) -> Any:
    text: str = node.value
    if node.style:
        return text
    if text in _WORDS:
        return _WORDS[text]
    if len(text) <= LONGEST_NUMBER and _NUMBER.match(text):
        return float(text) if any(sign in text for sign in ".eE") else int(text)
    return text
