"""Keep-out distances, waveforms, induction, limits for people and core saturation against hand figures."""

import math
import random
from pathlib import Path

import numpy as np
import pytest
import yaml
from pytest import approx

from advisor.physics import cores, exposure_limits, helix, keep_out, magnetics, pulses

TABLES = Path(__file__).parents[2] / "knowledge" / "tables"
MT = 1e-3


def table(name: str) -> dict[str, dict[str, float]]:
    rows: dict[str, dict[str, float]] = yaml.safe_load((TABLES / f"{name}.yaml").read_text())["rows"]
    return rows


@pytest.mark.parametrize(
    ("millitesla", "kiloampere", "millimetre"),
    # source: distance rule r[mm] = 200 I[kA] / B[mT], by hand
    [(40, 10, 50), (100, 25, 50), (200, 40, 40), (0.5, 0.3, 120), (2, 15, 1500), (10, 1, 20)],
)
def test_keep_out_of_a_single_wire(millitesla: float, kiloampere: float, millimetre: float) -> None:
    assert keep_out.long_wire(kiloampere * 1e3, millitesla * MT) == approx(millimetre / 1e3, rel=1e-6)


def test_margin_moves_the_keep_out_distance() -> None:
    # source: distance rule with the usual margin: a 40 mT unit and 10 kA keep 75 mm
    margin = table("field_margins")["usual"]["margin"]
    assert keep_out.long_wire(10e3, 40 * MT / margin) == approx(0.075, rel=1e-6)


@pytest.mark.parametrize(
    ("millitesla", "millimetre"),
    # source: Biot-Savart, 12 kA in a loop of 0.4 x 0.3 m, outside the leg of 0.3 m (magpylib 6.3.0)
    [(40, 44), (10, 112), (2, 264), (0.5, 493)],
)
def test_keep_out_of_a_throat(millitesla: float, millimetre: float) -> None:
    assert keep_out.outside_throat(12e3, millitesla * MT, 0.3, 0.4) == approx(millimetre / 1e3, abs=1.5e-3)


def test_keep_out_inverts_its_layout() -> None:
    dice = random.Random(5)
    for _ in range(40):
        current, field = dice.uniform(1e3, 5e4), 10 ** dice.uniform(-4, -1.3)
        spacing, width, leg = dice.uniform(0.02, 0.1), dice.uniform(0.1, 1), dice.uniform(0.1, 1)
        assert magnetics.near_any_loop(current, keep_out.near_any_loop(current, field)) == approx(field)
        assert magnetics.beside_pair(
            current, spacing, keep_out.beside_pair(current, field, spacing)
        ) == approx(field)
        assert magnetics.coaxial(current, 0.002, keep_out.coaxial(current, field, 0.002)) == approx(field)
        throat = keep_out.outside_throat(current, field, leg, width)
        if 1e-3 < throat < 100:
            assert magnetics.outside_throat(current, throat, leg, width) == approx(field, rel=1e-6)
        twisted = keep_out.twisted_pair(current, field, spacing, 0.3)
        if 0.06 < twisted < 100:
            assert helix.twisted_pair(current, spacing, 0.3, twisted) == approx(field, rel=1e-6)
        lead = keep_out.interleaved(current, field, 2, 0.015)
        if 0.055 < lead < 100:
            assert magnetics.interleaved(current, 2, 0.015, lead) == approx(field, rel=1e-6)


def test_alternating_current_is_counted_at_its_peak() -> None:
    # source: rms to peak by hand: 10 kA rms at 50 mm make 56.6 mT, more than a 40 mT unit stands
    crest = pulses.crest_of_phase_control(0.0)
    assert magnetics.long_wire(pulses.peak(10e3, crest), 0.05) == approx(56.6 * MT, rel=1e-2)


@pytest.mark.parametrize(
    ("degrees", "crest"),
    # source: truncated-sine integrals
    [(0, 1.414), (60, 1.577), (90, 2.0), (120, 2.77)],
)
def test_crest_of_phase_control(degrees: float, crest: float) -> None:
    delay = math.radians(degrees)
    assert pulses.crest_of_phase_control(delay) == approx(crest, rel=1e-3)
    wave = np.sin(np.linspace(delay, np.pi, 20001))
    square = float(np.trapezoid(wave**2, dx=(math.pi - delay) / 20000)) / math.pi
    assert pulses.crest_of_phase_control(delay) == approx(float(wave.max()) / math.sqrt(square), rel=1e-5)


def test_emc_level_is_a_thousand_times_below_a_weld_field() -> None:
    # source: B = mu0 H by hand: 30 A/m is 0.0377 mT, 1061 times less than 40 mT
    level = pulses.flux_density(30)
    assert level == approx(0.0377 * MT, rel=1e-3)
    assert 40 * MT / level == approx(1061, rel=1e-3)
    assert pulses.field_strength(40 * MT) == approx(31.83e3, rel=1e-3)  # 400 G in air, 400 Oe
    assert pulses.field_strength(40 * MT) / 79.57747 == approx(400, rel=1e-3)
    rows = table("magnetic_classes")
    for key, strength in (
        ("emc-1", 1),
        ("emc-2", 3),
        ("emc-3", 10),
        ("emc-4", 30),
        ("emc-5", 100),
        ("emc-5-short", 1000),
    ):
        assert rows[key]["flux"] * MT == approx(pulses.flux_density(strength), rel=1e-4)


def test_induced_voltage() -> None:
    # source: Faraday's law by hand: 1 m of cable at 50 to 60 mm, M = 36.46 nH; 3 m at 100 to 400 mm, 831.8 nH
    sine = pulses.loop_voltage(10e3, 50, 1.0, 0.05, 0.06)
    assert sine == approx(0.1146, rel=1e-3)
    assert pulses.loop_current(sine, 5e-3) == approx(23, rel=1e-2)
    assert pulses.ramp_voltage(10e3, 5e-3, 1.0, 0.05, 0.06) == approx(0.073, rel=2e-3)
    assert pulses.ramp_voltage(20e3, 1e-3, 1.0, 0.05, 0.06) == approx(0.729, rel=1e-3)
    assert pulses.loop_voltage(10e3, 50, 3.0, 0.1, 0.4) == approx(2.61, rel=2e-3)


def test_distances_for_people() -> None:
    # source: Directive 2013/35/EU, Table B2, with the long wire: 10 kA rms at 50 Hz
    for level, radius in (
        (exposure_limits.low_action_level, 2.0),
        (exposure_limits.high_action_level, 0.333),
        (exposure_limits.limb_action_level, 0.111),
    ):
        assert keep_out.long_wire(10e3, level(50)) == approx(radius, rel=5e-3)
    # source: 0.5 mT line of implants, 300 A direct current
    implant = table("people_field_limits")["implant-steady"]["flux"] * MT
    assert keep_out.long_wire(300, implant) == approx(0.12, rel=1e-3)


@pytest.mark.parametrize(
    ("hertz", "low", "high", "limb"),
    # source: Directive 2013/35/EU, Annex II, Table B2 (mT)
    [
        (50, 1.0, 6.0, 18.0),
        (60, 1.0, 5.0, 15.0),
        (1000, 0.3, 0.3, 0.9),
        (2000, 0.15, 0.15, 0.45),
        (20e3, 0.1, 0.1, 0.3),
    ],
)
def test_action_levels(hertz: float, low: float, high: float, limb: float) -> None:
    assert exposure_limits.low_action_level(hertz) == approx(low * MT)
    assert exposure_limits.high_action_level(hertz) == approx(high * MT)
    assert exposure_limits.limb_action_level(hertz) == approx(limb * MT)


@pytest.mark.parametrize(
    ("slenderness", "millitesla"),
    # source: demagnetising factors of the prolate spheroid (textbook), 0.38 T
    [(1, 127), (1.5, 89), (2, 66), (3, 41), (5, 21), (10, 7.7)],
)
def test_core_saturation(slenderness: float, millitesla: float) -> None:
    assert cores.core_saturates_at(slenderness, 0.38) == approx(millitesla * MT, rel=1.5e-2)


def test_a_magnetic_cylinder_switch_by_a_gun_arm_is_excluded() -> None:
    # source: Ampere's law: 10 kA at 300 mm make 6.7 mT, above the switch points of reed and magnetoresistive
    # units
    field = magnetics.long_wire(10e3, 0.3)
    assert field == approx(6.7 * MT, rel=1e-2)
    units = table("sensing_principles")
    assert field > units["reed"]["excluded"] * MT and field > units["magnetoresistive"]["excluded"] * MT
    # source: 150 A of TIG at 200 mm, 0.15 mT: ordinary units need no weld-field claim, magnetic ones a look
    arc = magnetics.long_wire(150, 0.2)
    assert arc == approx(0.15 * MT, rel=1e-6)
    assert units["reed"]["suspect"] * MT < arc < units["inductive-ferrite"]["suspect"] * MT
