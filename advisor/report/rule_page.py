"""The whole rulebook as one page for a person of the trade, in HTML or Markdown: rules by subject, then the tables.

A subject is a file of rules and carries the line at its head. Rules, examples and rows come in the order of the files,
each with its source and basis. Everything goes through the escaping that reports of sites go through.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor import quantities
from advisor.casebook import Casebook
from advisor.report import rules
from advisor.report.markdown_text import code, escape, table
from advisor.report.text import CAVEAT
from advisor.resources import KNOWLEDGE
from advisor.rulebook import Rule, Rulebook
from advisor.tables import Column, Row, Table


@dataclass(frozen=True)
class RulePart:
    """A rule as it is printed."""

    name: str
    title: str
    because: str
    parts: tuple[tuple[str, str], ...]
    examples: tuple[tuple[str, str], ...]
    cases: tuple[tuple[str, str], ...]
    source: str


@dataclass(frozen=True)
class Subject:
    """The rules of one file."""

    title: str
    about: str
    rules: tuple[RulePart, ...]


@dataclass(frozen=True)
class RowPart:
    """A row of a table as it is printed."""

    name: str
    holds: str
    source: str


@dataclass(frozen=True)
class TablePart:
    """A table as it is printed."""

    name: str
    title: str
    about: str
    rows: tuple[RowPart, ...]


def subjects(book: Rulebook, exercised: Casebook | None = None) -> list[Subject]:
    """Return the rules by the file in which they stand."""
    files: dict[str, list[RulePart]] = {}
    for rule in book.rules.values():
        place = book.places.get(rule.rule)
        files.setdefault(place.path if place else "", []).append(_rule(rule, exercised))
    return [Subject(_title(path), _head(path), tuple(found)) for path, found in files.items()]


def tables(book: Rulebook) -> list[TablePart]:
    """Return the tables in the order of their names."""
    return [_table(book.tables[name]) for name in sorted(book.tables)]


def html(book: Rulebook, exercised: Casebook | None = None) -> str:
    """Return the page as one HTML file that needs nothing else."""
    from advisor.report.html import rulebook

    own = subjects(book, exercised)
    return rulebook(digest=book.digest, summary=_summary(book), waived=book.waived, subjects=own, tables=tables(book))


def markdown(book: Rulebook, exercised: Casebook | None = None) -> str:
    """Return the page as GitHub-flavoured Markdown."""
    lines = ["# Rulebook", "", escape(CAVEAT), "", f"{escape(_summary(book))} Digest {code(book.digest)}.", ""]
    lines += [f"- Lifted by the plant's own rules: {code(name)}: {escape(why)}" for name, why in book.waived.items()]
    for subject in subjects(book, exercised):
        lines += ["", f"## {escape(subject.title)}", "", *([escape(subject.about), ""] if subject.about else [])]
        for rule in subject.rules:
            lines += [f"### {escape(rule.title)} {code(rule.name)}", "", escape(rule.because), ""]
            said = (*rule.parts, *rule.examples, *rule.cases)
            lines += [f"- **{escape(label)}** {escape(text)}" for label, text in said]
            lines += [f"- {escape(rule.source)}", ""]
    lines += ["", "## Tables", ""]
    for entry in tables(book):
        lines += [
            f"### {escape(entry.title)} {code(entry.name)}",
            "",
            *([escape(entry.about), ""] if entry.about else []),
        ]
        cells = [[escape(row.name), escape(row.holds), escape(row.source)] for row in entry.rows]
        lines += table(["Row", "Holds", "Source"], cells)
    return "\n".join(lines).rstrip() + "\n"


def _summary(book: Rulebook) -> str:
    rows = sum(len(entry.rows) for entry in book.tables.values())
    return f"{len(book.rules)} rules and {len(book.tables)} tables with {rows} rows, each with its source and basis."


def _rule(rule: Rule, exercised: Casebook | None) -> RulePart:
    source = f"Source: {rule.source} ({rule.basis}; {rule.kind}; checked {rule.checked})"
    examples, cases = tuple(rules.examples(rule)), tuple(rules.cases(rule, exercised))
    return RulePart(rule.rule, rule.title, rule.because, tuple(rules.parts(rule)), examples, cases, source)


def _title(path: str) -> str:
    return Path(path).stem.replace("_", " ").capitalize() or "Rules"


def _head(path: str) -> str:
    """Return the line at the head of a file of rules, or nothing."""
    place = KNOWLEDGE.parent / path if path.startswith("knowledge/") else Path(path)
    try:
        with place.open(encoding="utf-8") as stream:
            first = stream.readline()
    except (OSError, UnicodeDecodeError):
        return ""
    return first.lstrip("# ").strip() if first.startswith("#") else ""


def _table(entry: Table) -> TablePart:
    rows = tuple(
        RowPart(row.name, _holds(entry.columns, row), f"{row.source} ({row.basis})") for row in entry.rows.values()
    )
    return TablePart(entry.name, entry.name.replace("_", " ").capitalize(), entry.about, rows)


def _holds(columns: Mapping[str, Column], row: Row) -> str:
    cells = [
        f"{name.replace('_', ' ')} {_cell(columns[name], value)}" for name, value in row.cells.items() if name != "name"
    ]
    return "; ".join([*cells, *([row.note] if row.note else [])])


def _cell(column: Column, value: Any) -> str:
    if column.kind in ("quantity", "number"):
        unit = column.unit or "" if column.kind == "quantity" else ""
        ends = [quantities.show(end, unit, difference=column.difference) for end in dict.fromkeys(value)]
        return " to ".join(ends)
    if isinstance(value, tuple):
        return ", ".join(value)
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)
