"""Distance from a weld conductor at which the flux density has fallen to a stated value.

The inverses of `magnetics`, one for each conductor layout: metres from ampere and tesla. Closed where the
layout allows it, otherwise by bisection between 1 mm and 100 m, so that a result of 100 m means that or more.
The field to put in is the unit's immunity divided by the margin. Distances count to the conductor centre
line.
"""

import math
from collections.abc import Callable

from . import helix, magnetics
from .conductors import MU0
from .registry import formula

_CURRENT = (0.0, 500e3)
_FIELD = (1e-6, 5.0)
_FLOOR, _CEILING = 1e-3, 100.0


def _search(field_at: Callable[[float], float], field: float, floor: float) -> float:
    """Return the distance at which a falling `field_at` reaches `field`, by bisection on the logarithm."""
    if field_at(floor) <= field:
        return floor
    if field_at(_CEILING) >= field:
        return _CEILING
    low, high = math.log(floor), math.log(_CEILING)
    for _ in range(34):
        middle = 0.5 * (low + high)
        if field_at(math.exp(middle)) > field:
            low = middle
        else:
            high = middle
    return math.exp(high)


@formula(
    text="r = mu0 I / (2 pi B)",
    units={"current": "A", "field": "T", "return": "m"},
    source="Ampere's law, inverted",
    basis="published",
    model="Single long conductor.",
    valid={"current": _CURRENT, "field": _FIELD},
)
def long_wire(current: float, field: float) -> float:
    """Return the distance (m) from a long wire at which its flux density is `field` (T)."""
    return MU0 * current / (2.0 * math.pi * field)


@formula(
    text="r = mu0 I / (2 B)",
    units={"current": "A", "field": "T", "return": "m"},
    source="Upper bound for a convex plane loop, inverted",
    basis="published",
    model="Loop of unknown size, point in, beside or above it: beyond this distance no such loop makes more.",
    valid={"current": _CURRENT, "field": _FIELD},
)
def near_any_loop(current: float, field: float) -> float:
    """Return the distance (m) from the nearest conductor beyond which no weld loop exceeds `field` (T)."""
    return MU0 * current / (2.0 * field)


@formula(
    text="r = (sqrt(d^2 + 2 mu0 I d / (pi B)) - d) / 2",
    units={"current": "A", "field": "T", "spacing": "m", "return": "m"},
    source="Superposition of two line currents, inverted",
    basis="published",
    model="Outside a long go and return pair, counted from the nearer conductor.",
    valid={"current": _CURRENT, "field": _FIELD, "spacing": (0.0, 10.0)},
)
def beside_pair(current: float, field: float, spacing: float) -> float:
    """Return the distance (m) beside a pair at which its flux density is `field` (T)."""
    push = 2.0 * MU0 * current * spacing / (math.pi * field)
    return push / (math.sqrt(spacing * spacing + push) + spacing) / 2.0 if push > 0.0 else 0.0


@formula(
    text="r from B(r) = B, B(r) outside a rectangular throat",
    units={"current": "A", "field": "T", "leg": "m", "width": "m", "return": "m"},
    source="Biot-Savart law, four finite sides, inverted by bisection",
    basis="published",
    model="Outside the throat, opposite the middle of the side of this length; `width` is how far it "
    "reaches behind.",
    valid={"current": _CURRENT, "field": _FIELD, "leg": (1e-3, 20.0), "width": (0.0, 20.0)},
)
def outside_throat(current: float, field: float, leg: float, width: float) -> float:
    """Return the distance (m) outside a throat at which its flux density is `field` (T); 1 mm or more."""
    return _search(lambda r: magnetics.outside_throat(current, r, leg, width), field, _FLOOR)


@formula(
    text="r = (e + sqrt(e^2 + 2 mu0 I e / (pi B))) / 2",
    units={"current": "A", "field": "T", "eccentricity": "m", "return": "m"},
    source="Superposition of two line currents, inverted",
    basis="published",
    model="Coaxial lead with its core off centre by e, from the cable axis.",
    valid={"current": _CURRENT, "field": _FIELD, "eccentricity": (0.0, 0.02)},
)
def coaxial(current: float, field: float, eccentricity: float) -> float:
    """Return the distance (m) from the axis of a coaxial lead at which its flux density is `field` (T)."""
    push = 2.0 * MU0 * current * eccentricity / (math.pi * field)
    return 0.5 * (eccentricity + math.sqrt(eccentricity**2 + push))


@formula(
    text="r from B(r) = B, B(r) beside an interleaved lead",
    units={"current": "A", "field": "T", "pairs": "", "radius": "m", "return": "m"},
    source="Complex field sum over line currents, inverted by bisection",
    basis="published",
    model="From the cable axis; 55 mm at the least.",
    valid={"current": _CURRENT, "field": _FIELD, "pairs": (1.0, 6.0), "radius": (1e-3, 0.05)},
)
def interleaved(current: float, field: float, pairs: float, radius: float) -> float:
    """Return the distance (m) from the axis of an interleaved lead at which it makes `field` (T)."""
    return _search(lambda r: magnetics.interleaved(current, pairs, radius, r), field, 0.055)


@formula(
    text="r from B(r) = B, B(r) beside a twisted pair",
    units={"current": "A", "field": "T", "spacing": "m", "pitch": "m", "return": "m"},
    source="Field of helical line currents, inverted by bisection",
    basis="published",
    model="From the cable axis; 60 mm at the least. Only while the twist is unbroken.",
    valid={"current": _CURRENT, "field": _FIELD, "spacing": (2e-3, 0.1), "pitch": (0.05, 2.0)},
)
def twisted_pair(current: float, field: float, spacing: float, pitch: float) -> float:
    """Return the distance (m) from the axis of a twisted pair at which its flux density is `field` (T)."""
    return _search(lambda r: helix.twisted_pair(current, spacing, pitch, r), field, 0.06)
