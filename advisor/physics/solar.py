"""Sun on surfaces and boxes: irradiance by orientation, sol-air temperature, rise inside.

Irradiance in W/m2, angles in radians, temperatures in kelvin. Where the way a face looks is not known, the
sun is taken as standing square to it. Sun is absorbed on the outer skin, so it is resisted by the outer film
only; a part fixed to the sunlit face sees the local sol-air temperature, not the mean of the air inside.
"""

import math

from .registry import formula

_IRRADIANCE = (0.0, 1500.0)
_UNIT = (0.0, 1.0)
_FILM = (4.0, 60.0)
_SIDE = (0.0, 5.0)
_BALANCE = "Steady heat balance on the outer skin"


@formula(
    text="I = I_beam max(0, cos i)",
    units={"beam": "W/m**2", "incidence": "rad", "return": "W/m**2"},
    source="Geometry, textbooks of solar engineering",
    basis="published",
    valid={"beam": _IRRADIANCE, "incidence": (0.0, math.pi)},
)
def beam_on_face(beam: float, incidence: float) -> float:
    """Return the direct irradiance (W/m2) on a face whose normal is `incidence` (rad) off the sun."""
    return beam * max(0.0, math.cos(incidence))


@formula(
    text="I = D (1 + cos s) / 2 + G rho (1 - cos s) / 2",
    units={"diffuse": "W/m**2", "overall": "W/m**2", "ground": "", "tilt": "rad", "return": "W/m**2"},
    source="Isotropic sky and ground (Liu and Jordan 1963)",
    basis="published",
    model="Sky and ground equally bright all over; cloud and snow can make more.",
    valid={"diffuse": _IRRADIANCE, "overall": _IRRADIANCE, "ground": _UNIT, "tilt": (0.0, math.pi)},
)
def diffuse_on_face(diffuse: float, overall: float, ground: float, tilt: float) -> float:
    """Return the sky and ground irradiance (W/m2) on a face tilted by `tilt` (rad) from the horizontal.

    `diffuse` and `overall` (W/m2) are on the horizontal, `ground` is the reflectance of the ground.
    """
    share = (1.0 - math.cos(tilt)) / 2.0
    return diffuse * (1.0 - share) + overall * ground * share


@formula(
    text="T = T_air + alpha I / h_o - loss / h_o",
    units={
        "air": "K",
        "absorptance": "",
        "irradiance": "W/m**2",
        "outer_film": "W/m**2/K",
        "sky_loss": "W/m**2",
        "return": "K",
    },
    source="ASHRAE Handbook Fundamentals, sol-air temperature",
    basis="published",
    model="Thin face, insulated behind: an upper bound for its temperature. sky_loss is the emissivity "
    "times the long-wave loss to the sky (63 W/m2 on the flat, 0 upright); leave it out to be on the safe "
    "side.",
    valid={
        "air": (200.0, 350.0),
        "absorptance": _UNIT,
        "irradiance": _IRRADIANCE,
        "outer_film": _FILM,
        "sky_loss": (0.0, 150.0),
    },
)
def sol_air(
    air: float, absorptance: float, irradiance: float, outer_film: float, sky_loss: float = 0.0
) -> float:
    """Return the sol-air temperature (K) of a sunlit face in air at `air` (K)."""
    return air + (absorptance * irradiance - sky_loss) / outer_film


@formula(
    text="P = alpha I A_sun",
    units={"absorptance": "", "irradiance": "W/m**2", "sunlit": "m**2", "return": "W"},
    source=_BALANCE,
    basis="published",
    valid={"absorptance": _UNIT, "irradiance": _IRRADIANCE, "sunlit": (0.0, 50.0)},
)
def absorbed(absorptance: float, irradiance: float, sunlit: float) -> float:
    """Return the power (W) the sun leaves in a skin; `sunlit` (m2) is the area projected towards the sun."""
    return absorptance * irradiance * sunlit


@formula(
    text="A_sun = sqrt((H W)^2 + (H D)^2 + (W D)^2)",
    units={"height": "m", "width": "m", "depth": "m", "return": "m**2"},
    source="Geometry: largest shadow of a box with front, one side and roof in the sun",
    basis="published",
    valid={"height": _SIDE, "width": _SIDE, "depth": _SIDE},
)
def largest_shadow(height: float, width: float, depth: float) -> float:
    """Return the largest area (m2) a box can turn to the sun, whatever way it looks."""
    return math.hypot(height * width, height * depth, width * depth)


@formula(
    text="dT = alpha I A_sun / (h_o A)",
    units={"absorbed_power": "W", "outer_film": "W/m**2/K", "area": "m**2", "return": "delta_degC"},
    source=_BALANCE,
    basis="published",
    model="Rise of the mean air inside, metal walls that spread the heat; h_o about 10 in light air, 17 in "
    "design wind. A is the effective area of the enclosure.",
    valid={"absorbed_power": (0.0, 50e3), "outer_film": _FILM, "area": (0.01, 50.0)},
)
def box_rise(absorbed_power: float, outer_film: float, area: float) -> float:
    """Return the rise (K) inside an enclosure by the sun absorbed on its skin (W)."""
    return absorbed_power / (outer_film * area)


@formula(
    text="dT <= (P + alpha I A_sun) / (k A)",
    units={
        "power": "W",
        "absorbed_power": "W",
        "coefficient": "W/m**2/K",
        "area": "m**2",
        "return": "delta_degC",
    },
    source="Trade shortcut: sun counted as if it were lost inside",
    basis="common practice",
    model="Upper bound, 1.5 to 2 times too high, since it sends the sun through the inner film too.",
    valid={
        "power": (0.0, 10e3),
        "absorbed_power": (0.0, 50e3),
        "coefficient": (1.0, 25.0),
        "area": (0.01, 50.0),
    },
)
def screening_rise(power: float, absorbed_power: float, coefficient: float, area: float) -> float:
    """Return an upper bound (K) for the rise inside by loss and sun together."""
    return (power + absorbed_power) / (coefficient * area)
