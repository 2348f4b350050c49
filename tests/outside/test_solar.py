"""Sun on surfaces against the sol-air formula of ASHRAE and textbook geometry."""

import math

import pytest
from pytest import approx

from advisor.physics import solar

ICE = 273.15


@pytest.mark.parametrize(
    ("absorptance", "irradiance", "air", "celsius"),
    # source: ASHRAE Fundamentals, sol-air temperature with h_o 17 W/(m2 K), no long-wave term, by hand
    [(0.9, 1120, 40, 99.3), (0.3, 1120, 40, 59.8), (0.5, 1120, 40, 72.9), (0.9, 1000, 35, 87.9)],
)
def test_sol_air(absorptance: float, irradiance: float, air: float, celsius: float) -> None:
    assert solar.sol_air(air + ICE, absorptance, irradiance, 17) - ICE == approx(celsius, abs=0.5)


def test_sky_loss_of_a_roof() -> None:
    # source: ASHRAE Fundamentals: about 4 K off a flat roof (63 W/m2 over 17 W/(m2 K))
    lower = solar.sol_air(40 + ICE, 0.9, 1000, 17, 63)
    assert solar.sol_air(40 + ICE, 0.9, 1000, 17) - lower == approx(3.9, abs=0.3)


def test_beam_on_a_tilted_face() -> None:
    # source: Duffie and Beckman, Solar Engineering of Thermal Processes, example 1.6.1: latitude 43 degrees,
    # declination -14 degrees, 10:30 solar time, face tilted 45 degrees and turned 15 degrees west of south:
    # incidence 35 degrees
    latitude, declination, hour, tilt, facing = (math.radians(x) for x in (43, -14, -22.5, 45, 15))
    up = math.sin(latitude) * math.sin(declination) + math.cos(latitude) * math.cos(declination) * math.cos(
        hour
    )
    west = math.cos(declination) * math.sin(hour)
    south = (up * math.sin(latitude) - math.sin(declination)) / math.cos(latitude)
    normal = (math.sin(tilt) * math.cos(facing), math.sin(tilt) * math.sin(facing), math.cos(tilt))
    projected = 1000 * (south * normal[0] + west * normal[1] + up * normal[2])
    assert solar.beam_on_face(1000, math.radians(35)) == approx(projected, rel=0.01)


def test_beam_behind_a_face() -> None:
    assert solar.beam_on_face(1000, math.radians(100)) == 0.0
    assert solar.beam_on_face(1000, 0.0) == 1000


def test_diffuse_on_a_wall() -> None:
    # source: isotropic sky of Liu and Jordan: a wall sees half the sky and half the ground
    assert solar.diffuse_on_face(100, 800, 0.2, math.pi / 2) == approx(50 + 80)
    assert solar.diffuse_on_face(100, 800, 0.2, 0.0) == approx(100)


def test_largest_shadow_of_a_box() -> None:
    # source: shadow of a box searched over directions of the sun
    height, width, depth = 0.6, 0.4, 0.25
    best = 0.0
    for up in range(91):
        for round_ in range(91):
            a, b = math.radians(up), math.radians(round_)
            shadow = (
                width * depth * math.sin(a)
                + height * width * math.cos(a) * math.cos(b)
                + height * depth * math.cos(a) * math.sin(b)
            )
            best = max(best, shadow)
    assert solar.largest_shadow(height, width, depth) == approx(best, rel=1e-3)
    assert solar.largest_shadow(height, width, depth) >= best
