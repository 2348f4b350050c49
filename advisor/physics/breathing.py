"""What a sealed box does when it cools or is carried uphill: suction, water drawn in, force on the lid.

Contract: rigid walls and an ideal gas, absolute pressures in pascal, temperatures in kelvin. Walls that give,
potting or a vent lower the figures; the free air volume counts, not the outside size. Suction is positive when
the inside lies below the outside. A lasting leak turns it into water, which evaporates and so makes the next
cooling worse (`saturated_drop`).
"""

from .air import SEA_LEVEL
from .air import pressure as air_pressure
from .gravity import STANDARD
from .liquids import fresh_water_density
from .moisture import saturation, saturation_over_water
from .registry import Interval, formula

_TEMPERATURE: Interval = (173.15, 423.15)
_PRESSURE: Interval = (1e4, 1e6)
_DROP: Interval = (-1e6, 1e6)
_VOLUME: Interval = (0.0, 100.0)
_GAS = "ideal gas (Gay-Lussac), any physics text"
_DALTON = "Dalton's law with IAPWS-IF97 and Sonntag 1990 saturation pressures"


@formula(
    text="dp = p1 (1 - T2/T1)",
    units={"pressure": "Pa", "hot": "K", "cold": "K", "return": "Pa"},
    source=_GAS,
    basis="published",
    model="rigid, sealed, dry; negative (overpressure) when it warms",
    valid={"pressure": _PRESSURE, "hot": _TEMPERATURE, "cold": _TEMPERATURE},
)
def dry_drop(pressure: float, hot: float, cold: float) -> float:
    """Return the pressure drop in pascal of sealed dry air from a hot to a cold temperature in kelvin."""
    return pressure * (1 - cold / hot)


def _drop(pressure: float, hot: float, cold: float, humidity: float) -> float:
    """Return the drop of moist air; vapour beyond saturation at the cold end falls out."""
    vapour = min(humidity * saturation_over_water(hot), pressure)
    left = min(vapour * cold / hot, saturation(cold))
    # written so that nothing is left by rounding when nothing cools
    return (pressure - vapour) * (1 - cold / hot) + (vapour - left)


@formula(
    text="dp = p1 - (p1 - e1) T2/T1 - min(e1 T2/T1, e_sat(T2)), e1 = RH e_water(T1)",
    units={"pressure": "Pa", "hot": "K", "cold": "K", "humidity": "", "return": "Pa"},
    source=_DALTON,
    basis="published",
    model="rigid, sealed; e1 is held at p1, where the box is full of steam",
    valid={"pressure": _PRESSURE, "hot": _TEMPERATURE, "cold": _TEMPERATURE, "humidity": (0.0, 1.0)},
)
def moist_drop(pressure: float, hot: float, cold: float, humidity: float) -> float:
    """Return the pressure drop in pascal of sealed air that had a relative humidity (fraction) when hot."""
    return _drop(pressure, hot, cold, humidity)


@formula(
    text="dp = p1 - (p1 - e_sat(T1)) T2/T1 - min(e_sat(T1) T2/T1, e_sat(T2))",
    units={"pressure": "Pa", "hot": "K", "cold": "K", "return": "Pa"},
    source=_DALTON,
    basis="published",
    model="rigid, sealed, saturated when hot: a box that has water inside already",
    valid={"pressure": _PRESSURE, "hot": _TEMPERATURE, "cold": _TEMPERATURE},
)
def saturated_drop(pressure: float, hot: float, cold: float) -> float:
    """Return the pressure drop in pascal of sealed air that was saturated with vapour when hot."""
    return _drop(pressure, hot, cold, 1.0)


@formula(
    text="h = dp / (rho(20 degC) 9.80665)",
    units={"drop": "Pa", "return": "m"},
    source="hydrostatics with Kell 1975 density at 20 degC and standard gravity",
    basis="published",
    model="the depth of fresh water that would press as hard",
    valid={"drop": _DROP},
)
def suction_head(drop: float) -> float:
    """Return the depth in metres of fresh water at 20 degC that equals a pressure drop in pascal."""
    return drop / (fresh_water_density(293.15) * STANDARD)


@formula(
    text="V_w = V (1 - T2 (p - e1)/(T1 (p - min(e1, e_sat(T2))))), e1 = RH e_water(T1)",
    units={"volume": "m**3", "hot": "K", "cold": "K", "pressure": "Pa", "humidity": "", "return": "m**3"},
    source=_DALTON,
    basis="published",
    model="leak under water, slow cooling until the pressure is equal; depth and evaporation left out",
    valid={
        "volume": _VOLUME, "hot": _TEMPERATURE, "cold": _TEMPERATURE, "pressure": _PRESSURE,
        "humidity": (0.0, 1.0),
    },
)
def water_taken_in(
    volume: float, hot: float, cold: float, pressure: float = SEA_LEVEL, humidity: float = 0.0
) -> float:
    """Return the water in m3 that a leaking box of a free volume in m3 draws in when it cools under water."""
    if cold >= hot:
        return 0.0
    vapour = humidity * saturation_over_water(hot)
    if vapour >= pressure:
        return volume
    left = min(vapour, saturation(cold))
    return volume * (1 - cold / hot * (pressure - vapour) / (pressure - left))


@formula(
    text="V_a = V (T1/T2 - 1)",
    units={"volume": "m**3", "hot": "K", "cold": "K", "return": "m**3"},
    source=_GAS,
    basis="published",
    model="open to air at constant pressure, dry; counted at the cold temperature; nothing when it warms",
    valid={"volume": _VOLUME, "hot": _TEMPERATURE, "cold": _TEMPERATURE},
)
def air_drawn_in(volume: float, hot: float, cold: float) -> float:
    """Return the air in m3, at the cold temperature, that a vented box draws in when it cools."""
    return max(0.0, volume * (hot / cold - 1))


@formula(
    text="dT = T1 dp / p1",
    units={"pressure": "Pa", "hot": "K", "drop": "Pa", "return": "delta_degC"},
    source=_GAS,
    basis="published",
    model="rigid, sealed, dry; moist air needs less",
    valid={"pressure": _PRESSURE, "hot": _TEMPERATURE, "drop": (0.0, 1e6)},
)
def cooling_for_drop(pressure: float, hot: float, drop: float) -> float:
    """Return the cooling in kelvin of sealed dry air that makes a pressure drop in pascal."""
    return hot * drop / pressure


@formula(
    text="Q = V (dT/dt) / T",
    units={"volume": "m**3", "cooling_rate": "K/s", "temperature": "K", "return": "m**3/s"},
    source=_GAS,
    basis="published",
    model="dry air at constant pressure; the coldest temperature of the cooling asks for the most flow",
    valid={"volume": _VOLUME, "cooling_rate": (0.0, 1e3), "temperature": _TEMPERATURE},
)
def vent_flow(volume: float, cooling_rate: float, temperature: float) -> float:
    """Return the air flow in m3/s that a vent must pass so that no suction builds up."""
    return volume * cooling_rate / temperature


@formula(
    text="F = dp A",
    units={"drop": "Pa", "area": "m**2", "return": "N"},
    source="statics",
    basis="published",
    valid={"drop": _DROP, "area": (0.0, 100.0)},
)
def lid_force(drop: float, area: float) -> float:
    """Return the force in newton of a pressure difference in pascal on a lid of an area in m2."""
    return drop * area


@formula(
    text="dp = p(h_closed) - p(h_used)",
    units={"closed_altitude": "m", "altitude": "m", "return": "Pa"},
    source="ISO 2533:1975, standard atmosphere",
    basis="published",
    model="rigid, sealed, same temperature; positive when carried uphill or flown",
    valid={"closed_altitude": (-2000.0, 11000.0), "altitude": (-2000.0, 11000.0)},
)
def altitude_overpressure(closed_altitude: float, altitude: float) -> float:
    """Return the inside overpressure in pascal of a box closed at one altitude and used at another (m)."""
    return air_pressure(closed_altitude) - air_pressure(altitude)
