"""Pressure at rest: columns of liquid, gauge and absolute, and the sea with its compressibility.

Contract: depth in metres below the free surface, gauge pressure in pascal over the air above that surface. A
closed tank's head-space pressure, waves and pump surges come on top and are not in here.
"""

import math

from .air import SEA_LEVEL
from .gravity import STANDARD
from .liquids import SEA_TURNS, fresh_water_density, sea_water_density
from .registry import formula

_DEPTH = (0.0, 11000.0)
_PRESSURE = (0.0, 1e8)
_DENSITY = (500.0, 2500.0)
_GRAVITY = (9.76, 9.85)
_SEA = {"temperature": (271.15, 313.15), "salinity": (0.0, 0.042), "gravity": _GRAVITY}
STANDARD_SALINITY = 0.03516504
"""Mass fraction of salt in standard sea water (TEOS-10)."""

_GRAVITY_GAIN = 2.26e-7
"""Relative gain of gravity for each metre of sea depth, as TEOS-10 takes it."""

_NODES = ((0.5 - math.sqrt(0.15), 5 / 18), (0.5, 8 / 18), (0.5 + math.sqrt(0.15), 5 / 18))
"""Places and weights of three-point Gauss integration over 0 to 1."""


@formula(
    text="p = rho g h",
    units={"depth": "m", "density": "kg/m**3", "gravity": "m/s**2", "return": "Pa"},
    source="hydrostatics, any fluid mechanics text",
    basis="published",
    model="liquid of one density at rest; compression adds 0.05 % at 200 m and 2.5 % at 11000 m of fresh water",
    valid={"depth": _DEPTH, "density": _DENSITY, "gravity": _GRAVITY},
)
def gauge_pressure(depth: float, density: float, gravity: float = STANDARD) -> float:
    """Return the gauge pressure in pascal at a depth in metres of a liquid (kg/m3)."""
    return density * gravity * depth


@formula(
    text="h = p / (rho g)",
    units={"pressure": "Pa", "density": "kg/m**3", "gravity": "m/s**2", "return": "m"},
    source="hydrostatics, any fluid mechanics text",
    basis="published",
    model="liquid of one density at rest",
    valid={"pressure": _PRESSURE, "density": _DENSITY, "gravity": _GRAVITY},
)
def depth(pressure: float, density: float, gravity: float = STANDARD) -> float:
    """Return the depth in metres of a liquid (kg/m3) that makes a gauge pressure in pascal."""
    return pressure / (density * gravity)


@formula(
    text="h = p / (rho(20 degC) 9.80665)",
    units={"pressure": "Pa", "return": "m"},
    source="hydrostatics with Kell 1975 density at 20 degC and standard gravity",
    basis="published",
    model="bar and depth are compared as fresh water of 20 degC, whatever the liquid: 10.216 m a bar",
    valid={"pressure": _PRESSURE},
)
def fresh_water_depth(pressure: float) -> float:
    """Return the depth in metres of fresh water at 20 degC that makes a gauge pressure in pascal."""
    return pressure / (fresh_water_density(293.15) * STANDARD)


@formula(
    text="p_gauge = p_abs - p_air",
    units={"absolute": "Pa", "air_pressure": "Pa", "return": "Pa"},
    source="definition of gauge pressure, ISO 80000-4",
    basis="published",
    model="negative below the air pressure",
    valid={"absolute": (0.0, 1.1e8), "air_pressure": (2e4, 1.3e5)},
)
def gauge_from_absolute(absolute: float, air_pressure: float = SEA_LEVEL) -> float:
    """Return the gauge pressure in pascal of an absolute pressure in pascal under the given air pressure."""
    return absolute - air_pressure


@formula(
    text="p_abs = p_gauge + p_air",
    units={"gauge": "Pa", "air_pressure": "Pa", "return": "Pa"},
    source="definition of gauge pressure, ISO 80000-4",
    basis="published",
    valid={"gauge": (-1.3e5, 1.1e8), "air_pressure": (2e4, 1.3e5)},
)
def absolute_from_gauge(gauge: float, air_pressure: float = SEA_LEVEL) -> float:
    """Return the absolute pressure in pascal of a gauge pressure in pascal under the given air pressure."""
    return gauge + air_pressure


def _column(pressure: float, temperature: float, salinity: float) -> float:
    """Return the integral of dp/rho from the surface to a gauge pressure, in m2/s2."""
    return pressure * sum(
        weight / sea_water_density(temperature, salinity, pressure * place) for place, weight in _NODES
    )


@formula(
    text="g (h + 2.26e-7 h^2/2) = integral of dp/rho(S,t,p) from 0 to p, solved for p",
    units={"depth": "m", "temperature": "K", "salinity": "", "gravity": "m/s**2", "return": "Pa"},
    source="hydrostatics with the UNESCO 1983 equation of state; gain of gravity with depth as in TEOS-10",
    basis="published",
    model="one temperature and salinity from the surface down; 0 to 11000 m",
    valid={"depth": _DEPTH, **_SEA},
    turning={"temperature": SEA_TURNS},
)
def sea_gauge_pressure(
    depth: float, temperature: float, salinity: float = STANDARD_SALINITY, gravity: float = STANDARD
) -> float:
    """Return the gauge pressure in pascal at a depth in metres of sea water (kelvin, mass fraction of salt)."""
    wanted = gravity * (depth + _GRAVITY_GAIN * depth * depth / 2)
    pressure = wanted * sea_water_density(temperature, salinity, 0.0)
    # Newton: the slope of the column is 1/rho, which hardly changes, so four steps reach rounding
    for _ in range(4):
        missing = wanted - _column(pressure, temperature, salinity)
        pressure += missing * sea_water_density(temperature, salinity, pressure)
    return pressure


@formula(
    text="h = (sqrt(1 + 2 c z) - 1)/c, z = (integral of dp/rho(S,t,p))/g, c = 2.26e-7 per m",
    units={"pressure": "Pa", "temperature": "K", "salinity": "", "gravity": "m/s**2", "return": "m"},
    source="hydrostatics with the UNESCO 1983 equation of state; gain of gravity with depth as in TEOS-10",
    basis="published",
    model="one temperature and salinity from the surface down; 0 to 1200 bar",
    valid={"pressure": (0.0, 1.2e8), **_SEA},
    turning={"temperature": SEA_TURNS},
)
def sea_depth(
    pressure: float, temperature: float, salinity: float = STANDARD_SALINITY, gravity: float = STANDARD
) -> float:
    """Return the depth in metres of sea water (kelvin, mass fraction of salt) at a gauge pressure in pascal."""
    level = _column(pressure, temperature, salinity) / gravity
    return 2 * level / (math.sqrt(1 + 2 * _GRAVITY_GAIN * level) + 1)
