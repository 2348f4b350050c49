"""Weld spatter: heat in a drop, how far it is thrown, and what happens where it lands.

A drop is iron: density 7000 kg/m3, 1.30 MJ/kg between 25 degC and just molten, latent heat in that included.
All functions lean to the hot and far side: no oxide film, no bounce, no latent heat lost on the way unless
computed (`droplets` has the flight). Temperatures in kelvin, lengths in metres. Rankings are firm, absolute
values are orders of magnitude.
"""

import math

from .gravity import STANDARD
from .registry import formula

DENSITY = 7000.0
MELTING = 1811.0
HEAT_OF_FUSION = 247e3
LIQUID_HEAT = 824.0
SOLID_HEAT = (1.30e6 - HEAT_OF_FUSION) / (MELTING - 298.15)
EFFUSIVITY = 14208.0
"""Thermal effusivity of liquid iron in W s^0.5/(m2 K)."""

_IRON = "Shomate-type data for iron (liquid 46.024 J/(mol K)); metals handbooks"
_CONTACT = "Carslaw and Jaeger, Conduction of Heat in Solids: two half-spaces brought into contact"
_TEMPERATURE = (273.15, 3300.0)
_WALL = (150.0, 1800.0)
_EFFUSIVITY = (100.0, 50e3)


@formula(
    text="m = 7000 pi d^3 / 6",
    units={"diameter": "m", "return": "kg"},
    source=_IRON,
    basis="recalled",
    valid={"diameter": (1e-5, 0.01)},
)
def drop_mass(diameter: float) -> float:
    """Return the mass (kg) of an iron drop of this diameter (m): 3.67 mg at 1 mm."""
    return DENSITY * math.pi * diameter**3 / 6.0


def _heat_content(temperature: float) -> float:
    """Return the heat (J/kg) in iron above 298 K, fully molten at the melting point."""
    if temperature < MELTING:
        return SOLID_HEAT * (temperature - 298.15)
    return 1.30e6 + LIQUID_HEAT * (temperature - MELTING)


@formula(
    text="Q = m h, h = 1.30e6 + 824 (T - 1811 K) J/kg if molten, 696 (T - 298 K) if not",
    units={"diameter": "m", "temperature": "K", "return": "J"},
    source=_IRON,
    basis="recalled",
    model="Heat above 298 K; a mean specific heat below the melting point.",
    valid={"diameter": (1e-5, 0.01), "temperature": _TEMPERATURE},
)
def drop_heat(diameter: float, temperature: float) -> float:
    """Return the heat (J) an iron drop at `temperature` (K) holds: 6.2 J for 1 mm at 2000 degC."""
    return drop_mass(diameter) * _heat_content(temperature)


@formula(
    text="R = v sqrt(v^2 + 2 g h) / g",
    units={"speed": "m/s", "height": "m", "return": "m"},
    source="Flight of a thrown body without air drag, mechanics",
    basis="published",
    model="The furthest a drop can land from the weld, thrown at the best angle, `height` below the arc. "
    "Drag shortens it, the more the smaller the drop.",
    valid={"speed": (0.0, 50.0), "height": (0.0, 30.0)},
)
def throw(speed: float, height: float) -> float:
    """Return the furthest reach (m) of spatter leaving at `speed` (m/s), landing `height` (m) lower."""
    return speed * math.sqrt(speed * speed + 2.0 * STANDARD * height) / STANDARD


@formula(
    text="T = (e1 T1 + e2 T2) / (e1 + e2), e1 = 14208",
    units={"drop": "K", "wall": "K", "effusivity": "W*s**0.5/m**2/K", "return": "K"},
    source=_CONTACT,
    basis="published",
    model="Ideal contact of liquid iron with a thick wall, no latent heat, no oxide; effusivity is sqrt(k "
    "rho c). Firm as a ranking of wall materials only.",
    valid={"drop": _TEMPERATURE, "wall": _WALL, "effusivity": _EFFUSIVITY},
)
def contact_temperature(drop: float, wall: float, effusivity: float) -> float:
    """Return the temperature (K) at the surface where a drop at `drop` (K) lands on a wall at `wall` (K)."""
    return (EFFUSIVITY * drop + effusivity * wall) / (EFFUSIVITY + effusivity)


@formula(
    text="T = T_melt + e2 / e1 (T_melt - T_wall) - L / c",
    units={"melting": "K", "wall": "K", "effusivity": "W*s**0.5/m**2/K", "return": "K"},
    source=f"{_CONTACT}; latent heat counted as 300 K of drop temperature",
    basis="recalled",
    model="The coolest drop that can melt the surface. Counting the latent heat lowers it by 300 K against "
    "the plain contact figure, the cautious way.",
    valid={"melting": (300.0, 3000.0), "wall": _WALL, "effusivity": _EFFUSIVITY},
)
def drop_that_melts(melting: float, wall: float, effusivity: float) -> float:
    """Return the drop temperature (K) from which a surface melting at `melting` (K) is fused."""
    return melting + effusivity / EFFUSIVITY * (melting - wall) - HEAT_OF_FUSION / LIQUID_HEAT


@formula(
    text="V = Q / (rho h)",
    units={"heat": "J", "heat_to_melt": "J/kg", "density": "kg/m**3", "return": "m**3"},
    source="Heat balance",
    basis="recalled",
    model="All of the drop's heat goes into melting; real craters are a fraction, as drops bounce or freeze.",
    valid={"heat": (0.0, 2000.0), "heat_to_melt": (5e4, 5e6), "density": (500.0, 20e3)},
)
def melted_volume(heat: float, heat_to_melt: float, density: float) -> float:
    """Return the most volume (m3) a drop's `heat` (J) can melt; `heat_to_melt` (J/kg) from ambient."""
    return heat / (density * heat_to_melt)
