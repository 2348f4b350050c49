"""One site being worked on: its answers, its file, what can be undone, and what survives if the program is killed.

The truth is the text of the site file; every change is an edit of that text, in place, and is refused with advisor's
own fault if the site could not be read afterwards. So whatever a session holds can be advised on and saved. A
`Session` may be asked from several threads; `version` grows with every change, so that a late result can be dropped.
"""

import copy
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from advisor import quantities, yamlfile
from advisor.advise import Advice, Advisor
from advisor.engine.firing import EngineError
from advisor.faults import Fault, InputError, Place, nearest
from advisor.loading import Loaded
from advisor.quantities import QuantityError
from advisor.site import OTHERS, Site, read_site
from advisor.vocabulary import Template
from advisor.yamlfile import Document
from tui import journal, yamledit
from tui.files import digest, write_whole
from tui.journal import Journal, Recovery

HEAD = ("site", "about", "date", "reference")
UNNAMED = "New point"
_MOST_STEPS = 1000
_EXTRA = ("name", "preset", "note")
"""What an instance may hold beside its slots."""
Data = dict[str, Any]


class ChangedOnDiskError(InputError):
    """The file is not what it was when it was opened or saved; `save(overwrite=True)` writes over it."""


class Session:
    """One site being worked on. `path` is its file, None as long as it has none."""

    def __init__(self, loaded: Loaded, state_dir: Path | None = None) -> None:
        self.loaded, self.state_dir = loaded, state_dir
        self.path: Path | None = None
        self.version = 0
        self.sheets: list[Path] = []
        """Spec sheets opened against this site; kept while the session lives, so that an audit can be gone back to."""
        self._advisor = Advisor(loaded)
        self._text = self._saved = f"site: {UNNAMED}\n"
        self._base = ""
        self._past: list[str] = []
        self._future: list[str] = []
        self._journal = Journal(state_dir)
        self._read: tuple[str, Site] | None = None
        self._changing, self._advising = threading.RLock(), threading.Lock()

    @classmethod
    def open(cls, loaded: Loaded, path: Path, state_dir: Path | None = None) -> "Session":
        """Open a site file, or a folder with site.yaml. Raises InputError with all faults of the file."""
        path = path / "site.yaml" if path.is_dir() and (path / "site.yaml").is_file() else path
        session = cls(loaded, state_dir)
        session._base = digest(path)
        session._text = session._saved = yamlfile.read_text(path)
        session.path = path
        session.site()
        return session

    @staticmethod
    def recoverable(state_dir: Path | None = None) -> list[Recovery]:
        """Return the work that killed sessions left behind, newest first."""
        return journal.recoverable(state_dir)

    @classmethod
    def recover(cls, loaded: Loaded, recovery: Recovery, state_dir: Path | None = None) -> "Session":
        """Go on with work left behind. Raises InputError if it cannot be read any more; it is then left as it is."""
        folder = recovery.journal.parent.parent if state_dir is None else state_dir
        session = cls(loaded, folder)
        session.path, session._base, session._text, session._saved = recovery.path, recovery.base, recovery.text, ""
        session.site()
        session._journal = Journal(folder, recovery.journal)
        if not session._journal.claim():
            raise InputError([Fault(Place(recovery.title), "another window is going on with this work")])
        session.autosave()
        return session

    @property
    def text(self) -> str:
        """The site file as it would be saved now."""
        return self._text

    @property
    def data(self) -> Data:
        """The plain mapping that the site file holds; a copy."""
        return dict(copy.deepcopy(self.site().told))

    @property
    def title(self) -> str:
        return self.site().name

    @property
    def dirty(self) -> bool:
        """Whether there is something to save."""
        return self._text != self._saved

    @property
    def can_undo(self) -> bool:
        return bool(self._past)

    @property
    def can_redo(self) -> bool:
        return bool(self._future)

    def site(self) -> Site:
        """Return the present site. Raises InputError with all faults."""
        with self._changing:
            text = self._text
            if self._read is None or self._read[0] != text:
                name = str(self.path) if self.path else "site.yaml"
                self._read = text, read_site(yamlfile.parse(text, name), self.loaded.book)
            return self._read[1]

    def advice(self) -> Advice:
        """Return the advice on the present site; slow, and safe to call from a worker. Raises InputError."""
        site = self.site()
        with self._advising:
            try:
                return self._advisor.advise(site)
            except EngineError as problem:
                raise InputError([problem.fault]) from None

    def head(self, key: str, text: str | None) -> None:
        """Set one of `HEAD`, or `others` to none or unknown; None takes it away. Raises InputError."""
        if key not in (*HEAD, OTHERS):
            raise InputError([Fault(Place("site"), f"{key!r} is not known", nearest(key, [*HEAD, OTHERS]))])
        text = (text or "").strip() or (UNNAMED if key == "site" else None)

        def change(data: Data) -> None:
            data.pop(key, None) if text is None else data.__setitem__(key, yamledit.plain(text))

        self._change(change)

    def answer(self, template: str, index: int, slot: str, text: str | list[str] | None) -> None:
        """Set a slot's answer; None takes it back. `slot` may also be name, note or preset of an instance.

        Raises InputError, with nothing changed, where it is none that a site file may hold.
        """
        self._change(lambda data: self._put(data, template, index, slot, text))

    def written(self, template: str, index: int, slot: str) -> Any:
        """Return what is written for a slot, None where nothing is."""
        entries = _entries(self.site().told, template)
        return entries[index].get(slot) if index < len(entries) else None

    def count(self, template: str) -> int:
        """Return how many instances of a template are written down."""
        return len(_entries(self.site().told, template))

    def check(self, template: str, index: int, slot: str, text: str | list[str]) -> str | None:
        """Return what is wrong with an answer in one line, or a line that begins with 'note: ', or None."""
        data = self.data
        try:
            self._put(data, template, index, slot, text)
            site = read_site(Document("", data), self.loaded.book)
        except InputError as problem:
            return "; ".join(part for part in (problem.faults[0].what, problem.faults[0].accepted) if part)
        before = self.site().unused
        new = [line for line in site.unused if line not in before and f": {slot} " in line]
        return f"note: {new[0]}" if new else None

    def understood(self, template: str, slot: str, text: str) -> str:
        """Return how a quantity is read, in the slot's own unit; '' where that says nothing new."""
        entry = self._template(template).by_name.get(slot)
        if entry is None or not entry.unit:
            return ""
        try:
            low, high = quantities.parse(text, entry.unit, difference=entry.difference)
        except QuantityError:
            return ""
        ends = [quantities.show(end, entry.unit, difference=entry.difference) for end in dict.fromkeys((low, high))]
        shown = " to ".join(ends)
        return "" if shown.replace("°C", "degC").replace(" ", "") == text.replace(" ", "") else shown

    def add(self, template: str, preset: str | None = None) -> int:
        """Add one more of a template that may stand several times, and return its index. Raises InputError."""
        index = len(_entries(self.site().told, template))
        if index and not self._template(template).many:
            raise InputError([Fault(Place(template), f"{template} stands only once for a point")])

        def change(data: Data) -> None:
            entry = {} if preset is None else {"preset": preset}
            old = data.get(template)
            if index:
                data[template] = [*(old if isinstance(old, list) else [old]), entry]
            else:
                data[template] = [entry] if self._template(template).many else entry

        self._change(change)
        return index

    def remove(self, template: str, index: int = 0) -> None:
        """Take an instance away; of the last one, or of a word for the whole, nothing is then known."""

        def change(data: Data) -> None:
            if isinstance(data.get(template), list) and len(data[template]) > 1:
                del data[template][index]
            else:
                data.pop(template, None)

        self._change(change)

    def deny(self, template: str) -> None:
        """State that there is nothing of the kind. Raises InputError where that cannot be said."""
        self._change(lambda data: data.__setitem__(template, "none"))

    def doubt(self, template: str) -> None:
        """State that it is not known whether there is any of the kind."""
        self._change(lambda data: data.__setitem__(template, "unknown"))

    def undo(self) -> bool:
        """Go one change back; false if there is none."""
        return self._step(self._past, self._future)

    def redo(self) -> bool:
        """Do again what was undone; false if there is nothing."""
        return self._step(self._future, self._past)

    def save(self, path: Path | None = None, *, overwrite: bool = False) -> None:
        """Write the site file, by default where it came from. Raises InputError; the old file then stands untouched.

        Raises ChangedOnDiskError where something stands there that this session has neither read nor written.
        """
        with self._changing:
            target = path or self.path
            if target is None:
                raise InputError([Fault(Place("save"), "this site has no file yet", "a path to save it to")])
            known = self._base if self.path is not None and _same_file(target, self.path) else ""
            found = digest(target)
            if found and found != known and not overwrite:
                what = "was changed by somebody else since it was read" if known else "is there already"
                raise ChangedOnDiskError([Fault(Place(str(target)), what, "write over it, or save under another name")])
            write_whole(target, self._text)
            self.path, self._saved, self._base = target, self._text, digest(target)
            self._journal.discard()

    def autosave(self) -> None:
        """Keep the present state so that it survives a kill; to be called after every change. Raises InputError."""
        with self._changing:
            if self.dirty:
                self._journal.write(self._text, self.path and self.path.absolute(), self._base, self.title)
            else:
                self._journal.discard()

    def discard(self) -> None:
        """Remove what autosave kept; the session itself goes on."""
        self._journal.discard()

    def _template(self, name: str) -> Template:
        templates = self.loaded.book.vocabulary.templates
        entry = templates.get(name)
        if entry is None or entry.derived or entry.claimed:
            asked = [key for key, other in templates.items() if not (other.derived or other.claimed)]
            raise InputError([Fault(Place("site"), f"{name!r} is not known", nearest(name, asked))])
        return entry

    def _put(self, data: Data, template: str, index: int, slot: str, text: str | list[str] | None) -> None:
        entry, entries = self._template(template), _entries(data, template)
        if index > len(entries) or index < 0:
            raise InputError([Fault(Place(template), f"there is no {template} {index + 1}")])
        if isinstance(text, list):
            value: Any = [yamledit.plain(_line(word)) for word in text]
        else:
            value = None if text is None else yamledit.plain(_line(text))
        value = None if value in ("", []) else value
        if index == len(entries):
            if value is None:
                return
            entries = [*entries, {}]
        if value is None:
            entries[index].pop(slot, None)
        else:
            entries[index][slot] = value
        if not entry.many and not any(entries):
            data.pop(template, None)
        else:
            # One instance written without a dash stays so.
            alone = isinstance(data.get(template), dict) if entry.many else not isinstance(data.get(template), list)
            data[template] = entries[0] if alone and len(entries) == 1 else entries

    def _change(self, change: Callable[[Data], None]) -> None:
        with self._changing:
            data = self.data
            change(data)
            text = yamledit.follow(self._text, data, self._orders())
            if text == self._text:
                return
            # Read before it is taken: a session never holds what could not be opened again.
            name = str(self.path) if self.path else "site.yaml"
            site = read_site(yamlfile.parse(text, name), self.loaded.book)
            self._past = [*self._past, self._text][-_MOST_STEPS:]
            self._future.clear()
            self._text, self._read = text, (text, site)
            self.version += 1

    def _orders(self) -> dict[str, list[str]]:
        templates = self.loaded.book.vocabulary.templates
        inside = {name: [*_EXTRA, *entry.by_name] for name, entry in templates.items()}
        # New subjects go to the end, in the order in which they were answered.
        told = [name for name in self.site().told if name in templates]
        return {"": [*HEAD, *told, *(name for name in templates if name not in told), OTHERS], **inside}

    def _step(self, source: list[str], target: list[str]) -> bool:
        with self._changing:
            if not source:
                return False
            target.append(self._text)
            self._text = source.pop()
            self.version += 1
            return True


def _entries(data: Any, template: str) -> list[Data]:
    value = data.get(template)
    return value if isinstance(value, list) else [value] if isinstance(value, dict) else []


def _line(text: str) -> str:
    return " ".join("".join(sign if sign.isprintable() else " " for sign in str(text)).split())


def _same_file(one: Path, other: Path) -> bool:
    return one.absolute() == other.absolute() or one.resolve() == other.resolve()
