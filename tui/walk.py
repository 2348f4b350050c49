"""The way through the interview: where one stands, how one goes on, and answers with their faults.

The screens and the plain mode both walk with this. It holds no answers: they are in the session; and it judges none:
the session's check does.
"""

from collections.abc import Callable

from advisor.faults import InputError
from advisor.site import Site
from tui import outline
from tui.outline import ENTRY, HEAD, PRESET, Asked, Subject
from tui.session import Session

NOTE = "note: "
"""How the session begins a remark on an answer that is accepted all the same."""
UNKNOWN = "unknown"


def said(problem: InputError) -> str:
    """Return the faults for a person who sees the question: without the place in a file."""
    return "\n".join("; ".join(part for part in (fault.what, fault.accepted) if part) for fault in problem.faults)


class Walk:
    """A position in the interview of one session."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.book = session.loaded.book
        self.faults: tuple[str, ...] = ()
        self.unkept = ""
        """Why the last change could not be kept in the journal, as on a full disk; the session goes on."""
        self.site: Site = session.site()
        self.subjects: list[Subject] = []
        self.asked: list[Asked] = []
        self._place: tuple[str, int, str] = (HEAD, 0, "")
        self.refresh()

    @property
    def subject(self) -> Subject:
        """The subject one stands in; the nearest of the same template if its entry is gone."""
        template, index, _ = self._place
        same = [entry for entry in self.subjects if entry.template == template]
        return next((s for s in same if s.index == index), same[-1] if same else self.subjects[0])

    @property
    def at(self) -> int:
        """The number of the present question among those of its subject."""
        return next((number for number, asked in enumerate(self.asked) if asked.slot == self._place[2]), 0)

    @property
    def question(self) -> Asked | None:
        """The present question; None where a subject has nothing to ask, as it does not apply."""
        return self.asked[self.at] if self.asked else None

    def refresh(self) -> None:
        """Look again at the session. A site with faults leaves the last good one standing and names the faults."""
        try:
            self.site, self.faults = self.session.site(), ()
        except InputError as problem:
            self.faults = tuple(said(problem).split("\n"))
        self.subjects = outline.subjects(self.site, self.session.data, self.book)
        self._look()

    def _look(self) -> None:
        subject = self.subject
        self.asked = outline.questions(subject, self.site, self.session.data, self.book)
        slot = self.asked[self.at].slot if self.asked else ""
        self._place = (subject.template, subject.index, slot)

    def go(self, template: str, index: int | None = None, slot: str = "") -> None:
        """Go to a subject; without a slot to its first open question, without an index to its first entry."""
        same = [entry for entry in self.subjects if entry.template == template]
        if index is None or all(entry.index != index for entry in same):
            index = same[0].index if same else 0
        self._place = (template, index, slot)
        self._look()
        if not slot:
            first = next((a.slot for a in self.asked if a.untold), self.asked[0].slot if self.asked else "")
            self._place = (template, index, first)

    def go_instance(self, identity: str, slot: str) -> None:
        """Go to the slot of an instance as `advisor` names it."""
        template, _, number = identity.partition("#")
        self.go(template.rstrip("?"), int(number) - 1 if number else None, "" if template.endswith("?") else slot)

    def step(self, by: int) -> bool:
        """Go to the next or the previous question of all; false at the end."""
        if 0 <= self.at + by < len(self.asked):
            self._place = (*self._place[:2], self.asked[self.at + by].slot)
            return True
        order = self.subjects
        place = order.index(self.subject) + by
        while 0 <= place < len(order):
            self._place = (order[place].template, order[place].index, "")
            self._look()
            if self.asked:
                self._place = (*self._place[:2], self.asked[0 if by > 0 else -1].slot)
                return True
            place += by
        self._look()
        return False

    def onward(self) -> bool:
        """Go to the next question that nobody has answered, in this subject first; false if none is left."""
        for asked in self.asked[self.at + 1 :]:
            if asked.untold:
                self._place = asked.key
                return True
        order = self.subjects
        here = order.index(self.subject)
        for subject in [*order[here + 1 :], *order[: here + 1]]:
            if subject.state in (outline.OPEN, outline.NOT_TOLD):
                left = outline.questions(subject, self.site, self.session.data, self.book)
                first = next((asked for asked in left if asked.untold), None)
                if first is not None:
                    self._place = first.key
                    self._look()
                    return True
        return False

    def check(self, text: str | list[str]) -> str | None:
        """Return what is wrong with an answer to the present question, or a remark that begins with NOTE."""
        asked = self.question
        if asked is None or asked.slot == ENTRY or asked.template == HEAD or not text:
            return None
        return self.session.check(asked.template, asked.index, asked.slot, text)

    def answer(self, text: str | list[str] | None) -> str | None:
        """Give the present question an answer, None to take it back. Return what is wrong, else None."""
        asked = self.question
        if asked is None:
            return "There is no question here."
        if asked.slot == ENTRY:
            return self._entry(asked, text)
        if text == UNKNOWN and (asked.kind == "text" or asked.slot == PRESET):
            return "This cannot be unknown; it may stay empty."
        if asked.template == HEAD:
            line = " ".join(text) if isinstance(text, list) else text
            return self._do(lambda: self.session.head(asked.slot, line))
        return self._do(lambda: self.session.answer(asked.template, asked.index, asked.slot, text))

    def _do(self, change: Callable[[], object]) -> str | None:
        """Make a change. Return what is wrong with it, in which case nothing has changed."""
        try:
            change()
        except InputError as problem:
            return said(problem)
        self.changed()
        return None

    def _entry(self, asked: Asked, text: str | list[str] | None) -> str | None:
        word = text if isinstance(text, str) else ""
        if word == "none":
            return self.deny()
        if word == "add" or word.startswith("preset "):
            return self.add(word.removeprefix("preset ") if word != "add" else None)
        if text is None:
            return self._do(lambda: self.session.remove(asked.template))
        if word == UNKNOWN:
            return self._do(lambda: self.session.doubt(asked.template))
        return f"{word!r} is no answer here; accepted: {', '.join(option.value for option in asked.options)}, unknown"

    def add(self, preset: str | None = None) -> str | None:
        """Add an entry to the present subject and go to it. Return what is wrong, else None."""
        subject = self.subject
        if not subject.many:
            return f"{subject.title} stands only once for a point."
        place: list[int] = []
        fault = self._do(lambda: place.append(self.session.add(subject.template, preset)))
        if place:
            self.go(subject.template, place[0])
        return fault

    def remove(self) -> str | None:
        """Take the present entry away with all its answers. Return what is wrong, else None."""
        subject = self.subject
        if subject.template == HEAD or self.session.data.get(subject.template) is None:
            return f"Nothing is told of {subject.title}."
        fault = self._do(lambda: self.session.remove(subject.template, max(0, subject.index)))
        self.go(subject.template, max(-1, subject.index - 1))
        return fault

    def deny(self) -> str | None:
        """Say that there is nothing of the present subject. Return what is wrong, else None."""
        subject = self.subject
        if not subject.deniable:
            return f"{subject.title} cannot be none; answer its questions."
        return self._do(lambda: self.session.deny(subject.template))

    def undo(self) -> bool:
        return self._turn(self.session.undo())

    def redo(self) -> bool:
        return self._turn(self.session.redo())

    def _turn(self, done: bool) -> bool:
        if done:
            self.changed()
        return done

    def changed(self) -> None:
        """Keep the session safe and look at it again."""
        try:
            self.session.autosave()
            self.unkept = ""
        except InputError as problem:
            self.unkept = said(problem)
        self.refresh()
