"""The standard atmosphere and the boiling point under it."""

import pytest
from CoolProp.CoolProp import PropsSI
from pytest import approx

from advisor.physics import air


@pytest.mark.parametrize(
    ("altitude", "pascal"),
    [(-2000, 127774), (0, 101325), (500, 95461), (1000, 89874.6), (2000, 79495.2), (3000, 70108.5),
     (5000, 54019.9), (8000, 35599.8), (11000, 22632.1)],
)
def test_pressure_against_the_table_of_the_standard_atmosphere(altitude: float, pascal: float) -> None:
    # source: ISO 2533:1975 table by geopotential altitude (the same as US Standard Atmosphere 1976), recalled
    assert air.pressure(altitude) == approx(pascal, rel=2e-4)


@pytest.mark.parametrize(("altitude", "ratio"), [(3000, 1.134), (4000, 1.290), (5000, 1.472)])
def test_pressure_ratio_behind_the_clearance_factors(altitude: float, ratio: float) -> None:
    # source: p(2000 m)/p(h), on which the altitude factors of IEC 60664-1, table A.2 (1.14, 1.29, 1.48) rest
    assert air.pressure(2000) / air.pressure(altitude) == approx(ratio, rel=1e-3)


@pytest.mark.parametrize("altitude", [1000, 2000, 3000])
def test_density_against_the_real_gas(altitude: float) -> None:
    # source: CoolProp, air
    pressure = air.pressure(altitude)
    assert air.density(pressure, 293.15) == approx(PropsSI("D", "T", 293.15, "P", pressure, "Air"), rel=1e-3)


@pytest.mark.parametrize("pressure", [1000, 20000, 54020, 79500, 101325, 205000, 476000, 1.5e6])
def test_boiling_point_against_iapws_95(pressure: float) -> None:
    # source: IAPWS-95 as computed by CoolProp
    wanted = PropsSI("T", "P", pressure, "Q", 0, "Water")
    assert air.boiling_point(pressure) == approx(wanted, abs=0.01)


@pytest.mark.parametrize(("megapascal", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632)])
def test_boiling_point_against_the_verification_table(megapascal: float, kelvin: float) -> None:
    # source: IAPWS R7-97 (2012), table 36
    assert air.boiling_point(megapascal * 1e6) == approx(kelvin, abs=1e-6)


@pytest.mark.parametrize(("altitude", "celsius"), [(0, 99.97), (1000, 96.65), (2000, 93.32), (3000, 89.97)])
def test_boiling_point_by_altitude(altitude: float, celsius: float) -> None:
    # source: CoolProp PropsSI("T", "P", p, "Q", 0, "Water") at the ISO 2533 pressure
    assert air.boiling_point(air.pressure(altitude)) - 273.15 == approx(celsius, abs=0.02)
