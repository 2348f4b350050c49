"""Water vapour in air: saturation, dew and frost point, and what a closed box sheds when it cools.

Contract: relative humidity is a fraction of saturation over liquid water at every temperature, below freezing
too, as meteorology and hygrometers have it. A surface below freezing gathers frost at the frost point, which is
the warmer of the two; rules that ask whether a surface gets wet use `condensation_point`. The pressure of the
air hardly matters to these (below 0.5 %) and is left out.
"""

import math
from collections.abc import Callable

from .liquids import ICE_POINT, saturation_pressure
from .registry import Interval, formula

GAS_CONSTANT = 461.52
"""Specific gas constant of water vapour in J/(kg K)."""

_COLDEST = 173.15
_AT_ICE_POINT = saturation_pressure(ICE_POINT)
_WIDE: Interval = (_COLDEST, 473.15)
_AIR: Interval = (228.15, 373.15)
_HUMIDITY: Interval = (0.01, 1.0)
_SONNTAG = "Sonntag 1990, Z. Meteorol. 70(5):340 (the base of the Magnus constants of WMO-No. 8)"
_WATER = f"IAPWS-IF97 region 4 from 0 degC up; {_SONNTAG} below"


@formula(
    text="from 0 degC: IAPWS-IF97 saturation line; below: ln e = -6096.9385/T + 21.2409642 - 0.02711193 T"
    " + 1.673952e-5 T^2 + 2.433502 ln T",
    units={"temperature": "K", "return": "Pa"},
    source=_WATER,
    basis="published",
    model="plane pure water, supercooled below 0 degC; the Magnus form is 2.4 % high at 100 degC, so not used",
    valid={"temperature": _WIDE},
)
def saturation_over_water(temperature: float) -> float:
    """Return the saturation vapour pressure over liquid water in pascal at a temperature in kelvin."""
    if temperature >= ICE_POINT:
        return saturation_pressure(temperature)
    supercooled = math.exp(
        -6096.9385 / temperature
        + 21.2409642
        - 2.711193e-2 * temperature
        + 1.673952e-5 * temperature**2
        + 2.433502 * math.log(temperature)
    )
    # the two fits meet within 3e-7; the curve must not fall where they do
    return min(supercooled, _AT_ICE_POINT)


@formula(
    text="ln e = -6024.5282/T + 29.32707 + 0.010613868 T - 1.3198825e-5 T^2 - 0.49382577 ln T",
    units={"temperature": "K", "return": "Pa"},
    source=_SONNTAG,
    basis="published",
    model="plane ice, -100 to 0 degC",
    valid={"temperature": (_COLDEST, ICE_POINT)},
)
def saturation_over_ice(temperature: float) -> float:
    """Return the saturation vapour pressure over ice in pascal at a temperature in kelvin."""
    return math.exp(
        -6024.5282 / temperature
        + 29.32707
        + 1.0613868e-2 * temperature
        - 1.3198825e-5 * temperature**2
        - 0.49382577 * math.log(temperature)
    )


@formula(
    text="e over ice below 0 degC, over water from 0 degC up",
    units={"temperature": "K", "return": "Pa"},
    source=_WATER,
    basis="published",
    model="the phase that lasts: what vapour can stand over a cold wall for long",
    valid={"temperature": _WIDE},
)
def saturation(temperature: float) -> float:
    """Return the saturation vapour pressure over ice or water, whichever lasts, in pascal."""
    return saturation_over_ice(temperature) if temperature < ICE_POINT else saturation_over_water(temperature)


def _temperature_at(curve: Callable[..., float], pressure: float, low: float, high: float) -> float:
    """Return the temperature between low and high at which a rising curve reaches a pressure, by halving."""
    for _ in range(50):
        middle = (low + high) / 2
        if curve(middle) < pressure:
            low = middle
        else:
            high = middle
    return (low + high) / 2


@formula(
    text="e_water(Td) = RH e_water(T)",
    units={"temperature": "K", "humidity": "", "return": "K"},
    source=_WATER,
    basis="published",
    model="air of -45 to 100 degC, 1 to 100 % relative humidity over water; below -40 degC no liquid lasts and the"
    " dew point is a convention, the frost point is what counts",
    valid={"temperature": _AIR, "humidity": _HUMIDITY},
)
def dew_point(temperature: float, humidity: float) -> float:
    """Return the dew point over liquid water in kelvin of air (kelvin, relative humidity as a fraction)."""
    pressure = humidity * saturation_over_water(temperature)
    return _temperature_at(saturation_over_water, pressure, _COLDEST, temperature)


@formula(
    text="e_ice(Tf) = RH e_water(T), at most 0 degC",
    units={"temperature": "K", "humidity": "", "return": "K"},
    source=_WATER,
    basis="published",
    model="as dew_point; warmer than the dew point below freezing; 0 degC where only dew can form",
    valid={"temperature": _AIR, "humidity": _HUMIDITY},
)
def frost_point(temperature: float, humidity: float) -> float:
    """Return the frost point in kelvin of air (kelvin, relative humidity over water as a fraction)."""
    pressure = humidity * saturation_over_water(temperature)
    return _temperature_at(saturation_over_ice, pressure, _COLDEST, ICE_POINT)


@formula(
    text="frost point below 0 degC, dew point from 0 degC up",
    units={"temperature": "K", "humidity": "", "return": "K"},
    source=_WATER,
    basis="published",
    model="as dew_point; a surface colder than this gathers dew or frost",
    valid={"temperature": _AIR, "humidity": _HUMIDITY},
)
def condensation_point(temperature: float, humidity: float) -> float:
    """Return the surface temperature in kelvin below which air gathers as dew or frost."""
    pressure = humidity * saturation_over_water(temperature)
    # air below freezing can be wetter than ice bears, so the search goes above its own temperature
    return _temperature_at(saturation, pressure, _COLDEST, max(temperature, ICE_POINT))


@formula(
    text="RH2 = RH1 e_water(T1) / e_water(T2), at most 1",
    units={"temperature": "K", "humidity": "", "new_temperature": "K", "return": ""},
    source=_WATER,
    basis="published",
    model="vapour pressure kept: no water added or lost; cooled past the dew point it stays at 1",
    valid={"temperature": _AIR, "humidity": (0.0, 1.0), "new_temperature": _AIR},
)
def humidity_after_warming(temperature: float, humidity: float, new_temperature: float) -> float:
    """Return the relative humidity (fraction over water) of air brought to another temperature in kelvin."""
    kept = humidity * saturation_over_water(temperature) / saturation_over_water(new_temperature)
    return min(1.0, kept)


@formula(
    text="AH = RH e_water(T) / (461.52 T)",
    units={"temperature": "K", "humidity": "", "return": "kg/m**3"},
    source=f"ideal gas; {_WATER}",
    basis="published",
    valid={"temperature": _AIR, "humidity": (0.0, 1.0)},
)
def absolute_humidity(temperature: float, humidity: float) -> float:
    """Return the mass of vapour in kg/m3 of air (kelvin, relative humidity over water as a fraction)."""
    return humidity * saturation_over_water(temperature) / (GAS_CONSTANT * temperature)


@formula(
    text="m = V max(0, RH e_water(T1)/(461.52 T1) - e_sat(T2)/(461.52 T2))",
    units={"volume": "m**3", "temperature": "K", "humidity": "", "cold": "K", "return": "kg"},
    source=f"ideal gas; {_WATER}",
    basis="published",
    model="one filling of a closed box; every breath renews it. Frost counts as condensate",
    valid={"volume": (0.0, 100.0), "temperature": _AIR, "humidity": (0.0, 1.0), "cold": _AIR},
)
def condensate(volume: float, temperature: float, humidity: float, cold: float) -> float:
    """Return the water in kg that a closed box (m3, closed at kelvin and humidity) sheds when cooled."""
    held = saturation(cold) / (GAS_CONSTANT * cold)
    return volume * max(0.0, humidity * saturation_over_water(temperature) / (GAS_CONSTANT * temperature) - held)
