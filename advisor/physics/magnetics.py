"""Flux density round weld conductors in closed form: wire, piece, pair, throat, coaxial and interleaved lead.

Each function gives the size of the flux density in tesla from a current in ampere and distances in metres to
conductor centre lines, in air. The current is whatever the reader wants the field of: for saturation and
false switching that is the peak, not the rms value (`pulses.crest_of_phase_control`). Steel near by can raise
the field; that is left to a margin (`magnetics.with_margin`). Every function is monotone in each argument, so
that ranges of distance and current can be carried through.
"""

import math

from .conductors import MU0
from .registry import formula

_BIOT = "Biot-Savart law, any textbook of electromagnetism"
_CURRENT = (0.0, 500e3)
_NEAR = (1e-3, 100.0)
_SIDE = (1e-3, 100.0)


@formula(
    text="B = mu0 I / (2 pi r)",
    units={"current": "A", "distance": "m", "return": "T"},
    source=f"Ampere's law; {_BIOT}",
    basis="published",
    model="One straight conductor, longer than four times the distance, its return five times further off "
    "or more.",
    valid={"current": _CURRENT, "distance": _NEAR},
)
def long_wire(current: float, distance: float) -> float:
    """Return the flux density (T) at `distance` (m) from a long wire: 10 kA at 50 mm make 40 mT."""
    return MU0 * current / (2.0 * math.pi * distance)


@formula(
    text="B = mu0 I / (4 pi r) (a / sqrt(a^2 + r^2) + b / sqrt(b^2 + r^2))",
    units={"current": "A", "distance": "m", "before": "m", "beyond": "m", "return": "T"},
    source=_BIOT,
    basis="published",
    model="A straight piece seen from a point abreast of it; `before` and `beyond` are its lengths to "
    "either side of the point. The rest of the circuit comes on top.",
    valid={"current": _CURRENT, "distance": _NEAR, "before": (0.0, 100.0), "beyond": (0.0, 100.0)},
)
def straight_piece(current: float, distance: float, before: float, beyond: float) -> float:
    """Return the flux density (T) beside a piece of conductor; opposite an end `before` is 0."""
    reach = before / math.hypot(before, distance) + beyond / math.hypot(beyond, distance)
    return MU0 * current / (4.0 * math.pi * distance) * reach


@formula(
    text="B <= mu0 I / (2 r)",
    units={"current": "A", "distance": "m", "return": "T"},
    source="Biot-Savart law: seen from any point, a convex plane loop spans an arc of 2 pi at most, no "
    "nearer than r",
    basis="published",
    model="Upper bound, reached at the centre of a circle, for every point in, beside or above one convex "
    "plane loop of unknown size; r is the distance to the nearest conductor. It is pi times the "
    "single-wire value.",
    valid={"current": _CURRENT, "distance": _NEAR},
)
def near_any_loop(current: float, distance: float) -> float:
    """Return the largest flux density (T) possible at `distance` (m) from the nearest side of a weld loop."""
    return MU0 * current / (2.0 * distance)


@formula(
    text="B = mu0 I d / (2 pi r1 r2)",
    units={"current": "A", "spacing": "m", "near": "m", "far": "m", "return": "T"},
    source=f"{_BIOT}, superposition of two line currents",
    basis="published",
    model="Long parallel go and return conductors, exact anywhere outside them; near and far are the "
    "distances from the point to the two.",
    valid={"current": _CURRENT, "spacing": (0.0, 10.0), "near": _NEAR, "far": _NEAR},
)
def pair(current: float, spacing: float, near: float, far: float) -> float:
    """Return the flux density (T) of a go and return pair at `near` and `far` (m) from its two conductors."""
    return MU0 * current * spacing / (2.0 * math.pi * near * far)


@formula(
    text="B = mu0 I d / (2 pi r (r + d))",
    units={"current": "A", "spacing": "m", "distance": "m", "return": "T"},
    source=f"{_BIOT}, superposition of two line currents",
    basis="published",
    model="Outside a long go and return pair, in its plane or further from the far conductor than that.",
    valid={"current": _CURRENT, "spacing": (0.0, 10.0), "distance": _NEAR},
)
def beside_pair(current: float, spacing: float, distance: float) -> float:
    """Return the flux density (T) in the plane of a pair, `distance` (m) outside the nearer conductor."""
    return MU0 * current / (2.0 * math.pi) * (1.0 / distance - 1.0 / (distance + spacing))


@formula(
    text="B = mu0 I / (2 pi) (1 / r + 1 / (d - r)), r <= d / 2",
    units={"current": "A", "spacing": "m", "distance": "m", "return": "T"},
    source=f"{_BIOT}, superposition of two line currents",
    basis="published",
    model="Between the conductors of a long pair, where the two fields add; beyond the middle the value of "
    "the middle is kept, since r is the distance to the nearer conductor.",
    valid={"current": _CURRENT, "spacing": (2e-3, 10.0), "distance": _NEAR},
)
def between_pair(current: float, spacing: float, distance: float) -> float:
    """Return the flux density (T) between go and return, `distance` (m) from the nearer conductor."""
    nearest = min(distance, spacing / 2.0)
    return MU0 * current / (2.0 * math.pi) * (1.0 / nearest + 1.0 / (spacing - nearest))


@formula(
    text="B = mu0 I / (4 pi) sum over the corners of sqrt(1 / x^2 + 1 / y^2)",
    units={"current": "A", "left": "m", "right": "m", "front": "m", "back": "m", "return": "T"},
    source=f"{_BIOT}, four finite sides",
    basis="published",
    model="A point inside a rectangular throat and in its plane; the four distances are to its four sides.",
    valid={"current": _CURRENT, "left": _SIDE, "right": _SIDE, "front": _SIDE, "back": _SIDE},
)
def inside_throat(current: float, left: float, right: float, front: float, back: float) -> float:
    """Return the flux density (T) inside a weld-gun throat at the given distances (m) from its four sides."""
    total = sum(math.hypot(1.0 / x, 1.0 / y) for x in (left, right) for y in (front, back))
    return MU0 * current / (4.0 * math.pi) * total


@formula(
    text="B = mu0 I / (2 pi) (sqrt(1 / r^2 + 1 / h^2) - sqrt(1 / (r + w)^2 + 1 / h^2)), h = leg / 2",
    units={"current": "A", "distance": "m", "leg": "m", "width": "m", "return": "T"},
    source=f"{_BIOT}, four finite sides",
    basis="published",
    model="Outside a rectangular throat, in its plane, opposite the middle of the nearest side, which is "
    "where the field is strongest at that distance; `width` is how far the throat reaches behind that side.",
    valid={"current": _CURRENT, "distance": _NEAR, "leg": (1e-3, 20.0), "width": (0.0, 20.0)},
)
def outside_throat(current: float, distance: float, leg: float, width: float) -> float:
    """Return the flux density (T) `distance` (m) outside the side `leg` (m) of a weld-gun throat."""
    half = 2.0 / leg
    here, behind = math.hypot(1.0 / distance, half), math.hypot(1.0 / (distance + width), half)
    return MU0 * current / (2.0 * math.pi) * (here - behind)


@formula(
    text="B = mu0 I A / (2 pi r^3)",
    units={"current": "A", "area": "m**2", "distance": "m", "return": "T"},
    source="Magnetic dipole, field on the axis",
    basis="published",
    model="Upper bound in every direction from two loop diagonals on; r is counted from the middle of the "
    "loop.",
    valid={"current": _CURRENT, "area": (0.0, 10.0), "distance": (0.05, 100.0)},
)
def far_from_loop(current: float, area: float, distance: float) -> float:
    """Return the flux density (T) far from a loop of `area` (m2), at `distance` (m) from its middle."""
    return MU0 * current * area / (2.0 * math.pi * distance**3)


@formula(
    text="B = mu0 I e / (2 pi r (r - e))",
    units={"current": "A", "eccentricity": "m", "distance": "m", "return": "T"},
    source=f"Ampere's law; {_BIOT}, superposition of two line currents",
    basis="published",
    model="Coaxial lead whose core lies off centre by e, on the side to which it lies; none at all if it "
    "is centred.",
    valid={"current": _CURRENT, "eccentricity": (0.0, 0.02), "distance": (0.025, 100.0)},
)
def coaxial(current: float, eccentricity: float, distance: float) -> float:
    """Return the flux density (T) at `distance` (m) from the axis of a coaxial weld lead."""
    return MU0 * current * eccentricity / (2.0 * math.pi * distance * (distance - eccentricity))


@formula(
    text="B = mu0 I / (2 pi) 2 r^(n-1) R^n / (r^(2n) - R^(2n))",
    units={"current": "A", "pairs": "", "radius": "m", "distance": "m", "return": "T"},
    source="Complex field sum over 2n line currents of alternating sign on a circle",
    basis="published",
    model="Interleaved low-reactance weld lead of n pairs of bundles on a circle of radius R, untwisted; the "
    "current is the whole current one way. One pair is the plain pair.",
    valid={"current": _CURRENT, "pairs": (1.0, 6.0), "radius": (1e-3, 0.05), "distance": (0.055, 100.0)},
)
def interleaved(current: float, pairs: float, radius: float, distance: float) -> float:
    """Return the largest flux density (T) at `distance` (m) from the axis of an interleaved weld lead."""
    power = (radius / distance) ** pairs
    return float(MU0 * current / (2.0 * math.pi) * 2.0 * power / (distance * (1.0 - power * power)))


@formula(
    text="B_design = margin B",
    units={"field": "T", "margin": "", "return": "T"},
    source="Margin for tolerances of place and current and for steel near by",
    basis="common practice",
    model="The margins themselves stand in the table of conductor layouts.",
    valid={"field": (0.0, 10.0), "margin": (1.0, 5.0)},
)
def with_margin(field: float, margin: float) -> float:
    """Return the flux density (T) to design for: the computed one times the margin."""
    return field * margin
