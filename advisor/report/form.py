"""An empty site file with every question as a comment, and tables as a person reads them.

The form is a valid site file as it stands, and with the `# ` off every line, since the answers in it are `unknown`. It
is made from the vocabulary, so it never lags behind what can be said.
"""

import json
import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from advisor.engine.wording import say_span
from advisor.faults import Fault, InputError, Place, nearest
from advisor.rulebook import Rulebook
from advisor.tables import Row, Table
from advisor.values import Span
from advisor.vocabulary import Template

WIDTH = 110
MOST_ROWS = 24
"""Rows of a table that stand in the form itself; a longer one is named."""
_OPENING = """\
# Take the "# " off the lines that are known and put the answer in; the rest may go. Units are written as
# the trade writes them: 1200 psi, 85 degC, 60 .. 90 bar, 2.5 +/- 0.2 mm. "unknown" may stand for any answer.
# A subject that is not there is told by one word, such as "wash: none". What nothing is said of stays open.
# If all else is surely not there, say so: others: none
# Further lines: about: (what the point is), date: (such as 2026-11-24), reference: (a drawing or tag)
"""


def form(book: Rulebook, subjects: Sequence[str] = ()) -> str:
    """Return a site file to fill in, of all subjects or of the templates and subjects named. Raises InputError."""
    asked = [entry for entry in book.vocabulary.templates.values() if not entry.derived and not entry.claimed]
    headings = {entry.subject.casefold() for entry in asked}
    names = {entry.template for entry in asked}
    for word in subjects:
        if word.casefold() not in names | headings:
            raise InputError(
                [Fault(Place("form"), f"{word!r} is no subject", nearest(word.casefold(), [*sorted(names)]))]
            )
    wanted = {word.casefold() for word in subjects}
    chosen = [entry for entry in asked if not wanted or {entry.template, entry.subject.casefold()} & wanted]
    lines = ["site: a name for the point", *_OPENING.splitlines()]
    for template in chosen:
        lines += ["", *_template(template, book)]
    return "\n".join(lines) + "\n"


def _template(template: Template, book: Rulebook) -> Iterator[str]:
    yield f"# ---- {template.subject or template.template} ----"
    many = " One '- ' entry for each." if template.many else ""
    denial = f" Or: `{template.template}: none`." if template.many or template.none is not None else ""
    yield from _comment(f"{template.about.rstrip('.')}.{many}{denial}")
    yield f"# {template.template}:"
    start = "  - " if template.many else "  "
    if template.presets:
        rows = _rows(template.presets, book)
        yield from _comment(f"preset fills in the usual answers: {rows}.", 4)
    for slot in template.slots:
        yield from _comment(" ".join(part for part in (slot.ask, slot.help) if part), 4)
        for word, meaning in (slot.choices or {}).items():
            yield from _comment(f"{word} = {meaning}", 6)
        if slot.row:
            yield from _comment(f"{_rows(slot.row, book)}.", 6)
        yield f"# {start}{slot.slot}: unknown{f'    # {slot.plausible}' if slot.plausible else ''}"
        start = "    " if template.many else "  "
        if template.presets and slot is template.slots[0]:
            yield f"# {start}# preset: {next(iter(book.tables[template.presets].keys))}"


def _rows(name: str, book: Rulebook) -> str:
    keys = book.tables[name].keys
    if len(keys) <= MOST_ROWS:
        return ", ".join(keys)
    few = ", ".join(keys[:6])
    return f"{few} and {len(keys) - 6} more: siteworthy rulebook table {name}"


def _comment(text: str, indent: int = 0) -> list[str]:
    if not text:
        return []
    lead = "# " + " " * indent
    return textwrap.wrap(text, WIDTH, initial_indent=lead + "# ", subsequent_indent=lead + "#   ")


def tables(book: Rulebook) -> str:
    """Return one line for each table: its name, how many rows, and what it holds."""
    width = max(len(name) for name in book.tables)
    lines = []
    for name in sorted(book.tables):
        about = textwrap.shorten(book.tables[name].about, WIDTH - width - 8, placeholder=" …")
        lines.append(f"{name:<{width}} {len(book.tables[name].keys):>5}  {about}".rstrip())
    return "\n".join(lines) + "\n"


def table(book: Rulebook, name: str) -> str:
    """Return a table row by row with names, cells, source and basis. Raises InputError."""
    found = _find(book, name)
    lines = [f"{found.name}: {found.about}", ""]
    for key, row in found.rows.items():
        names = "; ".join([row.name, *row.aliases])
        lines += textwrap.wrap(f"{key}: {names}", WIDTH, subsequent_indent="    ")
        cells = ", ".join(f"{column} {_cell(found, column, row)}" for column in found.columns if column in row.cells)
        lines += textwrap.wrap(cells, WIDTH, initial_indent="    ", subsequent_indent="    ")
        lines += textwrap.wrap(f"[{row.source}; {row.basis}]", WIDTH, initial_indent="    ", subsequent_indent="    ")
        if row.note:
            lines += textwrap.wrap(row.note, WIDTH, initial_indent="    note: ", subsequent_indent="    ")
    return "\n".join(lines) + "\n"


def table_json(book: Rulebook, name: str) -> str:
    """Return a table as JSON; quantities are intervals in coherent SI. Raises InputError."""
    found = _find(book, name)
    rows: dict[str, Any] = {}
    for key, row in found.rows.items():
        cells = {column: list(value) if isinstance(value, tuple) else value for column, value in row.cells.items()}
        rows[key] = {
            "name": row.name,
            "aliases": list(row.aliases),
            "source": row.source,
            "basis": row.basis,
            "note": row.note,
            "cells": cells,
        }
    data = {"table": found.name, "about": found.about, "rows": rows}
    return json.dumps(data, indent=1, default=str) + "\n"


def _find(book: Rulebook, name: str) -> Table:
    if name not in book.tables:
        raise InputError([Fault(Place("rulebook table"), f"there is no table {name!r}", nearest(name, book.tables))])
    return book.tables[name]


def _cell(found: Table, column: str, row: Row) -> str:
    value, kind = row.cells[column], found.columns[column]
    if isinstance(value, tuple) and len(value) == 2 and kind.kind in ("quantity", "number"):
        return say_span(Span(*value), kind.unit or "", kind.difference)
    if isinstance(value, list | tuple):
        return " or ".join(map(str, value))
    return str(value)
