"""The contract between physics and rules: a pure function on SI floats, with its formula, units and source.

A rule names a function as `module.function` and gives it inputs by name. Inputs may be intervals, since an
answer may be a range or unknown; `hull` then returns the interval of all results. That is sound only because
each registered function is, in every argument with the others held, either monotone or has its turning points
listed: the extremes then lie on the corners of the box or on those points. Property tests check the claim.

Inputs outside the validity of a formula are taken at the limit of the validity and reported, never dropped.
"""

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

Interval = tuple[float, float]


class PhysicsError(ValueError):
    """A registered function was called wrongly: unknown name, missing or unknown input."""


@dataclass(frozen=True)
class Formula:
    """A registered function and what the proof prints of it."""

    name: str
    function: Callable[..., float]
    text: str
    """The formula as it is printed, for example `p = rho g h`."""
    units: Mapping[str, str]
    """Unit of each input by name, and of the result under `return`; pint spelling, '' for a pure number."""
    source: str
    basis: str
    model: str = ""
    """What is assumed and where it stops being true."""
    valid: Mapping[str, Interval] = field(default_factory=dict)
    turning: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    """Interior points at which the function may turn in that input."""
    defaults: Mapping[str, float] = field(default_factory=dict)

    @cached_property
    def inputs(self) -> tuple[str, ...]:
        """The names of what it takes."""
        return tuple(name for name in self.units if name != "return")


@dataclass(frozen=True)
class Evaluation:
    """The result of a formula on intervals, and the inputs that had to be held at a limit of validity."""

    low: float
    high: float
    clamped: tuple[str, ...] = ()


REGISTRY: dict[str, Formula] = {}


def formula(
    *,
    text: str,
    units: Mapping[str, str],
    source: str,
    basis: str,
    model: str = "",
    valid: Mapping[str, Interval] | None = None,
    turning: Mapping[str, tuple[float, ...]] | None = None,
) -> Callable[[Callable[..., float]], Callable[..., float]]:
    """Register the decorated function as `module.function`; see `Formula` for the fields.

    Raises PhysicsError if a name is taken or if the units do not name exactly the function's arguments.
    """

    def enter(function: Callable[..., float]) -> Callable[..., float]:
        name = f"{function.__module__.rsplit('.', 1)[-1]}.{function.__name__}"
        code = function.__code__
        arguments = code.co_varnames[: code.co_argcount + code.co_kwonlyargcount]
        if name in REGISTRY:
            raise PhysicsError(f"two formulas are called {name}")
        if set(units) != {*arguments, "return"}:
            raise PhysicsError(f"{name}: units must name its arguments {', '.join(arguments)} and 'return'")
        if basis not in ("published", "recalled", "common practice"):
            raise PhysicsError(f"{name}: basis {basis!r} is not known")
        positional = code.co_varnames[: code.co_argcount]
        values = function.__defaults__ or ()
        defaults = dict(zip(positional[len(positional) - len(values) :], values, strict=True))
        defaults.update(function.__kwdefaults__ or {})
        REGISTRY[name] = Formula(
            name, function, text, dict(units), source, basis, model, dict(valid or {}), dict(turning or {}), defaults
        )
        return function

    return enter


def hull(entry: Formula, inputs: Mapping[str, Interval]) -> Evaluation:
    """Return the interval of results for all inputs inside the given intervals (SI units).

    Raises PhysicsError for an unknown or missing input, or when the function yields no number there.
    """
    for name in inputs:
        if name not in entry.units or name == "return":
            raise PhysicsError(f"{entry.name} has no input {name}")
    grids: list[tuple[float, ...]] = []
    clamped: list[str] = []
    for name in entry.inputs:
        if name not in inputs:
            if name not in entry.defaults:
                raise PhysicsError(f"{entry.name} needs the input {name}")
            grids.append((entry.defaults[name],))
            continue
        low, high = inputs[name]
        floor, ceiling = entry.valid.get(name, (-math.inf, math.inf))
        if low < floor or high > ceiling:
            clamped.append(name)
        low, high = min(max(low, floor), ceiling), max(min(high, ceiling), floor)
        inner = tuple(point for point in entry.turning.get(name, ()) if low < point < high)
        grids.append((low,) if low == high else (low, *inner, high))
    results = [
        entry.function(**dict(zip(entry.inputs, corner, strict=True))) for corner in itertools.product(*grids)
    ]
    if any(map(math.isnan, results)):
        raise PhysicsError(f"{entry.name} gives no number for {dict(inputs)}")
    return Evaluation(min(results), max(results), tuple(clamped))
