"""A small window with a line to type in and a list that it narrows: for searching, choosing and confirming."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from tui import paint
from tui.choices import Choices, Typed
from tui.outline import Option


class Finder(ModalScreen[str | None]):
    """Lets a person choose one of the options; returns its value, or None."""

    DEFAULT_CSS = """
    Finder { align: center middle; background: $background 60%; }
    Finder > Vertical { width: 90%; max-width: 100; height: auto; max-height: 90%; padding: 0 1; }
    Finder > Vertical { border: round $primary; background: $surface; }
    Finder Static { height: auto; }
    Finder #title { text-style: bold; }
    Finder Typed { height: 1; border: none; background: $panel; padding: 0 1; }
    Finder Typed:focus { border: none; }
    Finder Choices { height: auto; max-height: 20; border: none; padding: 0; background: transparent; }
    Finder Choices:focus { border: none; }
    """
    BINDINGS = [Binding("escape", "dismiss(None)", "Back")]

    def __init__(self, title: str, options: Sequence[Option], text: str = "", *, search: bool = True) -> None:
        super().__init__()
        self.heading, self.options, self.text, self.search = title, tuple(options), text, search

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(paint.plain(self.heading), id="title", markup=False)
            if self.text:
                yield Static(paint.plain_lines(self.text), id="text", markup=False)
            if self.search:
                yield Typed(placeholder="type to narrow; Enter takes, Escape goes back")
            yield Choices(signs=False)

    def on_mount(self) -> None:
        self.query_one(Choices).offer(self.options, frozenset())
        (self.query_one(Typed) if self.search else self.query_one(Choices)).focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self.query_one(Choices).narrow(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one(Choices).action_select()

    def on_typed_moved(self, event: Typed.Moved) -> None:
        event.stop()
        choices = self.query_one(Choices)
        if event.by > 0:
            choices.action_cursor_down()
        else:
            choices.action_cursor_up()

    def on_typed_unknown(self, event: Typed.Unknown) -> None:
        event.stop()

    def on_choices_chosen(self, event: Choices.Chosen) -> None:
        event.stop()
        if event.values and event.values[0] in {option.value for option in self.options}:
            self.dismiss(event.values[0])


class PathLine(ModalScreen[str | None]):
    """Asks for a path; returns it as typed, or None."""

    DEFAULT_CSS = """
    PathLine { align: center middle; background: $background 60%; }
    PathLine > Vertical { width: 90%; max-width: 100; height: auto; padding: 0 1; }
    PathLine > Vertical { border: round $primary; background: $surface; }
    PathLine Static { height: auto; }
    PathLine #title { text-style: bold; }
    """
    BINDINGS = [Binding("escape", "dismiss(None)", "Back")]

    def __init__(self, title: str, start: str = "", text: str = "") -> None:
        super().__init__()
        self.heading, self.start, self.text = title, start, text

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(paint.plain(self.heading), id="title", markup=False)
            if self.text:
                yield Static(paint.plain_lines(self.text), markup=False)
            yield Input(self.start, select_on_focus=False, placeholder="a path; ~ is your own folder")

    def on_mount(self) -> None:
        line = self.query_one(Input)
        line.focus()
        line.cursor_position = len(self.start)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if event.value.strip():
            self.dismiss(event.value.strip())
