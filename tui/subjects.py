"""The list of subjects with how each stands, by sign and word."""

from textual.binding import Binding
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option as Line

from tui import outline, paint
from tui.outline import Subject
from tui.paint import Wrapped


class SubjectList(OptionList):
    """Lists the subjects; moving through it shows the subject, Enter goes into its questions."""

    DEFAULT_CSS = """
    SubjectList { border: none; padding: 0; background: transparent; scrollbar-size-vertical: 1; }
    SubjectList:focus { border: none; }
    """
    BINDINGS = [
        Binding("a,plus", "screen.add", "Add entry"),
        Binding("delete,d", "screen.remove", "Remove entry", show=False),
        Binding("n", "screen.deny", "None here"),
        Binding("right", "select", "Questions", show=False),
    ]

    class Entered(Message):
        """A subject was chosen."""

        def __init__(self, subject: Subject) -> None:
            super().__init__()
            self.subject = subject

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - the toolkit's name
        super().__init__(markup=False, id=id)
        self.subjects: list[Subject] = []
        self._drawn: tuple[int, list[Subject]] = (0, [])

    def show(self, subjects: list[Subject], now: Subject) -> None:
        """Show the subjects with the present one highlighted."""
        self.subjects = subjects
        self._draw()
        self.highlighted = next((n for n, s in enumerate(subjects) if s.key == now.key), None)

    def _draw(self) -> None:
        width = max(18, self.scrollable_content_region.width - 1)
        if self._drawn == (width, self.subjects):
            return
        self._drawn = (width, list(self.subjects))
        place = self.highlighted
        self.set_options([Line(self._prompt(subject, width)) for subject in self.subjects])
        self.highlighted = place

    def _prompt(self, subject: Subject, width: int) -> Wrapped:
        words = {outline.OPEN: f"{subject.open} open", outline.SETTLED: "settled"}.get(subject.state, subject.state)
        title = paint.hang(subject.title, width, f"{paint.SUBJECT_SIGNS[subject.state]} ")
        dim = "dim" if subject.state in (outline.NOT_RELEVANT, outline.NONE, outline.SETTLED) else "bold"
        if len(title[-1]) + 1 + len(words) > width:
            title.append("")
        title[-1] = title[-1].ljust(width - len(words))
        return Wrapped(Content.assemble("\n".join(title), (words, dim)), len(title))

    def on_resize(self) -> None:
        self._draw()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.post_message(self.Entered(self.subjects[event.option_index]))
