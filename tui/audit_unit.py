"""One unit of an audit: its findings as a list, and one finding with claim and proof side by side."""

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option

from advisor.document import FindingEntry
from tui import audit_words, paint
from tui.audit_bench import Opened, findings

_NARROW = 60


class UnitScreen(Screen[None]):
    """The findings on one unit, what falls short first; Enter opens one."""

    DEFAULT_CSS = """
    UnitScreen .bar { height: 1; background: $primary 25%; padding: 0 1; text-style: bold; }
    UnitScreen #verdict { height: auto; padding: 0 1; }
    UnitScreen OptionList { height: 1fr; border: none; padding: 0 0 0 1; background: transparent; }
    UnitScreen OptionList:focus { border: none; }
    UnitScreen OptionList > .option-list--option-disabled { color: $text; }
    """
    BINDINGS = [Binding("escape", "app.pop_screen", "Back"), Binding("c", "copy", "Copy")]

    def __init__(self, opened: Opened) -> None:
        super().__init__()
        self.opened = opened
        self.found: list[FindingEntry | None] = []

    def compose(self) -> ComposeResult:
        yield Static(paint.plain(self.opened.result.name), classes="bar")
        yield Static(id="verdict", markup=False)
        yield OptionList(markup=False)
        yield Footer(compact=True)

    def on_mount(self) -> None:
        self._draw()
        self.query_one(OptionList).focus()

    def on_resize(self, _: events.Resize) -> None:
        self._draw()

    def _draw(self) -> None:
        entry, width = self.opened.entry, max(30, self.size.width - 4)
        head = [(paint.hang(audit_words.VERDICTS[entry.verdict], width), "bold")]
        head += [(paint.hang(text, width, "! "), "") for text in entry.held_back]
        head.append((["Enter opens a finding: the claim and the proof."], "dim"))
        self.query_one("#verdict", Static).update(paint.lines(*head))
        listed = self.query_one(OptionList)
        at = listed.highlighted
        listed.clear_options()
        self.found = []
        kind = ""
        for finding in findings(self.opened):
            if finding.finding != kind:
                kind = finding.finding
                self._head(f"{audit_words.SIGNS[kind]} {audit_words.WORDS[kind].capitalize()}")
            part = f" ({finding.part})" if finding.part not in ("", "unit") else ""
            claimed = ", ".join(dict.fromkeys(f"“{claim.quote}”" for claim in finding.claimed)) or "nothing"
            first = f"{audit_words.SIGNS[kind]}{paint.SIGNS[finding.state]} "
            text = f"{finding.title}{part}: {finding.demanded}"
            tail = f"claimed {claimed}" + ("  [open demand]" if finding.state == "open" else "")
            self.found.append(finding)
            below = paint.hang(tail, width, "   "), "dim"
            listed.add_option(Option(paint.wrapped(width, (paint.hang(text, width, first), ""), below)))
        self._notes("What the claims do not mean", "! ", [note.text for note in entry.claim_notes], width)
        self._notes("Not understood on the sheet", "? ", entry.not_understood, width)
        listed.highlighted = at if at is not None else next((n for n, f in enumerate(self.found) if f), None)

    def _head(self, text: str) -> None:
        self.found.append(None)
        self.query_one(OptionList).add_option(Option(paint.plain(text, "bold underline"), disabled=True))

    def _notes(self, title: str, sign: str, texts: list[str], width: int) -> None:
        if texts:
            self._head(title)
        for text in texts:
            self.found.append(None)
            self.query_one(OptionList).add_option(Option(paint.wrapped(width, (paint.hang(text, width, sign), ""))))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        finding = self.found[event.option_index]
        if finding is not None:
            self.app.push_screen(FindingScreen(self.opened, finding))

    def action_copy(self) -> None:
        """Copy the line under the cursor."""
        listed = self.query_one(OptionList)
        if listed.highlighted is not None:
            self.app.copy_to_clipboard(str(listed.get_option_at_index(listed.highlighted).prompt))
            self.notify("Copied.")


class FindingScreen(Screen[None]):
    """One finding: what is claimed on the left, word for word and with its place; why it is demanded on the right."""

    DEFAULT_CSS = """
    FindingScreen .bar { height: 1; background: $primary 25%; padding: 0 1; text-style: bold; }
    FindingScreen Horizontal { height: 1fr; }
    FindingScreen VerticalScroll { width: 1fr; padding: 0 1; scrollbar-size-vertical: 1; }
    FindingScreen #proof { border-left: solid $panel; }
    FindingScreen VerticalScroll:focus { background: $surface; }
    """
    BINDINGS = [
        Binding("escape", "app.pop_screen", "Back"),
        Binding("n,right", "step(1)", "Next"),
        Binding("p,left", "step(-1)", "Previous"),
        Binding("tab", "app.focus_next", "Other side"),
        Binding("c", "copy", "Copy"),
    ]

    def __init__(self, opened: Opened, finding: FindingEntry) -> None:
        super().__init__()
        self.opened, self.order = opened, findings(opened)
        self.at = next(n for n, entry in enumerate(self.order) if entry is finding)

    @property
    def finding(self) -> FindingEntry:
        return self.order[self.at]

    def compose(self) -> ComposeResult:
        yield Static(id="title", classes="bar", markup=False)
        with Horizontal():
            with VerticalScroll(id="claim"):
                yield Static(markup=False)
            with VerticalScroll(id="proof"):
                yield Static(markup=False)
        yield Footer(compact=True)

    def on_mount(self) -> None:
        self.query_one("#claim").focus()

    def on_resize(self, _: events.Resize) -> None:
        self._draw()

    def _draw(self) -> None:
        width = max(20, self.size.width // 2 - 4)
        bar = f"{self.at + 1} of {len(self.order)}  {self.opened.result.name}"
        self.query_one("#title", Static).update(paint.plain(bar))
        index = next(n for n, entry in enumerate(self.opened.entry.findings) if entry is self.finding)
        found = self.opened.audit.findings[index]
        left = audit_words.claim_side(self.opened, found, self.finding, width)
        self.query_one("#claim Static", Static).update(left)
        self.query_one("#proof Static", Static).update(audit_words.proof_side(self.finding, width))

    def action_step(self, by: int) -> None:
        """Go to another finding on the same unit."""
        self.at = max(0, min(len(self.order) - 1, self.at + by))
        self._draw()
        for pane in self.query(VerticalScroll):
            pane.scroll_home(animate=False)

    def action_copy(self) -> None:
        """Copy both sides as text."""
        sides = [str(pane.content) for pane in self.query("VerticalScroll Static").results(Static)]
        self.app.copy_to_clipboard("\n\n".join(sides))
        self.notify("Copied.")
