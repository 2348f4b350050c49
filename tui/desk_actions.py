"""What can be done on the main screen, each as one action: keys, the palette and the tests all call these."""

from typing import TYPE_CHECKING, Any

from tui.live import Row

if TYPE_CHECKING:
    from tui.desk import Desk


class DeskActions:
    """Actions of the desk; mixed into it."""

    def action_pane(self: "Desk", name: str) -> None:
        """Set the focus into one of the panes."""
        if name == "left":
            self.add_class("on-left")
            self.query_one("#subjects").focus()
        elif name == "right":
            self.query_one("#sheet").focus()
        else:
            self.remove_class("on-left")
            self.query_one("#left").remove_class("in")
            self.question.focus_answer()

    def action_step(self: "Desk", by: int) -> None:
        """Go to the next or the previous question."""
        if not self.walk.step(by):
            self.notify("This is the last question." if by > 0 else "This is the first question.")
        self.redraw()
        self.action_pane("middle")

    def action_most_useful(self: "Desk") -> None:
        """Go to the question that decides the most open demands."""
        if self.sheet is None or not self.sheet.questions:
            self.notify("No open demand hangs on an answer.")
            return
        self.go_question(self.sheet.questions[0])

    def action_unknown(self: "Desk") -> None:
        """Answer the present question with unknown."""
        self.answer("unknown")

    def action_undo(self: "Desk") -> None:
        """Take the last change back."""
        if not self.walk.undo():
            self.notify("There is nothing to undo.")
        self.redraw()

    def action_redo(self: "Desk") -> None:
        """Make the change again that was taken back."""
        if not self.walk.redo():
            self.notify("There is nothing to do again.")
        self.redraw()

    def action_add(self: "Desk") -> None:
        """Add another entry of the present subject."""
        self._told(self._on_pointed().add())

    def action_remove(self: "Desk") -> None:
        """Take the present entry away."""
        self._told(self._on_pointed().remove())

    def action_deny(self: "Desk") -> None:
        """Say that there is nothing of the present subject."""
        self._told(self._on_pointed().deny())

    def _on_pointed(self: "Desk") -> Any:
        """Go to the subject that is highlighted in the list, if that has the focus."""
        listed = self.query_one("#subjects")
        if listed.has_focus and listed.highlighted is not None:  # type: ignore[attr-defined]
            self.walk.go(*listed.subjects[listed.highlighted].key)  # type: ignore[attr-defined]
        return self.walk

    def _told(self: "Desk", fault: str | None) -> None:
        if fault:
            self.notify(fault, severity="warning", markup=False)
        self.redraw()

    def open_reasons(self: "Desk", row: Row) -> None:
        """Open the reasons of a row."""

    def action_why_not(self: "Desk") -> None:
        """Ask why something is not demanded."""

    def action_copy_row(self: "Desk") -> None:
        """Copy the highlighted line of the sheet."""
        entry = self.sheet_list.pointed
        if isinstance(entry, Row):
            self.app.copy_to_clipboard(" ".join(part for part in (entry.title, entry.text, entry.why) if part))
            self.notify("Copied.")

    def action_search(self: "Desk") -> None:
        """Search questions and demands."""
