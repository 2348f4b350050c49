"""Energy of blows against IEC 62262 and mechanics; threads and cables."""

import math
from pathlib import Path

import pytest
import yaml
from pytest import approx

from advisor.physics import cable, impact

TABLES = Path(__file__).parents[2] / "knowledge" / "tables"
CODES = yaml.safe_load((TABLES / "ik_codes.yaml").read_text())["rows"]
MICE = yaml.safe_load((TABLES / "mice_classes.yaml").read_text())["rows"]
BENDS = yaml.safe_load((TABLES / "cable_movement.yaml").read_text())["rows"]
TORQUES = yaml.safe_load((TABLES / "lock_nut_torques.yaml").read_text())["rows"]


def least_code(energy: float) -> str:
    return next((key for key, row in CODES.items() if row["energy"] >= energy), "none")


@pytest.mark.parametrize(
    ("kilogram", "metre", "joule", "code"),
    # source: E = m g h by hand and IEC 62262, Table 1
    [
        (0.5, 1, 4.9, "ik08"),
        (2.5, 0.5, 12.26, "ik10"),
        (0.3, 1.5, 4.41, "ik08"),
        (20, 1, 196.13, "none"),
        (3, 1.5, 44.13, "ik11"),
        (1, 1, 9.81, "ik09"),
    ],
)
def test_falling_things(kilogram: float, metre: float, joule: float, code: str) -> None:
    energy = impact.drop_energy(kilogram, metre)
    assert energy == approx(joule, rel=0.01)
    assert least_code(energy) == code
    assert impact.moving_energy(kilogram, impact.drop_speed(metre)) == approx(energy)


@pytest.mark.parametrize(
    ("kilogram", "speed", "joule", "code"),
    # source: E = m v^2 / 2 by hand and IEC 62262, Table 1
    [(15, 0.5, 1.88, "ik07"), (80, 1.0, 40.0, "ik11"), (300, 0.3, 13.5, "ik10")],
)
def test_trolleys(kilogram: float, speed: float, joule: float, code: str) -> None:
    energy = impact.moving_energy(kilogram, speed)
    assert energy == approx(joule, rel=0.01)
    assert least_code(energy) == code


@pytest.mark.parametrize("key", [key for key, row in CODES.items() if "hammer" in row])
def test_hammers_give_the_energy_of_their_code(key: str) -> None:
    # source: IEC 60068-2-75, hammer mass and drop; the standard counts with g of about 10
    row = CODES[key]
    assert impact.drop_energy(row["hammer"], row["drop"] / 1e3) == approx(row["energy"], rel=0.03)


def test_mice_impact() -> None:
    # source: ISO/IEC TR 29106, impact 1, 10, 30 J: 2.5 kg falling 1 m (24.5 J) is M3 and beyond IK10
    energy = impact.drop_energy(2.5, 1.0)
    assert energy == approx(24.52, rel=0.01)
    assert MICE["m2"]["impact"] < energy <= MICE["m3"]["impact"]
    assert least_code(MICE["m3"]["impact"]) == "ik11"


@pytest.mark.parametrize(
    ("g", "speed", "millimetre"),
    # source: dv = 2 A D / pi by hand, half sine of 11 ms
    [(30, 2.06, 216), (15, 1.03, 54), (50, 3.43, 601)],
)
def test_shock_pulse_as_a_drop(g: float, speed: float, millimetre: float) -> None:
    change = impact.pulse_speed(g * 9.80665, 11e-3)
    assert change == approx(speed, rel=0.02)
    assert impact.equivalent_drop(change) == approx(millimetre / 1e3, rel=0.02)


def test_preload_of_lock_nuts() -> None:
    # source: nut-factor rule by hand: M12 with 15 N m, M30 with 70 N m, K = 0.2
    assert cable.preload(15, 0.2, 0.012) == approx(6.25e3, rel=0.02)
    assert cable.preload(70, 0.2, 0.030) == approx(11.7e3, rel=0.01)
    # source: practice for screw-locking connectors: hand-tight 0.2 N m stays below the least torque for M12
    assert TORQUES["connector-m12"]["torque"][0] > 0.2


def test_cable_bends_and_twists() -> None:
    # source: cable practice: 10 diameters moving; 180 degrees a metre both ways for robots
    assert cable.bend_radius(5e-3, BENDS["moved-now-and-then"]["bend"]) == approx(50e-3)
    twist = math.degrees(cable.torsion(math.radians(270), 1.2))
    assert twist == approx(225)
    assert twist > BENDS["robot"]["torsion"]
