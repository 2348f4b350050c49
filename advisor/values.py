"""What an answer allows, and when a condition on it holds for certain or possibly.

A domain is a `Span` (a closed interval in coherent SI; a point when both ends agree), a set of `Words` (the
choices still allowed), or `ABSENT` where a slot does not apply. `maybe` marks a domain that applies only if some
other answer turns out so. A `Test` is one comparison of a slot with an operand; the operators are a closed list,
cannot raise, and never compare values of different kinds.
"""

import math
from dataclasses import dataclass, replace

CLOSE = 1e-9
"""Relative rounding allowed when a figure is held against a threshold."""


@dataclass(frozen=True, slots=True)
class Span:
    """A closed interval of numbers in coherent SI."""

    low: float
    high: float
    maybe: bool = False
    told: bool = True
    """False where nothing was told, so that the interval is only what is plausible."""

    @property
    def point(self) -> bool:
        return math.isclose(self.low, self.high, rel_tol=CLOSE)


@dataclass(frozen=True, slots=True)
class Words:
    """The choices that are still allowed; one when the answer is known."""

    options: frozenset[str]
    maybe: bool = False
    told: bool = True

    @property
    def point(self) -> bool:
        return len(self.options) == 1


@dataclass(frozen=True, slots=True)
class Absent:
    """The slot does not apply."""

    @property
    def point(self) -> bool:
        return True


ABSENT = Absent()
Domain = Span | Words | Absent


@dataclass(frozen=True, slots=True)
class Test:
    """One condition on one slot: `op` is one of OPERATORS; the operand is in coherent SI or a set of words.

    `high` is the upper end of "between" alone; where an operator takes no figure both are nought.
    """

    slot: str
    op: str
    low: float = 0.0
    high: float = 0.0
    words: frozenset[str] = frozenset()
    doubtful: frozenset[str] = frozenset()
    """Words for which it is not known whether the test holds, as the table they stand in has no figure."""
    text: str = ""
    """The condition as its author wrote it."""


OPERATORS = (">=", ">", "<=", "<", "between", "in", "present", "absent")


def perhaps(domain: Domain) -> Domain:
    """Return the domain marked as applying only perhaps."""
    return domain if isinstance(domain, Absent) else replace(domain, maybe=True)


def holds(test: Test, domain: Domain | None, certain: bool) -> bool:
    """Tell whether the test holds for every allowed value (`certain`) or for at least one of them."""
    if domain is None:
        domain = ABSENT
    if test.op == "present":
        return not isinstance(domain, Absent) and not (certain and domain.maybe)
    if test.op == "absent":
        return isinstance(domain, Absent) or (not certain and domain.maybe)
    if isinstance(domain, Absent) or (certain and domain.maybe):
        return False
    if isinstance(domain, Words):
        if test.op != "in":
            return False
        if certain:
            return domain.options <= test.words
        return not domain.options.isdisjoint(test.words | test.doubtful)
    if test.op == "in":
        return False
    return _compare(test, domain, certain)


def _compare(test: Test, span: Span, certain: bool) -> bool:
    if test.op == "between":
        if certain:
            return _le(test.low, span.low) and _le(span.high, test.high)
        return _le(test.low, span.high) and _le(span.low, test.high)
    if test.op in (">=", ">"):
        worst = span.low if certain else span.high
        return _le(test.low, worst) if test.op == ">=" else not _le(worst, test.low)
    worst = span.high if certain else span.low
    return _le(worst, test.low) if test.op == "<=" else not _le(test.low, worst)


def _le(first: float, second: float) -> bool:
    return first <= second or math.isclose(first, second, rel_tol=CLOSE, abs_tol=1e-15)


def untold(domain: Domain) -> Domain:
    """Return the domain marked as nothing but what is plausible."""
    return domain if isinstance(domain, Absent) else replace(domain, told=False)


def both(first: Domain, second: Domain) -> Domain:
    """Return the smallest domain that allows what either allows. Kinds must agree; ABSENT adds `maybe`."""
    if isinstance(first, Absent):
        return perhaps(second)
    if isinstance(second, Absent):
        return perhaps(first)
    maybe, told = first.maybe or second.maybe, first.told and second.told
    if isinstance(first, Span) and isinstance(second, Span):
        return Span(min(first.low, second.low), max(first.high, second.high), maybe, told)
    if isinstance(first, Words) and isinstance(second, Words):
        return Words(first.options | second.options, maybe, told)
    raise TypeError("a span and words cannot be joined")
