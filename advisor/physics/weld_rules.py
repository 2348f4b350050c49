"""What rules on weld fields and spatter compute beside the formulas of the other modules.

Contract: pure functions on SI floats, each monotone in every argument. Peak factor and margin enter here, in one
place for all layouts. The field of a twisted lead and the flight of a
drop are summed and integrated step by step; their results are remembered, since a rule asks for the same corners of
an answer's range many times over.
"""

import functools
import math

from . import droplets, helix
from .conductors import MU0
from .registry import formula

_CURRENT = (0.0, 500e3)
_REMEMBERED = 4096
"""Results kept; one site needs some tens."""


@formula(
    text="B_design = B c m",
    units={"field": "T", "factor": "", "margin": "", "return": "T"},
    source="Fields are proportional to the current; peak factor and margin from their tables",
    basis="published",
    model="The field of the current as told, times the peak factor of that figure, times the margin.",
    valid={"field": (0.0, 1e3), "factor": (1.0, 5.0), "margin": (1.0, 5.0)},
)
def design_field(field: float, factor: float, margin: float) -> float:
    """Return the flux density (T) to design for, from that of the current as told."""
    return field * factor * margin


@formula(
    text="B = B_class / (c m)",
    units={"field": "T", "factor": "", "margin": "", "return": "T"},
    source="Fields are proportional to the current; peak factor and margin from their tables",
    basis="published",
    model="What the current as told may make where its peak, with the margin, is to stay within `field`.",
    valid={"field": (0.0, 10.0), "factor": (1.0, 5.0), "margin": (1.0, 5.0)},
)
def allowed_field(field: float, factor: float, margin: float) -> float:
    """Return the flux density (T) that the current as told may make, for `field` (T) with peak and margin."""
    return field / (factor * margin)


@formula(
    text="B <= B1 + B2",
    units={"first": "T", "second": "T", "return": "T"},
    source="Superposition, with the triangle inequality as the bound",
    basis="published",
    model="Fields add as vectors; at the worst they point the same way.",
    valid={"first": (0.0, 1e4), "second": (0.0, 1e4)},
)
def added(first: float, second: float) -> float:
    """Return the most flux density (T) that two sources make together."""
    return first + second


@formula(
    text="r = d + s / 2",
    units={"distance": "m", "spacing": "m", "return": "m"},
    source="Geometry of two cables laid together",
    basis="published",
    model="From the axis of a pair, for a point in the plane of its two conductors.",
    valid={"distance": (0.0, 100.0), "spacing": (0.0, 10.0)},
)
def from_pair_axis(distance: float, spacing: float) -> float:
    """Return the distance (m) from the axis of a pair, `distance` (m) from its nearer conductor."""
    return distance + spacing / 2.0


@formula(
    text="B = mu0 I s / (2 pi r^2)",
    units={"current": "A", "spacing": "m", "distance": "m", "return": "T"},
    source="Biot-Savart law, superposition of two line currents",
    basis="published",
    model="Above or below the gap of a long go and return pair: exact where both conductors are `distance` away, "
    "an upper bound where the other one is further off.",
    valid={"current": _CURRENT, "spacing": (0.0, 10.0), "distance": (1e-3, 100.0)},
)
def above_pair(current: float, spacing: float, distance: float) -> float:
    """Return the most flux density (T) at `distance` (m) from the nearer conductor of a pair, at any height."""
    return MU0 * current * spacing / (2.0 * math.pi * distance * distance)


@formula(
    text="r = sqrt(mu0 I s / (2 pi B))",
    units={"current": "A", "field": "T", "spacing": "m", "return": "m"},
    source="Superposition of two line currents, inverted",
    basis="published",
    model="From the nearer conductor of a long go and return pair, at any height over their plane.",
    valid={"current": _CURRENT, "field": (1e-6, 5.0), "spacing": (0.0, 10.0)},
)
def keep_out_above_pair(current: float, field: float, spacing: float) -> float:
    """Return the distance (m) from the nearer conductor of a pair beyond which no point has `field` (T)."""
    return math.sqrt(MU0 * current * spacing / (2.0 * math.pi * field))


@formula(
    text="B <= 2 mu0 I k a / pi  sum over odd n of max(n I_n'(nka) K_n(nkr) sqrt(k^2 + 1/r^2), n k I_n'(nka) "
    "|K_n'(nkr)|), a = s / 2, k = max(2 pi / pitch, 0.62 / r)",
    units={"current": "A", "spacing": "m", "pitch": "m", "distance": "m", "return": "T"},
    source="Field of helical line currents in modified Bessel functions",
    basis="published",
    model="A long pair twisted without a break, r from the axis of the cable, 60 mm or more; nearer than a quarter of "
    "the pitch twisting does almost nothing.",
    valid={"current": _CURRENT, "spacing": (2e-3, 0.1), "pitch": (0.05, 2.0), "distance": (0.06, 100.0)},
)
def twisted_lead(current: float, spacing: float, pitch: float, distance: float) -> float:
    """Return the largest flux density (T) at `distance` (m) from the axis of a twisted pair."""
    return current * _twisted_by_one_ampere(spacing, pitch, distance)


@functools.lru_cache(_REMEMBERED)
def _twisted_by_one_ampere(spacing: float, pitch: float, distance: float) -> float:
    return helix.twisted_pair(1.0, spacing, pitch, distance)


@formula(
    text="m dh/dt = -A (h_c (T - T_air) + eps sigma (T^4 - T_air^4)), m dv/dt = m g - drag, along the path",
    units={"diameter": "m", "speed": "m/s", "start": "K", "distance": "m", "return": "K"},
    source="Ranz and Marshall 1952 (convection); Schiller and Naumann 1935 (drag); handbook data of iron",
    basis="recalled",
    model="Lumped iron drop falling straight to the unit through air of 25 degC, no heat of oxidation. Order of "
    "magnitude, most of all for fine drops.",
    valid={"diameter": (5e-5, 0.005), "speed": (0.3, 30.0), "start": (1811.0, 3000.0), "distance": (0.0, 10.0)},
)
def drop_arrival(diameter: float, speed: float, start: float, distance: float) -> float:
    """Return the temperature (K) of a drop of `diameter` (m) after `distance` (m), thrown at `speed` (m/s)."""
    return _arrival(diameter, speed, start, distance)


_arrival = functools.lru_cache(_REMEMBERED)(functools.partial(droplets.arrival_temperature, air=298.15))
