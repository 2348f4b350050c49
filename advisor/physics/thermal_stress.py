"""What a change of temperature does to joints and faces: differing expansion, and thermal shock of brittle
parts.

Changes of temperature in kelvin (a fall is positive where said), lengths in metres, stress in pascal.
"""

from .registry import formula

_ALPHA = (0.0, 400e-6)
_CHANGE = (0.0, 500.0)
_MODULUS = (1e6, 1e12)
_POISSON = (0.0, 0.499)


@formula(
    text="gap = (alpha_inner - alpha_outer) d dT",
    units={"inner": "1/K", "outer": "1/K", "diameter": "m", "fall": "delta_degC", "return": "m"},
    source="Linear thermal expansion; coefficients from material handbooks",
    basis="published",
    model="Both parts at the same temperature. Positive: the inner part shrinks away on cooling, and "
    "tightens on heating; negative the other way round.",
    valid={"inner": _ALPHA, "outer": _ALPHA, "diameter": (0.0, 5.0), "fall": _CHANGE},
)
def gap_on_cooling(inner: float, outer: float, diameter: float, fall: float) -> float:
    """Return the gap (m, on the diameter) that opens between a part and the ring round it in a fall (K)."""
    return (inner - outer) * diameter * fall


@formula(
    text="sigma = E alpha dT / (1 - nu)",
    units={"modulus": "Pa", "expansion": "1/K", "change": "delta_degC", "poisson": "", "return": "Pa"},
    source="Thermal stress of a face held flat, strength of materials textbooks",
    basis="published",
    model="Sudden change of the whole surface before the inside follows: the most a thermal shock can do.",
    valid={"modulus": _MODULUS, "expansion": _ALPHA, "change": _CHANGE, "poisson": _POISSON},
)
def shock_stress(modulus: float, expansion: float, change: float, poisson: float) -> float:
    """Return the largest surface stress (Pa) in a face whose surface changes by `change` (K) at once."""
    return modulus * expansion * change / (1.0 - poisson)


@formula(
    text="dT = sigma (1 - nu) / (E alpha)",
    units={"strength": "Pa", "modulus": "Pa", "expansion": "1/K", "poisson": "", "return": "delta_degC"},
    source="First thermal shock parameter, handbooks on glass and ceramics",
    basis="published",
    model="Design strength, not the mean of polished samples: scratched faces break sooner.",
    valid={"strength": (1e5, 5e9), "modulus": (1e9, 1e12), "expansion": (1e-7, 400e-6), "poisson": _POISSON},
)
def shock_limit(strength: float, modulus: float, expansion: float, poisson: float) -> float:
    """Return the sudden change (K) a brittle face of this tensile `strength` (Pa) can stand."""
    return strength * (1.0 - poisson) / (modulus * expansion)
