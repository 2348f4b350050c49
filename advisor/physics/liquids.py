"""Properties of fresh and sea water that pressure, jets and breathing need.

Contract: temperatures in kelvin, salinity as a mass fraction (0.035 is 35 g/kg), pressures in pascal. Each
function is a fit with a stated range; outside of it the rules take the limit of the range and say so.
"""

import math

from .registry import formula

ICE_POINT = 273.15
"""0 degC in kelvin."""

DENSEST = 277.1331691518
"""Temperature in kelvin at which the fit of `fresh_water_density` has its maximum."""

SEA_TURNS = (*(271.65 + 0.5 * step for step in range(11)), DENSEST)
"""Where sea water may turn in temperature, in kelvin.

The temperature of greatest density runs from 3.98 degC without salt to below freezing at 25 g/kg, and falls
with pressure, so that there is no single point. Half a kelvin between the points leaves less than 1e-6.
"""

REGION_4 = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849e0,
    0.65017534844798e3,
)
"""Coefficients of the saturation line, IAPWS-IF97 region 4 (kelvin and megapascal)."""


def _polynomial(x: float, *coefficients: float) -> float:
    """Return the polynomial with the coefficients in rising order at x."""
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


@formula(
    text="rho = (999.83952 + 16.945176 t - ... - 280.54253e-12 t^5) / (1 + 16.879850e-3 t), t in degC",
    units={"temperature": "K", "return": "kg/m**3"},
    source="Kell 1975, J. Chem. Eng. Data 20(1):97, eq. 16",
    basis="published",
    model="air-free pure water at one atmosphere, 0 to 100 degC; each 100 bar would add about 0.45 %",
    valid={"temperature": (ICE_POINT, 373.15)},
    turning={"temperature": (DENSEST,)},
)
def fresh_water_density(temperature: float) -> float:
    """Return the density of fresh water in kg/m3 at a temperature in kelvin and one atmosphere."""
    t = temperature - ICE_POINT
    top = _polynomial(
        t, 999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12
    )
    return top / (1 + 16.879850e-3 * t)


def _one_atmosphere(t: float, s: float) -> float:
    """Return the density of sea water in kg/m3 at one atmosphere (degC on IPTS-68, practical salinity)."""
    pure = _polynomial(t, 999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9)
    linear = _polynomial(t, 8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
    three_halves = _polynomial(t, -5.72466e-3, 1.0227e-4, -1.6546e-6)
    return pure + linear * s + three_halves * s * math.sqrt(s) + 4.8314e-4 * s * s


def _secant_bulk_modulus(t: float, s: float, p: float) -> float:
    """Return the secant bulk modulus of sea water in bar (degC on IPTS-68, practical salinity, gauge bar)."""
    root = s * math.sqrt(s)
    surface = (
        _polynomial(t, 19652.21, 148.4206, -2.327105, 1.360477e-2, -5.155288e-5)
        + _polynomial(t, 54.6746, -0.603459, 1.09987e-2, -6.1670e-5) * s
        + _polynomial(t, 7.944e-2, 1.6483e-2, -5.3009e-4) * root
    )
    first = (
        _polynomial(t, 3.239908, 1.43713e-3, 1.16092e-4, -5.77905e-7)
        + _polynomial(t, 2.2838e-3, -1.0981e-5, -1.6078e-6) * s
        + 1.91075e-4 * root
    )
    second = _polynomial(t, 8.50935e-5, -6.12293e-6, 5.2787e-8) + _polynomial(
        t, -9.9348e-7, 2.0816e-8, 9.1697e-10
    ) * s
    return surface + first * p + second * p * p


@formula(
    text="rho = rho(S,t,0) / (1 - p/K(S,t,p))",
    units={"temperature": "K", "salinity": "", "pressure": "Pa", "return": "kg/m**3"},
    source="International equation of state of sea water, UNESCO Tech. Pap. Mar. Sci. 44 (1983), eqs 13 to 19",
    basis="published",
    model="-2 to 40 degC, 0 to 42 g/kg, fitted to 1000 bar and carried on to 1200 bar (0.05 % there); absolute salinity"
    " mass fraction, taken as 35.16504/35 of the practical salinity",
    valid={"temperature": (271.15, 313.15), "salinity": (0.0, 0.042), "pressure": (0.0, 1.2e8)},
    turning={"temperature": SEA_TURNS},
)
def sea_water_density(temperature: float, salinity: float, pressure: float = 0.0) -> float:
    """Return the density of sea or brackish water in kg/m3 (kelvin, kg salt per kg water, gauge pascal)."""
    # 1.00024: the equation stands on the temperature scale of 1968
    t = 1.00024 * (temperature - ICE_POINT)
    s = salinity * 1000.0 * 35.0 / 35.16504
    p = pressure / 1e5
    return _one_atmosphere(t, s) / (1 - p / _secant_bulk_modulus(t, s, p))


@formula(
    text="p = (2C / (-B + sqrt(B^2 - 4AC)))^4 MPa, A, B, C quadratic in theta = T + n9/(T - n10)",
    units={"temperature": "K", "return": "Pa"},
    source="IAPWS-IF97 (R7-97), region 4, eq. 30",
    basis="published",
    model="pure water against its own vapour, 0 to 200 degC",
    valid={"temperature": (ICE_POINT, 473.15)},
)
def saturation_pressure(temperature: float) -> float:
    """Return the saturation pressure of water in pascal absolute at a temperature in kelvin."""
    n = REGION_4
    theta = temperature + n[8] / (temperature - n[9])
    a = theta * theta + n[0] * theta + n[1]
    b = n[2] * theta * theta + n[3] * theta + n[4]
    c = n[5] * theta * theta + n[6] * theta + n[7]
    quarter = 2 * c / (-b + math.sqrt(b * b - 4 * a * c))
    return 1e6 * math.pow(quarter, 4)


@formula(
    text="sigma = 0.2358 tau^1.256 (1 - 0.625 tau), tau = 1 - T/647.096",
    units={"temperature": "K", "return": "N/m"},
    source="IAPWS R1-76 (2014), surface tension of ordinary water",
    basis="published",
    model="clean water against its vapour or air; a detergent lowers it to about half",
    valid={"temperature": (ICE_POINT, 473.15)},
)
def surface_tension(temperature: float) -> float:
    """Return the surface tension of clean water in N/m at a temperature in kelvin."""
    tau = 1 - temperature / 647.096
    return 0.2358 * math.pow(tau, 1.256) * (1 - 0.625 * tau)
