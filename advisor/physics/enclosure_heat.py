"""Temperature inside a closed enclosure: effective area, rise by rule of thumb and by the standard's method,
sun.

Closed, unventilated enclosures in still air. The rule of thumb (one coefficient) takes stirred air inside;
the method of IEC TR 60890 gives the rise at half height and near the roof in air that is not stirred and
comes out higher. Its curves are from memory and lie on the cautious side where memory is unsure. Watts,
square metres, kelvin; rises are differences.
"""

import bisect
import math

from .registry import formula

_METHOD = "IEC TR 60890:2014"
_SIDE = (0.0, 4.0)
_SHARE = (0.0, 2.0)
_POWER = (0.0, 10e3)
_AREA = (0.01, 50.0)
_COEFFICIENT = (1.0, 25.0)

_CONSTANT = (
    (0.08, 3.973), (0.1, 3.371), (0.2, 2.022), (0.5, 1.029), (1.25, 0.524), (1.5, 0.45), (2.0, 0.35),
    (2.5, 0.275), (3.0, 0.225), (3.5, 0.2), (4.0, 0.185), (4.5, 0.17), (5.0, 0.16), (6.0, 0.14), (7.0, 0.13),
    (8.0, 0.12), (9.0, 0.11), (10.0, 0.1), (11.5, 0.09),
)  # fmt: skip
"""Effective area (m2) and enclosure constant k of IEC TR 60890, closed enclosures, figures 3 and 7,
recalled."""


@formula(
    text="A = W D b_top + H W (b_front + b_rear) + H D (b_left + b_right)",
    units={
        "height": "m",
        "width": "m",
        "depth": "m",
        "top": "",
        "front": "",
        "rear": "",
        "left": "",
        "right": "",
        "return": "m**2",
    },
    source=f"{_METHOD}, Table 1; VDE 0660-500",
    basis="published",
    model="The surface factors b follow from the mounting: table enclosure_mounting. The floor counts for "
    "nothing.",
    valid={
        "height": _SIDE,
        "width": _SIDE,
        "depth": _SIDE,
        "top": _SHARE,
        "front": _SHARE,
        "rear": _SHARE,
        "left": _SHARE,
        "right": _SHARE,
    },
)
def effective_area(
    height: float,
    width: float,
    depth: float,
    top: float,
    front: float,
    rear: float,
    left: float,
    right: float,
) -> float:
    """Return the area (m2) that sheds heat, from outside dimensions (m) and surface factors."""
    return width * depth * top + height * width * (front + rear) + height * depth * (left + right)


@formula(
    text="dT = P / (k A)",
    units={"power": "W", "coefficient": "W/m**2/K", "area": "m**2", "return": "delta_degC"},
    source="Steady heat balance; coefficient by wall material from trade tables",
    basis="common practice",
    model="Stirred air inside, still air outside. Without a fan the method of IEC TR 60890 gives about 1.4 "
    "times this.",
    valid={"power": _POWER, "coefficient": _COEFFICIENT, "area": _AREA},
)
def rise_stirred(power: float, coefficient: float, area: float) -> float:
    """Return the mean rise (K) of the air inside, stirred, for a loss `power` (W) over `area` (m2)."""
    return power / (coefficient * area)


@formula(
    text="dT_0.5 = k(A) d P^0.804",
    units={"power": "W", "area": "m**2", "partition_factor": "", "return": "delta_degC"},
    source=f"{_METHOD}, figures 3 and 7 (k), Table 3 (d)",
    basis="recalled",
    model="Closed enclosure, air not stirred, half height. k is read between recalled points on a double "
    "logarithmic line; d is 1 without horizontal partitions.",
    valid={"power": _POWER, "area": (0.08, 11.5), "partition_factor": (1.0, 1.5)},
)
def rise_half_height(power: float, area: float, partition_factor: float) -> float:
    """Return the rise (K) of unstirred air at half height, for a loss `power` (W) over `area` (m2)."""
    return float(_constant(area) * partition_factor * power**0.804)


@formula(
    text="c = min(1 + 0.2 H / W, 1.3)",
    units={"height": "m", "width": "m", "return": ""},
    source=f"{_METHOD}, figure 8, as a line above the curve",
    basis="recalled",
    model="Small enclosures, effective area up to 1.25 m2; the curve itself lies a little lower.",
    valid={"height": _SIDE, "width": (0.02, 4.0)},
)
def top_factor_small(height: float, width: float) -> float:
    """Return how much hotter the air is near the roof than at half height, small enclosures."""
    return min(1.0 + 0.2 * height / width, 1.3)


@formula(
    text="c = 1.22 + 0.04 f, at most 1.6, f = H^1.35 / (W D)",
    units={"height": "m", "width": "m", "depth": "m", "return": ""},
    source=f"{_METHOD}, figure 4, as a line above the curve for a free-standing enclosure",
    basis="recalled",
    model="Large enclosures, effective area above 1.25 m2; free standing is the highest of the five curves.",
    valid={"height": _SIDE, "width": (0.1, 4.0), "depth": (0.1, 4.0)},
)
def top_factor_large(height: float, width: float, depth: float) -> float:
    """Return how much hotter the air is near the roof than at half height, large enclosures."""
    return float(min(1.22 + 0.04 * height**1.35 / (width * depth), 1.6))


@formula(
    text="dT_1.0 = c dT_0.5",
    units={"rise": "delta_degC", "factor": "", "return": "delta_degC"},
    source=_METHOD,
    basis="published",
    valid={"rise": (0.0, 300.0), "factor": (1.0, 2.0)},
)
def rise_at_roof(rise: float, factor: float) -> float:
    """Return the rise (K) near the roof from that at half height (K); parts up there see this one."""
    return rise * factor


@formula(
    text="T = T_ambient + sum of the rises",
    units={"ambient": "K", "own_rise": "delta_degC", "solar_rise": "delta_degC", "return": "K"},
    source="Steady heat balance",
    basis="published",
    valid={"ambient": (200.0, 400.0), "own_rise": (0.0, 400.0), "solar_rise": (0.0, 200.0)},
)
def inside_temperature(ambient: float, own_rise: float, solar_rise: float) -> float:
    """Return the temperature (K) inside, from the air outside (K) and the rises (K) by loss and sun."""
    return ambient + own_rise + solar_rise


@formula(
    text="P = k A dT f",
    units={"coefficient": "W/m**2/K", "area": "m**2", "rise": "delta_degC", "wind_factor": "", "return": "W"},
    source="Steady heat balance; wind factor from trade practice (1 indoors, 2 outdoors)",
    basis="common practice",
    model="Take the high end of the coefficient here: a heater must make up for what the wall really loses.",
    valid={"coefficient": _COEFFICIENT, "area": _AREA, "rise": (0.0, 120.0), "wind_factor": (1.0, 4.0)},
)
def heater_power(coefficient: float, area: float, rise: float, wind_factor: float) -> float:
    """Return the heat (W) that keeps the inside `rise` (K) above the air outside; own losses come off it."""
    return coefficient * area * rise * wind_factor


@formula(
    text="dT = max(0, T_dew + margin - T_ambient)",
    units={"dew_point": "K", "ambient": "K", "margin": "delta_degC", "return": "delta_degC"},
    source="Surface kept above the dew point; 3 K margin after ISO 8502-4",
    basis="recalled",
    model="Dew point of the air shut in or breathed in, coldest ambient.",
    valid={"dew_point": (200.0, 373.0), "ambient": (200.0, 373.0), "margin": (0.0, 20.0)},
)
def rise_against_dew(dew_point: float, ambient: float, margin: float) -> float:
    """Return the rise (K) that keeps the inside `margin` (K) above the dew point."""
    return max(0.0, dew_point + margin - ambient)


@formula(
    text="P_cool = P - k A (T_in - T_ambient)",
    units={
        "power": "W", "coefficient": "W/m**2/K", "area": "m**2", "inside": "K", "ambient": "K", "return": "W",
    },
    source="Steady heat balance",
    basis="published",
    model="Positive: this much has to be carried off by a cooler; ambient hotter than the inside adds to "
    "the loss.",
    valid={
        "power": _POWER, "coefficient": _COEFFICIENT, "area": _AREA, "inside": (200.0, 400.0),
        "ambient": (200.0, 400.0),
    },
)  # fmt: skip
def cooling_power(power: float, coefficient: float, area: float, inside: float, ambient: float) -> float:
    """Return the cooling (W) that holds `inside` (K) against a loss `power` (W) and `ambient` (K)."""
    return power - coefficient * area * (inside - ambient)


def _constant(area: float) -> float:
    areas = [point for point, _ in _CONSTANT]
    place = min(max(bisect.bisect_right(areas, area), 1), len(areas) - 1)
    (low, k_low), (high, k_high) = _CONSTANT[place - 1], _CONSTANT[place]
    share = math.log(area / low) / math.log(high / low)
    return float(k_low * (k_high / k_low) ** share)
