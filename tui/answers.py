"""The questions of one subject with the answers given so far, to look over and to go back to."""

from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option as Line

from tui import paint
from tui.outline import Asked
from tui.paint import Wrapped


class AnswerList(OptionList):
    """Lists the questions of the present subject; Enter goes to one."""

    DEFAULT_CSS = """
    AnswerList {
        height: auto; max-height: 45%; border: none; border-top: solid $panel; padding: 0 1; background: transparent;
        scrollbar-size-vertical: 1;
    }
    AnswerList:focus { border: none; border-top: solid $panel; }
    """

    class Entered(Message):
        """A question was chosen."""

        def __init__(self, asked: Asked) -> None:
            super().__init__()
            self.asked = asked

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - the toolkit's name
        super().__init__(markup=False, id=id)
        self.asked: list[Asked] = []
        self._now: Asked | None = None
        self._column = 0

    def show(self, asked: list[Asked], now: Asked | None) -> None:
        """Show the questions with the present one highlighted."""
        self.asked, self._now = asked, now
        self._column = 2 + max((len(entry.slot) for entry in asked), default=0)
        self._draw()

    def _draw(self) -> None:
        width = max(24, self.scrollable_content_region.width - 1)
        self.set_options([Line(self._prompt(asked, width)) for asked in self.asked])
        self.highlighted = next((n for n, asked in enumerate(self.asked) if asked == self._now), None)

    def _prompt(self, asked: Asked, width: int) -> Wrapped:
        sign = "○" if asked.open else "✓" if asked.value is not None else "·"
        name = asked.slot.replace("_", " ")
        words = asked.shown or ("not told" if asked.open else "")
        lead = f"{sign} {name}".ljust(self._column) + "  "
        return paint.wrapped(width, (paint.hang(words, width, lead), "" if asked.value is not None else "dim"))

    def on_resize(self) -> None:
        self._draw()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.post_message(self.Entered(self.asked[event.option_index]))
