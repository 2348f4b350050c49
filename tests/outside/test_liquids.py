"""Water and sea water against reference equations of state and printed tables."""

import gsw
import pytest
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS95
from pytest import approx

from advisor.physics import liquids

ICE = 273.15


@pytest.mark.parametrize("celsius", [0.1, 2, 3.98, 4, 10, 20, 37, 50, 65, 80, 90, 99.9])
def test_fresh_density_against_the_iapws_95_equation_of_state(celsius: float) -> None:
    # source: IAPWS-95 as computed by CoolProp at 101 325 Pa; asked 0.05 %, met 0.002 %
    wanted = PropsSI("D", "T", celsius + ICE, "P", 101325, "Water")
    assert liquids.fresh_water_density(celsius + ICE) == approx(wanted, rel=2e-5)


@pytest.mark.parametrize("celsius", [4, 20, 80])
def test_fresh_density_against_a_second_program_for_iapws_95(celsius: float) -> None:
    # source: iapws package, IAPWS95 at 0.101325 MPa
    assert liquids.fresh_water_density(celsius + ICE) == approx(
        IAPWS95(T=celsius + ICE, P=0.101325).rho, rel=2e-5
    )


def test_the_densest_fresh_water_lies_at_four_degrees() -> None:
    # source: Tanaka et al. 2001, Metrologia 38:301: 999.974 950 kg/m3 at 3.983 035 degC. Kell 1975 still put the
    # top at 999.972, the value of the old litre: 3 parts in a million
    assert approx(3.983035, abs=0.005) == liquids.DENSEST - ICE
    assert liquids.fresh_water_density(liquids.DENSEST) == approx(999.97495, abs=0.005)
    for step in (-0.01, 0.01):
        assert liquids.fresh_water_density(liquids.DENSEST + step) < liquids.fresh_water_density(
            liquids.DENSEST
        )


@pytest.mark.parametrize(
    ("celsius", "salinity"),
    # below 0 degC only the saltier are liquid
    [(t, s) for t in (-1, 0, 4, 15, 30, 40) for s in (0.002, 0.007, 0.035165, 0.040) if t >= 0 or s > 0.03],
)
@pytest.mark.parametrize("bar", [0, 10, 100, 500, 1000, 1100])
def test_sea_density_against_teos_10(celsius: float, salinity: float, bar: float) -> None:
    # source: TEOS-10 as computed by gsw, rho(SA, CT, p). Warm and nearly fresh water under 1000 bar, which no sea
    # holds, is where the older equation is 0.03 % heavy
    grams = salinity * 1000
    conservative = gsw.CT_from_t(grams, celsius, bar * 10)
    assert liquids.sea_water_density(celsius + ICE, salinity, bar * 1e5) == approx(
        gsw.rho(grams, conservative, bar * 10), rel=5e-5 if bar <= 500 else 5e-4
    )


@pytest.mark.parametrize(
    ("salinity", "celsius", "bar", "density"),
    [(0, 5, 0, 999.96675), (0, 5, 1000, 1044.12802), (35, 5, 0, 1027.67547), (35, 25, 1000, 1062.53817)],
)
def test_sea_density_against_the_check_values_of_the_equation(
    salinity: float, celsius: float, bar: float, density: float
) -> None:
    # source: UNESCO Tech. Pap. Mar. Sci. 44 (1983), table of check values, recalled; practical salinity and
    # the temperature scale of 1968, so both are turned back here
    absolute = salinity * 35.16504 / 35 / 1000
    kelvin = celsius / 1.00024 + ICE
    assert liquids.sea_water_density(kelvin, absolute, bar * 1e5) == approx(density, abs=1e-4)


@pytest.mark.parametrize("celsius", [0.02, 5, 20, 60, 80, 100, 121.1, 134, 150, 200])
def test_saturation_pressure_against_iapws_95(celsius: float) -> None:
    # source: IAPWS-95 as computed by CoolProp; asked 0.5 % to 150 degC
    wanted = PropsSI("P", "T", celsius + ICE, "Q", 0, "Water")
    assert liquids.saturation_pressure(celsius + ICE) == approx(wanted, rel=5e-4)


@pytest.mark.parametrize(("kelvin", "megapascal"), [(300, 3.53658941e-3), (500, 2.63889776)])
def test_saturation_pressure_against_the_verification_table(kelvin: float, megapascal: float) -> None:
    # source: IAPWS R7-97 (2012), table 35
    assert liquids.saturation_pressure(kelvin) == approx(megapascal * 1e6, rel=3e-9)


@pytest.mark.parametrize("celsius", [5, 20, 60, 100, 150])
def test_surface_tension_against_the_library(celsius: float) -> None:
    # source: CoolProp, surface tension of water (Mulero et al. 2012)
    wanted = PropsSI("I", "T", celsius + ICE, "Q", 0, "Water")
    assert liquids.surface_tension(celsius + ICE) == approx(wanted, rel=2e-3)
