"""Vapour, dew and frost against two programs for moist air and the constants of the weather services."""

import math

import psychrolib
import pytest
from CoolProp.CoolProp import HAPropsSI
from pytest import approx

from advisor.physics import moisture

ICE = 273.15
psychrolib.SetUnitSystem(psychrolib.SI)


def magnus_dew_point(celsius: float, humidity: float, b: float = 17.62, c: float = 243.12) -> float:
    """Source: WMO-No. 8, annex 4.B, over water."""
    exponent = math.log(humidity) + b * celsius / (c + celsius)
    return c * exponent / (b - exponent)


@pytest.mark.parametrize("celsius", [0, 1, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 99])
@pytest.mark.parametrize("humidity", [0.05, 0.2, 0.5, 0.8, 0.95, 1.0])
def test_dew_and_frost_point_against_psychrolib(celsius: float, humidity: float) -> None:
    # source: psychrolib (ASHRAE Fundamentals 2017, ch. 1: Hyland and Wexler 1983), dew above and frost below
    # 0 degC; asked 0.1 K. Below freezing it counts humidity over ice, so the comparison starts at 0 degC
    wanted = psychrolib.GetTDewPointFromRelHum(celsius, humidity)
    found = moisture.condensation_point(celsius + ICE, humidity) - ICE
    # psychrolib halts within 0.001 K of 0 degC, where its two curves meet
    assert found == approx(wanted, abs=0.05)


@pytest.mark.parametrize(
    ("celsius", "humidity"),
    # nearly pure steam, where real-gas effects count, is outside of the model
    [(t, h) for t in (5, 20, 40, 60, 80, 95) for h in (0.1, 0.5, 0.9) if (t, h) not in ((80, 0.9), (95, 0.9))],
)
def test_dew_point_against_coolprop(celsius: float, humidity: float) -> None:
    # source: CoolProp HAPropsSI("D"), real moist air (Herrmann, Kretzschmar and Gatley 2009); asked 0.1 K
    wanted = HAPropsSI("D", "T", celsius + ICE, "P", 101325, "R", humidity)
    assert moisture.condensation_point(celsius + ICE, humidity) == approx(wanted, abs=0.1)


@pytest.mark.parametrize(
    ("celsius", "percent", "dew", "tolerance"),
    [(20, 50, 9.26, 0.1), (25, 60, 16.69, 0.1), (40, 50, 27.60, 0.1), (5, 85, 2.69, 0.1), (10, 80, 6.71, 0.1),
     (22, 45, 9.52, 0.1), (18, 65, 11.32, 0.1), (40, 93, 38.65, 0.1), (20, 55, 10.68, 0.1),
     # the Magnus form itself is 0.3 K off here
     (60, 30, 36.20, 0.35), (80, 10, 32.18, 0.35)],
)
def test_dew_points_by_the_magnus_constants(
    celsius: float, percent: float, dew: float, tolerance: float
) -> None:
    # source: WMO-No. 8, annex 4.B (Magnus), printed to 0.01 K
    assert moisture.dew_point(celsius + ICE, percent / 100) - ICE == approx(dew, abs=tolerance)


@pytest.mark.parametrize(
    ("celsius", "humidity"),
    # the constants end at a dew point of -45 degC
    [(-40, 0.7), (-30, 0.3), (-30, 1.0), (-20, 0.3), (-20, 1.0), (-10, 0.3), (-10, 1.0), (0, 0.3), (0, 1.0)],
)
def test_dew_point_of_freezing_air_against_magnus(celsius: float, humidity: float) -> None:
    # source: WMO-No. 8, annex 4.B, over water, stated for -45 to 60 degC with 0.35 K
    wanted = magnus_dew_point(celsius, humidity)
    assert wanted >= -45
    assert moisture.dew_point(celsius + ICE, humidity) - ICE == approx(wanted, abs=0.35)


@pytest.mark.parametrize(
    ("celsius", "percent", "frost", "dew"), [(-20, 80, -20.25, -22.56), (-10, 70, -12.87, -14.44),
                                            (2, 50, -6.51, -7.35)],
)
def test_frost_point_is_the_warmer(celsius: float, percent: float, frost: float, dew: float) -> None:
    # source: WMO-No. 8, annex 4.B, constants over ice 22.46 and 272.62, over water 17.62 and 243.12
    found = moisture.frost_point(celsius + ICE, percent / 100) - ICE
    assert found == approx(frost, abs=0.15)
    assert moisture.dew_point(celsius + ICE, percent / 100) - ICE == approx(dew, abs=0.15)
    assert moisture.condensation_point(celsius + ICE, percent / 100) - ICE == approx(found, abs=1e-6)


def test_humid_freezing_air_wets_a_surface_warmer_than_itself() -> None:
    # source: saturation over water exceeds saturation over ice (any meteorology text): 10 % at -10 degC
    assert moisture.condensation_point(-10 + ICE, 1.0) > -10 + ICE
    ratio = moisture.saturation_over_water(-10 + ICE) / moisture.saturation_over_ice(-10 + ICE)
    assert ratio == approx(1.102, abs=0.003)


@pytest.mark.parametrize("celsius", [-90, -60, -40, -20, -5, -0.1])
def test_saturation_over_ice_against_psychrolib(celsius: float) -> None:
    # source: psychrolib GetSatVapPres below 0 degC (Hyland and Wexler 1983 over ice)
    wanted = psychrolib.GetSatVapPres(celsius)
    assert moisture.saturation_over_ice(celsius + ICE) == approx(wanted, rel=8e-3 if celsius < -60 else 2e-3)


@pytest.mark.parametrize("celsius", [0.1, 20, 60, 100, 134])
def test_saturation_over_water_against_psychrolib(celsius: float) -> None:
    # source: psychrolib GetSatVapPres above 0 degC (Hyland and Wexler 1983 over water)
    wanted = psychrolib.GetSatVapPres(celsius)
    assert moisture.saturation_over_water(celsius + ICE) == approx(wanted, rel=1e-3)


@pytest.mark.parametrize("celsius", [-40, -20, -10, -1])
def test_saturation_over_supercooled_water(celsius: float) -> None:
    # source: Murphy and Koop 2005, Q. J. R. Meteorol. Soc. 131:1539, eq. 10 (independent of Sonntag), recalled.
    # 1 % of vapour pressure is the 0.1 K of dew point that is asked
    t = celsius + ICE
    wanted = math.exp(
        54.842763 - 6763.22 / t - 4.210 * math.log(t) + 0.000367 * t
        + math.tanh(0.0415 * (t - 218.8)) * (53.878 - 1331.22 / t - 9.44523 * math.log(t) + 0.014025 * t)
    )
    assert moisture.saturation_over_water(t) == approx(wanted, rel=1e-2)


@pytest.mark.parametrize(
    ("celsius", "percent", "step", "left"), [(20, 90, 5, 66.4), (20, 95, 5, 70.1), (10, 95, 5, 68.5),
                                            (5, 100, 5, 71.1)],
)
def test_humidity_after_warming(celsius: float, percent: float, step: float, left: float) -> None:
    # source: psychrolib vapour pressure kept, divided by its saturation at the new temperature; the printed
    # figures are the Magnus constants' of WMO-No. 8
    found = moisture.humidity_after_warming(celsius + ICE, percent / 100, celsius + step + ICE)
    assert found * 100 == approx(left, abs=0.2)
    kept = psychrolib.GetVapPresFromRelHum(celsius, percent / 100)
    assert found == approx(kept / psychrolib.GetSatVapPres(celsius + step), rel=2e-3)


@pytest.mark.parametrize("celsius", [5, 20, 40, 60])
@pytest.mark.parametrize("humidity", [0.3, 0.9])
def test_absolute_humidity_against_coolprop(celsius: float, humidity: float) -> None:
    # source: CoolProp HAPropsSI: vapour per dry air over volume per dry air; real-gas effects stay below 1 %
    state = ("T", celsius + ICE, "P", 101325, "R", humidity)
    wanted = HAPropsSI("W", *state) / HAPropsSI("Vda", *state)
    assert moisture.absolute_humidity(celsius + ICE, humidity) == approx(wanted, rel=1e-2)


@pytest.mark.parametrize(
    ("litres", "celsius", "percent", "cold", "milligrams"),
    [(10, 30, 70, 5, 144), (20, 25, 60, 2, 164), (24, 28, 80, 8, 323)],
)
def test_condensate(litres: float, celsius: float, percent: float, cold: float, milligrams: float) -> None:
    # source: 216.7 e/T g/m3 with Magnus vapour pressures (WMO-No. 8), to 3 %
    found = moisture.condensate(litres * 1e-3, celsius + ICE, percent / 100, cold + ICE)
    assert found * 1e6 == approx(milligrams, rel=0.03)


def test_nothing_condenses_above_the_dew_point() -> None:
    # source: definition of the dew point: 12 degC pipe in a room of 22 degC and 45 %
    assert moisture.condensate(1.0, 22 + ICE, 0.45, 12 + ICE) == 0.0
    assert moisture.condensation_point(22 + ICE, 0.45) < 12 + ICE


def test_air_cooled_past_its_dew_point_stays_saturated() -> None:
    # source: definition of saturation
    assert moisture.humidity_after_warming(20 + ICE, 0.9, 5 + ICE) == 1.0
