"""Energy of what falls or drives against a unit, and the drop a shock pulse stands for.

Rigid bodies, all of the energy taken by the unit: joule from kilogram, metre, metre a second.
"""

import math

from .gravity import STANDARD
from .registry import formula

_MASS = (0.0, 1e5)
_MECHANICS = "Mechanics"


@formula(
    text="E = m g h",
    units={"mass": "kg", "height": "m", "return": "J"},
    source=_MECHANICS,
    basis="published",
    valid={"mass": _MASS, "height": (0.0, 100.0)},
)
def drop_energy(mass: float, height: float) -> float:
    """Return the energy (J) of a body of `mass` (kg) that has fallen `height` (m)."""
    return mass * STANDARD * height


@formula(
    text="E = m v^2 / 2",
    units={"mass": "kg", "speed": "m/s", "return": "J"},
    source=_MECHANICS,
    basis="published",
    valid={"mass": _MASS, "speed": (0.0, 100.0)},
)
def moving_energy(mass: float, speed: float) -> float:
    """Return the energy (J) of a body of `mass` (kg) moving at `speed` (m/s)."""
    return 0.5 * mass * speed * speed


@formula(
    text="v = sqrt(2 g h)",
    units={"height": "m", "return": "m/s"},
    source=_MECHANICS,
    basis="published",
    valid={"height": (0.0, 100.0)},
)
def drop_speed(height: float) -> float:
    """Return the speed (m/s) after a fall of `height` (m)."""
    return math.sqrt(2.0 * STANDARD * height)


@formula(
    text="h = v^2 / (2 g)",
    units={"speed": "m/s", "return": "m"},
    source=_MECHANICS,
    basis="published",
    valid={"speed": (0.0, 100.0)},
)
def equivalent_drop(speed: float) -> float:
    """Return the height (m) of fall that ends at `speed` (m/s)."""
    return speed * speed / (2.0 * STANDARD)


@formula(
    text="dv = 2 A D / pi",
    units={"peak": "m/s**2", "duration": "s", "return": "m/s"},
    source="Area of a half sine; IEC 60068-2-27",
    basis="published",
    model="Half-sine pulse.",
    valid={"peak": (0.0, 1e5), "duration": (0.0, 0.1)},
)
def pulse_speed(peak: float, duration: float) -> float:
    """Return the change of speed (m/s) of a half-sine shock of `peak` (m/s2) and `duration` (s)."""
    return 2.0 * peak * duration / math.pi
