"""The main screen: subjects, the question, and beside it the requirement sheet; its keys and what its parts report."""

from textual.binding import Binding

from advisor.interview import OpenQuestion
from tui.answers import AnswerList
from tui.desk_actions import DeskActions
from tui.question import QuestionPane
from tui.sheetlist import SheetList
from tui.subjects import SubjectList
from tui.walk import NOTE


class Desk(DeskActions):
    """The place where a site is worked on."""

    DEFAULT_CSS = """
    Desk #title { height: 1; background: $primary 25%; padding: 0 1; text-style: bold; }
    Desk #body { height: 1fr; layout: horizontal; }
    Desk #left { width: 34; border-right: solid $panel; }
    Desk #middle { width: 1fr; }
    Desk #right { width: 1.15fr; border-left: solid $panel; }
    Desk .head { height: 1; width: 1fr; color: $text-muted; padding: 0 1; }
    Desk .in .head { color: $text; text-style: bold reverse; }
    Desk SubjectList, Desk SheetList, Desk QuestionPane { height: 1fr; }
    Desk #strip { height: auto; max-height: 4; padding: 0 1; color: $text-muted; border-top: solid $panel; }
    Desk.middle #left, Desk.narrow #left { display: none; }
    Desk.middle.on-left #left, Desk.narrow.on-left #left { display: block; width: 1fr; border: none; }
    Desk.middle.on-left #middle, Desk.narrow.on-left #middle { display: none; }
    Desk.narrow #body { layout: vertical; }
    Desk.narrow #middle, Desk.narrow #left, Desk.narrow #right { width: 100%; height: 1fr; border: none; }
    Desk.narrow #right { border-top: solid $panel; }
    Desk.narrow.on-right #middle { height: 6; }
    Desk.narrow.on-middle #right, Desk.narrow.on-left #right { height: 8; }
    Desk #strip.empty { display: none; }
    Desk.narrow AnswerList { display: none; }
    Desk.narrow #strip { max-height: 2; border: none; }
    Desk.narrow.on-middle #strip, Desk.narrow.on-left #strip { display: none; }
    Desk #title { text-wrap: nowrap; text-overflow: ellipsis; }
    """
    BINDINGS = [
        Binding("f1", "app.help", "Help"),
        Binding("f2", "pane('left')", "Subjects", show=False),
        Binding("f3", "pane('middle')", "Question", show=False),
        Binding("f4", "pane('right')", "Sheet", show=False),
        Binding("f5", "audit", "Audit"),
        Binding("f6", "most_useful", "Best next"),
        Binding("f7", "step(-1)", "Back", show=False),
        Binding("f8", "step(1)", "Skip", show=False),
        Binding("f9", "map", "Map", show=False),
        Binding("ctrl+z", "undo", "Undo", priority=True, show=False),
        Binding("ctrl+y", "redo", "Redo", priority=True, show=False),
        Binding("ctrl+f", "search", "Search", priority=True),
        Binding("ctrl+s", "save", "Save", priority=True),
        Binding("ctrl+o", "open", "Open", priority=True, show=False),
        Binding("ctrl+r", "export", "Report", priority=True, show=False),
        Binding("ctrl+n", "new", "New site", priority=True, show=False),
        Binding("escape", "pane('left')", "Subjects", show=False),
        Binding("question_mark", "unknown", "Unknown", key_display="?", show=False),
    ]

    def on_subject_list_entered(self, event: SubjectList.Entered) -> None:
        self.walk.go(*event.subject.key)
        self.redraw()
        self.action_pane("middle")

    def on_answer_list_entered(self, event: AnswerList.Entered) -> None:
        self.walk.go(*event.asked.key)
        self.redraw()
        self.action_pane("middle")

    def on_question_pane_answered(self, event: QuestionPane.Answered) -> None:
        self.answer(event.text, stay=event.stay)

    def on_question_pane_skipped(self) -> None:
        self.action_step(1)

    def on_question_pane_looked(self, event: QuestionPane.Looked) -> None:
        asked = self.walk.question
        if asked is None or self.question.pending() != event.text.strip():
            self.question.note("")
            return
        fault = self.walk.check(event.text)
        if fault:
            self.question.note(fault, wrong=not fault.startswith(NOTE))
        else:
            read = self.session.understood(asked.template, asked.slot, event.text) if asked.kind == "quantity" else ""
            self.question.note(f"read as {read}" if read else "")

    def on_sheet_list_pointed(self, event: SheetList.Pointed) -> None:
        self.show_strip(event.entry)

    def on_sheet_list_picked(self, event: SheetList.Picked) -> None:
        if isinstance(event.entry, OpenQuestion):
            self.go_question(event.entry)
        else:
            self.open_reasons(event.entry)
