"""Jets against the figures the published water tests state for themselves, and against field formulas.

The tests give bore, flow and a nozzle pressure. With an ideal nozzle the flow fixes the pressure. Where the
stated pressure is higher than that, the nozzle loses some: the implied discharge coefficient says how much.
"""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from pytest import approx

from advisor.physics import air, jets, liquids

ICE = 273.15
LITRE_PER_MINUTE = 1e-3 / 60
WATER = liquids.fresh_water_density(20 + ICE)
TENSION = liquids.surface_tension(20 + ICE)
INCH = 0.0254
PSI = 6894.757293
GALLON_PER_MINUTE = 3.785411784e-3 / 60
POUND = 4.448222


def ideal_pressure(bore: float, litres: float) -> float:
    return jets.stagnation_pressure(jets.speed_from_flow(litres * LITRE_PER_MINUTE, bore), WATER)


@pytest.mark.parametrize(
    ("bore", "litres", "speed", "kilopascal", "newton"),
    [
        (6.3e-3, 12.5, 6.683, 22.29, 1.390),  # source: IEC 60529:2013, 14.2.5 bore and flow
        (12.5e-3, 100, 13.581, 92.06, 22.595),  # source: IEC 60529:2013, 14.2.6 bore and flow
        (6.3e-3, 75, 40.10, 802.5, 50.04),  # source: ISO 20653:2013, 6K bore and flow, recalled
        (25.4e-3, 246.05, 8.093, 32.69, 33.13),  # source: NEMA 250, 5.7 hosedown, 1 in and 65 US gpm
        (25.4e-3, 240, 7.894, 31.1, 31.5),  # source: NEMA 250, 5.7 hosedown, metric minimum
        (0.8e-3, 0.6, 19.894, 197.5, 0.199),  # source: ISO 20653:2013, 4K, one hole, recalled
    ],
)
def test_speed_pressure_and_force_of_the_test_jets(
    bore: float, litres: float, speed: float, kilopascal: float, newton: float
) -> None:
    # figures: v = Q/A, rho v^2/2 and rho Q v with the IAPWS-95 density of 20 degC
    flow = litres * LITRE_PER_MINUTE
    assert jets.speed_from_flow(flow, bore) == approx(speed, rel=5e-4)
    assert ideal_pressure(bore, litres) == approx(kilopascal * 1e3, rel=2e-3)
    assert jets.impact_force(flow, jets.speed_from_flow(flow, bore), WATER) == approx(newton, rel=3e-3)


def test_the_ipx6_flow_gives_the_stated_pressure_inside_its_tolerance() -> None:
    # source: IEC 60529:2013, 14.2.6: 100 L/min +-5 % from 12.5 mm, about 100 kPa
    assert ideal_pressure(12.5e-3, 95) < 100e3 < ideal_pressure(12.5e-3, 105)
    coefficient = jets.implied_discharge_coefficient(100 * LITRE_PER_MINUTE, 12.5e-3, 100e3, WATER)
    assert coefficient == approx(0.959, rel=5e-3)


@pytest.mark.parametrize(
    ("bore", "litres", "stated", "coefficient"),
    [
        # source: IEC 60529:2013, 14.2.5: 12.5 L/min +-5 % from 6.3 mm, about 30 kPa. The flow is what the test
        # sets; an ideal nozzle needs 22.3 kPa, 24.6 at the flow's upper limit, so the 30 kPa holds a loss
        (6.3e-3, 12.5, 30e3, 0.862),
        # source: ISO 20653:2013, 6K, recalled: 75 L/min +-5 % from 6.3 mm, about 1000 kPa; ideal 803, 885 at
        # the upper limit
        (6.3e-3, 75, 1000e3, 0.896),
        # source: ISO 20653:2013, 4K, recalled: 0.6 L/min a hole of 0.8 mm, about 400 kPa; a drilled hole
        (0.8e-3, 0.6, 400e3, 0.703),
    ],
)
def test_stated_pressures_above_the_ideal_imply_a_real_nozzle(
    bore: float, litres: float, stated: float, coefficient: float
) -> None:
    flow = litres * LITRE_PER_MINUTE
    assert ideal_pressure(bore, litres * 1.05) < stated
    found = jets.implied_discharge_coefficient(flow, bore, stated, WATER)
    assert found == approx(coefficient, rel=5e-3)
    # source: orifice texts: a sharp edge passes about 0.6, a short tube 0.8, a smooth nozzle up to 0.99
    assert 0.6 < found < 0.99
    assert jets.flow(bore, stated, WATER, found) == approx(flow, rel=1e-9)
    # with its loss counted, the nozzle's stated pressure gives back the stated flow within 5 %
    assert jets.flow(bore, stated, WATER, coefficient) == approx(flow, rel=0.05)


@pytest.mark.parametrize(
    ("bar", "litres", "speed", "newton", "watt"),
    [(80, 14, 128.08, 29.15, 1867), (90, 15, 135.82, 33.13, 2250), (100, 16, 143.14, 37.26, 2667)],
)
def test_the_hot_fan_jet(bar: float, litres: float, speed: float, newton: float, watt: float) -> None:
    # source: IEC 60529:2013, 14.2.9 flow and temperature, ISO 20653 9K pressure; figures with CoolProp density
    # at the nozzle pressure, which is 0.4 % above the density at one atmosphere used here
    hot = liquids.fresh_water_density(80 + ICE)
    flow = litres * LITRE_PER_MINUTE
    assert jets.speed_from_pressure(bar * 1e5, hot) == approx(speed, rel=5e-3)
    assert jets.thrust(flow, bar * 1e5, hot) == approx(newton, rel=5e-3)
    assert jets.hydraulic_power(flow, bar * 1e5) == approx(watt, rel=1e-3)
    under_pressure = PropsSI("D", "T", 80 + ICE, "P", bar * 1e5, "Water")
    assert jets.thrust(flow, bar * 1e5, under_pressure) == approx(newton, rel=1e-3)


def test_hosedown_has_more_force_and_less_pressure_than_the_powerful_jet() -> None:
    # source: NEMA 250, 5.7 against IEC 60529:2013, 14.2.6
    force = [
        jets.impact_force(q * LITRE_PER_MINUTE, jets.speed_from_flow(q * LITRE_PER_MINUTE, d), WATER)
        for d, q in ((25.4e-3, 246.05), (12.5e-3, 100))
    ]
    assert jets.severity_ratio(force[0], force[1]) == approx(1.466, rel=1e-2)
    ratio = jets.severity_ratio(ideal_pressure(25.4e-3, 246.05), ideal_pressure(12.5e-3, 100))
    assert ratio == approx(0.355, rel=1e-2)


def test_fire_service_reaction_of_a_smooth_bore() -> None:
    # source: fire-service hydraulics (USDA Forest Service tech tip 0251 1318, 2002): NR[lbf] = 1.57 D^2 NP,
    # Q[gpm] = 29.71 D^2 sqrt(NP); 1.25 in at 115 psi is printed as 282 lbf
    pressure, bore = 115 * PSI, 1.25 * INCH
    flow = jets.flow(bore, pressure, WATER)
    assert flow / GALLON_PER_MINUTE == approx(29.71 * 1.25**2 * math.sqrt(115), rel=6e-3)
    assert jets.thrust(flow, pressure, WATER) / POUND == approx(282, rel=5e-3)


def test_fire_service_reaction_of_a_fog_nozzle() -> None:
    # source: NR[lbf] = 0.0505 Q sqrt(NP), 500 US gpm at 100 psi printed as 253 lbf. The rule holds a loss of
    # 4 %: momentum alone gives 0.0526, the figure spray handbooks print
    momentum = jets.thrust(500 * GALLON_PER_MINUTE, 100 * PSI, WATER) / POUND
    assert momentum == approx(0.0526 * 500 * 10, rel=2e-3)
    assert 0.95 < 253 / momentum < 1.0


def test_practical_coefficient_in_metric_units() -> None:
    # source: spray-engineering handbooks, F[kgf] = 0.024 Q[L/min] sqrt(p[bar])
    newton = jets.thrust(LITRE_PER_MINUTE, 1e5, 1000.0)
    assert newton / 9.80665 == approx(0.02403, rel=3e-3)


def test_measured_plate_force_lies_below_the_ideal() -> None:
    # source: road-vehicle paint steam-jet procedure: 25 degree fan, 10.8 L/min at 90 bar, 60 to 70 degC,
    # 19 +-2 N on a plate at 150 mm (common practice)
    ideal = jets.thrust(10.8 * LITRE_PER_MINUTE, 90e5, liquids.fresh_water_density(65 + ICE))
    assert ideal == approx(24.0, rel=1e-2)
    assert 0.65 < 19 / ideal < 0.95


@pytest.mark.parametrize(
    ("degrees", "distance", "millimetres"),
    [(30, 0.1, 53.6), (30, 0.125, 67.0), (30, 0.175, 93.8), (25, 0.15, 66.5), (25, 1.0, 443.4)],
)
def test_fan_length(degrees: float, distance: float, millimetres: float) -> None:
    # source: spray coverage tables, geometry 2 x tan(angle/2)
    assert jets.fan_length(distance, math.radians(degrees)) == approx(millimetres * 1e-3, rel=1e-3)


def test_fan_pressure_is_force_over_footprint_and_below_the_nozzle_pressure() -> None:
    # source: force balance: pressure x length x thickness gives the force back
    angle = math.radians(30)
    pressure = jets.fan_pressure(33.1, 0.125, angle)
    assert pressure * jets.fan_length(0.125, angle) * 0.005 == approx(33.1)
    assert pressure < 90e5


@pytest.mark.parametrize(("bore", "litres", "metres"), [(12.5e-3, 100, 2.9), (6.3e-3, 12.5, 0.75)])
def test_break_up_length(bore: float, litres: float, metres: float) -> None:
    # source: Grant and Middleman 1966, L/d = 8.51 We^0.32, whose own scatter is 30 %; the rounded figures are
    # met to 2 %, the alternative 8.51 We^0.31 of Sallam et al. 2002 inside the scatter
    weber = jets.weber_number(jets.speed_from_flow(litres * LITRE_PER_MINUTE, bore), bore, WATER, TENSION)
    found = jets.break_up_length(bore, weber, WATER, air.density(101325, 293.15))
    assert found == approx(metres, rel=0.02)
    assert found == approx(bore * 8.51 * weber**0.31, rel=0.3)


def test_fast_jets_meet_the_limit_of_the_air() -> None:
    # source: Chehroudi et al. 1985, C sqrt(rho/rho_air) with C about 11: some 320 bores in air of 20 degC
    assert jets.break_up_length(1.0e-3, 1e6) / 1.0e-3 == approx(320, rel=0.02)


def test_core_of_a_high_speed_jet_is_the_longer_of_the_published_ones() -> None:
    # source: Yanaida 1974, Leach and Walker 1966: 70 to 140 bores
    assert jets.core_length(1e-3) == approx(0.140)


def test_stream_pressure_never_falls_below_the_published_decay() -> None:
    # source: centre pressure beyond the core falls with 1/x to 1/x^2 (jet-cutting literature, recalled)
    for distance in (0.1, 0.2, 0.5, 2.0):
        slow = jets.stream_pressure(8e6, distance, 0.14)
        assert slow >= 8e6 * min(1.0, (0.14 / distance) ** 2)
        assert slow <= 8e6
    assert jets.stream_pressure(8e6, 0.28, 0.14) == approx(4e6)


def test_submerged_jet() -> None:
    # source: Abdel-Rahman et al. 1996, decay constant 6.11 at Re 19400; Pope 2000, 5.8 to 6.3
    found = jets.submerged_speed(13.58, 12.5e-3, 1.0)
    assert 5.8 * 13.58 * 12.5e-3 <= found <= 6.3 * 13.58 * 12.5e-3
    assert jets.submerged_speed(13.58, 12.5e-3, 0.05) == 13.58


@pytest.mark.parametrize(("area", "minutes"), [(5.0, 5.0), (1.2, 3.0)])
def test_exposure_time(area: float, minutes: float) -> None:
    # source: IEC 60529:2013, 14.2.6: 1 min a square metre, at least 3 min
    assert jets.exposure_time(area, 60.0, 180.0) == approx(minutes * 60)


def test_equivalent_bore_of_the_hot_fan_nozzle() -> None:
    # source: IEC 60529:2013, 14.2.9 at 90 bar, 15 L/min, 80 degC: 1.531 mm with CoolProp density
    dense = PropsSI("D", "T", 80 + ICE, "P", 90e5, "Water")
    assert jets.equivalent_bore(15 * LITRE_PER_MINUTE, 90e5, dense) == approx(1.531e-3, rel=1e-3)
    # source: orifice law: the bore so found passes the flow again with the same coefficient
    bore = jets.equivalent_bore(15 * LITRE_PER_MINUTE, 90e5, dense, 0.8)
    assert jets.flow(bore, 90e5, dense, 0.8) == approx(15 * LITRE_PER_MINUTE, rel=1e-9)
