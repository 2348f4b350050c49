"""The air around the unit: pressure by altitude, density, and where water boils under it.

Contract: altitude in metres over sea level of the standard atmosphere, absolute pressures in pascal. Weather
moves the real pressure by about 3 % either way, which the rules' margins must carry.
"""

import math

from .liquids import REGION_4
from .registry import formula

SEA_LEVEL = 101325.0
"""Pressure of the standard atmosphere at sea level in pascal (ISO 2533)."""

_LAPSE = 0.0065
_SEA_LEVEL_TEMPERATURE = 288.15
_EXPONENT = 9.80665 / (_LAPSE * 287.05287)


@formula(
    text="p = 101325 (1 - 0.0065 h/288.15)^5.2559",
    units={"altitude": "m", "return": "Pa"},
    source="ISO 2533:1975, standard atmosphere, lowest layer",
    basis="published",
    model="geopotential altitude -2000 to 11000 m; weather moves it by about 3 %",
    valid={"altitude": (-2000.0, 11000.0)},
)
def pressure(altitude: float) -> float:
    """Return the absolute air pressure in pascal at an altitude in metres."""
    return SEA_LEVEL * math.pow(1 - _LAPSE * altitude / _SEA_LEVEL_TEMPERATURE, _EXPONENT)


@formula(
    text="rho = p / (287.05 T)",
    units={"pressure": "Pa", "temperature": "K", "return": "kg/m**3"},
    source="ISO 2533:1975, equation of state of dry air",
    basis="published",
    model="dry air as an ideal gas; moist air is up to 2 % lighter at 40 degC",
    valid={"pressure": (1e3, 1e6), "temperature": (173.15, 573.15)},
)
def density(pressure: float, temperature: float) -> float:
    """Return the density of dry air in kg/m3 at an absolute pressure in pascal and a temperature in kelvin."""
    return pressure / (287.05287 * temperature)


@formula(
    text="T = (n10 + D - sqrt((n10 + D)^2 - 4 (n9 + n10 D))) / 2, D by the saturation line",
    units={"pressure": "Pa", "return": "K"},
    source="IAPWS-IF97 (R7-97), region 4, eq. 31",
    basis="published",
    model="pure water, 0 to 200 degC; dissolved solids raise it",
    valid={"pressure": (611.213, 1.55e6)},
)
def boiling_point(pressure: float) -> float:
    """Return the boiling temperature of water in kelvin under an absolute pressure in pascal."""
    n = REGION_4
    beta = math.pow(pressure / 1e6, 0.25)
    e = beta * beta + n[2] * beta + n[5]
    f = n[0] * beta * beta + n[3] * beta + n[6]
    g = n[1] * beta * beta + n[4] * beta + n[7]
    d = 2 * g / (-f - math.sqrt(f * f - 4 * e * g))
    return (n[9] + d - math.sqrt((n[9] + d) ** 2 - 4 * (n[8] + n[9] * d))) / 2
