"""The live requirement sheet: every demand with its state in sign and word, and what the last answer changed.

Section heads open and close with Enter; of the long sections of notes only what is certain is shown until they are
opened. Lines are wrapped here, so that what follows a sign stands under its text.
"""

from collections.abc import Sequence

from textual import events
from textual.binding import Binding
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option as Line

from advisor.interview import OpenQuestion
from tui import live, paint
from tui.live import Changes, Row, Sheet
from tui.paint import Wrapped

QUESTIONS = "Answers that would settle it, the most useful first"
FOLDED = (live.SPARE,)
"""Sections that are closed at first."""
ALWAYS = (live.SURE, live.OPEN, live.STOP, live.CLASH, live.UNUSED, QUESTIONS)
"""Sections that are open at first."""
MOST_KEPT = 2000
"""Wrapped lines kept for the next sheet."""
LONG = 3
"""Open notes of a section are shown at first only if there are no more than so many."""
Entry = Row | OpenQuestion | str
"""A line of the list: a row, a question, or a section's head."""


class SheetList(OptionList):
    """Lists the rows of the sheet; Enter opens the reasons of a row, or goes to a question."""

    DEFAULT_CSS = """
    SheetList { border: none; padding: 0 0 0 1; background: transparent; scrollbar-size-vertical: 1; }
    SheetList:focus { border: none; }
    """
    BINDINGS = [
        Binding("w", "screen.why_not", "Why not…"),
        Binding("c", "screen.copy_row", "Copy"),
        Binding("o", "open_all", "All notes"),
        Binding("right", "select", "Reasons", show=False),
    ]

    class Picked(Message):
        """A row or question was chosen."""

        def __init__(self, entry: Row | OpenQuestion) -> None:
            super().__init__()
            self.entry = entry

    class Pointed(Message):
        """Another row is highlighted; None for a head."""

        def __init__(self, entry: Row | OpenQuestion | None) -> None:
            super().__init__()
            self.entry = entry

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - the toolkit's name
        super().__init__(markup=False, id=id)
        self.sheet: Sheet | None = None
        self.changes = Changes()
        self.entries: list[Entry] = []
        self.turned: set[str] = set()
        """Sections that are not as they were at first."""
        self.bars: dict[str, str] = {}
        """For the key of a demand how near it stands to its threshold."""
        self._width = 0
        self._wrapped: dict[tuple[object, ...], Wrapped] = {}

    def show(self, sheet: Sheet, changes: Changes) -> None:
        """Show another sheet; the highlighted line stays on the same demand."""
        self.sheet, self.changes = sheet, changes
        self._draw()

    def show_bars(self, bars: dict[str, str]) -> None:
        """Draw the bars of the demands; they come a moment after the sheet."""
        if bars != self.bars:
            self.bars = bars
            self._draw()

    @property
    def pointed(self) -> Entry | None:
        """The highlighted line."""
        return self.entries[self.highlighted] if self.highlighted is not None and self.entries else None

    def go(self, key: str) -> None:
        """Highlight the row of the key, opening its section where it is closed."""
        row = self.sheet.by_key().get(key) if self.sheet else None
        if row is None:
            return
        if row not in self.entries:
            self.turned ^= {row.section}
            self._draw()
        if row in self.entries:
            self.highlighted = self.entries.index(row)

    def _draw(self) -> None:
        if self.sheet is None:
            return
        held = _key(self.pointed) if self.pointed is not None else ""
        offset = self.scroll_offset
        self._width = max(24, self.scrollable_content_region.width - 1)
        self.entries = list(self._lay_out(self.sheet))
        self.set_options([Line(self._prompt(entry)) for entry in self.entries])
        self.highlighted = next((n for n, entry in enumerate(self.entries) if _key(entry) == held), 0)
        if held:
            self.scroll_to(y=offset.y, animate=False, force=True)

    def _lay_out(self, sheet: Sheet) -> list[Entry]:
        sections: dict[str, list[Row | OpenQuestion]] = {}
        for row in sheet.rows:
            sections.setdefault(row.section, []).append(row)
        if sheet.questions:
            # Right behind the open demands, which they settle.
            order = list(sections)
            place = next((n + 1 for n, name in enumerate(order) if name == live.OPEN), len(order))
            order.insert(place, QUESTIONS)
            sections[QUESTIONS] = list(sheet.questions)
            sections = {name: sections[name] for name in order}
        found: list[Entry] = []
        for name, rows in sections.items():
            found += [name, *_views(name, rows)[name in self.turned]]
        return found

    def _prompt(self, entry: Entry) -> Wrapped:
        """Return the lines of an entry; those that stay as they were are not wrapped anew."""
        if isinstance(entry, str):
            return self._head(entry)
        mark, word = self._mark(entry) if isinstance(entry, Row) else ("", "")
        if isinstance(entry, Row):
            bar = self.bars.get(entry.key, "")
            key: tuple[object, ...] = (mark, entry.title, entry.text, entry.why, entry.state, bar, self._width)
        else:
            key = (entry.ask, len(entry.demands), self._width)
        if key not in self._wrapped:
            if len(self._wrapped) > MOST_KEPT:
                self._wrapped.clear()
            self._wrapped[key] = self._row(entry, mark, word) if isinstance(entry, Row) else self._question(entry)
        return self._wrapped[key]

    def _question(self, entry: OpenQuestion) -> Wrapped:
        count = len(entry.demands)
        tail = paint.hang(f"decides {count} {'thing' if count == 1 else 'things'}", self._width, "  ")
        return paint.wrapped(self._width, (paint.hang(entry.ask, self._width, "? "), ""), (tail, "dim"))

    def _row(self, entry: Row, mark: str, word: str) -> Wrapped:
        head = f"{entry.title}: {entry.text}" if entry.title else entry.text
        tail = [part for part in (entry.state if entry.state == "open" or not entry.title else "", word) if part]
        head += f"  [{', '.join(tail)}]" if tail else ""
        bar = self.bars.get(entry.key, "")
        head += f"  {bar}" if bar else ""
        top = paint.hang(head, self._width, f"{mark}{paint.SIGNS[entry.state]} ")
        why = paint.hang(entry.why, self._width, "    ") if entry.why else []
        return paint.wrapped(self._width, (top, "bold" if mark.strip() else ""), (why, "dim"))

    def _mark(self, row: Row) -> tuple[str, str]:
        if row.key in self.changes.new:
            return "+ ", "new"
        if row.key in self.changes.other:
            return "~ ", "changed"
        return "  ", ""

    def _head(self, name: str) -> Wrapped:
        assert self.sheet is not None
        rows = list(self.sheet.questions) if name == QUESTIONS else [r for r in self.sheet.rows if r.section == name]
        shown, count = len(_views(name, rows)[name in self.turned]), len(rows)
        tail = f" ({count})" if shown in (0, count) else f" ({shown} of {count}; the rest hang on open answers)"
        if not shown and name not in (*FOLDED, *ALWAYS):
            tail = f" ({count}, all hanging on open answers)"
        fold = "▾" if shown == count else "▸"
        return paint.wrapped(self._width, (paint.hang(f"{name}{tail}", self._width, f"{fold} "), "bold underline"))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        entry = self.entries[event.option_index]
        if isinstance(entry, str):
            self.turned ^= {entry}
            self._draw()
        else:
            self.post_message(self.Picked(entry))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        entry = self.entries[event.option_index] if event.option_index < len(self.entries) else None
        self.post_message(self.Pointed(None if isinstance(entry, str) else entry))

    def action_open_all(self) -> None:
        """Show every note, or only those that are certain."""
        notes = {entry for entry in self.entries if isinstance(entry, str)} - set(ALWAYS)
        self.turned = self.turned - notes if notes <= self.turned else self.turned | notes
        self._draw()

    def on_resize(self, event: events.Resize) -> None:
        if self.scrollable_content_region.width - 1 != self._width:
            self._draw()


def _views(name: str, rows: Sequence[Row | OpenQuestion]) -> tuple[list[Row | OpenQuestion], list[Row | OpenQuestion]]:
    """Return what a section shows at first and what it shows when it was turned."""
    if name in FOLDED:
        return [], list(rows)
    sure: list[Row | OpenQuestion] = [row for row in rows if isinstance(row, Row) and row.state == "certain"]
    if name in ALWAYS or len(rows) - len(sure) <= LONG:
        return list(rows), []
    return sure, list(rows)


def _key(entry: Entry) -> str:
    if isinstance(entry, str):
        return entry
    return entry.slot.name if isinstance(entry, OpenQuestion) else entry.key
