"""Heat balances that rules need beside the plain laws: a unit on a bracket, before a hot body, in the sun.

Small grey bodies in steady state with one film coefficient over all of their surface. Temperatures in
kelvin, the rest SI. Losses from the sides of a bracket and to a cold fixing are left out, which makes the
unit cooler than computed; its own heat is left out too and comes on top.
"""

from .registry import formula
from .thermal import STEFAN_BOLTZMANN

_TEMPERATURE = (100.0, 2500.0)
_FILM = (1.0, 100.0)


@formula(
    text="T = (g T_wall + h S T_air) / (g + h S), g = k A / L",
    units={
        "wall": "K", "air": "K", "conductivity": "W/m/K", "section": "m**2", "length": "m",
        "film": "W/m**2/K", "surface": "m**2", "return": "K",
    },
    source="Steady balance of Fourier's law and the film law, heat transfer textbooks",
    basis="published",
    model="Straight bracket that sheds nothing itself and is joined without thermal resistance; the unit's "
    "own heat is left out and comes on top.",
    valid={
        "wall": _TEMPERATURE, "air": _TEMPERATURE, "conductivity": (0.02, 500.0), "section": (1e-7, 0.1),
        "length": (1e-3, 10.0), "film": _FILM, "surface": (1e-5, 10.0),
    },
)  # fmt: skip
def on_bracket(
    wall: float, air: float, conductivity: float, section: float, length: float, film: float, surface: float
) -> float:
    """Return the temperature (K) of a unit of `surface` (m2) on a bracket from a wall (K) in air (K)."""
    bracket = conductivity * section / length
    return (bracket * wall + film * surface * air) / (bracket + film * surface)


@formula(
    text="F s T_hot^4 + (1 - F) s T_air^4 + h T_air = s T^4 + h T",
    units={"hot": "K", "air": "K", "view": "", "film": "W/m**2/K", "return": "K"},
    source="Stefan-Boltzmann law and the film law in balance, heat transfer textbooks",
    basis="published",
    model="Black face with nothing behind it that carries heat away, the rest of its view at the temperature "
    "of the air: an upper bound that lasting exposure comes near to.",
    valid={"hot": _TEMPERATURE, "air": _TEMPERATURE, "view": (0.0, 1.0), "film": _FILM},
)
def face_before_hot_body(hot: float, air: float, view: float, film: float) -> float:
    """Return the temperature (K) of a face that sees a body at `hot` (K) with the view factor `view`."""
    gain = STEFAN_BOLTZMANN * (view * hot**4 + (1.0 - view) * air**4) + film * air
    low, high = min(hot, air), max(hot, air)
    for _ in range(60):
        middle = (low + high) / 2.0
        if STEFAN_BOLTZMANN * middle**4 + film * middle < gain:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


@formula(
    text="T = T_air + alpha I f / h",
    units={
        "air": "K", "absorptance": "", "irradiance": "W/m**2", "share": "", "film": "W/m**2/K", "return": "K",
    },
    source="Steady heat balance of a body that spreads the heat of its sunlit side",
    basis="published",
    model="f is the shadow over the whole surface: 1/4 for a sphere, at most 0.29 for a cube, 0.32 for a "
    "long rod, 0.5 for a thin plate.",
    valid={
        "air": (200.0, 350.0), "absorptance": (0.0, 1.0), "irradiance": (0.0, 1500.0), "share": (0.0, 0.5),
        "film": _FILM,
    },
)  # fmt: skip
def body_in_sun(air: float, absorptance: float, irradiance: float, share: float, film: float) -> float:
    """Return the mean temperature (K) of a small body in the sun, in air at `air` (K)."""
    return air + absorptance * irradiance * share / film


@formula(
    text="loss = 1 % for every 100 m above 1000 m",
    units={"altitude": "m", "return": ""},
    source="Practice for air-cooled motors and drives",
    basis="common practice",
    model="Share of the rated loss that air-cooled equipment can no longer shed; the density of air falls by "
    "9 % a kilometre.",
    valid={"altitude": (-500.0, 6000.0)},
)
def cooling_lost(altitude: float) -> float:
    """Return the share of air cooling that is lost at `altitude` (m)."""
    return max(0.0, (altitude - 1000.0) / 10000.0)
