"""Facts, and the record of who concluded them from what: what both evaluators produce and every proof is made of."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from advisor.engine.expressions import Trace
from advisor.values import Domain


@dataclass(frozen=True)
class Fact:
    """An instance of a template, a derived instance, or a demand.

    `id` says where it comes from and is the same in both readings. `certain` is false for the stand-in of an
    instance of which it is not known whether there is one.
    """

    template: str
    id: str
    slots: Mapping[str, Domain] = field(hash=False)
    certain: bool = True
    label: str = field(default="", compare=False)
    """How the instance is called in texts."""
    text: str = field(default="", compare=False)
    """The wording of a note or demand."""
    roots: frozenset[str] = field(default_factory=frozenset, compare=False)
    """The told instances, of templates that may stand several times, on which it rests."""
    reasons: Mapping[str, str] = field(default_factory=dict, compare=False)
    """Why each of the materials named in `item` is ruled out."""

    @cached_property
    def unworded(self) -> "Fact":
        """The fact as a run holds it.

        Codes and figures are worded by each firing of its own, in the run's `texts`; the fact itself must not depend on
        which firing came first.
        """
        return replace(self, text="") if self.slots and self.text else self


Key = tuple[str, int, tuple[tuple[str, str], ...]]
"""What names a firing: the rule, its variant, and the facts it bound by alias."""


@dataclass(frozen=True)
class Justification:
    """One firing: the rule's variant, the facts it bound by alias, and how each value it computed came about."""

    rule: str
    variant: int
    bound: tuple[tuple[str, str], ...]
    traces: tuple[tuple[str, Trace], ...] = field(default=(), compare=False)

    @cached_property
    def key(self) -> Key:
        return self.rule, self.variant, self.bound


_BY_TEMPLATE = "by template"


@dataclass
class Run:
    """All facts of one reading and every justification of each concluded one."""

    facts: dict[str, Fact] = field(default_factory=dict)
    justifications: dict[str, list[Justification]] = field(default_factory=dict)
    texts: dict[tuple[str, Key], str] = field(default_factory=dict, repr=False)
    """How each firing words what it concludes: several rules may demand one thing in different words."""
    kept: dict[str, Any] = field(default_factory=dict, repr=False, compare=False)
    """Layouts of the finished run that its readers keep for themselves."""
    firings: dict[str, int] = field(default_factory=dict, repr=False, compare=False)
    _known: set[tuple[object, ...]] = field(default_factory=set, repr=False, compare=False)

    def record(self, fact: Fact, why: Justification) -> bool:
        """Enter a concluded fact; return whether it is new. Another reason for a known fact is kept too."""
        key = (fact.id, why.key)
        if key not in self._known:
            self._known.add(key)
            self.justifications.setdefault(fact.id, []).append(why)
            if fact.text:
                self.texts[key] = fact.text
        if fact.id in self.facts:
            return False
        self.facts[fact.id] = fact.unworded
        return True

    def lay_out(self, by_template: Mapping[str, list[Fact]]) -> None:
        """Take over the facts of the finished run by template, where they are known already."""
        self.kept[_BY_TEMPLATE] = by_template

    def of(self, template: str) -> list[Fact]:
        """Return the facts of a template in a finished run; laid out once."""
        if _BY_TEMPLATE not in self.kept:
            by_template: dict[str, list[Fact]] = {}
            for fact in self.facts.values():
                by_template.setdefault(fact.template, []).append(fact)
            self.lay_out(by_template)
        found: list[Fact] = self.kept[_BY_TEMPLATE].get(template, [])
        return found

    def settle(self) -> None:
        """Put everything into an order that does not depend on the order of firing."""
        self.facts = dict(sorted(self.facts.items()))
        self.texts = dict(sorted(self.texts.items()))
        self.justifications = {
            key: sorted(reasons, key=lambda reason: reason.key) for key, reasons in sorted(self.justifications.items())
        }
