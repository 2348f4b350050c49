"""The promise that bounds rest on: over any box of inputs, `hull` contains what the function gives inside it.

Every registered formula is drawn at random, so a formula added later is under test without a line here.
"""

import math
import random

import pint
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import advisor.physics  # noqa: F401  importing the package fills the registry
from advisor.physics.registry import REGISTRY, Formula, PhysicsError, formula, hull

SAMPLES = 200
SLACK = 1e-6
"""Relative slack: sea water has no single turning point, its list of them leaves less than this."""

ENTRIES = sorted(REGISTRY)
FRACTION = st.integers(0, 10**6).map(lambda millionths: millionths / 1e6)
"""On a grid, since floats shrink to numbers too small for arithmetic, which no site has."""
SKEW = st.sampled_from((1.0, 4.0))
"""Plain draws seldom come near the low end of a wide range; the fourth power does."""


def inputs_of(entry: Formula) -> list[str]:
    return [name for name in entry.units if name != "return"]


def place(low: float, high: float, fraction: float, skew: float) -> float:
    return min(high, low + (high - low) * fraction**skew)


def boxes(entry: Formula) -> st.SearchStrategy[dict[str, tuple[float, float]]]:
    def side(name: str) -> st.SearchStrategy[tuple[float, float]]:
        low, high = entry.valid[name]
        return st.tuples(FRACTION, FRACTION, SKEW).map(
            lambda drawn: (
                place(low, high, min(drawn[:2]), drawn[2]),
                place(low, high, max(drawn[:2]), drawn[2]),
            )
        )

    return st.fixed_dictionaries({name: side(name) for name in inputs_of(entry)})


def escapes(entry: Formula, box: dict[str, tuple[float, float]], seed: int) -> list[tuple[object, float]]:
    """The sampled points of the box whose result lies outside the hull, with the result."""
    bounds = hull(entry, box)
    finite = [abs(edge) for edge in (bounds.low, bounds.high) if math.isfinite(edge)]
    slack = SLACK * max(finite, default=0.0)
    dice = random.Random(seed)
    found: list[tuple[object, float]] = []
    for _ in range(SAMPLES):
        point = {
            name: place(*side, dice.random(), dice.choice((1.0, 4.0))) for name, side in box.items()
        }
        result = entry.function(**point)
        if not bounds.low - slack <= result <= bounds.high + slack:
            found.append((point, result))
    return found


@pytest.mark.parametrize("name", ENTRIES)
def test_the_hull_contains_every_result_inside_the_box(name: str) -> None:
    entry = REGISTRY[name]

    @settings(max_examples=15, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(box=boxes(entry), seed=st.integers(0, 2**32))
    def check(box: dict[str, tuple[float, float]], seed: int) -> None:
        assert not escapes(entry, box, seed)

    check()


def test_the_check_above_finds_a_turn_that_is_not_listed() -> None:
    box = {"x": (-1.0, 1.0)}
    parts = {"text": "x^2", "units": {"x": "", "return": ""}, "source": "test", "basis": "recalled"}
    hidden = Formula("test.hidden", lambda x: x * x, **parts, valid=box)
    listed = Formula("test.listed", lambda x: x * x, **parts, valid=box, turning={"x": (0.0,)})
    assert escapes(hidden, box, 1)
    assert not escapes(listed, box, 1)


@pytest.mark.parametrize("name", ENTRIES)
def test_every_input_has_a_finite_range_that_holds_its_default(name: str) -> None:
    entry = REGISTRY[name]
    assert set(entry.valid) == set(inputs_of(entry))
    for low, high in entry.valid.values():
        assert -math.inf < low < high < math.inf
    for given_name, value in entry.defaults.items():
        low, high = entry.valid[given_name]
        assert low <= value <= high
    for turned, points in entry.turning.items():
        low, high = entry.valid[turned]
        assert points and all(low < point < high for point in points)


@pytest.mark.parametrize("name", ENTRIES)
def test_every_formula_is_printable_and_its_units_are_known(name: str) -> None:
    entry = REGISTRY[name]
    assert entry.text.strip() and entry.source.strip() and (entry.function.__doc__ or "").strip()
    registry = pint.get_application_registry()
    for unit in entry.units.values():
        assert registry.Unit(unit) is not None


def test_wrong_registrations_are_refused() -> None:
    def lone(x: float) -> float:
        return x

    good = {"text": "x", "source": "test"}
    with pytest.raises(PhysicsError, match="units must name"):
        formula(**good, units={"y": "", "return": ""}, basis="recalled")(lone)
    with pytest.raises(PhysicsError, match="basis"):
        formula(**good, units={"x": "", "return": ""}, basis="hearsay")(lone)
    entry = REGISTRY["hydrostatics.gauge_pressure"]
    with pytest.raises(PhysicsError, match="two formulas"):
        formula(**good, units=entry.units, basis="recalled")(entry.function)


def test_inputs_beyond_the_range_are_held_at_its_limit_and_named() -> None:
    entry = REGISTRY["liquids.fresh_water_density"]
    hot = hull(entry, {"temperature": (423.15, 423.15)})
    limit = entry.function(temperature=373.15)
    assert (hot.low, hot.high, hot.clamped) == (limit, limit, ("temperature",))
    assert hull(entry, {"temperature": (274.15, 293.15)}).clamped == ()


def test_the_densest_water_is_found_between_two_lighter_ends() -> None:
    entry = REGISTRY["liquids.fresh_water_density"]
    assert hull(entry, {"temperature": (274.15, 293.15)}).high == pytest.approx(999.972, abs=0.001)


def test_calls_that_cannot_be_answered_are_refused() -> None:
    entry = REGISTRY["hydrostatics.gauge_pressure"]
    with pytest.raises(PhysicsError, match="no input width"):
        hull(entry, {"width": (0.0, 1.0)})
    with pytest.raises(PhysicsError, match="needs the input density"):
        hull(entry, {"depth": (0.0, 1.0)})
    with pytest.raises(PhysicsError, match="no number"):
        hull(entry, {"depth": (math.nan, math.nan), "density": (1000.0, 1000.0)})
