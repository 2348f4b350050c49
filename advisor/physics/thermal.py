"""Heat into and out of a unit: time constants, radiant heat, conduction through a bracket, ageing.

Lumped bodies and grey surfaces; temperatures in kelvin, the rest SI. Strain and shock by temperature are in
`thermal_stress`.
"""

import math

from .registry import formula

STEFAN_BOLTZMANN = 5.670374419e-8

_TEMPERATURE = (100.0, 2500.0)
_TEXTBOOK = "Heat transfer textbooks"


@formula(
    text="tau = m c / (h A)",
    units={"mass": "kg", "specific_heat": "J/kg/K", "film": "W/m**2/K", "area": "m**2", "return": "s"},
    source=_TEXTBOOK,
    basis="published",
    model="Lumped body, Biot number below 0.1; 5 percent of a step is left after three time constants.",
    valid={
        "mass": (1e-4, 1000.0),
        "specific_heat": (100.0, 5000.0),
        "film": (1.0, 1e5),
        "area": (1e-5, 50.0),
    },
)
def time_constant(mass: float, specific_heat: float, film: float, area: float) -> float:
    """Return the time (s) in which a body follows 63 percent of a step of the temperature round it."""
    return mass * specific_heat / (film * area)


@formula(
    text="Bi = h L / k",
    units={"film": "W/m**2/K", "length": "m", "conductivity": "W/m/K", "return": ""},
    source=_TEXTBOOK,
    basis="published",
    valid={"film": (1.0, 1e5), "length": (1e-5, 1.0), "conductivity": (0.02, 500.0)},
)
def biot(film: float, length: float, conductivity: float) -> float:
    """Return the Biot number; `length` (m) is volume over wetted surface. Below 0.1 a body may be lumped."""
    return film * length / conductivity


@formula(
    text="T = T_end + (T_start - T_end) exp(-t / tau)",
    units={"start": "K", "end": "K", "time": "s", "time_constant": "s", "return": "K"},
    source=_TEXTBOOK,
    basis="published",
    model="Lumped body after a step.",
    valid={"start": _TEMPERATURE, "end": _TEMPERATURE, "time": (0.0, 1e7), "time_constant": (1e-3, 1e6)},
)
def after_step(start: float, end: float, time: float, time_constant: float) -> float:
    """Return the temperature (K) of a body `time` (s) after the temperature round it stepped to `end` (K)."""
    return end + (start - end) * math.exp(-time / time_constant)


@formula(
    text="q = sigma T^4",
    units={"temperature": "K", "return": "W/m**2"},
    source="Stefan-Boltzmann law",
    basis="published",
    valid={"temperature": _TEMPERATURE},
)
def emitted(temperature: float) -> float:
    """Return the radiant flux (W/m2) a black surface at `temperature` (K) gives off."""
    return STEFAN_BOLTZMANN * temperature**4


@formula(
    text="q = eps F sigma (T1^4 - T2^4)",
    units={"hot": "K", "unit": "K", "emissivity": "", "view": "", "return": "W/m**2"},
    source="Stefan-Boltzmann law; view factor, radiation heat transfer textbooks",
    basis="published",
    model="Grey surfaces, nothing reflected to and fro; emissivity 1 and full view are the safe side.",
    valid={"hot": _TEMPERATURE, "unit": _TEMPERATURE, "emissivity": (0.0, 1.0), "view": (0.0, 1.0)},
)
def net_radiant(hot: float, unit: float, emissivity: float, view: float) -> float:
    """Return the net radiant flux (W/m2) on a unit at `unit` (K) from a body at `hot` (K)."""
    return emissivity * view * STEFAN_BOLTZMANN * (hot**4 - unit**4)


@formula(
    text="F = r^2 / (r^2 + d^2)",
    units={"radius": "m", "distance": "m", "return": ""},
    source="View factor from a small face to a disc facing it, radiation heat transfer textbooks",
    basis="published",
    model="Unit on the axis of a round opening and looking at it; take the radius of the circle round an "
    "opening of another shape.",
    valid={"radius": (0.001, 20.0), "distance": (0.0, 100.0)},
)
def view_of_disc(radius: float, distance: float) -> float:
    """Return the view factor (0 to 1) of a hot disc of `radius` (m) seen from `distance` (m) on its axis."""
    return radius * radius / (radius * radius + distance * distance)


@formula(
    text="q = eta P / (4 pi r^2)",
    units={"power": "W", "share": "", "distance": "m", "return": "W/m**2"},
    source="Arc physics texts: 10 to 25 percent of the arc power is radiated",
    basis="recalled",
    model="Arc as a point source in the open.",
    valid={"power": (0.0, 2e5), "share": (0.0, 1.0), "distance": (0.02, 50.0)},
)
def arc_radiant(power: float, share: float, distance: float) -> float:
    """Return the radiant flux (W/m2) at `distance` (m) from an arc of `power` (W), current times voltage."""
    return power * share / (4.0 * math.pi * distance * distance)


@formula(
    text="Q = k A (T1 - T2) / L",
    units={
        "conductivity": "W/m/K", "section": "m**2", "length": "m", "hot": "K", "cold": "K", "return": "W",
    },
    source="Fourier's law",
    basis="published",
    model="Straight bracket, no loss from its sides.",
    valid={
        "conductivity": (0.02, 500.0), "section": (0.0, 0.1), "length": (1e-3, 10.0), "hot": _TEMPERATURE,
        "cold": _TEMPERATURE,
    },
)  # fmt: skip
def through_bracket(conductivity: float, section: float, length: float, hot: float, cold: float) -> float:
    """Return the heat (W) a bracket carries from a wall at `hot` (K) into a unit at `cold` (K)."""
    return conductivity * section * (hot - cold) / length


@formula(
    text="life factor = 2^(-dT / 10 K)",
    units={"above_rated": "delta_degC", "return": ""},
    source="Arrhenius rule as used for electrolytic capacitors",
    basis="common practice",
    model="Halving for every 10 K above the temperature the life is stated for.",
    valid={"above_rated": (-100.0, 200.0)},
)
def life_factor(above_rated: float) -> float:
    """Return by what factor the life of electronics changes `above_rated` (K) over the stated temperature."""
    return float(2.0 ** (-above_rated / 10.0))
