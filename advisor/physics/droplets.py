"""A spatter drop on its way from the arc to the unit: how hot it is when it gets there.

Lumped iron drop with Ranz-Marshall convection, radiation, Schiller-Naumann drag and the latent heat given off
in freezing. The path is taken straight down, with gravity helping: the quickest and so the hottest way to
cover the distance, and one on which a drop never stops. No heat of oxidation. Results are orders of
magnitude, most of all once a fine drop has frozen; drops of 1 mm and more are liquid for metres, which is the
point. Kelvin, metres, metres a second.
"""

import math

from .gravity import STANDARD
from .registry import formula
from .spatter import DENSITY, HEAT_OF_FUSION, LIQUID_HEAT, MELTING, SOLID_HEAT

EMISSIVITY = 0.4
"""Between molten iron (0.3) and its oxide (0.8); the low side keeps drops hot."""
STEFAN_BOLTZMANN = 5.670374e-8

_STEPS = 80
_SOURCE = "Ranz and Marshall 1952 (convection); Schiller and Naumann 1935 (drag); handbook data of iron"
_VALID = {
    "diameter": (5e-5, 0.005), "speed": (0.3, 30.0), "start": (1811.0, 3000.0), "distance": (0.0, 10.0),
    "air": (230.0, 400.0),
}  # fmt: skip
_UNITS = {"diameter": "m", "speed": "m/s", "start": "K", "distance": "m", "air": "K"}
_MODEL = (
    "Lumped iron drop falling straight to the unit, no heat of oxidation, emissivity 0.4. Order of magnitude."
)


@formula(
    text="m dh/dt = -A (h_c (T - T_air) + eps sigma (T^4 - T_air^4)), m dv/dt = m g - drag, along the path",
    units={**_UNITS, "return": "K"},
    source=_SOURCE,
    basis="recalled",
    model=_MODEL,
    valid=_VALID,
)
def arrival_temperature(diameter: float, speed: float, start: float, distance: float, air: float) -> float:
    """Return the temperature (K) after `distance` (m) of a drop leaving at `speed` (m/s), `start` (K)."""
    return _temperature(_fly(diameter, speed, start, distance, air))


@formula(
    text="share of the latent heat still in the drop after the path, by the same integration",
    units={**_UNITS, "return": ""},
    source=_SOURCE,
    basis="recalled",
    model=_MODEL,
    valid=_VALID,
)
def liquid_share(diameter: float, speed: float, start: float, distance: float, air: float) -> float:
    """Return how much of a drop is still liquid after `distance` (m): 1 all, 0 none, it bounces off."""
    above = _fly(diameter, speed, start, distance, air) - _SOLIDUS
    return min(max(above / HEAT_OF_FUSION, 0.0), 1.0)


_SOLIDUS = SOLID_HEAT * (MELTING - 298.15)
"""Heat (J/kg above 298 K) of iron just solid at the melting point."""


def _temperature(heat: float) -> float:
    if heat < _SOLIDUS:
        return 298.15 + heat / SOLID_HEAT
    return MELTING + max(heat - _SOLIDUS - HEAT_OF_FUSION, 0.0) / LIQUID_HEAT


def _fly(diameter: float, speed: float, start: float, distance: float, air: float) -> float:
    """Return the heat (J/kg above 298 K) left after the path, by Heun's method in equal steps of distance."""
    heat = _SOLIDUS + HEAT_OF_FUSION + LIQUID_HEAT * (start - MELTING)
    floor = SOLID_HEAT * (air - 298.15)
    step = distance / _STEPS
    for _ in range(_STEPS):
        loss, push = _slopes(diameter, speed, heat, air)
        ahead_heat, ahead_speed = (
            max(heat + step * loss, floor),
            math.sqrt(max(speed**2 + 2 * step * push, 0.01)),
        )
        loss_ahead, push_ahead = _slopes(diameter, ahead_speed, ahead_heat, air)
        heat = max(heat + 0.5 * step * (loss + loss_ahead), floor)
        speed = math.sqrt(max(speed**2 + step * (push + push_ahead), 0.01))
    return heat


def _slopes(diameter: float, speed: float, heat: float, air: float) -> tuple[float, float]:
    """Return the change of heat (J/kg) and of half the squared speed (m2/s2) along a metre of path."""
    hot = max(_temperature(heat), air)
    film = 0.5 * (hot + air)
    viscosity = 1.458e-6 * film**1.5 / (film + 110.4)
    conductivity = 2.646e-3 * film**1.5 / (film + 245.4 * 10.0 ** (-12.0 / film))
    reynolds = 353.0 / film * speed * diameter / viscosity
    convection = (2.0 + 0.6 * math.sqrt(reynolds) * 0.89) * conductivity / diameter
    flux = convection * (hot - air) + EMISSIVITY * STEFAN_BOLTZMANN * (hot**4 - air**4)
    loss = 6.0 * flux / (DENSITY * diameter) / speed
    drag = 18.0 * viscosity * (1.0 + 0.15 * reynolds**0.687) / (DENSITY * diameter**2) * speed
    return -loss, STANDARD - drag
