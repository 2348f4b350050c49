"""What can be done on the main screen, each as one action: keys, the palette and the tests all call these."""

import asyncio
from functools import partial

from textual import work

from advisor.faults import InputError
from advisor.interview import OpenQuestion
from tui import branches, drops, export, search
from tui.audit import AuditScreen
from tui.branches import Branch
from tui.file_actions import FileActions
from tui.finder import Finder
from tui.live import Row
from tui.map_screen import MapScreen, choose
from tui.outline import Option
from tui.reasons import Reasons
from tui.subjects import SubjectList
from tui.walk import Walk, said

NOT_MOVED = ("refer", "caution", "evidence", "practice", "trap")
"""Notes of which it is not asked what would drop them."""


class DeskActions(FileActions):
    """Actions of the desk."""

    def action_step(self, by: int) -> None:
        """Go to the next or the previous question."""
        if not self.walk.step(by):
            self.notify("This is the last question." if by > 0 else "This is the first question.")
        self.redraw()
        self.action_pane("middle")

    def action_most_useful(self) -> None:
        """Go to the question that decides the most open demands."""
        if self.sheet is None or not self.sheet.questions:
            self.notify("No open demand hangs on an answer.")
            return
        self.go_question(self.sheet.questions[0])

    def action_unknown(self) -> None:
        """Answer the present question with unknown."""
        self.answer("unknown")

    def action_undo(self) -> None:
        """Take the last change back."""
        if not self.walk.undo():
            self.notify("There is nothing to undo.")
        self.redraw()

    def action_redo(self) -> None:
        """Make the change again that was taken back."""
        if not self.walk.redo():
            self.notify("There is nothing to do again.")
        self.redraw()

    def action_add(self) -> None:
        """Add another entry of the present subject."""
        self._told(self._on_pointed().add())

    def action_remove(self) -> None:
        """Take the present entry away."""
        self._told(self._on_pointed().remove())

    def action_deny(self) -> None:
        """Say that there is nothing of the present subject."""
        self._told(self._on_pointed().deny())

    def _on_pointed(self) -> Walk:
        """Go to the subject that is highlighted in the list, if that has the focus."""
        listed = self.query_one(SubjectList)
        if listed.has_focus and listed.highlighted is not None:
            self.walk.go(*listed.subjects[listed.highlighted].key)
        return self.walk

    def _told(self, fault: str | None) -> None:
        if fault:
            self.notify(fault, severity="warning", markup=False)
        self.redraw()

    def action_take_back(self) -> None:
        """Take the answer to the present question back."""
        self.answer(None, stay=True)

    def action_reasons(self) -> None:
        """Open the reasons of the highlighted row of the sheet."""
        entry = self.sheet_list.pointed
        if isinstance(entry, Row):
            self.open_reasons(entry)
        else:
            self.notify("Highlight a line of the sheet first (F4).")

    def open_reasons(self, row: Row) -> None:
        """Open the reasons of a row."""
        sheet = self.sheet
        if sheet is None or (row.demand is None and not row.topic):
            return

        def build() -> tuple[Branch, ...]:
            with self.inferring:
                return branches.of_row(row, sheet, self.session.advice(), self.advisor)

        title = f"{row.title}: {row.text}" if row.title else row.text
        movable = row.demand is not None and row.topic not in NOT_MOVED
        drop = partial(self._drops, row.topic, row.item) if movable else None
        self.app.push_screen(Reasons(title, build, drop), self._after_reasons)

    def _drops(self, topic: str, item: str) -> tuple[Branch, ...]:
        # It may take seconds and shares nothing that changes, so the sheet need not wait for it.
        return drops.of_topic(topic, item, self.session.site(), self.advisor)

    def _after_reasons(self, question: OpenQuestion | None) -> None:
        if question is not None:
            self.go_question(question)

    @work(exclusive=True, group="ask")
    async def action_why_not(self) -> None:
        """Ask why something is demanded, or why not."""
        book = self.advisor.book
        options = []
        for topic in book.vocabulary.topics.values():
            if topic.join == "notes":
                continue
            options.append(Option(topic.topic, topic.title, topic.about))
            rows = book.tables[topic.table].rows if topic.table else {}
            options += [Option(f"{topic.topic} {key}", row.name, topic.title) for key, row in rows.items()]
        found = await self.app.push_screen_wait(Finder("Why, or why not, is this demanded here?", options))
        if found is None:
            return
        name, _, item = found.partition(" ")
        title = next(option.label for option in options if option.value == found)

        def build() -> tuple[Branch, ...]:
            with self.inferring:
                return branches.of_topic(name, item, self.session.advice(), self.advisor)

        drop = partial(self._drops, name, item)
        self.app.push_screen(Reasons(f"{title}: why, or why not", build, drop), self._after_reasons)

    @work(exclusive=True, group="ask")
    async def action_map(self) -> None:
        """Draw which demands hold where over two answers that are figures."""
        try:
            site = self.session.site()
        except InputError as problem:
            self.notify(said(problem), severity="error", markup=False)
            return
        slots = await choose(self.app, site, self.advisor)
        if slots is not None:
            self.app.push_screen(MapScreen(site, self.advisor, slots))

    def action_audit(self) -> None:
        """Hold spec sheets against this point."""
        self.app.push_screen(AuditScreen(self.session))

    def action_copy_row(self) -> None:
        """Copy the highlighted line of the sheet."""
        entry = self.sheet_list.pointed
        if isinstance(entry, Row):
            self.app.copy_to_clipboard(" ".join(part for part in (entry.title, entry.text, entry.why) if part))
            self.notify("Copied.")

    @work(exclusive=True, group="copy")
    async def action_copy_sheet(self) -> None:
        """Copy the whole requirement sheet as text."""
        try:
            text = await asyncio.to_thread(export.render, self.session, self.advisor, "txt")
        except InputError as problem:
            self.notify(said(problem), severity="error", markup=False)
            return
        self.app.copy_to_clipboard(text)
        self.notify("The sheet is copied.")

    def action_all_notes(self) -> None:
        """Show every note of the sheet, or only those that are certain."""
        self.sheet_list.action_open_all()

    @work(exclusive=True, group="ask")
    async def action_search(self) -> None:
        """Search questions and demands."""
        found = await self.app.push_screen_wait(
            Finder("Search questions, demands and notes", search.options(self.walk, self.sheet))
        )
        if found is None:
            return
        place = search.question(found)
        if place is not None:
            self.walk.go(*place)
            self.redraw()
            self.action_pane("middle")
        else:
            self.action_pane("right")
            self.sheet_list.go(search.row(found))
