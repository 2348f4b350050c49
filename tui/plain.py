"""The interview line by line on standard input and output: for dumb terminals, screen readers and scripts.

One question at a time in plain words without signs or colours; a line that begins with `/` is a command. After each
answer it says what has changed on the requirement sheet. It needs no terminal library.
"""

import textwrap
from pathlib import Path
from typing import TextIO

from advisor.advise import Advisor
from advisor.engine.firing import EngineError
from advisor.faults import InputError
from advisor.report.common import visible
from advisor.report.text import CAVEAT
from tui import branches, export, live
from tui.live import Sheet
from tui.outline import Asked, Option
from tui.reckon import Reckoner
from tui.session import Session
from tui.walk import NOTE, UNKNOWN, Walk, said

WIDTH = 78
MOST_LISTED = 12
"""Answers listed under a question; of longer lists those are shown that hold the words typed."""
MOST_SAID = 160
"""Characters of a changed demand that are said at once; /sheet has all of it."""
TOLD_AT_ONCE = ("refer", "conflict", "caution", "beyond")
"""Notes that are said after the answer that brought them; the others wait for /sheet."""
HELP = """\
An answer is a figure with its unit (1200 psi, 85 C, 60 .. 90 bar), a choice by its number or word, several choices
with commas between them, or ? for unknown. An empty line skips the question.
/sheet      the requirement sheet            /why TOPIC  why something is demanded, or why not: /why IPX9
/questions  the answers that would settle most   /best   go to the first of them
/subjects   all subjects and how they stand  /go NAME    go to a subject, by its number or name
/back       the question before              /next       the question after
/add        one more entry of this subject   /remove     take this entry away
/none       there is nothing of this subject /clear      take the answer back
/undo /redo                                  /again      ask again
/save [FILE]                                 /export FILE  by its ending: txt, md, html, json
/help       this list                        /quit       leave; what is not saved is kept"""


def converse(session: Session, source: TextIO, target: TextIO) -> int:
    """Run the interview until the input ends or the person leaves. Returns the exit code."""
    return Conversation(session, source, target).run()


class Conversation:
    """One interview line by line."""

    def __init__(self, session: Session, source: TextIO, target: TextIO) -> None:
        self.session, self.source, self.target = session, source, target
        self.advisor = Advisor(session.loaded)
        self.reckoner = Reckoner(self.advisor)
        self.walk = Walk(session)
        self.sheet: Sheet | None = None
        self.over = False

    def run(self) -> int:
        self.say(CAVEAT)
        self.say(f"This point: {self.walk.site.name}. /help lists the commands.")
        self._follow()
        self.walk.onward()
        while not self.over:
            self._ask()
            self.target.write("> ")
            self.target.flush()
            line = self.source.readline()
            if not line:
                self.target.write("\n")
                break
            self.take(line.strip())
        if self.session.dirty:
            self.say("What is not saved is kept; the next start of siteworthy ask offers it.")
        return 0

    def say(self, text: str, indent: int = 0) -> None:
        """Print wrapped text."""
        for part in text.splitlines():
            lead = " " * indent
            lines = textwrap.wrap(visible(part), WIDTH, initial_indent=lead, subsequent_indent=lead + "  ")
            self.target.write("\n".join(lines) + "\n")

    def _ask(self) -> None:
        subject, asked = self.walk.subject, self.walk.question
        self.target.write("\n")
        if asked is None:
            self.say(f"{subject.title}: does not apply. /next goes on.")
            return
        self.say(f"{subject.title}, question {self.walk.at + 1} of {len(self.walk.asked)}: {asked.ask}")
        if asked.help:
            self.say(asked.help, 2)
        if asked.shown:
            self.say(f"now: {asked.shown}", 2)
        if asked.kind in ("quantity", "number"):
            self.say(f"a value or a range, within {asked.plausible}", 2)
        self._list(list(asked.options))

    def _list(self, options: list[Option]) -> None:
        asked = self.walk.question
        if asked is None or not options:
            return
        if len(options) > MOST_LISTED:
            self.say(f"one of {len(options)}; type a few letters to list those that hold them", 2)
            return
        for option in options:
            about = f": {option.about}" if option.about and option.about != option.label else ""
            self.say(f"{asked.options.index(option) + 1} {option.label}{about}", 2)

    def take(self, line: str) -> None:
        """Act on one line."""
        if line.startswith("/"):
            self._command(line)
            return
        if not line:
            if not self.walk.step(1):
                self.say("This was the last question. /sheet shows what is demanded, /save and /export keep it.")
            return
        asked = self.walk.question
        if asked is None:
            self.say("There is no question here; /next goes on.")
            return
        answer = UNKNOWN if line == "?" else self._meant(asked, line)
        if answer is None:
            return
        remark = self.walk.check(answer)
        fault = self.walk.answer(answer)
        if fault:
            self.say(f"Not taken: {fault}")
            return
        if remark and remark.startswith(NOTE):
            self.say(f"Note: {remark.removeprefix(NOTE)}")
        self._changed()
        present = self.walk.question
        if (present is None or present.key == asked.key) and not self.walk.onward():
            self.say("No open question is left. /sheet shows what is demanded, /save and /export keep it.")

    def _meant(self, asked: Asked, line: str) -> str | list[str] | None:
        """Return the answer that a line means; None where it could be several, which are then listed."""
        if not asked.options:
            return line
        words = [self._one(asked, word.strip()) for word in line.split(",")]
        whole = self._one(asked, line)
        if whole is not None:
            return whole
        if all(words) and words:
            found = [word for word in words if word]
            return found if len(found) > 1 else found[0]
        near = [o for o in asked.options if line.lower() in f"{o.label} {o.value} {o.about} {o.words}".lower()]
        if not near:
            return line
        if len(near) == 1:
            return near[0].value
        self._list(near[:MOST_LISTED])
        self.say(f"{len(near)} answers hold {line!r}; give the number or more letters.")
        return None

    def _one(self, asked: Asked, word: str) -> str | None:
        if word.isdigit() and 1 <= int(word) <= len(asked.options):
            return asked.options[int(word) - 1].value
        return next((o.value for o in asked.options if word.lower() in (o.value.lower(), o.label.lower())), None)

    def _changed(self) -> None:
        if self.walk.unkept:
            self.say(f"Answers cannot be kept at present: {self.walk.unkept}.")
        before = self.sheet
        self._follow()
        if self.sheet is None or before is None:
            return
        found, old = live.changes(before, self.sheet), before.by_key()
        notes = 0
        for key, row in self.sheet.by_key().items():
            if key not in found.new and key not in found.other:
                continue
            if not row.demand or (not row.title and row.topic not in TOLD_AT_ONCE):
                notes += row.state == "certain"
                continue
            lead = "new" if key in found.new else "changed" if old[key].text != row.text else f"now {row.state}"
            text = textwrap.shorten(row.text, MOST_SAID)
            self.say(f"{lead}: {row.title or row.section}: {text} ({row.state})", 2)
        for row in found.gone:
            self.say(f"no longer: {row.title or row.section}: {row.text}", 2)
        if notes:
            self.say(f"{notes} notes on mounting, papers and the like are new or certain now; /sheet has them", 2)

    def _follow(self) -> None:
        try:
            self.sheet = live.sheet(self.reckoner, self.walk.site)
        except EngineError as problem:
            self.say(f"The sheet cannot be reckoned: {problem.fault}")
            return
        certain, pending = self.sheet.counts()
        self.say(f"Demands: {certain} certain, {pending} open.")

    def _command(self, line: str) -> None:
        name, _, rest = line[1:].partition(" ")
        rest = rest.strip()
        simple = {
            "sheet": self._sheet, "questions": self._questions, "best": self._best, "subjects": self._subjects,
            "back": lambda: self.walk.step(-1), "next": lambda: self.walk.step(1), "again": lambda: None,
            "add": lambda: self._told(self.walk.add()), "remove": lambda: self._told(self.walk.remove()),
            "none": lambda: self._told(self.walk.deny()), "clear": lambda: self._told(self.walk.answer(None)),
            "undo": lambda: self._turned(self.walk.undo()), "redo": lambda: self._turned(self.walk.redo()),
            "help": lambda: self.target.write(HELP + "\n"), "quit": self._quit,
        }  # fmt: skip
        with_rest = {"why": self._why, "go": self._go, "save": self._save, "export": self._export}
        if name in simple:
            simple[name]()
        elif name in with_rest:
            with_rest[name](rest)
        else:
            self.say(f"/{name} is not known; /help lists the commands.")

    def _quit(self) -> None:
        self.over = True

    def _told(self, fault: str | None) -> None:
        if fault:
            self.say(f"Not done: {fault}")
        else:
            self._changed()

    def _turned(self, done: bool) -> None:
        if done:
            self._changed()
        else:
            self.say("There is nothing to take back or to do again.")

    def _sheet(self) -> None:
        try:
            self.target.write(export.render(self.session, self.advisor, "txt"))
        except InputError as problem:
            self.say(said(problem))

    def _questions(self) -> None:
        for question in self.sheet.questions if self.sheet else ():
            self.say(f"{question.ask} (decides {', '.join(live.names(question, self.advisor.book)[:4])})", 2)

    def _best(self) -> None:
        if self.sheet is None or not self.sheet.questions:
            self.say("No open demand hangs on an answer.")
            return
        slot = self.sheet.questions[0].slot
        self.walk.go_instance(slot.instance.id, slot.slot)

    def _subjects(self) -> None:
        for number, subject in enumerate(self.walk.subjects, 1):
            self.say(f"{number} {subject.title}: {subject.state}{f', {subject.open} open' if subject.open else ''}", 2)

    def _go(self, name: str) -> None:
        found = [s for n, s in enumerate(self.walk.subjects, 1) if str(n) == name or name.lower() in s.title.lower()]
        if not name or not found:
            self.say(f"There is no subject {name!r}; /subjects lists them.")
            return
        self.walk.go(*found[0].key)

    def _why(self, name: str) -> None:
        book = self.advisor.book
        wanted = name.upper().replace(" ", "")
        place = (name, "") if name in book.vocabulary.topics else None
        for topic in book.vocabulary.topics.values() if place is None else ():
            for key, row in book.tables[topic.table].rows.items() if topic.table else ():
                if wanted in (key.upper(), row.name.upper().replace(" ", "")):
                    place = topic.topic, key
        if place is None:
            self.say(f"{name!r} is no topic and no code; such are {', '.join(list(book.vocabulary.topics)[:4])}, IPX9.")
            return
        try:
            found = branches.of_topic(*place, self.session.advice(), self.advisor)
        except InputError as problem:
            self.say(said(problem))
            return
        for line in branches.lines(found):
            self.say(line.strip(), len(line) - len(line.lstrip()))

    def _save(self, name: str) -> None:
        try:
            self.session.save(Path(name).expanduser() if name else None)
        except InputError as problem:
            self.say(f"Not saved: {problem}")
            return
        self.say(f"Saved to {self.session.path}.")

    def _export(self, name: str) -> None:
        path = Path(name).expanduser()
        kind = path.suffix.lstrip(".").lower()
        if kind not in {option.value for option in export.OPTIONS}:
            self.say("Not written: name a file that ends in txt, md, html or json.")
            return
        if path.exists():
            self.say(f"Not written: {path} is there already; name another file.")
            return
        try:
            export.write(self.session, self.advisor, kind, path)
        except InputError as problem:
            self.say(f"Not written: {problem}")
            return
        self.say(f"Written to {path}.")
