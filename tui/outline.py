"""The interview as plain data: which subjects there are, how each stands, and the questions of one of them.

A subject is one entry of a template: the third way of cleaning is a subject of its own. A template that may stand
several times and of which nothing is told has one subject without an entry, whose only question is whether there is
any. Nothing here knows a screen, and nothing is decided: whether a question applies and whether it is settled is read
from the site as `advisor` sees it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from advisor.answers import Answer
from advisor.engine.conditions import words_of
from advisor.engine.wording import say
from advisor.rulebook import Rulebook
from advisor.site import Instance, Site
from advisor.values import Absent
from advisor.vocabulary import Slot, Template

FIRST = (
    "unit", "place", "wash", "immersion", "weather", "air", "exposure", "food", "dust", "mount", "sun", "radiant",
    "weld", "field_source", "sensing", "mechanical", "impact", "vibration", "cable",
)  # fmt: skip
"""The subjects that most points have come first; the others follow as the vocabulary has them."""
HEAD = "site"
"""The name of the subject for the head of the file: the point's name and what is said about the rest."""
ENTRY, PRESET, NAME = "(entry)", "preset", "name"
"""Questions that are no slot: whether there is an entry at all, its preset, and its name."""
SETTLED, OPEN, NONE, NOT_RELEVANT, NOT_TOLD = "settled", "open", "none", "not relevant", "not told"


@dataclass(frozen=True)
class Option:
    """One answer that may be chosen: what is written into the file, how it is called, and what it means."""

    value: str
    label: str
    about: str = ""
    words: str = ""
    """Further words by which it may be found."""


@dataclass(frozen=True)
class Asked:
    """One question with its present answer."""

    template: str
    index: int
    slot: str
    ask: str
    help: str = ""
    kind: str = "text"
    """quantity, number, choice, row, text or entry."""
    unit: str = ""
    plausible: str = ""
    options: tuple[Option, ...] = ()
    value: str | list[str] | None = None
    """What the file says, None where it says nothing."""
    origin: str = "silent"
    shown: str = ""
    """The answer in words, with where it comes from if it was not told."""
    open: bool = True
    perhaps: bool = False
    """Whether it is not known yet that the question applies."""

    @property
    def untold(self) -> bool:
        """Whether nobody has answered it yet, not even with unknown."""
        return self.open and self.value is None

    @property
    def key(self) -> tuple[str, int, str]:
        return self.template, self.index, self.slot


@dataclass(frozen=True)
class Subject:
    """One entry of a template, and how it stands."""

    template: str
    index: int
    title: str
    state: str
    about: str = ""
    open: int = 0
    told: int = 0
    many: bool = False
    deniable: bool = False

    @property
    def key(self) -> tuple[str, int]:
        return self.template, self.index


def asked_templates(book: Rulebook) -> list[Template]:
    """Return the templates that are asked of a person, in the order of the interview."""
    found = [entry for entry in book.vocabulary.templates.values() if not entry.derived and not entry.claimed]
    names = [entry.template for entry in found]
    return sorted(
        found, key=lambda t: FIRST.index(t.template) if t.template in FIRST else len(FIRST) + names.index(t.template)
    )


def entries(data: Mapping[str, Any], template: str) -> list[Mapping[str, Any]]:
    """Return the entries that the file has of a template."""
    value = data.get(template)
    found = value if isinstance(value, list) else [value]
    return [entry for entry in found if isinstance(entry, Mapping)]


def titles(book: Rulebook) -> dict[str, str]:
    """Return the title of every template: its subject, and its own name where a subject has several."""
    shared: dict[str, list[str]] = {}
    for entry in asked_templates(book):
        shared.setdefault(entry.subject or entry.template, []).append(entry.template)
    found = {}
    for subject, names in shared.items():
        for name in names:
            own = name.replace("_", " ")
            alone = len(names) == 1 or own.lower() == subject.lower()
            found[name] = subject if alone else f"{subject}: {own}"
    return found


def subjects(site: Site, data: Mapping[str, Any], book: Rulebook) -> list[Subject]:
    """Return all subjects in the order of the interview."""
    by_id = site.by_id()
    named = titles(book)
    found = [_head(data)]
    for template in asked_templates(book):
        name, title = template.template, named[template.template]
        told = entries(data, name)
        common: dict[str, Any] = {"about": template.about, "many": template.many}
        common["deniable"] = template.many or template.none is not None
        if template.many and not told:
            denied = data.get(name) == "none" or (data.get(name) is None and data.get("others") == "none")
            state = NONE if denied else NOT_TOLD
            instance = by_id.get(f"{name}?")
            if instance is not None and _absent(instance):
                state = NOT_RELEVANT
            found.append(Subject(name, -1, title, state, **common))
            continue
        for index in range(max(1, len(told))):
            instance = by_id.get(f"{name}#{index + 1}" if template.many else name)
            if instance is None:
                continue
            label = _label(told[index], index, len(told)) if template.many else ""
            found.append(_entry(instance, template, index, f"{title}: {label}" if label else title, data, common))
    return found


def _label(entry: Mapping[str, Any], index: int, count: int) -> str:
    """Name an entry as the user did, or else by its preset or the first thing that is told of it."""
    named = entry.get(NAME) or entry.get(PRESET) or next((value for value in entry.values() if value != "unknown"), "")
    words = str(_plain(named) if not isinstance(named, list) else " or ".join(map(str, named)))
    return words or (str(index + 1) if count > 1 else "")


def _head(data: Mapping[str, Any]) -> Subject:
    return Subject(
        HEAD, 0, "This point", SETTLED if data.get("site") else OPEN, "Its name, and what is said of the rest."
    )


def _absent(instance: Instance) -> bool:
    return all(isinstance(answer.domain, Absent) for answer in instance.answers.values())


def _entry(
    instance: Instance, template: Template, index: int, title: str, data: Mapping[str, Any], common: dict[str, Any]
) -> Subject:
    answers = [a for a in instance.answers.values() if not isinstance(a.domain, Absent)]
    pending = sum(_is_open(answer) for answer in answers)
    told = sum(answer.origin in ("told", "preset") for answer in answers)
    value = data.get(template.template)
    kept = any(other == "always" or isinstance(data.get(other), dict | list) for other in template.kept_by)
    unsaid = value is None and data.get("others") == "none" and template.none is not None
    if value == "none" or (unsaid and not kept):
        state = NONE
    elif not answers:
        state = NOT_RELEVANT
    elif pending:
        state = OPEN if told else NOT_TOLD
    else:
        state = SETTLED
    return Subject(template.template, index, title, state, open=pending, told=told, **common)


def _is_open(answer: Answer) -> bool:
    """An assumed answer is settled, although a better one may be told; a range that was told is what is known."""
    return answer.origin in ("unknown", "silent")


def questions(subject: Subject, site: Site, data: Mapping[str, Any], book: Rulebook) -> list[Asked]:
    """Return the questions of a subject that apply, or may apply, given the other answers."""
    if subject.template == HEAD:
        return _head_questions(data)
    template = book.vocabulary.templates[subject.template]
    if subject.index < 0:
        return [_whether(template, data, book)]
    identity = f"{template.template}#{subject.index + 1}" if template.many else template.template
    instance = site.by_id().get(identity)
    if instance is None:
        return []
    told = entries(data, template.template)
    entry = told[subject.index] if subject.index < len(told) else {}
    found = []
    if template.many:
        found.append(
            Asked(
                template.template,
                subject.index,
                NAME,
                "What is this entry called?",
                "A few words; may stay empty.",
                value=entry.get(NAME),
                origin="told",
                shown=str(entry.get(NAME) or ""),
                open=False,
            )
        )
    if template.presets:
        found.append(_preset(template, subject.index, entry, book))
    others = {name for group in template.alternatives for name in group}
    for name, slot in template.by_name.items():
        answer = instance.answers[name]
        if (
            isinstance(answer.domain, Absent)
            and slot.kind != "text"
            and not (name in others and answer.text.startswith("given by"))
        ):
            continue
        found.append(_asked(template.template, subject.index, slot, answer, entry.get(name), book))
    return found


def _asked(template: str, index: int, slot: Slot, answer: Answer, value: Any, book: Rulebook) -> Asked:
    kind = "text"
    if slot.kind == "span":
        kind = "number" if slot.number else "quantity"
    elif slot.kind == "words":
        kind = "choice" if slot.choices is not None else "row" if slot.row is not None else "text"
    return Asked(
        template, index, slot.slot, slot.ask, slot.help, kind, slot.unit or "", slot.plausible or "",
        _options(slot, book), _plain(value), answer.origin, _shown(answer, value, slot, book),
        _is_open(answer), bool(getattr(answer.domain, "maybe", False)),
    )  # fmt: skip


def _plain(value: Any) -> str | list[str] | None:
    if value is None:
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    return [str(part) for part in value] if isinstance(value, list) else str(value)


def _shown(answer: Answer, value: Any, slot: Slot, book: Rulebook) -> str:
    if value is not None:
        plain = _plain(value)
        return " or ".join(plain) if isinstance(plain, list) else str(plain)
    if answer.origin in ("preset", "assumed"):
        return f"{say(answer.domain, slot, book)} ({answer.origin})"
    return answer.text if answer.origin == "not relevant" else ""


def _options(slot: Slot, book: Rulebook) -> tuple[Option, ...]:
    if slot.choices is not None:
        return tuple(Option(value, value, about) for value, about in slot.choices.items())
    if slot.row is None:
        return ()
    rows = book.tables[slot.row].rows
    return tuple(
        Option(
            word, rows[word].name if word in rows else word, "", " ".join(rows[word].aliases) if word in rows else ""
        )
        for word in words_of(slot, book.tables)
    )


def _preset(template: Template, index: int, entry: Mapping[str, Any], book: Rulebook) -> Asked:
    rows = book.tables[template.presets or ""].rows
    options = tuple(Option(key, row.name, "", " ".join(row.aliases)) for key, row in rows.items())
    value = _plain(entry.get(PRESET))
    return Asked(
        template.template, index, PRESET, "Is it one of these? Its usual figures are then filled in.",
        "Every figure of a preset can be told otherwise below. Leave it open if none fits.",
        "row", options=options, value=value, origin="told", shown=str(value or ""), open=False,
    )  # fmt: skip


def _whether(template: Template, data: Mapping[str, Any], book: Rulebook) -> Asked:
    options = [Option("add", "yes, add an entry"), Option("none", "none", "there is nothing of the kind here")]
    if template.presets:
        rows = book.tables[template.presets].rows
        options += [Option(f"preset {key}", f"yes: {row.name}", "", " ".join(row.aliases)) for key, row in rows.items()]
    value = data.get(template.template)
    return Asked(
        template.template, -1, ENTRY, f"Is there any at this point? {template.about}", "", "entry",
        options=tuple(options), value=_plain(value) if isinstance(value, str) else None, origin="silent",
        shown=str(value or ""), open=value != "none",
    )  # fmt: skip


def _head_questions(data: Mapping[str, Any]) -> list[Asked]:
    def line(slot: str, ask: str, more: str = "") -> Asked:
        value = _plain(data.get(slot))
        return Asked(
            HEAD,
            0,
            slot,
            ask,
            more,
            value=value,
            origin="told",
            shown=str(value or ""),
            open=not value and slot == "site",
        )

    others = Asked(
        HEAD, 0, "others", "And all that you have not spoken of?",
        "Say none only if you have thought of everything: whatever is not told then counts as not there.", "choice",
        options=(Option("unknown", "unknown", "it stays open"), Option("none", "none", "it is not there")),
        value=_plain(data.get("others")), origin="told", shown=str(data.get("others") or ""), open=False,
    )  # fmt: skip
    return [
        line("site", "What is this point called?", "Plant, machine and place, so that a reviewer finds it."),
        line("about", "What is there to say about it?"),
        line("date", "Of which date is this?", "A date such as 2026-11-24."),
        line("reference", "Under which number is it filed?"),
        others,
    ]
