"""What thin air asks of electrical clearances.

Air pressure by altitude is in `air`. Clearances are dimensioned for 2000 m; above that they grow, creepage
does not.
"""

from .registry import formula

_FACTORS = (
    (2000.0, 1.0),
    (3000.0, 1.14),
    (4000.0, 1.29),
    (5000.0, 1.48),
    (6000.0, 1.7),
    (7000.0, 1.95),
    (8000.0, 2.25),
    (9000.0, 2.62),
    (10000.0, 3.02),
)
"""Altitude (m) and multiplication factor for clearances, IEC 60664-1:2007, Table A.2."""


@formula(
    text="factor of the table, between its rows by straight line",
    units={"altitude": "m", "return": ""},
    source="IEC 60664-1:2007, Table A.2",
    basis="recalled",
    model="Clearances only; neither creepage nor solid insulation. Up to 3000 m it is borne out by the "
    "standard atmosphere: the pressure ratio is 1.134. The factor bends upwards, so that a straight line between two "
    "rows is never below it.",
    valid={"altitude": (-2000.0, 10000.0)},
)
def clearance_factor(altitude: float) -> float:
    """Return by what factor clearances have to grow at `altitude` (m) over those for 2000 m."""
    lower = _FACTORS[0]
    for upper in _FACTORS:
        if altitude <= upper[0]:
            share = (altitude - lower[0]) / (upper[0] - lower[0]) if altitude > lower[0] else 0.0
            return lower[1] + share * (upper[1] - lower[1])
        lower = upper
    return _FACTORS[-1][1]
