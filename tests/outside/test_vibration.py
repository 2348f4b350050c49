"""Vibration against kinematics and the classes and tests that state both amplitude and acceleration."""

from pathlib import Path

import pytest
import yaml
from pytest import approx

from advisor.physics import vibration

CLASSES = yaml.safe_load(
    (Path(__file__).parents[2] / "knowledge/tables/mechanical_classes.yaml").read_text()
)["rows"]
G = 9.80665


@pytest.mark.parametrize(
    ("hertz", "millimetre", "acceleration", "velocity"),
    # source: a = (2 pi f)^2 d by hand, amplitude is the peak as in IEC 60068-2-6; velocity in mm/s rms
    [
        (55, 1, 119.42, 244.4),
        (55, 0.5, 59.71, 122.2),
        (10, 1, 3.95, 44.4),
        (9, 15, 47.97, 599.8),
        (8.4, 3.5, 9.75, 130.6),
        (50, 1, 98.7, 222.1),
        (25, 1, 24.67, 111.1),
    ],
)
def test_amplitude_and_acceleration(
    hertz: float, millimetre: float, acceleration: float, velocity: float
) -> None:
    amplitude = millimetre / 1e3
    got = vibration.acceleration(hertz, amplitude)
    assert got == approx(acceleration, rel=0.01)
    assert vibration.amplitude(hertz, got) == approx(amplitude)
    assert vibration.velocity_rms(hertz, amplitude) == approx(velocity / 1e3, rel=0.01)


@pytest.mark.parametrize(
    ("acceleration", "millimetre", "hertz"),
    # source: IEC 61131-2 (1 g and 3.5 mm cross at 8.4 Hz), IEC 60068-2-6 (5 g and 0.35 mm near 60 Hz), class
    # 3M4
    [(9.80665, 3.5, 8.42), (49.03, 0.35, 59.57), (10, 3, 9.19)],
)
def test_crossover(acceleration: float, millimetre: float, hertz: float) -> None:
    assert vibration.crossover(acceleration, millimetre / 1e3) == approx(hertz, rel=0.01)


@pytest.mark.parametrize("key", [f"{part}m{level}" for part in (3, 4) for level in range(1, 9)])
def test_classes_cross_over_near_nine_hertz(key: str) -> None:
    # source: IEC 60721-3-3:1994 and 60721-3-4:1995, Tables 6: amplitude to 9 Hz, acceleration above
    row = CLASSES[key]
    assert vibration.crossover(row["acceleration"], row["amplitude"] / 1e3) == approx(9, rel=0.08)


def test_proximity_switch_test_against_the_hardest_class() -> None:
    # source: IEC 60947-5-2 (10 to 55 Hz, 1 mm) against 3M8 (15 mm, 50 m/s2): harder at 55 Hz, untested at 9
    # Hz
    unit, place = CLASSES["proximity-switch"], CLASSES["3m8"]
    asked = vibration.severity(55, place["amplitude"] / 1e3, place["acceleration"])
    assert asked == 50
    assert vibration.acceleration(55, unit["amplitude"] / 1e3) / G == approx(12.2, rel=0.01)
    assert unit["band"][0] > 9
    assert vibration.severity(5, place["amplitude"] / 1e3, 50) == approx(vibration.acceleration(5, 0.015))


def test_vibrating_screen() -> None:
    # source: kinematics by hand: 4 mm at 16.7 Hz make 4.5 g
    assert vibration.acceleration(16.7, 4e-3) / G == approx(4.5, rel=0.01)
    assert vibration.at_resonance(1.0, 10) == approx(10.0)


def test_random_level() -> None:
    # source: IEC 60068-2-64: 1 m2/s3 flat from 10 to 200 Hz are 13.78 m/s2 rms, 1.41 g
    level = vibration.random_rms(1.0, 10, 200)
    assert level == approx(13.78, rel=0.01)
    assert level / G == approx(1.41, rel=0.01)
