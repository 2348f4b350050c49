"""Why a ferrite-cored sensor gives way in a weld field: the outside field at which its core saturates.

A slender core gathers flux, so an outside field far below the saturation of the material saturates it.
"""

import math

from .registry import formula


@formula(
    text="B = N B_sat, N = ((m / sqrt(m^2-1)) arcosh m - 1) / (m^2 - 1)",
    units={"slenderness": "", "saturation": "T", "return": "T"},
    source="Demagnetising factor of a prolate spheroid, textbooks of magnetism",
    basis="published",
    model="Rod core of length over diameter m along the field. Full saturation: detuning sets in at about "
    "half of it.",
    valid={"slenderness": (1.0, 50.0), "saturation": (0.1, 2.5)},
)
def core_saturates_at(slenderness: float, saturation: float) -> float:
    """Return the outside flux density (T) that saturates a core of this slenderness and `saturation` (T)."""
    excess = slenderness * slenderness - 1.0
    if excess < 1e-4:
        return (1.0 / 3.0 - 4.0 / 15.0 * (slenderness - 1.0)) * saturation
    factor = (slenderness / math.sqrt(excess) * math.acosh(slenderness) - 1.0) / excess
    return factor * saturation
