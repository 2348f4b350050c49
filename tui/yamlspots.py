"""Where a node of a YAML file stands in its text: its span without the comments behind it, and what encloses it."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Spot:
    """A node with its key (None for an item of a list and for the whole), its parent and its number in it."""

    node: Any
    key: Any = None
    parent: Any = None
    index: int = 0
    in_flow: bool = False
    """Whether it stands inside brackets."""

    @property
    def is_block(self) -> bool:
        """Whether the node itself is a mapping or list on lines of its own."""
        return isinstance(self.node.value, list) and not self.node.flow_style


def find(root: Any, steps: tuple[str | int, ...]) -> Spot:
    """Return the spot at a path. Raises IndexError if there is none."""
    spot = Spot(root)
    for step in steps:
        parent = spot.node
        inside = spot.in_flow or bool(parent.flow_style)
        if isinstance(step, int):
            spot = Spot(parent.value[step], None, parent, step, inside)
            continue
        index = next((n for n, (key, _) in enumerate(parent.value) if key.value == step), None)
        if index is None:
            raise IndexError(step)
        key, value = parent.value[index]
        spot = Spot(value, key, parent, index, inside)
    return spot


def end_of(text: str, node: Any) -> int:
    """Return where the node's own text ends: a parser sets the end of a block behind the comments that follow."""
    if isinstance(node.value, list) and not node.flow_style and node.value:
        last = node.value[-1]
        return end_of(text, last[1] if isinstance(last, tuple) else last)
    start, end = node.start_mark.index, node.end_mark.index
    return start + len(text[start:end].rstrip()) if isinstance(node.value, str) else int(end)


def line_end(text: str, place: int) -> int:
    """Return where the next line begins."""
    found = text.find("\n", place)
    return len(text) if found < 0 else found + 1
