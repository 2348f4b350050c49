"""Water jets in air: speed, force, power, and what is left of them at a distance.

Contract: `pressure` is the gauge pressure just before the nozzle, not at the pump. The force of a whole jet
hardly falls with distance, its pressure does; rules weigh both. Where the literature spreads, the reading that
keeps the jet harder for longer is taken, and `model` says so. Coefficients of discharge and speed default to
1.0, an ideal nozzle, which never understates the jet of a known bore and pressure.
"""

import math

from .registry import Interval, formula

_PRESSURE: Interval = (0.0, 1e8)
_POSITIVE_PRESSURE: Interval = (1e2, 1e8)
_FLOW: Interval = (0.0, 0.2)
_BORE: Interval = (1e-4, 0.2)
_DENSITY: Interval = (500.0, 2000.0)
_SPEED: Interval = (0.0, 500.0)
_COEFFICIENT: Interval = (0.3, 1.0)
_DISTANCE: Interval = (0.0, 100.0)
_RATIO: Interval = (0.0, 1e9)
_MOMENTUM = "momentum equation, any fluid mechanics text"
_BERNOULLI = "Bernoulli, any fluid mechanics text"


@formula(
    text="v = Cv sqrt(2 p / rho)",
    units={"pressure": "Pa", "density": "kg/m**3", "velocity_coefficient": "", "return": "m/s"},
    source=_BERNOULLI,
    basis="published",
    model="pressure at the nozzle; loss-free with a coefficient of 1",
    valid={"pressure": _PRESSURE, "density": _DENSITY, "velocity_coefficient": _COEFFICIENT},
)
def speed_from_pressure(pressure: float, density: float, velocity_coefficient: float = 1.0) -> float:
    """Return the exit speed in m/s of a jet from the gauge pressure in pascal before its nozzle."""
    return velocity_coefficient * math.sqrt(2 * pressure / density)


@formula(
    text="v = 4 Q / (pi d^2)",
    units={"flow": "m**3/s", "bore": "m", "return": "m/s"},
    source="continuity, any fluid mechanics text",
    basis="published",
    model="full round bore; a jet that contracts is faster",
    valid={"flow": _FLOW, "bore": _BORE},
)
def speed_from_flow(flow: float, bore: float) -> float:
    """Return the mean exit speed in m/s of a flow in m3/s from a round bore in metres."""
    return 4 * flow / (math.pi * bore * bore)


@formula(
    text="Q = Cd (pi d^2 / 4) sqrt(2 p / rho)",
    units={
        "bore": "m", "pressure": "Pa", "density": "kg/m**3", "discharge_coefficient": "", "return": "m**3/s",
    },
    source="orifice law, any fluid mechanics text",
    basis="published",
    model="round bore; Cd about 0.6 for a sharp edge, 0.8 to 0.99 for a nozzle",
    valid={
        "bore": _BORE, "pressure": _PRESSURE, "density": _DENSITY, "discharge_coefficient": _COEFFICIENT,
    },
)
def flow(bore: float, pressure: float, density: float, discharge_coefficient: float = 1.0) -> float:
    """Return the flow in m3/s from a round bore in metres under a gauge pressure in pascal."""
    return discharge_coefficient * math.pi * bore * bore / 4 * math.sqrt(2 * pressure / density)


@formula(
    text="Cd = Q / ((pi d^2 / 4) sqrt(2 p / rho))",
    units={"flow": "m**3/s", "bore": "m", "pressure": "Pa", "density": "kg/m**3", "return": ""},
    source="orifice law, any fluid mechanics text",
    basis="published",
    model="outside 0.6 to 1.0 one of the three inputs is wrong, mostly a pump pressure given for the nozzle's",
    valid={"flow": _FLOW, "bore": _BORE, "pressure": _POSITIVE_PRESSURE, "density": _DENSITY},
)
def implied_discharge_coefficient(flow: float, bore: float, pressure: float, density: float) -> float:
    """Return the discharge coefficient that flow (m3/s), bore (m) and nozzle pressure (Pa) imply together."""
    return flow / (math.pi * bore * bore / 4 * math.sqrt(2 * pressure / density))


@formula(
    text="d = sqrt(4 Q / (pi Cd sqrt(2 p / rho)))",
    units={
        "flow": "m**3/s", "pressure": "Pa", "density": "kg/m**3", "discharge_coefficient": "", "return": "m",
    },
    source="orifice law, any fluid mechanics text",
    basis="published",
    model="the round bore that would pass the flow; for a fan nozzle a measure of size only",
    valid={
        "flow": _FLOW, "pressure": _POSITIVE_PRESSURE, "density": _DENSITY,
        "discharge_coefficient": _COEFFICIENT,
    },
)
def equivalent_bore(
    flow: float, pressure: float, density: float, discharge_coefficient: float = 1.0
) -> float:
    """Return the round bore in metres that passes a flow in m3/s under a gauge pressure in pascal."""
    return math.sqrt(4 * flow / (math.pi * discharge_coefficient * math.sqrt(2 * pressure / density)))


@formula(
    text="p = rho v^2 / 2",
    units={"speed": "m/s", "density": "kg/m**3", "return": "Pa"},
    source=_BERNOULLI,
    basis="published",
    model="steady solid jet; the first blow of a jet or drop peaks at up to rho c v for microseconds",
    valid={"speed": _SPEED, "density": _DENSITY},
)
def stagnation_pressure(speed: float, density: float) -> float:
    """Return the pressure in pascal where a jet of a speed in m/s is brought to rest."""
    return density * speed * speed / 2


@formula(
    text="F = rho Q v",
    units={"flow": "m**3/s", "speed": "m/s", "density": "kg/m**3", "return": "N"},
    source=_MOMENTUM,
    basis="published",
    model="square on a flat face that turns the jet through 90 degrees; real plates feel 0.7 to 0.9 of it",
    valid={"flow": _FLOW, "speed": _SPEED, "density": _DENSITY},
)
def impact_force(flow: float, speed: float, density: float) -> float:
    """Return the force in newton of a jet (m3/s, m/s) on a flat face square to it."""
    return density * flow * speed


@formula(
    text="F = Cv Q sqrt(2 rho p)",
    units={
        "flow": "m**3/s", "pressure": "Pa", "density": "kg/m**3", "velocity_coefficient": "", "return": "N",
    },
    source=_MOMENTUM,
    basis="published",
    model="as impact_force, with the speed the nozzle pressure gives",
    valid={
        "flow": _FLOW, "pressure": _PRESSURE, "density": _DENSITY, "velocity_coefficient": _COEFFICIENT,
    },
)
def thrust(flow: float, pressure: float, density: float, velocity_coefficient: float = 1.0) -> float:
    """Return the force in newton of a jet from its flow in m3/s and the gauge pressure at the nozzle in Pa."""
    return velocity_coefficient * flow * math.sqrt(2 * density * pressure)


@formula(
    text="P = Q p",
    units={"flow": "m**3/s", "pressure": "Pa", "return": "W"},
    source="any fluid mechanics text",
    basis="published",
    valid={"flow": _FLOW, "pressure": _PRESSURE},
)
def hydraulic_power(flow: float, pressure: float) -> float:
    """Return the hydraulic power in watt of a flow in m3/s under a pressure in pascal."""
    return flow * pressure


@formula(
    text="We = rho v^2 d / sigma",
    units={"speed": "m/s", "bore": "m", "density": "kg/m**3", "surface_tension": "N/m", "return": ""},
    source="definition of the Weber number of the liquid",
    basis="published",
    valid={"speed": _SPEED, "bore": _BORE, "density": _DENSITY, "surface_tension": (0.01, 0.1)},
)
def weber_number(speed: float, bore: float, density: float, surface_tension: float) -> float:
    """Return the Weber number of a jet (m/s, m, kg/m3, N/m)."""
    return density * speed * speed * bore / surface_tension


@formula(
    text="L = d min(8.51 We^0.32, 11 sqrt(rho/rho_air))",
    units={"bore": "m", "weber": "", "density": "kg/m**3", "air_density": "kg/m**3", "return": "m"},
    source="Grant and Middleman 1966 (AIChE J. 12:669); limit of fast jets: Chehroudi et al. 1985,"
    " Sallam, Dai and Faeth 2002",
    basis="recalled",
    model="turbulent round jet in still air, fitted for 700 < We < 30000; faster jets meet the limit set by the"
    " air, about 320 bores; +-30 %, and a well made nozzle reaches further",
    valid={"bore": _BORE, "weber": (700.0, 1e7), "density": _DENSITY, "air_density": (0.3, 5.0)},
)
def break_up_length(bore: float, weber: float, density: float = 998.2, air_density: float = 1.204) -> float:
    """Return the distance in metres after which a round jet in air has broken up into lumps and drops."""
    return bore * min(8.51 * math.pow(weber, 0.32), 11 * math.sqrt(density / air_density))


@formula(
    text="L = n d",
    units={"bore": "m", "diameters": "", "return": "m"},
    source="Yanaida 1974 (2nd Int. Symp. Jet Cutting Technology); Leach and Walker 1966",
    basis="recalled",
    model="round high-speed jet in air: 70 to 140 bores are found; 140 is taken, the harder jet",
    valid={"bore": _BORE, "diameters": (10.0, 500.0)},
)
def core_length(bore: float, diameters: float = 140.0) -> float:
    """Return the length in metres over which the core of a jet from a bore in metres keeps its pressure."""
    return bore * diameters


@formula(
    text="p = p0 up to L, p0 L/x beyond",
    units={"stagnation": "Pa", "distance": "m", "core": "m", "return": "Pa"},
    source="pressure kept over the core: Leach and Walker 1966; fall beyond it: the slowest law in use",
    basis="common practice",
    model="round solid stream; give the longer of core_length and break_up_length. Measured centre pressures"
    " fall faster than 1/x, so this never understates the mean; single lumps still strike with p0",
    valid={"stagnation": _PRESSURE, "distance": _DISTANCE, "core": (1e-3, 100.0)},
)
def stream_pressure(stagnation: float, distance: float, core: float) -> float:
    """Return the mean pressure in pascal of a solid stream at a distance, given its core length in metres."""
    return stagnation if distance <= core else stagnation * core / distance


@formula(
    text="W = 2 x tan(angle/2)",
    units={"distance": "m", "angle": "rad", "return": "m"},
    source="geometry",
    basis="published",
    model="flat fan spreading from a point; gravity and air leave it alone at lance distance",
    valid={"distance": _DISTANCE, "angle": (0.0, 2.6)},
)
def fan_length(distance: float, angle: float) -> float:
    """Return the length in metres of a fan's footprint at a distance in metres for a fan angle in radians."""
    return 2 * distance * math.tan(angle / 2)


@formula(
    text="p = F / (2 x tan(angle/2) t)",
    units={"force": "N", "distance": "m", "angle": "rad", "thickness": "m", "return": "Pa"},
    source="force over footprint; thickness of a fan near its nozzle is 5 to 10 mm and grows",
    basis="common practice",
    model="mean over the footprint with the thickness held at 5 mm, the harder reading; peaks are higher",
    valid={"force": (0.0, 1e4), "distance": (0.01, 100.0), "angle": (0.05, 2.6), "thickness": (5e-4, 0.2)},
)
def fan_pressure(force: float, distance: float, angle: float, thickness: float = 0.005) -> float:
    """Return the mean pressure in pascal over the footprint of a fan jet (N, m, rad, m)."""
    return force / (2 * distance * math.tan(angle / 2) * thickness)


@formula(
    text="v = v0 up to 6.2 d, v0 6.2 d/x beyond",
    units={"speed": "m/s", "bore": "m", "distance": "m", "return": "m/s"},
    source="Rajaratnam 1976, Turbulent Jets; Pope 2000, Turbulent Flows (constants 5.8 to 6.3)",
    basis="recalled",
    model="round jet wholly under the liquid's surface, centre line; never for a jet in air",
    valid={"speed": _SPEED, "bore": _BORE, "distance": _DISTANCE},
)
def submerged_speed(speed: float, bore: float, distance: float) -> float:
    """Return the centre-line speed in m/s at a distance from a nozzle that lies under the liquid."""
    core = 6.2 * bore
    return speed if distance <= core else speed * core / distance


@formula(
    text="actual / test",
    units={"actual": "", "test": "", "return": ""},
    source="definition",
    basis="published",
    model="both figures of one kind and unit; above 1 the site is harder than the test",
    valid={"actual": _RATIO, "test": (1e-9, 1e9)},
)
def severity_ratio(actual: float, test: float) -> float:
    """Return how many times a figure of the site is the same figure of a test (both in one unit)."""
    return actual / test


@formula(
    text="t = max(minimum, time_per_area A)",
    units={"area": "m**2", "time_per_area": "s/m**2", "minimum": "s", "return": "s"},
    source="form of the jet tests of IEC 60529, 14.2.3 to 14.2.9; the test's own figures are inputs",
    basis="published",
    valid={"area": (0.0, 1e3), "time_per_area": (0.0, 3600.0), "minimum": (0.0, 1e5)},
)
def exposure_time(area: float, time_per_area: float, minimum: float) -> float:
    """Return the time in seconds for which a test plays on a surface in m2."""
    return max(minimum, time_per_area * area)
