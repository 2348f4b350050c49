"""The audit screen: spec sheets and catalogues held against the site as it is now.

`AuditScreen(session)` is pushed over any screen and pops itself on Escape. It reads the site from the session and
writes nothing to it but `session.sheets`, the files that are open; if the site changed meanwhile everything is
audited anew. Audits run in a worker; a catalogue shows its progress and can be left at any time.
"""

from pathlib import Path

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Input, Static
from textual.worker import get_current_worker

from advisor.catalogue.run import Result
from advisor.faults import InputError
from advisor.report.common import LETTERS
from tui import audit_export, audit_words, paint
from tui.audit_bench import FREE_TEXT, Bench, Opened
from tui.audit_commands import ScreenCommands
from tui.audit_dialogs import LongText, NameFile, SheetPicker
from tui.audit_matrix import Matrix
from tui.audit_order import Shown, arrange
from tui.audit_reading import ReadingScreen
from tui.audit_unit import FindingScreen, UnitScreen
from tui.session import Session

_WIDE = 110
_EMPTY = "No spec sheet is open. Press o to open sheets (.yaml, .txt, .pdf) or a catalogue (.csv, .xlsx)."
_SHORT = {"falls short": "short", "unstated": "ask", "unclear": "unclear", "meets": "meet"}


class _Stopped(Exception):  # noqa: N818 - no error
    """The audit is not wanted any more."""


class AuditScreen(Screen[None]):
    """Units against demands; Enter opens a unit or a finding."""

    DEFAULT_CSS = """
    AuditScreen .bar { height: 1; background: $primary 25%; padding: 0 1; text-style: bold; }
    AuditScreen #state { height: 1; padding: 0 1; color: $text-muted; }
    AuditScreen #body { height: 1fr; }
    AuditScreen Matrix { width: 1fr; margin: 0 1; }
    AuditScreen #legend { width: 44; border-left: solid $panel; padding: 0 1; display: none; }
    AuditScreen #legend { scrollbar-size-vertical: 1; }
    AuditScreen.wide #legend { display: block; }
    AuditScreen #cell { height: 5; padding: 0 1; border-top: solid $panel; }
    AuditScreen #find { display: none; }
    AuditScreen #find.on { display: block; }
    """
    BINDINGS = [
        Binding("escape", "leave", "Back"),
        Binding("o,ctrl+o", "pick", "Add"),
        Binding("v", "verdict", "Verdict"),
        Binding("f", "finding", "Finding"),
        Binding("s", "sort", "Sort"),
        Binding("slash", "find", "Name", key_display="/"),
        Binding("b", "binding", "Certain demands only", show=False),
        Binding("r", "reading", "Confirm"),
        Binding("e,ctrl+r", "export", "Report"),
        Binding("i", "info", "How it was read", show=False),
        Binding("x", "drop", "Close file", show=False),
    ]

    COMMANDS = {ScreenCommands}

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.bench: Bench | None = None
        self.shown = Shown()
        self.certain_only = False
        self.busy = ""

    def compose(self) -> ComposeResult:
        yield Static(paint.plain(f"Audit against: {self.session.title}"), classes="bar", id="title")
        yield Static(id="state", markup=False)
        with Horizontal(id="body"):
            yield Matrix()
            with VerticalScroll(id="legend", can_focus=False):
                yield Static(markup=False)
        yield Static(_EMPTY, id="cell", markup=False)
        yield Input(placeholder="part of a name; Enter to go back to the list", id="find")
        yield Footer(compact=True, show_command_palette=False)

    @property
    def matrix(self) -> Matrix:
        return self.query_one(Matrix)

    def on_mount(self) -> None:
        self.matrix.focus()
        if self.session.sheets:
            self.run_audit(list(self.session.sheets))
        else:
            self.action_pick()

    def on_screen_resume(self) -> None:
        if self.bench is not None and self.bench.version != self.session.version:
            self.query_one("#title", Static).update(paint.plain(f"Audit against: {self.session.title}"))
            self.bench = None
            self.run_audit(list(self.session.sheets))

    def on_resize(self, event: events.Resize) -> None:
        self.set_class(event.size.width >= _WIDE, "wide")

    @work(thread=True, exclusive=True, group="audit", exit_on_error=False)
    def run_audit(self, paths: list[Path]) -> None:
        """Audit files, one after another; each is shown as soon as it is there."""
        worker, tell = get_current_worker(), self.app.call_from_thread
        try:
            bench = self.bench
            if bench is None or bench.version != self.session.version:
                tell(self._busy, "reading the site …")
                bench = Bench(self.session)
            for path in paths:

                def notice(share: float, path: Path = path) -> None:
                    if worker.is_cancelled:
                        raise _Stopped
                    tell(self._busy, f"{path.name} {_bar(share)} {100 * min(1.0, share):.0f} %")

                tell(self._busy, f"{path.name} …")
                try:
                    bench.add(path, notice)
                except InputError as problem:
                    tell(self._fault, str(problem).split("\n", 1)[0])
                if not worker.is_cancelled:
                    tell(self._arrived, bench)
        except _Stopped:
            return
        except InputError as problem:
            tell(self._fault, str(problem).split("\n", 1)[0])
        tell(self._busy, "")

    def _busy(self, words: str) -> None:
        self.busy = words
        self._state()

    def _fault(self, words: str) -> None:
        self.notify(words, severity="error", title="Not audited", markup=False, timeout=8)

    def _arrived(self, bench: Bench) -> None:
        self.bench = bench
        self.session.sheets = [Path(source) for source in dict.fromkeys(result.source for result in bench.results)]
        self.draw()

    def draw(self) -> None:
        """Show the bench as it is asked for."""
        if self.bench is None:
            return
        columns = [wanted for wanted in self.bench.wanted if wanted.state == "certain" or not self.certain_only]
        self.matrix.show(arrange(self.bench.ordered, self.shown), columns)
        self._state()

    def _state(self) -> None:
        words = self.busy
        if not words and self.bench is not None:
            counts = self.bench.counts
            total, seen = len(self.bench.results), len(self.matrix.results)
            verdicts = ", ".join(f"{counts[verdict]} {verdict}" for verdict in ("fit", "unproven", "unfit"))
            only = self.shown.words()
            words = f"{total} unit{'' if total == 1 else 's'}: {verdicts}  ·  {self.shown.sort}"
            words += f"  ·  {seen} with {only}" if only else ""
            words += "  ·  certain demands only" if self.certain_only else ""
            words += f"  ·  {len(self.bench.faults)} not read (i)" if self.bench.faults else ""
        self.query_one("#state", Static).update(paint.plain(words))

    def on_matrix_moved(self) -> None:
        if self.bench is None:
            return
        result, column = self.matrix.result, self.matrix.column
        width = max(30, self.size.width - 3)
        if result is None:
            text = paint.plain("No unit is left by what is asked for." if self.bench.results else _EMPTY)
        elif column is None:
            where = f"{result.source}{f', line {result.line}' if result.line else ''}"
            hint = "Enter: its findings.  → along the demands."
            text = paint.lines(
                (paint.hang(result.name, width), "bold"),
                (paint.hang(audit_words.VERDICTS[result.fate.verdict], width), ""),
                (paint.hang(where, width)[:1], "dim"),
                ([hint], "dim"),
            )
        else:
            number = self.matrix.at + 1
            outcome = self.bench.outcome(result, column)
            said = self.bench.said(result, column)
            text = audit_words.cell(column, number, len(self.matrix.columns), outcome, said, width)
        self.query_one("#cell", Static).update(text)
        self._legend()

    def _legend(self) -> None:
        if self.bench is None or not self.has_class("wide"):
            return
        tallies = self.bench.tallies
        letters = ", ".join(f"{LETTERS[kind]} {kind}" for kind in audit_words.SIGNS)
        parts: list[audit_words.Part] = [(paint.hang(f"{letters}, – not concerned", 38), "dim"), ([""], "")]
        seen = 0
        for number, wanted in enumerate(self.matrix.columns):
            first = f"{number + 1:>2} {paint.SIGNS[wanted.state]} "
            here = number == self.matrix.at
            tally = tallies[wanted.number]
            said = ", ".join(f"{tally[kind]} {word}" for kind, word in _SHORT.items() if tally[kind])  # type: ignore[index]
            parts.append((paint.hang(f"{wanted.title}: {wanted.demanded}", 38, first), "bold reverse" if here else ""))
            parts.append((paint.hang(said, 38, "     "), "dim"))
            if here:
                seen = sum(len(lines) for lines, _ in parts)
        self.query_one("#legend Static", Static).update(paint.lines(*parts))
        legend = self.query_one("#legend", VerticalScroll)
        legend.scroll_to(y=max(0, seen - legend.size.height + 2), animate=False, force=True)

    def on_matrix_opened(self) -> None:
        result = self.matrix.result
        if result is not None and self.bench is not None:
            self._open(self.bench, result, None if self.matrix.column is None else self.matrix.column.number)

    @work(thread=True, exclusive=True, group="open", exit_on_error=False)
    def _open(self, bench: Bench, result: Result, number: int | None) -> None:
        tell = self.app.call_from_thread
        tell(self._busy, f"looking into {result.name} …")
        try:
            opened = bench.open(result)
        except InputError as problem:
            tell(self._fault, str(problem))
        else:
            tell(self._show, opened, number)
        tell(self._busy, "")

    def _show(self, opened: Opened, number: int | None) -> None:
        if number is None:
            self.app.push_screen(UnitScreen(opened))
        elif number in opened.at:
            self.app.push_screen(FindingScreen(opened, opened.entry.findings[opened.at[number]]))
        else:
            self.notify("This demand does not concern the unit: its sheet names no such part.")

    def action_leave(self) -> None:
        """Go back: from the name filter to the list, from the list to where the audit was opened."""
        if self.query_one("#find").has_class("on"):
            self.query_one("#find", Input).value = ""
            self._close_find()
            return
        self.workers.cancel_node(self)
        self.app.pop_screen()

    def action_pick(self) -> None:
        """Open spec sheets."""
        base = self.session.path.absolute().parent if self.session.path else Path.cwd()
        folder = base / "units" if (base / "units").is_dir() else base
        self.app.push_screen(SheetPicker(folder), self._picked)

    def _picked(self, paths: list[Path] | None) -> None:
        if paths:
            self.run_audit(paths)

    def action_verdict(self) -> None:
        """Show only units of the next verdict."""
        self.shown = self.shown.turn_verdict()
        self.draw()

    def action_finding(self) -> None:
        """Show only units with the next finding on the demand under the cursor."""
        if self.matrix.column is None:
            self.notify("Go to a demand with → first.")
            return
        self.shown = self.shown.turn_finding(self.matrix.column)
        self.draw()

    def action_sort(self) -> None:
        """Sort in the next way."""
        self.shown = self.shown.turn_sort(self.matrix.column)
        self.draw()

    def action_binding(self) -> None:
        """Hide or show the demands that hang on open answers."""
        self.certain_only = not self.certain_only
        self.draw()

    def action_find(self) -> None:
        """Filter by name."""
        self.query_one("#find").add_class("on")
        self.query_one("#find").focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        self.shown = Shown(
            self.shown.verdict, self.shown.finding, self.shown.column, event.value.strip(), self.shown.sort
        )
        self.draw()

    def on_input_submitted(self) -> None:
        self._close_find()

    def _close_find(self) -> None:
        self.query_one("#find").remove_class("on")
        self.matrix.focus()

    def action_drop(self) -> None:
        """Take the file of the unit under the cursor off the list."""
        if self.bench is not None and self.matrix.result is not None:
            self.bench.drop(self.matrix.result.source)
            self._arrived(self.bench)

    def action_info(self) -> None:
        """Show how the files were read and what was not."""
        if self.bench is None:
            return
        said = [*self.bench.gathered.said(), *(str(fault) for fault in self.bench.faults)]
        width = max(30, min(90, self.size.width * 9 // 10 - 6))
        text = paint.lines(*((paint.hang(line, width, "• "), "") for line in dict.fromkeys(said)))
        self.app.push_screen(LongText("How it was read", text if said else paint.plain("All was read as it stands.")))

    def action_export(self) -> None:
        """Write the report of all units to a file."""
        if self.bench is None or not self.bench.results:
            self.notify("Open a spec sheet first.")
            return
        bench = self.bench
        base = self.session.path.absolute().parent if self.session.path else Path.cwd()
        kinds = ", ".join(f"{ending} {what}" for ending, what in audit_export.KINDS.items())
        self.app.push_screen(
            NameFile(
                "Report of the audit",
                f"The ending says which kind: {kinds}.",
                base / "audit.html",
                lambda path, again: audit_export.export(bench, path, overwrite=again),
            ),
            lambda path: self.notify(f"Written: {path}", markup=False) if path else None,
        )

    def action_reading(self) -> None:
        """Confirm or correct what was read out of a text or PDF sheet."""
        result = self.matrix.result
        if self.bench is None or result is None:
            return
        if Path(result.source).suffix.lower() not in FREE_TEXT:
            self.notify("Only the reading of a text or a PDF needs to be confirmed.")
            return
        self.app.push_screen(ReadingScreen(self.bench, result), lambda path: self._confirmed(result, path))

    def _confirmed(self, result: Result, path: Path | None) -> None:
        if path is not None and self.bench is not None:
            self.bench.drop(result.source)
            self.run_audit([path])


def _bar(share: float, width: int = 20) -> str:
    done = round(width * min(1.0, share))
    return f"[{'#' * done}{'.' * (width - done)}]"
