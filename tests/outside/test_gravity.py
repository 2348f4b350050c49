"""Normal gravity against the oceanographic library and the constants of the ellipsoid."""

import math

import gsw
import pytest
from pytest import approx

from advisor.physics import gravity


@pytest.mark.parametrize("latitude", [-90, -33.9, 0, 15, 30, 45, 51.5, 60, 75, 90])
def test_gravity_at_sea_level_against_teos_10(latitude: float) -> None:
    # source: gsw.grav(latitude, 0), which follows Moritz 2000 (GRS 80)
    assert gravity.normal(math.radians(latitude)) == approx(gsw.grav(latitude, 0), abs=2e-5)


def test_gravity_at_equator_and_pole() -> None:
    # source: NGA.STND.0036, WGS 84: 9.780 325 335 9 and 9.832 184 937 9 m/s2
    assert gravity.normal(0.0) == approx(9.7803253359, abs=1e-10)
    assert gravity.normal(math.pi / 2) == approx(9.8321849379, abs=1e-8)


def test_gravity_falls_by_the_free_air_gradient() -> None:
    # source: free-air gradient 0.3086 mGal/m at 45 degrees, any geodesy text
    fall = gravity.normal(math.radians(45)) - gravity.normal(math.radians(45), 1000.0)
    assert fall == approx(3.086e-3, rel=2e-3)


@pytest.mark.parametrize("latitude", [0, 30, 60, 90])
@pytest.mark.parametrize("height", [500, 4000, 11000])
def test_height_correction_of_the_second_order(latitude: float, height: float) -> None:
    # source: Hinze et al. 2005, Geophysics 70(4):J25, which drops the flattening in h^2:
    # -(0.3087691 - 0.0004398 sin^2) h + 7.2125e-8 h^2 mGal
    s2 = math.sin(math.radians(latitude)) ** 2
    wanted = (-(0.3087691 - 0.0004398 * s2) * height + 7.2125e-8 * height**2) * 1e-5
    found = gravity.normal(math.radians(latitude), height) - gravity.normal(math.radians(latitude))
    assert found == approx(wanted, abs=2e-7 + 3e-5 * abs(wanted))


def test_standard_gravity() -> None:
    # source: 3rd CGPM 1901, NIST SP 811
    assert gravity.STANDARD == 9.80665
