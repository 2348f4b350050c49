"""The ground of the main screen: its panes, and the requirement sheet that a worker keeps up to date.

Every answer goes to the session at once; the sheet follows after a short pause, made outside the screen's own thread,
and a sheet that was overtaken by another answer is dropped. So typing never waits for an inference.
"""

import asyncio
import threading

from textual import events, work
from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.screen import Screen
from textual.widgets import Static

from advisor.advise import Advisor
from advisor.document import Condition
from advisor.engine.firing import EngineError
from advisor.interview import OpenQuestion
from tui import live, paint
from tui.answers import AnswerList
from tui.hints import Hints
from tui.live import Changes, Row, Sheet
from tui.question import QuestionPane, decides
from tui.reckon import Reckoner
from tui.session import Session
from tui.sheetlist import SheetList
from tui.subjects import SubjectList
from tui.walk import Walk

PAUSE = 0.02
"""Seconds between an answer and the inference, in which further answers cost nothing."""
IDLE = 0.6
"""Seconds without an answer after which the present site is made the base of the next change."""
BAR = 8
"""Signs of the bar behind a demand."""
WIDE, MIDDLE = 118, 96
"""Columns from which all three panes stand beside each other, and from which two do."""


class DeskBase(Screen[None]):
    """Shows a session: its subjects, the present question, and the sheet that follows."""

    def __init__(self, session: Session, advisor: Advisor) -> None:
        super().__init__()
        self.advisor = advisor
        self.reckoner = Reckoner(advisor)
        self.session, self.walk = session, Walk(session)
        self.sheet: Sheet | None = None
        self.changes = Changes()
        self.shown_version = -1
        self.inferring = threading.Lock()

    def compose(self) -> ComposeResult:
        yield Static(id="title", markup=False)
        with Container(id="body"):
            with Vertical(id="left"):
                yield Static(" F2 Subjects", classes="head", markup=False)
                yield SubjectList(id="subjects")
            with Vertical(id="middle"):
                yield Static(" F3 Question  ·  F2 subjects", classes="head", markup=False)
                yield QuestionPane(id="question")
                yield AnswerList(id="answers")
            with Vertical(id="right"):
                yield Static(" F4 Sheet", classes="head", id="state", markup=False)
                yield SheetList(id="sheet")
                yield Static(id="strip", markup=False)
        yield Hints()

    def on_mount(self) -> None:
        self.walk.onward()
        self.redraw()
        self.question.focus_answer()

    @property
    def question(self) -> QuestionPane:
        return self.query_one(QuestionPane)

    @property
    def sheet_list(self) -> SheetList:
        return self.query_one(SheetList)

    def take(self, session: Session) -> None:
        """Work on another site from here on."""
        self.session, self.walk = session, Walk(session)
        self.reckoner = Reckoner(self.advisor)
        self.sheet, self.changes, self.shown_version = None, Changes(), -1
        self.walk.onward()
        self.redraw()

    def redraw(self) -> None:
        """Show the session as it is now, and have the sheet follow."""
        walk = self.walk
        star = " *" if self.session.dirty else ""
        path = self.session.path
        where = f"{path.parent.name}/{path.name}" if path else "no file yet"
        self.query_one("#title", Static).update(paint.plain(f"{where}{star}  ·  {walk.site.name}"))
        self.query_one(SubjectList).show(walk.subjects, walk.subject)
        self.show_question()
        if walk.unkept:
            text = f"Answers cannot be kept at present: {walk.unkept}. Save the file elsewhere."
            self.notify(text, severity="error", markup=False)
        if self.session.version != self.shown_version or self.sheet is None:
            self.infer()

    def show_question(self) -> None:
        """Show the question of the present place."""
        walk = self.walk
        asked = walk.question
        self.question.show(walk.subject, asked, walk.at, len(walk.asked), decides(self._hanging()))
        self.query_one(AnswerList).show(walk.asked, asked)
        if walk.faults:
            self.question.note(walk.faults[0], wrong=True)

    def _hanging(self) -> list[str]:
        """Name the open demands that hang on the present question, by the last sheet."""
        asked = self.walk.question
        if asked is None or self.sheet is None:
            return []
        ids = {asked.template, f"{asked.template}#{asked.index + 1}", f"{asked.template}?"}
        slots = {asked.slot} if asked.index >= 0 else {q.slot.slot for q in self.sheet.questions}
        found = [q for q in self.sheet.questions if q.slot.instance.id in ids and q.slot.slot in slots]
        return list(dict.fromkeys(name for question in found for name in live.names(question, self.advisor.book)))

    @work(exclusive=True, group="sheet", exit_on_error=False)
    async def infer(self) -> None:
        """Have the sheet follow the session after a short pause."""
        await asyncio.sleep(PAUSE)
        version, session = self.session.version, self.session
        self._state("reckoning …")
        try:
            sheet = await asyncio.to_thread(self._reckon, session, version)
        except EngineError as problem:
            self._state("cannot be reckoned")
            self.notify(str(problem.fault), severity="error", markup=False)
            return
        if sheet is not None and session is self.session and version == session.version:
            self.arrived(sheet, version)

    def _reckon(self, session: Session, version: int) -> Sheet | None:
        """Return the sheet, None if it was overtaken. One at a time: the cache of rules is shared."""
        with self.inferring:
            return live.sheet(self.reckoner, session.site()) if version == session.version else None

    @work(exclusive=True, group="settle", exit_on_error=False)
    async def settle(self) -> None:
        """Between two answers, draw how near the demands stand to their thresholds, and make ready for the next one."""
        await asyncio.sleep(IDLE)
        session, version = self.session, self.session.version
        sheet = self.sheet
        if sheet is not None and version == self.shown_version:
            bars = await asyncio.to_thread(self._bars, sheet)
            if sheet is self.sheet:
                self.sheet_list.show_bars(bars)
        await asyncio.to_thread(self._settle, session, version)

    def _bars(self, sheet: Sheet) -> dict[str, str]:
        with self.inferring:
            found = live.margins(sheet, self.advisor)
        return {key: paint.margin(condition, BAR) for key, condition in found.items()}

    def _settle(self, session: Session, version: int) -> None:
        with self.inferring:
            if session is self.session and version == session.version:
                self.reckoner.settle(session.site())

    def arrived(self, sheet: Sheet, version: int) -> None:
        """Show the sheet of a version of the site."""
        if self.shown_version != version:
            self.changes = live.changes(self.sheet, sheet)
        self.sheet, self.shown_version = sheet, version
        self.sheet_list.show(sheet, self.changes)
        self._warn(sheet)
        self.settle()
        certain, pending = sheet.counts()
        stops = sum(row.section == live.STOP for row in sheet.rows)
        words = f"{certain} certain, {pending} open" + (f", {stops} outside this tool" if stops else "")
        self._state(words + self._changed_words())
        self.query_one("#question #decides", Static).update(paint.plain(decides(self._hanging())))
        self.query_one("#question #decides", Static).display = bool(self._hanging())

    def _warn(self, sheet: Sheet) -> None:
        """Say at once what the last answer has brought that a person must not miss."""
        for row in sheet.rows:
            if row.key in self.changes.new and row.state == "certain" and row.section in (live.STOP, live.CLASH):
                self.notify(row.text, title=row.section, severity="error", timeout=12, markup=False)
            elif row.key in self.changes.new and row.state == "certain" and row.topic == "caution":
                self.notify(row.text, title="Caution", severity="warning", timeout=10, markup=False)

    def _changed_words(self) -> str:
        counts = {"+": len(self.changes.new), "~": len(self.changes.other), "-": len(self.changes.gone)}
        words = [f"{sign}{count}" for sign, count in counts.items() if count]
        return f" · {' '.join(words)}" if words else ""

    def _state(self, words: str) -> None:
        self.query_one("#state", Static).update(paint.plain(f" F4 Sheet: {words}"))

    def on_resize(self, event: events.Resize) -> None:
        width = event.size.width
        self.set_class(MIDDLE <= width < WIDE, "middle")
        self.set_class(width < MIDDLE, "narrow")

    def on_descendant_focus(self) -> None:
        for name in ("left", "middle", "right"):
            pane = self.query_one(f"#{name}")
            pane.set_class(pane.has_focus_within, "in")
            self.set_class(pane.has_focus_within, f"on-{name}")

    def answer(self, text: str | list[str] | None, *, stay: bool = False) -> None:
        """Give the present question an answer and go on to the next open one."""
        place = self.walk.question
        fault = self.walk.answer(text)
        if fault:
            self.question.note(fault, wrong=True)
            return
        if not stay and self.walk.question is not None and (place is None or self.walk.question.key == place.key):
            self.walk.onward()
        self.redraw()

    @work(exclusive=True, group="strip", exit_on_error=False)
    async def show_strip(self, entry: Row | OpenQuestion | None) -> None:
        """Show below the sheet what is gone, and how near the highlighted demand stands to its threshold."""
        gone = "; ".join(f"{row.title}: {row.text}" if row.title else row.text for row in self.changes.gone)
        words = [f"No longer: {gone}"] if gone else []
        self._strip(words)
        sheet = self.sheet
        if not isinstance(entry, Row) or entry.demand is None or sheet is None:
            return
        await asyncio.sleep(PAUSE)
        near = await asyncio.to_thread(self._nearest, entry, sheet)
        if near is not None and sheet is self.sheet:
            text = f"{near.about} {near.value.text}, {near.margin_text} ({near.test})"
            self._strip([*words, f"{paint.margin(near, 16)} {text}"])

    def _nearest(self, row: Row, sheet: Sheet) -> Condition | None:
        with self.inferring:
            return live.nearest(row, sheet, self.advisor)

    def _strip(self, words: list[str]) -> None:
        strip = self.query_one("#strip", Static)
        strip.update(paint.plain_lines("\n".join(words)))
        strip.set_class(not words, "empty")

    def go_question(self, question: OpenQuestion) -> None:
        """Go to an open question of the sheet."""
        self.walk.go_instance(question.slot.instance.id, question.slot.slot)
        self.redraw()
        self.action_pane("middle")

    def action_pane(self, name: str) -> None:
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
