"""Sensing distances of proximity switches: from the rated figure to what is assured in this place.

The chain of the product standard: a unit's effective distance lies within a band round the rated one, its
usable distance within a band round the effective one; the assured distance is what is left at the low ends,
times the reduction for target metal and for whatever stands in front of the face. The factors are arguments:
they are the standard's or the maker's figures and stand in the tables. All lengths in metres, factors as pure
numbers.
"""

from .registry import formula

_STANDARD = "IEC 60947-5-2:2007, 2.3.1 and 7.2.1.3"
_RATED = (0.0, 2.0)
_FACTOR = (0.0, 1.5)


@formula(
    text="sa = f_eff f_use k_target k_other sn",
    units={
        "rated": "m",
        "effective_factor": "",
        "usable_factor": "",
        "target_factor": "",
        "other_factor": "",
        "return": "m",
    },
    source=_STANDARD,
    basis="published",
    model="Low end of both bands (0.9 each makes 0.81 sn); target_factor is the reduction for the target "
    "metal, take its low end; other_factor for small target, metal round the face or a sheet before it, 1 "
    "if none.",
    valid={
        "rated": _RATED,
        "effective_factor": _FACTOR,
        "usable_factor": _FACTOR,
        "target_factor": _FACTOR,
        "other_factor": _FACTOR,
    },
)
def assured(
    rated: float, effective_factor: float, usable_factor: float, target_factor: float, other_factor: float
) -> float:
    """Return the distance (m) within which a target is detected for sure by any unit of the type."""
    return rated * effective_factor * usable_factor * target_factor * other_factor


@formula(
    text="s_off = f_eff (f_use + H) sn",
    units={"rated": "m", "effective_factor": "", "usable_factor": "", "hysteresis": "", "return": "m"},
    source=f"{_STANDARD}, derived from the tolerances (1.1, 1.1 and 0.2 make 1.43 sn)",
    basis="published",
    model="High end of both bands; beyond this the output is off for sure.",
    valid={"rated": _RATED, "effective_factor": _FACTOR, "usable_factor": _FACTOR, "hysteresis": (0.0, 0.5)},
)
def surely_off(rated: float, effective_factor: float, usable_factor: float, hysteresis: float) -> float:
    """Return the distance (m) beyond which a target is released for sure; hysteresis as a share of sr."""
    return rated * effective_factor * (usable_factor + hysteresis)


@formula(
    text="reserve = sa - gap - layer - play",
    units={"assured_distance": "m", "gap": "m", "layer": "m", "play": "m", "return": "m"},
    source="Geometry: what stands between face and target comes off the assured distance",
    basis="common practice",
    model="`gap` is the standoff from face to target, `layer` the coat or build-up that pushes it out, "
    "`play` the movement of the target away. Negative: no assured reading.",
    valid={"assured_distance": _RATED, "gap": _RATED, "layer": (0.0, 0.1), "play": (0.0, 1.0)},
)
def reserve(assured_distance: float, gap: float, layer: float, play: float) -> float:
    """Return the distance (m) in hand with a target at `gap` (m); below zero nothing is assured."""
    return assured_distance - gap - layer - play


@formula(
    text="sn >= (gap + layer + play) / (f_eff f_use k_target k_other)",
    units={
        "gap": "m",
        "layer": "m",
        "play": "m",
        "effective_factor": "",
        "usable_factor": "",
        "target_factor": "",
        "other_factor": "",
        "return": "m",
    },
    source=f"{_STANDARD}, inverted",
    basis="published",
    valid={
        "gap": _RATED,
        "layer": (0.0, 0.1),
        "play": (0.0, 1.0),
        "effective_factor": (0.5, 1.5),
        "usable_factor": (0.5, 1.5),
        "target_factor": (0.05, 1.5),
        "other_factor": (0.05, 1.5),
    },
)
def rated_needed(
    gap: float,
    layer: float,
    play: float,
    effective_factor: float,
    usable_factor: float,
    target_factor: float,
    other_factor: float,
) -> float:
    """Return the rated distance (m) a unit needs so that a target at `gap` (m) is read for sure."""
    return (gap + layer + play) / (effective_factor * usable_factor * target_factor * other_factor)


@formula(
    text="clearance = s_opposite - s_off - growth",
    units={"opposite": "m", "off_distance": "m", "growth": "m", "return": "m"},
    source="Geometry: a background or a growing layer of metal must stay beyond the sure-off distance",
    basis="common practice",
    model="Negative: metal that is not the target can hold the output on.",
    valid={"opposite": (0.0, 5.0), "off_distance": (0.0, 5.0), "growth": (0.0, 0.1)},
)
def background_clearance(opposite: float, off_distance: float, growth: float) -> float:
    """Return by how much (m) metal behind the target at `opposite` (m) stays clear of being seen."""
    return opposite - off_distance - growth


@formula(
    text="side = max(d, n sn)",
    units={"face": "m", "rated": "m", "multiple": "", "return": "m"},
    source="IEC 60947-5-2:2007, 8.3.2.1 (n = 3)",
    basis="published",
    model="Square of 1 mm carbon steel; smaller targets are seen later, larger ones no sooner.",
    valid={"face": (0.0, 0.5), "rated": _RATED, "multiple": (1.0, 10.0)},
)
def standard_target(face: float, rated: float, multiple: float) -> float:
    """Return the side (m) of the standard target for a `face` diameter and a `rated` distance (m)."""
    return max(face, multiple * rated)


@formula(
    text="zone = n x",
    units={"base": "m", "multiple": "", "return": "m"},
    source="IEC 60947-5-2:2007, Annex A, and mounting practice",
    basis="common practice",
    model="Free zones and spacings are multiples of the rated distance or of the diameter; the multiples "
    "stand in the table of mounting zones.",
    valid={"base": (0.0, 5.0), "multiple": (0.0, 20.0)},
)
def zone(base: float, multiple: float) -> float:
    """Return a free zone or spacing (m): `multiple` times the rated distance or the diameter (m)."""
    return multiple * base
