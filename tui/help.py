"""The help screen: how answers are written, what the signs mean, every key, and what the tool does not do."""

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from advisor.report.text import CAVEAT
from tui.commands import COMMANDS
from tui.hints import Hints

ANSWERS = """\
A figure is written with its unit, in any unit that measures the same:
    85 bar   1200 psi   85 C   185 F   1/2 in
A range has both ends, a tolerance its +/-, a bound its sign:
    60 .. 90 bar   -25 to -18 degC   15 +/- 1 L/min   > 60 C
? answers unknown. What is unknown stays open, and binds until it is answered.
Enter takes the answer and goes on to the next open question.
Enter on an empty or unchanged line skips the question.
Space marks several choices where you cannot tell which it will be;
    Enter then takes all that are marked.
A preset fills in usual figures; every one can be told otherwise.
While you type, the line below says how it is read, or what is wrong.
    Nothing wrong is ever taken over."""
SIGNS = """\
■ certain    □ open: hangs on answers not known, and binds until they are
+ new, ~ changed, - gone with the last answer; the head of the sheet counts
    them, and what is gone is named below it
▸ more lines: Enter shows them    ▾ all lines are shown
✓ settled    ◐ some answers open    ○ nothing told yet
∅ none of it here    – does not apply here
● given now    [x] marked
In a bar, █ is the value and | the threshold; behind a demand it is drawn for
    the answer that stands nearest to changing it. The highlighted line says it
    in figures below the sheet."""
FILES = """\
Every answer is kept at once in a journal of your own: a crash, a closed
terminal or a full disk costs at most the line being typed. The next start
offers what was not saved. Saving changes only the lines that you changed.
The mouse works everywhere. Copying uses the terminal's own clipboard, through
ssh and tmux too where it is allowed."""


def text() -> list[tuple[str, str]]:
    """Return the sections of the help as title and text."""
    keys = "\n".join(f"{command.key:<7} {command.title}\n        {command.about}" for command in COMMANDS)
    return [
        ("How answers are written", ANSWERS),
        ("What the signs mean", SIGNS),
        ("Every action; all of them stand in the palette too (Ctrl+P)", keys),
        ("Files", FILES),
        ("What this tool does not do", CAVEAT),
    ]


class Help(Screen[None]):
    """Shows the help."""

    DEFAULT_CSS = """
    Help VerticalScroll { padding: 0 1; }
    Help Static { height: auto; margin: 0 0 1 0; }
    """
    BINDINGS = [Binding("escape,q,f1", "dismiss(None)", "Back")]

    def compose(self) -> ComposeResult:
        with VerticalScroll():
            for title, body in text():
                yield Static(Content.assemble((f"{title}\n", "bold underline"), body), markup=False)
        yield Hints()

    def on_mount(self) -> None:
        self.query_one(VerticalScroll).focus()
