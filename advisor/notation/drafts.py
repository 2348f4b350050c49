"""Readings in the making, and the page of elements on which the assembling grammars work."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from advisor.notation.elements import BREAK, CLOSE, OPEN, SEP, Element, Mark, Phrase, Unknown
from advisor.notation.items import Condition, Item
from advisor.notation.lexicon import Lexicon
from advisor.notation.tokens import fold


@dataclass(slots=True, eq=False)
class Draft:
    """An item that still gathers its qualifiers. `fields` are those of the item class `cls`."""

    cls: type[Item]
    start: int
    end: int
    fields: dict[str, Any]
    notes: list[str] = field(default_factory=list)
    conditions: list[Condition] = field(default_factory=list)
    families: set[str] = field(default_factory=set)
    parts: list[str] = field(default_factory=list)
    denied: bool = False
    given: set[str] = field(default_factory=set)
    """Kinds of qualifier that were given to this draft itself, not inherited."""

    @property
    def kind(self) -> str:
        return self.cls.kind

    def note(self, name: str) -> None:
        """Add a note once."""
        if name not in self.notes:
            self.notes.append(name)

    def freeze(self, text: str) -> Item:
        """The finished item; a bracket opened in its quote is closed if that is the next sign."""
        quote = text[self.start : self.end]
        opened = quote.count("(") + quote.count("[")
        closed = quote.count(")") + quote.count("]")
        if opened > closed and text[self.end : self.end + 1] in (")", "]"):
            self.end += 1
        if closed > opened and text[self.start - 1 : self.start] in ("(", "["):
            self.start -= 1
        return self.cls(
            start=self.start, end=self.end, quote=text[self.start : self.end], notes=tuple(self.notes),
            conditions=tuple(self.conditions), parts=tuple(self.parts), denied=self.denied, **self.fields,
        )


@dataclass(slots=True, eq=False)
class Page:
    """The elements of a text and the drafts made of them."""

    lexicon: Lexicon
    text: str
    elements: list[Element]
    drafts: list[Draft] = field(default_factory=list)

    def add(self, draft: Draft, *used: Element) -> Draft:
        """Keep a draft, and mark what it was made of."""
        for element in used:
            element.taken = True
        self.drafts.append(draft)
        return draft

    def walk(self, index: int, *, limit: int = 12) -> Iterator[tuple[int, Element]]:
        """Elements after `index` up to the end of the clause, at most `limit` of them."""
        for place in range(index + 1, min(index + 1 + limit, len(self.elements))):
            element = self.elements[place]
            if is_mark(element, BREAK):
                return
            yield place, element

    def back(self, index: int, *, limit: int = 12) -> Iterator[tuple[int, Element]]:
        """Elements before `index` back to the start of the clause, at most `limit` of them."""
        for place in range(index - 1, max(-1, index - 1 - limit), -1):
            element = self.elements[place]
            if is_mark(element, BREAK):
                return
            yield place, element

    def behind(self, draft: Draft, limit: int) -> list[Element]:
        """The elements that follow a draft, at most `limit` of them."""
        place = self._place(draft.end)
        return self.elements[place : place + limit]

    def between(self, one: Draft, two: Draft) -> list[Element]:
        """The elements between two drafts."""
        return self.elements[self._place(one.end) : self._place(two.start)]

    def _place(self, at: int) -> int:
        return bisect_left(self.elements, at, key=lambda element: element.start)

    def hinted(self, nodes: Sequence["Node"]) -> bool:
        """Whether one of these is a word such as "only" or "if"."""
        return bool(self.lexicon.hints & self._unknown(nodes))

    def turned(self, nodes: Sequence["Node"]) -> bool:
        """Whether one of these limits, doubts or warns: "only", "requires", "voids"."""
        return bool((self.lexicon.hints | self.lexicon.doubts | self.lexicon.warnings) & self._unknown(nodes))

    def _unknown(self, nodes: Sequence["Node"]) -> set[str]:
        unknown = [self.text[node.start : node.end] for node in nodes if isinstance(node, Unknown)]
        return {fold(word) for words in unknown for word in words.split()}

    def topic_before(self, index: int, names: tuple[str, ...], *, limit: int = 8) -> bool:
        """Whether one of these topics was announced earlier in the clause."""
        return any(
            isinstance(element, Phrase) and any(name in names for name in element.names("topic"))
            for _, element in self.back(index, limit=limit)
        )


def is_mark(element: Element | None, *signs: str) -> bool:
    """Whether an element is one of these marks."""
    return isinstance(element, Mark) and element.sign in signs


def bracket_end(page: Page, index: int) -> int:
    """The index of the bracket that closes the one at `index`; -1 if none does within the clause."""
    depth = 0
    for place in range(index, min(index + 24, len(page.elements))):
        element = page.elements[place]
        if is_mark(element, OPEN):
            depth += 1
        elif is_mark(element, CLOSE):
            depth -= 1
            if depth == 0:
                return place
    return -1


def joins(element: Element) -> bool:
    """Whether a mark merely parts the members of one list."""
    return is_mark(element, SEP, "and", "or")


Node = Draft | Element
"""What a clause consists of."""

RATINGS = ("ingress", "enclosure")
"""Kinds whose members form lists that share their conditions."""


def limit_by(page: Page, draft: Draft, name: str, quote: str) -> None:
    """Put a condition on a draft, once."""
    if not any(condition.name == name for condition in draft.conditions):
        draft.conditions.append(Condition(name, quote))
        draft.families.add(page.lexicon.conditions[name].family)
