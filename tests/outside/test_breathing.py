"""Suction and breathing against real-gas properties of air and water, and against worked cases."""

import pytest
from CoolProp.CoolProp import PropsSI
from pytest import approx

from advisor.physics import breathing

ICE = 273.15
AIR = 101325.0


def real_drop(pressure: float, hot: float, cold: float, humidity: float) -> float:
    """Drop at constant volume from real-gas air plus steam-table water, each alone in the volume."""
    vapour = humidity * PropsSI("P", "T", hot, "Q", 1, "Water")
    dry_density = PropsSI("D", "T", hot, "P", pressure - vapour, "Air")
    left = PropsSI("P", "T", cold, "D", dry_density, "Air")
    if vapour:
        # a state at 100 % sits on the line, where the library wants the quality
        inside = ("Q", 1) if humidity == 1 else ("P", vapour)
        held = PropsSI("D", "T", hot, *inside, "Water")
        left += PropsSI("P", "T", cold, "D", held, "Water")
    return pressure - left


@pytest.mark.parametrize(("hot", "cold"), [(60, 5), (80, 10), (85, 5), (35, -20), (20, -25), (20, 15)])
def test_dry_drop_against_the_real_gas(hot: float, cold: float) -> None:
    # source: CoolProp, air cooled at constant density
    found = breathing.dry_drop(AIR, hot + ICE, cold + ICE)
    assert found == approx(real_drop(AIR, hot + ICE, cold + ICE, 0.0), rel=5e-3)


@pytest.mark.parametrize(
    ("hot", "cold", "kilopascal"), [(60, 5, 16.73), (20, 15, 1.73), (35, -20, 18.08), (85, 5, 22.63), (70, 15, 16.24)]
)
def test_dry_drop_of_worked_cases(hot: float, cold: float, kilopascal: float) -> None:
    # source: Gay-Lussac by hand from 101.325 kPa; 5 K is what the immersion test allows (IEC 60529:2013, 14.2.7)
    assert breathing.dry_drop(AIR, hot + ICE, cold + ICE) == approx(kilopascal * 1e3, rel=3e-3)


@pytest.mark.parametrize(("hot", "cold"), [(60, 5), (80, 10), (85, 20), (40, 10), (25, 20)])
@pytest.mark.parametrize("humidity", [0.5, 1.0])
def test_moist_drop_against_steam_tables(hot: float, cold: float, humidity: float) -> None:
    # source: CoolProp, air and IAPWS-95 water each cooled at constant density, pressures added (Dalton)
    found = breathing.moist_drop(AIR, hot + ICE, cold + ICE, humidity)
    assert found == approx(real_drop(AIR, hot + ICE, cold + ICE, humidity), rel=1e-2)
    if humidity == 1.0:
        assert breathing.saturated_drop(AIR, hot + ICE, cold + ICE) == found


@pytest.mark.parametrize(
    ("hot", "cold", "dry", "half", "full"),
    [(25, 20, 1.699, 1.699, 2.477), (20, -25, 15.554, 16.463, 17.453), (40, 10, 9.707, 11.818, 15.156),
     (60, 5, 16.728, 24.182, 32.509), (80, 10, 20.084, 37.864, 56.872), (85, 20, 18.389, 39.732, 63.415)],
)
def test_worked_table_of_suctions(hot: float, cold: float, dry: float, half: float, full: float) -> None:
    # source: Gay-Lussac and Dalton by hand with CoolProp saturation pressures, kPa from 101.325
    t1, t2 = hot + ICE, cold + ICE
    assert breathing.dry_drop(AIR, t1, t2) == approx(dry * 1e3, rel=1e-3)
    assert breathing.moist_drop(AIR, t1, t2, 0.5) == approx(half * 1e3, rel=2e-3)
    assert breathing.saturated_drop(AIR, t1, t2) == approx(full * 1e3, rel=2e-3)


def test_a_box_full_of_steam_loses_nearly_all_its_pressure() -> None:
    # source: steam tables: at 20 degC 2.34 kPa is left of a box closed full of steam at 134 degC and 3 bar
    assert breathing.saturated_drop(3e5, 134 + ICE, 20 + ICE) == approx(3e5 - 2339, rel=1e-3)


def test_suction_as_water_column() -> None:
    # source: 16.73 kPa over 998.2072 x 9.80665
    assert breathing.suction_head(16.73e3) == approx(1.709, rel=1e-3)


@pytest.mark.parametrize(
    ("hot", "drop", "kelvin"), [(40, 9789, 30.3), (55, 9789, 31.7), (60, 9789, 32.2), (20, 2000, 5.79)]
)
def test_cooling_that_equals_a_test(hot: float, drop: float, kelvin: float) -> None:
    # source: IEC 60529:2013: 1 m head of 14.2.7 (9.789 kPa) and the 2 kPa of the dust chamber, 13.4
    found = breathing.cooling_for_drop(AIR, hot + ICE, drop)
    assert found == approx(kelvin, rel=5e-3)
    assert breathing.dry_drop(AIR, hot + ICE, hot + ICE - found) == approx(drop)


def test_water_taken_in() -> None:
    # source: ideal gas, 1 L from 60 to 5 degC: 1 - 278.15/333.15 = 165 mL
    dry = breathing.water_taken_in(1e-3, 60 + ICE, 5 + ICE)
    assert dry == approx(165e-6, rel=5e-3)
    # source: CoolProp: same air kept at one pressure, wet at both ends (vapour from the steam table)
    e1, e2 = (PropsSI("P", "T", t + ICE, "Q", 1, "Water") for t in (60, 5))
    kept = PropsSI("D", "T", 60 + ICE, "P", AIR - e1, "Air") / PropsSI("D", "T", 5 + ICE, "P", AIR - e2, "Air")
    wet = breathing.water_taken_in(1e-3, 60 + ICE, 5 + ICE, AIR, 1.0)
    assert wet == approx(1e-3 * (1 - kept), rel=5e-3)
    assert wet > dry
    assert breathing.water_taken_in(1e-3, 20 + ICE, 60 + ICE) == 0.0
    assert breathing.water_taken_in(1e-3, 134 + ICE, 20 + ICE, AIR, 1.0) == 1e-3


def test_air_drawn_in() -> None:
    # source: ideal gas, 10 L from 80 to 10 degC: 2.47 L at 10 degC
    assert breathing.air_drawn_in(10e-3, 80 + ICE, 10 + ICE) == approx(2.47e-3, rel=2e-3)


def test_vent_flow() -> None:
    # source: ideal gas, 10 L losing 70 K in 60 s: 2.2 L/min at the mean of 318 K, 2.47 at the cold end
    assert breathing.vent_flow(10e-3, 70 / 60, 318) * 6e4 == approx(2.2, rel=5e-3)
    assert breathing.vent_flow(10e-3, 70 / 60, 10 + ICE) * 6e4 == approx(2.47, rel=5e-3)


def test_lid_force() -> None:
    # source: statics, 200 x 300 mm at 16.73 kPa
    assert breathing.lid_force(16.73e3, 0.2 * 0.3) == approx(1004, rel=1e-3)


def test_altitude_overpressure() -> None:
    # source: ISO 2533: 101.325 - 79.495 kPa at 2000 m; cabin altitude of 8000 ft is about 75.3 kPa
    assert breathing.altitude_overpressure(0, 2000) == approx(21.83e3, rel=1e-3)
    assert breathing.altitude_overpressure(0, 2438.4) == approx(101325 - 75262, rel=1e-3)
