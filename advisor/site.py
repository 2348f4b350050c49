"""A site file: what is told of one point of the plant, validated, and turned into facts.

Each template stands under its own name: a mapping for one instance, a list for several, `none` where there is
nothing of the kind, or nothing at all, which means that it is not known, unless the file says `others: none`. A slot's
answer is a value, a range, a list of the choices still possible, or `unknown`; leaving it out means the same as
`unknown`, except where the vocabulary states what is assumed.
"""

import datetime
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from advisor import choices, courses, quantities, units, yamlfile
from advisor.answers import Answer, Entry, Origin, reconcile, relevant
from advisor.engine.conditions import words_of
from advisor.engine.expressions import as_domain, full
from advisor.engine.facts import Fact
from advisor.faults import Collector, Fault, InputError, Place, nearest, shorten
from advisor.phrases import Spellings
from advisor.quantities import QuantityError
from advisor.rulebook import Rulebook
from advisor.tables import plain
from advisor.values import ABSENT, Domain, Span, Words
from advisor.vocabulary import Slot, Template
from advisor.wording import settle
from advisor.yamlfile import Document

_HEAD = ("site", "about", "date", "reference")
OTHERS = "others"
"""`others: none` states that what the file does not speak of is not there; without it, it is not known."""


@dataclass(frozen=True)
class Instance:
    """One instance of a template with the answer to every slot; `certain` is false for a mere possibility."""

    template: str
    id: str
    label: str
    certain: bool
    answers: Mapping[str, Answer]

    def fact(self) -> Fact:
        slots = {name: answer.domain for name, answer in self.answers.items()}
        roots = frozenset([self.id] if self.id != self.template else [])
        return Fact(self.template, self.id, slots, self.certain, self.label, roots=roots)


@dataclass(frozen=True)
class Site:
    """A validated site."""

    name: str
    about: str = ""
    date: str = ""
    reference: str = ""
    instances: tuple[Instance, ...] = ()
    unused: tuple[str, ...] = ()
    """Answers that were given but do not apply or are read otherwise than they are written, each in a sentence."""
    told: Mapping[str, Any] = field(default_factory=dict)
    """The file's own words, for reports and for saving."""

    def facts(self) -> list[Fact]:
        return [instance.fact() for instance in self.instances]

    def by_id(self) -> dict[str, Instance]:
        return {instance.id: instance for instance in self.instances}


def load_site(path: Path, book: Rulebook) -> Site:
    """Read a site file. Raises InputError with every fault of the file."""
    document = yamlfile.load(path)
    site = read_site(document, book)
    faults = Collector()
    for instance in site.instances:
        _check_rising(instance, document, book, faults)
    faults.raise_any()
    units.keep()
    return site


def _check_rising(instance: Instance, document: Document, book: Rulebook, faults: Collector) -> None:
    """Refuse a lowest temperature above the highest in a file; a map may cross the two on its way."""
    for low, high in book.vocabulary.templates[instance.template].rising:
        under, over = instance.answers[low], instance.answers[high]
        if not isinstance(under.domain, Span) or not isinstance(over.domain, Span):
            continue
        if under.origin == over.origin == "told" and under.domain.low > over.domain.high:
            what = f"{low} {under.text!r} lies above {high} {over.text!r}"
            faults.add(document.place(instance.template), what, f"{low} at most as high as {high}")


def read_site(document: Document, book: Rulebook, *, claims: bool = False) -> Site:
    """Validate a parsed site document. Raises InputError with every fault found.

    `claims` lets the examples of rules about spec sheets state what a sheet says beside what is told of a site.
    """
    data = document.data
    if not isinstance(data, dict):
        what = "is empty" if data is None else "is no site: it holds no 'key: value' lines"
        raise InputError(
            [Fault(document.place(), what, "a line such as 'site: name of the point' and what is told of it")]
        )
    return SiteReader(document, book, claims=claims).read()


class SiteReader:
    """Reads one site document; what-ifs read again only the templates that they change."""

    def __init__(self, document: Document, book: Rulebook, *, claims: bool) -> None:
        self.document, self.book, self.claims, self.faults = document, book, claims, Collector()
        self.unused: list[str] = []
        self.asked = {
            name: entry
            for name, entry in book.vocabulary.templates.items()
            if not entry.derived and (not entry.claimed or (claims and name in (document.data or ())))
        }

    def read(self) -> Site:
        data = self.document.data
        others = data.get(OTHERS)
        if others not in (None, "none", "unknown"):
            self.faults.add(self.document.place(OTHERS), f"others: {shorten(others)} is not known", "none, unknown")
        asked = self.asked
        for key in data:
            if key not in asked and key not in (*_HEAD, OTHERS):
                known = [*asked, *_HEAD, OTHERS]
                self.faults.add(self.document.place(key), f"{key!r} is not known", nearest(key, known))
        head = {name: self._head(name, data.get(name)) for name in _HEAD}
        if data.get("site") in (None, ""):
            what = "'site' is empty" if "site" in data else "the key 'site' is missing"
            self.faults.add(self.document.place("site"), what, "site: a name for the point")
        raw = {name: list(self.instances(template, data)) for name, template in asked.items()}
        reconcile(asked, raw, data, self.book, self.unused)
        instances = [
            Instance(name, identity, label, certain, relevant(asked[name], answers, raw, label, self.book, self.unused))
            for name, entries in raw.items()
            for identity, label, certain, answers in entries
        ]
        self.faults.raise_any()
        return Site(
            head["site"],
            head["about"],
            head["date"],
            head["reference"],
            tuple(instances),
            tuple(self.unused),
            data,
        )

    def _head(self, name: str, value: Any) -> str:
        if value is None:
            return ""
        text = self._line(name, value, (name,))
        if name == "date" and text:
            try:
                datetime.date.fromisoformat(text)
            except ValueError:
                where = self.document.place(name)
                self.faults.add(where, f"date: {shorten(value)} is no date", "a date such as 2026-11-24")
        return text

    def _line(self, name: str, value: Any, steps: tuple[str | int, ...]) -> str:
        """Return one line of plain text; anything else is a fault, and so is what would steer a terminal."""
        if value is None:
            return ""
        good = isinstance(value, str | int | float) and not isinstance(value, bool)
        if not good or not all(sign.isprintable() for sign in str(value).rstrip("\n")):
            self.faults.add(self.document.place(*steps), f"{name} is no line of plain text", "one line of text")
            return ""
        return str(value).strip()

    def instances(self, template: Template, data: dict[str, Any]) -> Iterator[Entry]:
        """Read the answers of one template, before it is known which of them apply."""
        name = template.template
        value = data.get(name)
        if value is None and data.get(OTHERS) == "none" and (template.many or template.none is not None):
            kept = any(other == "always" or isinstance(data.get(other), dict | list) for other in template.kept_by)
            value = None if kept else "none"
        if value is None or value == "unknown":
            origin: Origin = "unknown" if value == "unknown" else "silent"
            identity = f"{name}?" if template.many else name
            yield identity, "", not template.many, self._answers(template, {}, (name,), origin)
            return
        if value in ("none", "no") or value is False:
            if template.many:
                return
            if template.none is None:
                self.faults.add(
                    self.document.place(name),
                    f"{name} cannot be 'none'",
                    f"its slots: {', '.join(template.by_name)}",
                )
                return
            yield name, "", True, self._answers(template, dict(template.none), (name,), "silent")
            return
        entries = value if isinstance(value, list) else [value]
        if not entries:
            accepted = "'none' where there is nothing of the kind, or 'unknown'"
            self.faults.add(self.document.place(name), f"{name} is an empty list", accepted)
            return
        if isinstance(value, list) and not template.many and len(value) != 1:
            self.faults.add(self.document.place(name), f"{name} stands only once for a point", "one mapping of slots")
            return
        for index, entry in enumerate(entries):
            steps: tuple[str | int, ...] = (name, index) if isinstance(value, list) else (name,)
            if not isinstance(entry, dict):
                accepted = f"'none', 'unknown', or slots such as {', '.join(list(template.by_name)[:4])}"
                self.faults.add(
                    self.document.place(*steps), f"{name}: {shorten(entry)} is no mapping of slots", accepted
                )
                continue
            self._line("note", entry.get("note"), (*steps, "note"))
            label = self._line("name", entry.get("name"), (*steps, "name")) or (
                f"{name} {index + 1}" if template.many and len(entries) > 1 else ""
            )
            identity = f"{name}#{index + 1}" if template.many else name
            yield identity, label, True, self._answers(template, entry, steps, "silent")

    def _answers(
        self, template: Template, entry: dict[str, Any], steps: tuple[str | int, ...], missing: Origin
    ) -> dict[str, Answer]:
        extra = ["name", "note", *(["preset"] if template.presets else [])]
        for key in entry:
            if key not in template.by_name and key not in extra:
                known = [*template.by_name, *extra]
                parted = entry[key] is None and re.match(r"\d{3}\b", str(key))
                accepted = f"thousands without a comma, such as 1{key}" if parted else nearest(key, known)
                where = self.document.place(*steps, key)
                self.faults.add(where, f"{template.template} has no slot {key!r}", accepted)
        preset = self._preset(template, entry, steps)
        answers: dict[str, Answer] = {}
        for name, slot in template.by_name.items():
            raw = entry.get(name)
            if (
                raw == "none"
                and not slot.word
                and slot.kind == "words"
                and "none" not in self._spellings(slot, words_of(slot, self.book.tables))
            ):
                where = self.document.place(*steps, name)
                self.faults.add(where, f"{name}: 'none' is no choice", choices.instead_of_none(template, slot))
                answers[name] = Answer(full(slot, self.book.tables), "told", "none")
            elif raw is not None and raw != "unknown":
                answers[name] = self._told(slot, raw, (*steps, name))
            elif raw == "unknown":
                answers[name] = Answer(self._full(slot), "unknown", "unknown")
            elif name in preset:
                answers[name] = Answer(as_domain(preset[name]), "preset", f"preset {entry['preset']}")
            elif template.claimed:
                answers[name] = Answer(ABSENT, "not relevant")
            elif slot.from_date and (year := self._year()) is not None:
                answers[name] = Answer(Span(year, year), "assumed", "the site's date")
            elif slot.others_none is not None and self.document.data.get(OTHERS) == "none":
                answers[name] = Answer(_assumed(slot, slot.others_none), "assumed", "others: none")
            elif slot.others_none_as and self.document.data.get(OTHERS) == "none" and entry.get(slot.others_none_as):
                answers[name] = Answer(answers[slot.others_none_as].domain, "assumed", "others: none")
            elif slot.assume is not None:
                answers[name] = Answer(_assumed(slot, slot.assume), "assumed", str(slot.assume))
            elif slot.assume_cell is not None and (cell := self._usual(slot, answers, template)) is not None:
                answers[name] = Answer(as_domain(cell), "assumed", "usual for it")
            else:
                answers[name] = Answer(self._full(slot), missing)
        self.unused += courses.part(template, answers, entry)
        for group in template.alternatives:
            told = [name for name in group if answers[name].origin in ("told", "preset")]
            keep = told or [name for name in group if answers[name].origin == "unknown"][:1] or group[:1]
            for name in group:
                if name not in keep:
                    answers[name] = Answer(ABSENT, "not relevant", f"given by {', '.join(keep)}")
        return answers

    def _preset(self, template: Template, entry: dict[str, Any], steps: tuple[str | int, ...]) -> Mapping[str, Any]:
        if not template.presets or entry.get("preset") is None:
            return {}
        table = self.book.tables[template.presets]
        rows = table.rows
        keys = table.spellings.get(plain(str(entry["preset"])), ())
        row = rows[keys[0]] if len(keys) == 1 else None
        if row is None:
            where = self.document.place(*steps, "preset")
            self.faults.add(
                where, f"there is no preset {shorten(entry['preset'])}", nearest(str(entry["preset"]), rows)
            )
            return {}
        return row.cells

    def _usual(self, slot: Slot, answers: Mapping[str, Answer], template: Template) -> Any:
        """Return the usual figure of the row that another slot names; None if it is not named or has none."""
        name, column = slot.assume_cell or ["", ""]
        row = answers.get(name)
        table = template.by_name[name].row
        if row is None or table is None or not isinstance(row.domain, Words) or not row.domain.point:
            return None
        return self.book.tables[table].rows[next(iter(row.domain.options))].cells.get(column)

    def _year(self) -> float | None:
        """Return the site's date as a year with its fraction."""
        try:
            date = datetime.date.fromisoformat(str(self.document.data.get("date")))
        except ValueError:
            return None
        return date.year + (date.timetuple().tm_yday - 1) / 366

    def _told(self, slot: Slot, raw: Any, steps: tuple[str | int, ...]) -> Answer:
        where = self.document.place(*steps)
        everything = self._full(slot)
        if slot.kind == "text":
            if isinstance(raw, dict | list):
                self.faults.add(where, f"{slot.slot} is not text", "one line of text")
            return Answer(ABSENT, "told", str(raw))
        if slot.kind == "words":
            return Answer(self._words(slot, raw, where, str(steps[0])), "told", str(raw))
        if isinstance(raw, bool) or not isinstance(raw, str | int | float):
            shown = str(raw).lower() if isinstance(raw, bool) else raw
            self.faults.add(
                where, f"{slot.slot}: {shorten(shown)} is no quantity", f"for example '5 {slot.unit or ''}'"
            )
            return Answer(everything, "told", str(raw))
        try:
            low, high = quantities.parse(settle(raw, slot), slot.unit or "", difference=slot.difference)
        except QuantityError as problem:
            other = choices.measured_as(str(raw), slot, self.book.vocabulary.templates[str(steps[0])])
            accepted = "; or ".join(filter(None, [problem.accepted, other]))
            self.faults.add(where, f"{slot.slot}: {problem.what}", accepted)
            return Answer(everything, "told", str(raw))
        assert isinstance(everything, Span)
        rest = quantities.parse(slot.rest, slot.unit or "") if slot.rest else (everything.low, everything.high)
        low = min(rest[0], high) if low == float("-inf") else low
        high = max(rest[1], low) if high == float("inf") else high
        if low < everything.low * (1 - 1e-9 * (everything.low > 0)) - 1e-12 or high > everything.high * (1 + 1e-9):
            self.faults.add(where, f"{slot.slot}: {shorten(raw)} is not plausible", f"within {slot.plausible}")
        return Answer(Span(low, high), "told", str(raw))

    def _words(self, slot: Slot, raw: Any, where: Place, template: str) -> Domain:
        if slot.word:
            return Words(frozenset(map(str, raw if isinstance(raw, list) else [raw])))
        known = words_of(slot, self.book.tables)
        named = self._spellings(slot, known)
        found: list[str] = []
        if raw == []:
            self.faults.add(where, f"{slot.slot}: an empty list allows nothing", nearest("", known))
        for item in raw if isinstance(raw, list) else [raw]:
            hit = choices.exact(item, named)
            if hit is None and (hit := choices.longer(item, slot, known, named)) is not None:
                self.unused.append(f"{template}.{slot.slot}: {shorten(item)} is read as {' or '.join(hit)}.")
            if hit is None:
                accepted = choices.hint(item, slot, self.book.vocabulary.templates[template], known, named)
                self.faults.add(where, f"{slot.slot}: {shorten(item)} is no choice", accepted)
            else:
                found += hit
        return Words(frozenset(found)) if found else self._full(slot)

    def _spellings(self, slot: Slot, known: Sequence[str]) -> Spellings:
        """Return the words of a slot by every spelling, laid out once for all sites."""
        layout = ("spellings", id(slot))
        if layout not in self.book.kept:
            self.book.kept[layout] = choices.spellings(slot, known, self.book.tables)
        found: Spellings = self.book.kept[layout]
        return found

    def _full(self, slot: Slot) -> Domain:
        """Return all that a slot may hold."""
        layout = ("full", id(slot))  # a slot lives as long as its rulebook, which keeps this
        if layout not in self.book.kept:
            self.book.kept[layout] = full(slot, self.book.tables)
        found: Domain = self.book.kept[layout]
        return found


def _assumed(slot: Slot, value: str | float) -> Domain:
    if slot.kind == "words":
        return Words(frozenset([str(value)]))
    return Span(*quantities.parse(value, slot.unit or "", difference=slot.difference))
