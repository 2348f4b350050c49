"""Columns of water against handbooks, and the sea against the oceanographic library."""

import math

import gsw
import numpy as np
import pytest
from pytest import approx

from advisor.physics import gravity, hydrostatics, liquids

ICE = 273.15
PSI = 6894.757293
FOOT = 0.3048


def fresh(celsius: float) -> float:
    return liquids.fresh_water_density(celsius + ICE)


@pytest.mark.parametrize(
    ("metres", "celsius", "kilopascal"),
    [(1.0, 20, 9.789), (1.8288, 20, 17.90), (1.0, 80, 9.53), (2.5, 60, 24.10), (60, 20, 587.3),
     (200, 4, 1961.28)],
)
def test_fresh_columns(metres: float, celsius: float, kilopascal: float) -> None:
    # source: rho g h with IAPWS-95 density (CoolProp) and standard gravity
    assert hydrostatics.gauge_pressure(metres, fresh(celsius)) == approx(kilopascal * 1e3, rel=5e-4)


def test_twenty_bar_is_about_204_metres_of_cold_fresh_water() -> None:
    # source: 20e5 / (999.975 x 9.80665), density of IAPWS-95 at 4 degC
    assert hydrostatics.depth(20e5, fresh(4)) == approx(203.95, abs=0.05)
    assert round(hydrostatics.depth(20e5, fresh(4))) == 204


def test_seven_bar_is_seventy_metres_and_a_half_more_than_ten_a_bar() -> None:
    # source: 7e5 / (998.2072 x 9.80665) = 71.51 m; ten metres a bar is the trade's round figure
    assert hydrostatics.fresh_water_depth(7e5) == approx(71.51, rel=2e-4)


@pytest.mark.parametrize(
    ("pascal", "feet"),
    [
        (PSI, 2.31),  # source: pump and water-works handbooks, 1 psi = 2.31 ft of water
        (0.433 * PSI, 1.0),  # source: the same, 1 ft = 0.433 psi
        (101325, 33.9),  # source: Perry's Chemical Engineers' Handbook, 1 atm = 33.90 ft of water at 39.2 degF
        (1e5, 33.456),  # source: NIST SP 811, conventional foot of water 2989.067 Pa
    ],
)
def test_pressure_to_feet_of_water_agrees_with_handbooks(pascal: float, feet: float) -> None:
    assert hydrostatics.fresh_water_depth(pascal) / FOOT == approx(feet, rel=2e-3)


def test_conventional_water_columns() -> None:
    # source: NIST SP 811, appendix B: 9806.65 Pa a metre, 2989.067 Pa a foot (1000 kg/m3)
    assert hydrostatics.gauge_pressure(1.0, 1000.0) == approx(9806.65, rel=1e-9)
    assert hydrostatics.gauge_pressure(FOOT, 1000.0) == approx(2989.067, rel=1e-6)


def test_gravity_spread_over_ten_metres() -> None:
    # source: WGS 84 normal gravity x 998.2072 x 10 m
    at = [hydrostatics.gauge_pressure(10, fresh(20), gravity.normal(lat)) for lat in (0.0, math.pi / 2)]
    assert at == approx([97630, 98150], abs=50)
    assert at[1] / at[0] - 1 == approx(0.0053, abs=1e-4)


def test_gauge_and_absolute() -> None:
    # source: definition; 1 bar abs is 13.25 mbar below a standard atmosphere
    assert hydrostatics.gauge_from_absolute(1e5) == approx(-1325)
    assert hydrostatics.absolute_from_gauge(7e5) == approx(801325)
    assert hydrostatics.absolute_from_gauge(7e5, 79500) == approx(779500)


@pytest.mark.parametrize("latitude", [0, 45, 70])
@pytest.mark.parametrize("metres", [1, 10, 30, 100, 200, 500, 1000, 4000, 11000])
def test_sea_pressure_against_teos_10(metres: float, latitude: float) -> None:
    # source: gsw.p_from_z (TEOS-10), standard sea water of 0 degC; asked 0.3 % to 1000 m, met 0.01 %
    wanted = gsw.p_from_z(-metres, latitude) * 1e4
    found = hydrostatics.sea_gauge_pressure(metres, ICE, gravity=gravity.normal(math.radians(latitude)))
    assert found == approx(wanted, rel=1e-4 if metres <= 1000 else 5e-4)


@pytest.mark.parametrize(("celsius", "salinity"), [(4, 0.007), (15, 0.035165), (20, 0.0), (30, 0.040)])
def test_sea_depth_against_an_integral_of_teos_10(celsius: float, salinity: float) -> None:
    # source: gsw.specvol (TEOS-10) integrated over pressure in 1 dbar steps, standard gravity, 0 to 1000 dbar
    grams = salinity * 1000
    decibar = np.arange(0, 1001.0)
    volume = gsw.specvol(grams, gsw.CT_from_t(grams, celsius, decibar), decibar)
    wanted = float(np.sum(volume[1:] + volume[:-1])) / 2 * 1e4 / gravity.STANDARD
    assert hydrostatics.sea_depth(1e7, celsius + ICE, salinity) == approx(wanted, rel=3e-4)


def test_thirty_metres_of_sea() -> None:
    # source: gsw.rho(35.16504, CT(15 degC), 0) x g x 30 m = 301.8 kPa
    assert hydrostatics.sea_gauge_pressure(30, 288.15) == approx(301.8e3, rel=1e-3)


def test_thirty_three_feet_of_sea_are_an_atmosphere() -> None:
    # source: divers' rule, NOAA Diving Manual: 33 ft of sea water or 34 ft of fresh water to an atmosphere
    assert hydrostatics.sea_gauge_pressure(33 * FOOT, 288.15) == approx(101325, rel=3e-3)
    assert hydrostatics.fresh_water_depth(101325) / FOOT == approx(34, rel=3e-3)


@pytest.mark.parametrize("metres", [0.0, 0.15, 1000, 11000])
def test_sea_depth_and_pressure_undo_each_other(metres: float) -> None:
    # source: each is the other's inverse by definition
    pressure = hydrostatics.sea_gauge_pressure(metres, 280.0, 0.03)
    assert hydrostatics.sea_depth(pressure, 280.0, 0.03) == approx(metres, rel=1e-9)
