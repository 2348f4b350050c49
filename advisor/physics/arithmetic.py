"""Generic arithmetic for rules: margins, sums and comparisons of two values of one unit.

Contract: both inputs and the result are pure numbers to the registry; a rule that uses them gives `a` and `b`
in the same unit, except `product` and `quotient`, whose unit is the rule's own affair. Quotients take
positive divisors only, since a divisor that may pass through zero has no bounds.
"""

from .registry import Interval, formula

_UNITS = {"a": "", "b": "", "return": ""}
_SOURCE = "arithmetic"
_NUMBER: Interval = (-1e12, 1e12)
_VALID = {"a": _NUMBER, "b": _NUMBER}
_POSITIVE: Interval = (1e-12, 1e12)


@formula(text="a x b", units=_UNITS, source=_SOURCE, basis="published", valid=_VALID)
def product(a: float, b: float) -> float:
    """Return a times b."""
    return a * b


@formula(
    text="a / b", units=_UNITS, source=_SOURCE, basis="published", model="b above zero",
    valid={"a": _NUMBER, "b": _POSITIVE},
)
def quotient(a: float, b: float) -> float:
    """Return a divided by b; ZeroDivisionError for b of zero, which the registry's range keeps out."""
    return a / b


@formula(text="a + b", units=_UNITS, source=_SOURCE, basis="published", valid=_VALID)
def total(a: float, b: float) -> float:
    """Return the sum of a and b (same unit)."""
    return a + b


@formula(text="a - b", units=_UNITS, source=_SOURCE, basis="published", valid=_VALID)
def difference(a: float, b: float) -> float:
    """Return a less b (same unit)."""
    return a - b


@formula(text="the larger of a and b", units=_UNITS, source=_SOURCE, basis="published", valid=_VALID)
def larger(a: float, b: float) -> float:
    """Return the larger of a and b (same unit)."""
    return max(a, b)


@formula(text="the smaller of a and b", units=_UNITS, source=_SOURCE, basis="published", valid=_VALID)
def smaller(a: float, b: float) -> float:
    """Return the smaller of a and b (same unit)."""
    return min(a, b)


@formula(text="value a over limit b: a - b", units=_UNITS, source=_SOURCE, basis="published", valid=_VALID)
def above(a: float, b: float) -> float:
    """Return by how much the value a stands above the limit b (same unit); negative below it."""
    return a - b
