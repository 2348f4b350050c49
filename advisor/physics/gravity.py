"""Gravity: the standard value, and the normal value at a latitude and height.

Contract: `STANDARD` is used wherever a site does not say where it stands. The spread from pole to equator is
0.53 %, always smaller than the choice of liquid, so no rule needs the latitude; it may use it.
"""

import math

from .registry import formula

STANDARD = 9.80665
"""Standard gravity in m/s2, exact by definition (3rd CGPM, 1901)."""

_EQUATOR = 9.7803253359
_SOMIGLIANA = 0.00193185265241
_ECCENTRICITY_SQUARED = 0.00669437999013
_RADIUS = 6378137.0
_FLATTENING = 1.0 / 298.257223563
_CENTRIFUGAL = 0.00344978650684


@formula(
    text="g = g_e (1 + k sin^2(lat)) / sqrt(1 - e^2 sin^2(lat)), lowered with height by the free-air series",
    units={"latitude": "rad", "height": "m", "return": "m/s**2"},
    source="WGS 84 normal gravity (Somigliana), NGA.STND.0036, section 4",
    basis="published",
    model="ellipsoid without local anomalies, which stay below 0.05 %; open air above ground",
    valid={"latitude": (-math.pi / 2, math.pi / 2), "height": (-2000.0, 11000.0)},
    turning={"latitude": (0.0,)},
)
def normal(latitude: float, height: float = 0.0) -> float:
    """Return normal gravity in m/s2 at a geodetic latitude (radians) and a height over the ellipsoid (m)."""
    s2 = math.sin(latitude) ** 2
    ground = _EQUATOR * (1 + _SOMIGLIANA * s2) / math.sqrt(1 - _ECCENTRICITY_SQUARED * s2)
    slope = 2 / _RADIUS * (1 + _FLATTENING + _CENTRIFUGAL - 2 * _FLATTENING * s2)
    return ground * (1 - slope * height + 3 * (height / _RADIUS) ** 2)
