"""The pane of one question: what is asked, the line or the list to answer in, and what an answer would decide."""

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.timer import Timer
from textual.widgets import Input, Static

from tui import paint
from tui.choices import Choices, Typed
from tui.outline import Asked, Subject
from tui.walk import NOTE

MOST_UNFILTERED = 9
"""Up to so many answers are shown without a line to narrow them by typing."""


class QuestionPane(VerticalScroll, can_focus=False):
    """Shows one question and posts its answers."""

    DEFAULT_CSS = """
    QuestionPane { padding: 0 1; scrollbar-size-vertical: 1; }
    QuestionPane Static { height: auto; width: 1fr; }
    QuestionPane #where { color: $text-muted; }
    QuestionPane #ask { text-style: bold; }
    QuestionPane #help { color: $text-muted; }
    QuestionPane Typed { height: 1; border: none; padding: 0 1; margin: 0; background: $panel; }
    QuestionPane Typed:focus { border: none; background: $primary 35%; }
    QuestionPane Choices { height: auto; max-height: 100%; border: none; padding: 0; background: transparent; }
    QuestionPane Choices:focus { border: none; }
    QuestionPane #decides { color: $text-muted; }
    """

    class Answered(Message):
        """An answer to the question shown; None takes it back."""

        def __init__(self, text: str | list[str] | None, *, stay: bool = False) -> None:
            super().__init__()
            self.text, self.stay = text, stay

    class Looked(Message):
        """Text was typed and has stood for a moment: is it right?"""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    class Skipped(Message):
        """Enter on an empty line: on to the next question."""

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - the toolkit's name
        super().__init__(id=id)
        self.asked: Asked | None = None
        self._pause: Timer | None = None

    def compose(self) -> ComposeResult:
        yield Static(id="where", markup=False)
        yield Static(id="ask", markup=False)
        yield Static(id="help", markup=False)
        yield Typed(id="typed", select_on_focus=False)
        yield Static(id="note", markup=False)
        yield Choices(id="choices")
        yield Static(id="decides", markup=False)

    @property
    def typed(self) -> Typed:
        return self.query_one(Typed)

    @property
    def choices(self) -> Choices:
        return self.query_one(Choices)

    def show(self, subject: Subject, asked: Asked | None, at: int, many: int, decides: str) -> None:
        """Show a question; the focus goes to where it is answered if it was in this pane."""
        had_focus = self.has_focus_within
        self.asked = asked
        # What is typed belongs to the question it was typed for.
        if self._pause is not None:
            self._pause.stop()
        sign = paint.SUBJECT_SIGNS[subject.state]
        where = f"{subject.title}  {sign} {subject.state}"
        if asked is None:
            self._text("where", where)
            self._text("ask", "This does not apply at this point.")
            self._text("help", subject.about)
            self._text("decides", "")
            self.typed.display = self.choices.display = False
            self.note("")
            return
        # Only whoever has two questions needs to know which one it is.
        self._text("where", f"{where}  {at + 1}/{many}" if many > 1 else where)
        self._text("ask", asked.ask or asked.slot.replace("_", " "))
        self._text("help", " ".join(part for part in (asked.help, self._accepted(asked)) if part))
        self._text("decides", decides)
        self._answer(asked)
        self.note("")
        self.scroll_home(animate=False)
        if had_focus:
            self.focus_answer()

    def _answer(self, asked: Asked) -> None:
        options = asked.options
        listed = bool(options)
        self.choices.display = listed
        self.typed.display = not listed or len(options) > MOST_UNFILTERED
        present = asked.value if isinstance(asked.value, list) else [asked.value] if asked.value else []
        if listed:
            self.typed.placeholder = f"type to narrow {len(options)} answers"
            held = frozenset(present) or (
                frozenset([asked.shown.split(" ")[0]]) if asked.origin == "assumed" else frozenset()
            )
            self.choices.offer(options, held)
            text = ""
        else:
            self.typed.placeholder = self._example(asked)
            text = " ".join(present)
        with self.typed.prevent(Input.Changed):
            self.typed.value = text
        # Typing replaces what stands there; an arrow key keeps it for editing.
        self.typed.select_all()

    def _accepted(self, asked: Asked) -> str:
        told = ""
        if asked.shown and asked.origin in ("preset", "assumed", "not relevant"):
            told = f"Now: {asked.shown}."
        if asked.perhaps:
            told += " Whether this applies hangs on an answer that is still open."
        return told.strip()

    def _example(self, asked: Asked) -> str:
        if asked.kind in ("quantity", "number"):
            unit = asked.unit.replace("**", "")
            return f"a value or a range{', in ' + unit + ' or any like unit' if unit else ''}; ? for unknown"
        return "one line of text"

    def note(self, text: str, *, wrong: bool = False) -> None:
        """Say what is wrong with what stands in the line, or how it is read."""
        lead = "✗ " if wrong else "! " if text.startswith(NOTE) else ""
        self._text("note", lead + text.removeprefix(NOTE) if text else "")

    def focus_answer(self) -> None:
        """Set the focus to the line or list in which the question is answered."""
        if self.typed.display:
            self.typed.focus(scroll_visible=False)
        elif self.choices.display:
            self.choices.focus(scroll_visible=False)

    def _text(self, name: str, text: str) -> None:
        widget = self.query_one(f"#{name}", Static)
        widget.update(paint.plain(text))
        widget.display = bool(text)

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if self.choices.display:
            self.choices.narrow(event.value)
            return
        if self._pause is not None:
            self._pause.stop()
        text = event.value
        self._pause = self.set_timer(0.12, lambda: self.post_message(self.Looked(text)))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if self.choices.display:
            self.choices.action_select()
        else:
            self._submit(event.value.strip())

    def _submit(self, text: str) -> None:
        had = self.asked.value if self.asked else None
        if text == (had or ""):
            self.post_message(self.Skipped())
        else:
            self.post_message(self.Answered(text or None))

    def pending(self) -> str | None:
        """Return what is typed and not yet given as an answer; None if there is nothing."""
        if self.asked is None or self.choices.display or not self.typed.display:
            return None
        text = self.typed.value.strip()
        return text if text and text != (self.asked.value or "") else None

    def on_typed_unknown(self, event: Typed.Unknown) -> None:
        event.stop()
        self.post_message(self.Answered("unknown"))

    def on_typed_moved(self, event: Typed.Moved) -> None:
        event.stop()
        if self.choices.display:
            if event.by > 0:
                self.choices.action_cursor_down()
            else:
                self.choices.action_cursor_up()

    def on_choices_chosen(self, event: Choices.Chosen) -> None:
        event.stop()
        values = event.values
        if values is None:
            self.post_message(self.Answered(None, stay=True))
        else:
            self.post_message(self.Answered(values[0] if len(values) == 1 else values))


def decides(names: list[str], most: int = 4) -> str:
    """Say what hangs on a question."""
    if not names:
        return ""
    rest = len(names) - most
    return "Hangs on it: " + ", ".join(names[:most]) + (f" and {rest} more" if rest > 0 else "")
