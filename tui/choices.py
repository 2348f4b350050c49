"""A list of answers to choose from, narrowed by what is typed above it; several may be marked."""

from rich.cells import cell_len
from textual import events
from textual.binding import Binding
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option as Line

from tui import paint
from tui.outline import Option
from tui.paint import Wrapped

MOST = 150
"""Answers drawn at once; whoever looks for more types a letter."""


class Choices(OptionList):
    """The answers of one question. Enter takes the marked ones, or else the highlighted one."""

    BINDINGS = [
        Binding("space", "mark", "Mark several"),
        Binding("question_mark", "unknown", "Unknown", key_display="?"),
        Binding("delete,backspace", "clear", "Take back", show=False),
    ]

    class Chosen(Message):
        """Answers were chosen; None takes the answer back."""

        def __init__(self, values: list[str] | None) -> None:
            super().__init__()
            self.values = values

    def __init__(self, *, signs: bool = True, id: str | None = None) -> None:  # noqa: A002 - the toolkit's name
        """Without `signs` nothing can be marked, as where a single thing is looked for."""
        super().__init__(markup=False, id=id)
        self.signs = signs
        self.all: tuple[Option, ...] = ()
        self.shown: list[Option] = []
        self.marked: set[str] = set()
        self.present: frozenset[str] = frozenset()
        self.lead = ""

    def offer(self, options: tuple[Option, ...], present: frozenset[str]) -> None:
        """Show the answers of a question; `present` are those given now."""
        self.all, self.present, self.marked = options, present, set()
        self.narrow("")
        first = next((n for n, option in enumerate(self.shown) if option.value in present), 0)
        self.highlighted = first if self.shown else None

    def narrow(self, text: str) -> None:
        """Show only the answers that hold all the words typed; those that begin with them come first."""
        words = text.lower().split()
        found = [option for option in self.all if all(word in _searched(option) for word in words)]
        if words:
            found.sort(key=lambda option: not option.label.lower().startswith(text.lower().strip()))
        self.shown = found[:MOST]
        self._draw()

    def _draw(self) -> None:
        place = self.highlighted
        width = max(20, self.scrollable_content_region.width - 1)
        self.set_options([Line(self._prompt(option, width)) for option in self.shown])
        if self.shown:
            self.highlighted = min(place or 0, len(self.shown) - 1)

    def _prompt(self, option: Option, width: int) -> Wrapped:
        sign = "[x]" if option.value in self.marked else " ● " if option.value in self.present else " ○ "
        head = f"{sign} {option.label}" if self.signs else option.label
        rest = 4 if self.signs else 2
        if not option.about or option.about == option.label:
            return paint.wrapped(width, (paint.hang(head, width, rest=rest), ""))
        if cell_len(head) + cell_len(option.about) + 3 <= width:
            return Wrapped(Content.assemble(head, (f" – {option.about}", "dim")), 1)
        about = paint.hang(option.about, width, "    ")
        return paint.wrapped(width, (paint.hang(head, width, rest=rest), ""), (about, "dim"))

    def on_resize(self, event: events.Resize) -> None:
        self._draw()

    def action_mark(self) -> None:
        if self.highlighted is None or len(self.all) < 2 or not self.signs:
            return
        self.marked ^= {self.shown[self.highlighted].value}
        self._draw()

    def action_unknown(self) -> None:
        self.post_message(self.Chosen(["unknown"]))

    def action_clear(self) -> None:
        self.post_message(self.Chosen(None))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_index < len(self.shown):
            one = self.shown[event.option_index].value
            marked = [option.value for option in self.all if option.value in self.marked]
            self.post_message(self.Chosen(marked or [one]))


def _searched(option: Option) -> str:
    return f"{option.label} {option.value} {option.about} {option.words}".lower()


class Typed(Input):
    """The line in which an answer or the words of a choice are typed. `?` in the empty line says unknown."""

    BINDINGS = [
        Binding("question_mark", "unknown", "Unknown", key_display="?"),
        Binding("down", "list(1)", "List", show=False),
        Binding("up", "list(-1)", "List", show=False),
    ]

    class Unknown(Message):
        """The question was answered with unknown."""

    class Moved(Message):
        """An arrow key was pressed that is for the list below."""

        def __init__(self, by: int) -> None:
            super().__init__()
            self.by = by

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return not self.value if action == "unknown" else True

    async def _on_key(self, event: events.Key) -> None:
        if event.character == "?" and not self.value:
            event.stop()
            event.prevent_default()
            self.action_unknown()
            return
        await super()._on_key(event)

    def action_unknown(self) -> None:
        self.post_message(self.Unknown())

    def action_list(self, by: int) -> None:
        self.post_message(self.Moved(by))
