"""Confirming what was read out of a text or PDF sheet: take a line or leave it, correct it, add what was not read.

Beside each line stands what it will be held to claim, and the words of the sheet it came from. Saving writes a YAML
sheet, which then stands in the audit in place of the text.
"""

from pathlib import Path

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import Screen
from textual.widgets import Footer, Input, OptionList, Static
from textual.widgets.option_list import Option

from advisor.catalogue import writer
from advisor.catalogue.run import Result
from advisor.faults import InputError
from tui import audit_corrections, paint
from tui.audit_bench import Bench
from tui.audit_corrections import UNIT, Line
from tui.audit_dialogs import NameFile
from tui.files import write_whole

_SIGNS = {True: "[x]", False: "[ ]"}


class ReadingScreen(Screen[Path | None]):
    """Dismissed with the saved sheet, or None."""

    DEFAULT_CSS = """
    ReadingScreen .bar { height: 1; background: $primary 25%; padding: 0 1; text-style: bold; }
    ReadingScreen #hint { height: auto; padding: 0 1; color: $text-muted; }
    ReadingScreen OptionList { height: 1fr; border: none; padding: 0 0 0 1; background: transparent; }
    ReadingScreen OptionList:focus { border: none; }
    ReadingScreen #meaning { height: auto; min-height: 3; max-height: 9; padding: 0 1; border-top: solid $panel; }
    ReadingScreen Input { display: none; }
    ReadingScreen Input.on { display: block; }
    """
    BINDINGS = [
        Binding("escape", "leave", "Back"),
        Binding("space", "turn", "Take or leave"),
        Binding("a", "add", "Add a line"),
        Binding("ctrl+s", "save", "Save as sheet", priority=True),
    ]

    def __init__(self, bench: Bench, result: Result) -> None:
        super().__init__()
        self.bench, self.result = bench, result
        unit = bench.units[result.source]
        self.lines = audit_corrections.lines_of(unit, bench.reader, bench.places[result.source])
        self.editing: int | None = None

    def compose(self) -> ComposeResult:
        yield Static(paint.plain(f"What was read of {self.result.name}"), classes="bar")
        yield Static(
            "[x] counts, [ ] does not, ? is doubtful. Hold each line against the sheet. Enter corrects.",
            id="hint",
            markup=False,
        )
        yield OptionList(markup=False)
        yield Static(id="meaning", markup=False)
        yield Input(placeholder="as the sheet says it; a part before a colon: seal: EPDM")
        yield Footer(compact=True)

    def on_mount(self) -> None:
        self._draw()
        self.query_one(OptionList).focus()

    def on_resize(self, _: events.Resize) -> None:
        self._draw()

    @property
    def at(self) -> int:
        return self.query_one(OptionList).highlighted or 0

    def _draw(self, at: int | None = None) -> None:
        listed, width = self.query_one(OptionList), max(30, self.size.width - 4)
        at = self.at if at is None else at
        listed.clear_options()
        for line in self.lines:
            sign = f"{_SIGNS[line.taken]}{'?' if line.doubt else ' '} "
            if line.missed:
                sign = "  –  "
            head = f"not read: {line.quote}" if line.missed else line.spelt
            tail = f"{line.place}: “{line.quote}”" if line.quote else "written by hand"
            tail = line.place if line.missed else tail + ("; corrected" if line.own and line.quote else "")
            style = "" if line.taken else "dim"
            below = paint.hang(tail, width, "       "), "dim"
            listed.add_option(Option(paint.wrapped(width, (paint.hang(head, width, sign), style), below)))
        if self.lines:
            listed.highlighted = max(0, min(at, len(self.lines) - 1))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self._meaning(self.lines[event.option_index])

    def _meaning(self, line: Line, fault: str = "") -> None:
        width = max(30, self.size.width - 3)
        parts = [(paint.hang(fault, width, "✗ "), "bold")] if fault else []
        if line.doubt:
            parts.append((paint.hang(line.doubt, width, "? "), "bold"))
        words = audit_corrections.understood(line, self.bench.reader, self.bench.book)
        lead = "is read as" if line.taken or self.editing is not None else "would be read as"
        parts += [(paint.hang(f"{lead} {entry}", width, "→ "), "") for entry in words[:6]]
        self.query_one("#meaning", Static).update(paint.lines(*parts))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_edit()

    def action_turn(self) -> None:
        """Take a line, or leave it out."""
        if not self.lines:
            return
        line = self.lines[self.at]
        if line.missed:
            self.notify("No claim was read here. Enter lets you write what it says.")
            return
        self.lines[self.at] = Line(
            line.part, line.text, line.place, line.quote, not line.taken, "" if not line.taken else line.doubt, line.own
        )
        self._draw()

    def action_edit(self) -> None:
        """Correct the line under the cursor."""
        if self.lines:
            self._edit(self.at, self.lines[self.at].spelt)

    def action_add(self) -> None:
        """Add a line that was not read."""
        self._edit(len(self.lines), "")

    def _edit(self, at: int, text: str) -> None:
        self.editing = at
        field = self.query_one(Input)
        field.value = text
        field.add_class("on")
        field.focus()

    def _edited(self, text: str) -> Line:
        assert self.editing is not None
        new = Line(UNIT, "", "", "", True, "", True)
        old = self.lines[self.editing] if self.editing < len(self.lines) else new
        return audit_corrections.edited(old, text, self.bench.reader)

    def on_input_changed(self, event: Input.Changed) -> None:
        if self.editing is None or not event.value.strip():
            return
        try:
            self._meaning(self._edited(event.value))
        except InputError as problem:
            fault = problem.faults[0]
            self.query_one("#meaning", Static).update(paint.plain(f"✗ {fault.what}; {fault.accepted}"))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if self.editing is None:
            return
        try:
            line = self._edited(event.value)
        except InputError as problem:
            self.notify(f"{problem.faults[0].what}; {problem.faults[0].accepted}", severity="error", markup=False)
            return
        at = self.editing
        self.lines[at : at + 1] = [line]
        self._close()
        self._draw(at)

    def _close(self) -> None:
        self.editing = None
        self.query_one(Input).remove_class("on")
        self.query_one(OptionList).focus()

    def action_leave(self) -> None:
        """Go back: from a correction to the list, from the list to the audit."""
        if self.editing is not None:
            self._close()
            self._draw()
        else:
            self.dismiss(None)

    def action_save(self) -> None:
        """Save what is taken as a sheet."""
        source = Path(self.result.source)

        def act(path: Path, again: bool) -> None:
            text = audit_corrections.sheet(self.result.name, source.name, self.lines)
            if again and path.suffix.lower() in (".yaml", ".yml") and path != source:
                write_whole(path, text)
            else:
                writer.save(writer.sheet_path(path, self.bench.units[self.result.source], False), text)

        self.app.push_screen(
            NameFile(
                "Save the confirmed sheet",
                "A YAML sheet; the audit then goes by it. The text stays as it is.",
                source.with_suffix(".yaml"),
                act,
            ),
            self._saved,
        )

    def _saved(self, path: Path | None) -> None:
        if path is not None:
            self.dismiss(path)
