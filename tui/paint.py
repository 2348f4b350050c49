"""Text for the screens: wrapped with a hanging indent, the signs of each state, and bars of margins.

Everything that comes from a rule, a table or a file goes in as plain text and is never read as markup.
"""

import textwrap

from rich.cells import cell_len
from rich.text import Text
from textual.content import Content
from textual.css.styles import RulesMap
from textual.strip import Strip
from textual.style import Style
from textual.visual import RenderOptions, Visual

from advisor.document import Condition
from advisor.report.common import visible
from tui import outline

SIGNS = {"certain": "■", "open": "□", "": "·"}
SUBJECT_SIGNS = {
    outline.SETTLED: "✓", outline.OPEN: "◐", outline.NOT_TOLD: "○", outline.NONE: "∅", outline.NOT_RELEVANT: "–",
}  # fmt: skip
NARROWEST = 2
"""Columns in which any sign has room; a part of the screen can have none for a moment."""
LEAST = 12
"""Columns below which nothing is wrapped narrower."""


def hang(text: str, width: int, first: str = "", rest: int | None = None) -> list[str]:
    """Return the text in lines of at most `width` columns; lines after the first stand under its text."""
    indent = " " * (len(first) if rest is None else rest)
    lines = textwrap.wrap(
        visible(text), max(width, LEAST + len(indent)), initial_indent=first, subsequent_indent=indent,
        break_on_hyphens=False,
    )  # fmt: skip
    return lines or [first.rstrip()]


class Wrapped(Visual):
    """Text that is wrapped already, so that a long list need not be wrapped again to learn its height.

    `height` is None where a line is wider all the same; the toolkit then breaks it, but cannot where there is no room.
    """

    def __init__(self, content: Content, height: int | None) -> None:
        self.content, self.height = content, height

    def __str__(self) -> str:
        return str(self.content)

    def render_strips(self, width: int, height: int | None, style: Style, options: RenderOptions) -> list[Strip]:
        return self.content.render_strips(max(width, NARROWEST), height, style, options)

    def get_optimal_width(self, rules: RulesMap, container_width: int) -> int:
        return self.content.get_optimal_width(rules, container_width)

    def get_height(self, rules: RulesMap, width: int) -> int:
        return self.content.get_height(rules, max(width, NARROWEST)) if self.height is None else self.height


def wrapped(width: int, *parts: tuple[list[str], str]) -> Wrapped:
    """Join groups of lines that were wrapped to `width`, for a list."""
    content = lines(*parts)
    broken = str(content).split("\n")
    fits = all(cell_len(line) <= width for line in broken)
    return Wrapped(content, len(broken) if fits else None)


def lines(*parts: tuple[list[str], str]) -> Content:
    """Join groups of lines, each in its own style, to one text."""
    pieces: list[tuple[str, str]] = []
    for number, (group, style) in enumerate(parts):
        text = "\n".join(group)
        if text:
            pieces.append((("\n" if number and pieces else "") + text, style))
    return Content.assemble(*pieces)


def plain(text: str, style: str = "") -> Content:
    """Return text as it is, with no markup read out of it."""
    return Content.styled(visible(text), style) if style else Content(visible(text))


def label(text: str) -> Text:
    """Return text as a tree takes it, with no markup read out of it."""
    return Text(visible(text), no_wrap=True)


def plain_lines(text: str) -> Content:
    """Return text of several lines as it is, with no markup read out of it."""
    return Content("\n".join(visible(line) for line in text.splitlines()))


def margin(condition: Condition, width: int = 24) -> str:
    """Return a bar of a value against its threshold `|`; '' where the condition has no figure.

    The bar begins at nought, but for temperatures, whose nought says nothing: there it begins below both.
    """
    value, distance = condition.value, condition.margin
    ends = [end for end in (value.low, value.high) if end is not None]
    if distance is None or not ends:
        return ""
    up = condition.test.startswith(">")
    # A certain condition is held by the end that is worse for it, an open one by the other.
    worst = (condition.holds == "certain") == up
    told = min(ends) if worst else max(ends)
    threshold = told - distance if up else told + distance
    low, high = min(0.0, told, threshold), max(told, threshold)
    if value.unit in ("K", "kelvin"):
        low, high = min(told, threshold) - abs(distance), high + abs(distance)
    if not low < high < float("inf"):
        return ""
    filled = round(width * (told - low) / (high - low))
    mark = min(width - 1, round(width * (threshold - low) / (high - low)))
    return "".join("|" if place == mark else "█" if place < filled else "·" for place in range(width))
