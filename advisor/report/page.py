"""A plain report as sections of paragraphs, nested points and tables, and its renderers for text and Markdown.

What a report says is put together once and printed as text, Markdown or HTML (`html.plain`); every renderer escapes
whatever came from a site file or a rulebook. The date of the pages is given by the caller.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from advisor.document import RulebookStamp
from advisor.report import common, markdown_text
from advisor.report.text import CAVEAT, WIDTH, head, wrap


@dataclass(frozen=True)
class Point:
    """One point of a list with what belongs under it; `mark` is printed before it in text."""

    text: str
    under: tuple["Point", ...] = ()
    mark: str = "- "


@dataclass(frozen=True)
class Grid:
    """A table; in text each row is a point with its other cells under it."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Section:
    """One part of a report."""

    title: str
    paragraphs: tuple[str, ...] = ()
    points: tuple[Point, ...] = ()
    grid: Grid | None = None


@dataclass(frozen=True)
class Page:
    """A whole report: its kind, whose site it is about, and its sections."""

    kind: str
    version: str
    rulebook: RulebookStamp
    site: dict[str, object]
    sections: tuple[Section, ...]
    warnings: tuple[str, ...] = ()


def text(page: Page) -> str:
    """Return the report as plain text."""
    title = f"{page.kind}: {page.site['name']}"
    lines = [*wrap(title), "=" * min(WIDTH, len(title))]
    if page.site.get("about"):
        lines += wrap(str(page.site["about"]))
    stamps = [f"date {page.site['date']}"] if page.site.get("date") else []
    lines += wrap(", ".join([*stamps, f"rulebook {page.rulebook.digest} ({page.rulebook.rules} rules)"]))
    for warning in page.warnings:
        lines += wrap(warning, 0, "! ")
    for section in page.sections:
        lines += head(section.title[:WIDTH])
        for paragraph in section.paragraphs:
            lines += wrap(paragraph, 2)
        lines += _text_points(section.points, 2)
        for row in section.grid.rows if section.grid else ():
            lines += wrap(row[0], 2, "- ")
            for name, cell in zip((section.grid.head if section.grid else ())[1:], row[1:], strict=True):
                if cell:
                    lines += wrap(f"{name.lower()}: {cell}" if name else cell, 6)
    lines += ["", *wrap(CAVEAT)]
    return "\n".join(lines) + "\n"


def _text_points(points: Iterable[Point], indent: int) -> list[str]:
    lines: list[str] = []
    for point in points:
        lines += wrap(point.text, indent, point.mark)
        lines += _text_points(point.under, indent + 4)
    return lines


def markdown(page: Page, *, on: date) -> str:
    """Return the report as GitHub-flavoured Markdown, dated `on`."""
    escape = markdown_text.escape
    lines = [f"# {escape(page.kind)}: {escape(page.site['name'])}", ""]
    if page.site.get("about"):
        lines += [escape(page.site["about"]), ""]
    stamp = common.stamp(page.version, page.rulebook, page.site, on.isoformat())
    lines += [f"- {label}: {escape(words)}" for label, words in stamp] + [""]
    for warning in page.warnings:
        lines += [f"> {escape(warning)}", ""]
    for section in page.sections:
        lines += [f"## {escape(section.title)}", ""]
        for paragraph in section.paragraphs:
            lines += [escape(paragraph), ""]
        if section.points:
            lines += [*_markdown_points(section.points, 0), ""]
        if section.grid:
            cells = [[escape(cell) for cell in row] for row in section.grid.rows]
            lines += markdown_text.table([escape(name) for name in section.grid.head], cells)
    return "\n".join([*lines, f"**{CAVEAT}**"]) + "\n"


def _markdown_points(points: Iterable[Point], indent: int) -> list[str]:
    lines: list[str] = []
    for point in points:
        lines.append(f"{' ' * indent}- {markdown_text.escape(point.text)}")
        lines += _markdown_points(point.under, indent + 2)
    return lines
