"""Answers to slots, and whether a slot applies at all given the other answers."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from advisor.engine.conditions import compile_test, words_of
from advisor.rulebook import Rulebook
from advisor.tables import plain
from advisor.values import ABSENT, Absent, Domain, Words, holds, perhaps
from advisor.vocabulary import Slot, Template

Origin = Literal["told", "preset", "assumed", "unknown", "silent", "not relevant"]


@dataclass(frozen=True)
class Answer:
    """What is known of one slot, where it comes from, and how it was written."""

    domain: Domain
    origin: Origin
    text: str = ""

    @property
    def open(self) -> bool:
        """Whether a better answer could still settle something."""
        return not self.domain.point or self.origin in ("unknown", "silent")


Entry = tuple[str, str, bool, dict[str, Answer]]
"""An instance in the making: identity, label, whether it is certain that there is one, and its answers."""


def reconcile(
    asked: Mapping[str, Template],
    raw: Mapping[str, list[Entry]],
    data: Mapping[str, Any],
    book: Rulebook,
    unused: list[str],
) -> None:
    """Let the answers of all templates speak of each other, in place, before it is judged which of them apply."""
    _open_gates(asked, raw, data, book)
    _imply(asked, raw)
    _narrow(asked, raw, book, unused)
    _turn(asked, raw, unused)


def _open_gates(
    asked: Mapping[str, Template],
    raw: Mapping[str, list[Entry]],
    data: Mapping[str, Any],
    book: Rulebook,
) -> None:
    """Open a gate that is not told, or told as none, where something behind it is told: a told impact is an impact."""
    for name, template in asked.items():
        if not isinstance(data.get(name), dict | list):
            continue
        for slot in template.slots:
            for other, conditions in (slot.relevant or {}).items():
                # "none" in one word for the whole gate yields to what is told behind it: more protection, not less.
                told = data.get(other)
                if isinstance(told, list) or other == name or not raw.get(other):
                    continue
                for inner, condition in conditions.items():
                    if isinstance(told, dict) and told.get(inner) is not None:
                        continue
                    gate = asked[other].by_name[inner]
                    test = compile_test(gate, condition, book.tables)
                    answers = raw[other][0][3]
                    if test.words and not holds(test, answers[inner].domain, True):
                        answers[inner] = Answer(Words(test.words), "assumed", f"since {name} is told")


def _narrow(
    asked: Mapping[str, Template], raw: Mapping[str, list[Entry]], book: Rulebook, unused: list[str]
) -> None:
    """Take from a silent answer what is milder than anything under which what else is told can be.

    Told depth is no dry place. A harder choice stays, and so does any where the choices have no order: a pressure may
    be that of steam, and a diameter that of an optical unit.
    """
    for name, template in asked.items():
        gates = {inner for slot in template.slots for inner in (slot.relevant or {}).get(name, {})}
        for _, label, _, answers in raw.get(name, ()):
            for gate in (template.by_name[inner] for inner in gates if answers[inner].origin == "silent"):
                domain = answers[gate.slot].domain
                left = domain.options if isinstance(domain, Words) else frozenset()
                telling = []
                for slot in template.slots:
                    condition = (slot.relevant or {}).get(name, {}).get(gate.slot)
                    if condition is not None and _says_something(answers[slot.slot]):
                        left = _harder(gate, template, left, compile_test(gate, condition, book.tables).words)
                        telling.append(slot.slot)
                if telling and isinstance(domain, Words) and left < domain.options:
                    since = f"since {' and '.join(telling)} {'is' if len(telling) == 1 else 'are'} told"
                    answers[gate.slot] = Answer(Words(left), "assumed", since)
                    which = f"{name} ({label})" if label else name
                    out = ", ".join(word for word in words_of(gate, book.tables) if word in domain.options - left)
                    unused.append(f"{which}: {gate.slot} is not told; {out} left out, {since}.")


def _harder(gate: Slot, template: Template, left: frozenset[str], fitting: frozenset[str]) -> frozenset[str]:
    """Return what is left without the choices that do not fit and are milder than all that do."""
    order = list(gate.choices or ()) if gate.harsher == "listed" else []
    least = min((order.index(word) for word in fitting if word in order), default=0)
    milder = {*order[:least], (template.none or {}).get(gate.slot, "")} - fitting
    return left - milder


def _says_something(answer: Answer) -> bool:
    """Whether an answer is told and is no "none" or nought, which would say that there is nothing to speak of."""
    if answer.origin != "told" or isinstance(answer.domain, Absent):
        return False
    return "none" not in answer.domain.options if isinstance(answer.domain, Words) else answer.domain.high > 0


def _turn(asked: Mapping[str, Template], raw: Mapping[str, list[Entry]], unused: list[str]) -> None:
    """Turn a told answer into the harder one that another told answer shows it to be; a line says so."""
    for name, template in asked.items():
        for slot in (one for one in template.slots if one.turns):
            for _, label, _, answers in raw.get(name, ()):
                if answers[slot.slot].origin != "told":
                    continue
                for other, words in slot.turns.items():
                    domain = answers[other].domain
                    told = next(iter(domain.options)) if isinstance(domain, Words) and domain.point else ""
                    if told in words:
                        harder = Words(frozenset([words[told]]))
                        answers[other] = Answer(harder, "assumed", f"since {slot.slot} is told")
                        which = f"{name} ({label})" if label else name
                        unused.append(f"{which}: {told} with a {slot.slot} of its own is judged as {words[told]}.")


def _imply(asked: Mapping[str, Template], raw: Mapping[str, list[Entry]]) -> None:
    """Take from the words of an answer what they say of other slots that nothing is told of."""
    for name, template in asked.items():
        for slot in (one for one in template.slots if one.implies):
            said = {plain(spelling): besides for spelling, besides in slot.implies.items()}
            for *_, answers in raw.get(name, ()):
                told = plain(answers[slot.slot].text)
                # Of a figure its unit speaks, which stands at the end.
                ends = [end for end in said if told == end or (slot.unit and told.endswith(f" {end}"))]
                for path, words in said.get(max(ends, key=len, default=""), {}).items():
                    other, inner = path.split(".")
                    for others in [answers] if other == name else [one for *_, one in raw.get(other, ())]:
                        if others[inner].origin in ("silent", "assumed"):
                            text = f"since {slot.slot} is {answers[slot.slot].text}"
                            others[inner] = Answer(Words(frozenset(words)), "assumed", text)
                            if others is answers and inner in (slot.relevant or {}).get(name, {}):
                                # What the words say is then in the other answer: "permanently" is no number of hours.
                                answers[slot.slot] = replace(answers[slot.slot], origin="assumed")


def relevant(
    template: Template,
    answers: dict[str, Answer],
    everything: Mapping[str, list[Entry]],
    label: str,
    book: Rulebook,
    unused: list[str],
) -> dict[str, Answer]:
    """Return the answers with those slots absent that do not apply, and those in doubt marked as such."""
    done: dict[str, Answer] = {}

    def judge(name: str, trail: tuple[str, ...]) -> Answer:
        if name in done:
            return done[name]
        slot, answer = template.by_name[name], answers[name]
        sure = possible = True
        for other, conditions in (slot.relevant or {}).items():
            target = book.vocabulary.templates[other]
            for inner, raw in conditions.items():
                if other != template.template:
                    entries = everything[other]
                    domain: Domain = entries[0][3][inner].domain if entries else ABSENT
                elif inner in trail:
                    domain = answers[inner].domain
                else:
                    domain = judge(inner, (*trail, name)).domain
                key = ("relevant", template.template, name, other, inner)
                test = book.kept.get(key)
                if test is None:
                    test = book.kept[key] = compile_test(target.by_name[inner], raw, book.tables)
                sure, possible = (
                    sure and holds(test, domain, True),
                    possible and holds(test, domain, False),
                )
        if not possible:
            if answer.origin == "told" and answer.text != (template.none or {}).get(name):
                which = f"{template.template} ({label})" if label else template.template
                unused.append(
                    f"{which}: {name} {answer.text!r} is not used, since it does not apply to the other answers."
                )
            answer = Answer(ABSENT, "not relevant")
        elif not sure and not isinstance(answer.domain, Absent):
            answer = Answer(perhaps(answer.domain), answer.origin, answer.text)
        done[name] = answer
        return answer

    for name in template.by_name:
        judge(name, (name,))
    return {name: done[name] for name in template.by_name}
