"""Edits a YAML file in its own text, so that whoever keeps it in version control sees only what was changed.

`follow(text, wanted, orders)` returns the text changed until it reads as `wanted`: one small edit after another, each
at the place of the node that differs. `orders` lists the usual order of keys, under '' of the file and under a key of
the file of what stands inside it. Comments, order, quotes, flow and block style and line ends of all the rest
stay as the person wrote them. Writing a parsed file anew, even by a writer that keeps comments, moves indents,
blank lines and the comments beside what is deleted. The outcome is read again; if a file is so unusual that an edit
does not lead to what is wanted, the whole is written plainly, with the comments at its head.
"""

import json
from collections.abc import Mapping, Sequence
from typing import Any

import yaml

from advisor import yamlfile
from advisor.faults import InputError
from tui.yamlspots import Spot, end_of, find, line_end

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_MOST_EDITS = 400
Steps = tuple[str | int, ...]
Orders = Mapping[str, Sequence[str]]
_NO_ORDERS: Orders = {}


class _NoWayError(Exception):
    """An edit in place that does not lead to what is wanted."""


def follow(text: str, wanted: dict[str, Any], orders: Orders = _NO_ORDERS) -> str:
    """Return the text changed so that it reads as `wanted`; new keys stand behind their nearest forerunner."""
    try:
        return in_place(text, wanted, orders)
    except (_NoWayError, InputError, yaml.YAMLError, IndexError, ValueError):
        head = text.splitlines(keepends=True)
        keep = next((n for n, line in enumerate(head) if line.strip() and not line.startswith("#")), len(head))
        return "".join(head[:keep]) + render(wanted, 0)


def in_place(text: str, wanted: dict[str, Any], orders: Orders = _NO_ORDERS) -> str:
    """Return the text changed by edits in place alone. Raises an error where they do not lead to `wanted`."""
    for _ in range(_MOST_EDITS):
        data = yamlfile.parse(text, "").data
        step = _difference((), data, wanted)
        if step is None:
            return text
        text = _apply(text, *step, orders)
    raise _NoWayError


def same(first: Any, second: Any) -> bool:
    """Tell whether two plain values are written alike: 1, 1.0 and true are three things."""
    return json.dumps(first, sort_keys=True) == json.dumps(second, sort_keys=True)


def plain(text: str) -> Any:
    """Return what the text becomes when written in a file: a number only if it is spelt as it would be read back."""
    try:
        value = yamlfile.parse(f"k: {text}", "").data["k"]
    except (InputError, TypeError, KeyError):
        return text
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return value if number and str(value) == text else text


def render(value: Any, indent: int, newline: str = "\n") -> str:
    """Write plain data as block YAML lines; lists of words stand in brackets."""
    pad = " " * indent
    if isinstance(value, dict):
        return "".join(_entry(key, inner, indent, newline) for key, inner in value.items())
    lines = []
    for item in value:
        body = render(item, indent + 2, newline) if _block(item) else " " * (indent + 2) + flow(item) + newline
        lines.append(f"{pad}- {body[indent + 2 :]}")
    return "".join(lines)


def flow(value: Any, inside: bool = False) -> str:
    """Write plain data in one line; `inside` brackets more signs need quotes."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{flow(key, True)}: {flow(inner, True)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(item, True) for item in value) + "]"
    if not isinstance(value, str):
        return json.dumps(value)
    try:
        data = yamlfile.parse(f"{{k: {value}}}" if inside else f"k: {value}", "").data
        if isinstance(data, dict) and data == {"k": value} and "#" not in value:
            return value
    except InputError:
        pass
    return json.dumps(value, ensure_ascii=False)


def _block(value: Any) -> bool:
    """Tell whether the value stands on lines of its own."""
    if isinstance(value, list):
        return bool(value) and all(isinstance(item, dict) for item in value)
    return isinstance(value, dict) and bool(value)


def _entry(key: str, value: Any, indent: int, newline: str) -> str:
    head = " " * indent + flow(key) + ":"
    if _block(value):
        return head + newline + render(value, indent + 2, newline)
    return f"{head} {flow(value)}{newline}"


def _difference(steps: Steps, old: Any, new: Any) -> tuple[str, Steps, Any] | None:
    """Return the first edit on the way from old to new: (what, where, value)."""
    if same(old, new):
        return None
    if isinstance(old, dict) and isinstance(new, dict):
        for key in old:
            if key not in new:
                return "remove", (*steps, key), None
        for key, value in new.items():
            found = _difference((*steps, key), old[key], value) if key in old else ("insert", (*steps, key), value)
            if found:
                return found
    if isinstance(old, list) and isinstance(new, list) and _block(old) and _block(new):
        pairs = list(zip(old, new, strict=False))
        if len(old) > len(new):
            gone = next((n for n, (first, second) in enumerate(pairs) if not same(first, second)), len(old) - 1)
            return "remove", (*steps, gone), None
        for index, (first, second) in enumerate(pairs):
            if found := _difference((*steps, index), first, second):
                return found
        return "append", steps, new[len(old)]
    if isinstance(old, dict) and old and isinstance(new, list) and new and same(old, new[0]):
        return "wrap", steps, None
    return "replace", steps, new


def _apply(text: str, what: str, steps: Steps, value: Any, orders: Orders) -> str:
    newline = "\r\n" if "\r\n" in text else "\n"
    if text and not text.endswith(("\n", "\r")):
        text += newline
    root = yaml.compose(text, Loader=_Loader)
    if root is None:
        return text + render({steps[0]: value}, 0, newline)
    if what == "insert":
        order = orders.get(str(steps[0]) if len(steps) > 1 else "", ())
        return _insert(text, find(root, steps[:-1]), str(steps[-1]), value, order, newline)
    spot = find(root, steps)
    if what == "remove":
        return _remove(text, spot)
    if what == "append":
        return _append(text, spot, value, newline)
    if what == "wrap":
        return _wrap(text, spot, newline)
    return _replace(text, spot, value, newline)


def _replace(text: str, spot: Spot, value: Any, newline: str) -> str:
    start, end = spot.node.start_mark.index, end_of(text, spot.node)
    if spot.in_flow:
        return text[:start] + (" " if start == end else "") + flow(value, True) + text[end:]
    if spot.key is None:
        body = render(value, spot.node.start_mark.column, newline).strip() if _block(value) else flow(value)
        return text[:start] + body + text[end:]
    after_key = text.index(":", spot.key.end_mark.index) + 1
    if spot.is_block:
        start = after_key
    if _block(value):
        stop = line_end(text, end)
        lines = render(value, spot.key.start_mark.column + 2, newline)
        return text[:after_key] + text[end:stop].rstrip("\r\n") + newline + lines + text[stop:]
    return text[:start] + (" " if start == after_key else "") + flow(value) + text[end:]


def _insert(text: str, parent: Spot, key: str, value: Any, order: Sequence[str], newline: str) -> str:
    entries = parent.node.value
    if not entries:
        return _replace(text, parent, {key: value}, newline)
    ranks = {name: rank for rank, name in enumerate(order)}
    before = [pair for pair in entries if ranks.get(pair[0].value, -1) < ranks.get(key, len(ranks))]
    chosen = max(before, key=lambda pair: ranks.get(pair[0].value, -1)) if before else None
    if chosen is not None and ranks.get(chosen[0].value, -1) < 0:
        chosen = before[-1]
    if parent.node.flow_style:
        if chosen is None:
            place = int(entries[0][0].start_mark.index)
            return f"{text[:place]}{flow(key, True)}: {flow(value, True)}, {text[place:]}"
        place = end_of(text, chosen[1])
        return f"{text[:place]}, {flow(key, True)}: {flow(value, True)}{text[place:]}"
    indent = int(entries[0][0].start_mark.column)
    lines = _entry(key, value, indent, newline)
    if chosen is None:
        place = int(entries[0][0].start_mark.index)
        return text[:place] + lines[indent:] + " " * indent + text[place:]
    place = line_end(text, end_of(text, chosen[1]))
    return text[:place] + lines + text[place:]


def _append(text: str, spot: Spot, value: Any, newline: str) -> str:
    end = end_of(text, spot.node.value[-1])
    if spot.node.flow_style:
        return f"{text[:end]}, {flow(value, True)}{text[end:]}"
    place = line_end(text, end)
    return text[:place] + render([value], spot.node.start_mark.column, newline) + text[place:]


def _wrap(text: str, spot: Spot, newline: str) -> str:
    """Make a list of the one mapping that stands there."""
    start, end = spot.node.start_mark.index, end_of(text, spot.node)
    own = text[start:end]
    if spot.in_flow:
        return f"{text[:start]}[{own}]{text[end:]}"
    if spot.is_block:
        lines = [f"  {line}" if line.strip() else line for line in own.splitlines(keepends=True)]
        return text[:start] + "- " + "".join(lines)[2:] + text[end:]
    assert spot.key is not None
    after = text.index(":", spot.key.end_mark.index) + 1
    indent = " " * (spot.key.start_mark.column + 2)
    return text[:after] + newline + f"{indent}- {own}" + text[end:]


def _remove(text: str, spot: Spot) -> str:
    assert spot.parent is not None
    entries = spot.parent.value
    if len(entries) == 1:
        whole = (spot.parent.start_mark.index, end_of(text, spot.parent))
        return text[: whole[0]] + ("{}" if spot.key is not None else "[]") + text[whole[1] :]
    heads = [pair[0] if spot.key is not None else pair for pair in entries]
    bodies = [pair[1] if spot.key is not None else pair for pair in entries]
    start, end = heads[spot.index].start_mark.index, end_of(text, spot.node)
    if spot.parent.flow_style:
        if spot.index + 1 < len(entries):
            return text[:start] + text[heads[spot.index + 1].start_mark.index :]
        return text[: end_of(text, bodies[spot.index - 1])] + text[end:]
    if spot.key is None:
        start = text.rindex("-", 0, start)
    stop, first = line_end(text, end), text.rfind("\n", 0, start) + 1
    if not text[first:start].strip():
        return text[:first] + text[stop:]
    # It is the first key behind a dash: what follows moves up to the dash.
    return text[:start] + text[stop:].lstrip(" ")
