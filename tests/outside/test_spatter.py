"""Weld spatter against published tables of iron, contact temperature and drop flight, and against an ODE
solver."""

import math
from pathlib import Path

import pytest
import yaml
from pytest import approx
from scipy.integrate import solve_ivp

from advisor.physics import droplets, spatter

ROWS = yaml.safe_load((Path(__file__).parents[2] / "knowledge/tables/spatter_surfaces.yaml").read_text())[
    "rows"
]
ICE = 273.15


@pytest.mark.parametrize(
    ("millimetre", "milligram", "at_1538", "at_2000", "at_2300"),
    [
        # source: Shomate-type data for iron (46.024 J/(mol K) liquid), density 7000 kg/m3
        (0.2, 0.0293, 0.0381, 0.0493, 0.0565),
        (0.5, 0.458, 0.596, 0.77, 0.883),
        (1, 3.665, 4.76, 6.16, 7.07),
        (2, 29.3, 38.1, 49.3, 56.5),
        (3, 99.0, 128.6, 166.3, 190.8),
    ],
)
def test_heat_in_a_drop(
    millimetre: float, milligram: float, at_1538: float, at_2000: float, at_2300: float
) -> None:
    diameter = millimetre / 1e3
    assert spatter.drop_mass(diameter) == approx(milligram * 1e-6, rel=5e-3)
    assert spatter.drop_heat(diameter, 1538 + ICE) == approx(at_1538, rel=5e-3)
    assert spatter.drop_heat(diameter, 2000 + ICE) == approx(at_2000, rel=5e-3)
    assert spatter.drop_heat(diameter, 2300 + ICE) == approx(at_2300, rel=5e-3)


def test_plastic_melted_by_a_drop() -> None:
    # source: heat balance by hand: 1 mm at 2000 degC melts at most 11 mm3 of PBT (0.42 MJ/kg, 1310 kg/m3)
    heat = spatter.drop_heat(1e-3, 2000 + ICE)
    assert spatter.melted_volume(heat, ROWS["pbt"]["heat_to_melt"], 1310) == approx(11e-9, rel=3e-2)
    assert spatter.melted_volume(spatter.drop_heat(2e-3, 2000 + ICE), 0.42e6, 1310) == approx(90e-9, rel=3e-2)


@pytest.mark.parametrize(
    ("surface", "celsius"),
    # source: Carslaw and Jaeger, contact of two half-spaces, drop at 1600 degC on 25 degC
    [
        ("pbt", 1530),
        ("peek", 1530),
        ("pur-jacket", 1531),
        ("silicone-jacket", 1531),
        ("ptfe", 1522),
        ("glass", 1451),
        ("zirconia", 1357),
        ("stainless", 1031),
        ("alumina", 978),
        ("carbon-steel", 826),
        ("brass", 686),
        ("aluminium", 677),
        ("copper", 465),
    ],
)
def test_contact_temperature(surface: str, celsius: float) -> None:
    got = spatter.contact_temperature(1600 + ICE, 25 + ICE, ROWS[surface]["effusivity"])
    assert got - ICE == approx(celsius, abs=2)


@pytest.mark.parametrize(
    ("surface", "melting", "celsius"),
    # source: the same formula inverted, then less the latent heat (247 kJ/kg over 824 J/(kg K), 300 K)
    [
        ("stainless", 1400, 2178),
        ("brass", 885, 2075),
        ("carbon-steel", 1450, 2827),
        ("aluminium", 582, 1370),
        ("copper", 1083, 3810),
    ],
)
def test_drop_that_melts_a_metal(surface: str, melting: float, celsius: float) -> None:
    got = spatter.drop_that_melts(melting + ICE, 25 + ICE, ROWS[surface]["effusivity"]) - ICE
    assert got == approx(celsius - 300, abs=3)
    assert spatter.contact_temperature(celsius + ICE, 25 + ICE, ROWS[surface]["effusivity"]) - ICE == approx(
        melting, abs=1
    )


def test_any_steel_drop_melts_aluminium() -> None:
    # source: contact formula against the solidus of 582 degC: drops are never below 1500 degC
    assert spatter.drop_that_melts(582 + ICE, 25 + ICE, ROWS["aluminium"]["effusivity"]) < 1500 + ICE


@pytest.mark.parametrize(
    ("millimetre", "speed", "celsius"),
    # source: table of lumped drops with Ranz-Marshall and Schiller-Naumann, horizontal flight, emissivity
    # 0.5, at 0.3 m
    [(0.2, 10, 1538), (0.5, 3, 1666), (0.5, 10, 1865), (1, 3, 1863), (1, 10, 1948), (2, 3, 1942)],
)
def test_drop_on_arrival(millimetre: float, speed: float, celsius: float) -> None:
    got = droplets.arrival_temperature(millimetre / 1e3, speed, 2000 + ICE, 0.3, 25 + ICE) - ICE
    assert celsius - 1 <= got <= celsius + 60  # falling with gravity and emissivity 0.4 keeps it hotter


@pytest.mark.parametrize(
    ("millimetre", "speed", "freezes_from", "solid_at"),
    # source: same table, for horizontal flight; runs of that model differ by 10 to 35 percent. A falling drop
    # gains speed and gets further in the same time: at most by the ratio of its speeds without drag
    [
        (0.1, 10, 0.092, 0.15),
        (0.2, 3, 0.1, 0.18),
        (0.2, 10, 0.28, 0.48),
        (0.5, 3, 0.44, 0.78),
        (0.5, 10, 1.18, 2.0),
        (1, 3, 1.2, 2.2),
        (1, 10, 3.2, 5.7),
    ],
)
def test_distance_at_which_drops_freeze(
    millimetre: float, speed: float, freezes_from: float, solid_at: float
) -> None:
    def share(distance: float) -> float:
        return droplets.liquid_share(millimetre / 1e3, speed, 2000 + ICE, distance, 25 + ICE)

    def latest(distance: float) -> float:
        return 1.35 * distance * math.sqrt(1 + 2 * 9.80665 * distance / speed**2)

    assert share(freezes_from * 0.65) == 1.0
    assert share(latest(freezes_from)) < 1.0
    assert share(solid_at * 0.65) > 0.0
    assert share(latest(solid_at)) == 0.0


def test_flight_agrees_with_an_ode_solver() -> None:
    # source: scipy solve_ivp on the same equations written out a second time, in time instead of distance
    diameter, air, start = 0.5e-3, 298.15, 2273.15
    mass, area = 7000 * math.pi * diameter**3 / 6, math.pi * diameter**2

    def slopes(_: float, state: list[float]) -> list[float]:
        _, speed, temperature = state
        film = (temperature + air) / 2
        viscosity = 1.458e-6 * film**1.5 / (film + 110.4)
        conductivity = 2.646e-3 * film**1.5 / (film + 245.4 * 10 ** (-12 / film))
        reynolds = 353 / film * speed * diameter / viscosity
        transfer = (2 + 0.6 * reynolds**0.5 * 0.89) * conductivity / diameter
        loss = area * (transfer * (temperature - air) + 0.4 * 5.670374e-8 * (temperature**4 - air**4))
        coefficient = 24 / reynolds * (1 + 0.15 * reynolds**0.687)
        drag = coefficient * 353 / film * speed**2 / 2 * math.pi * diameter**2 / 4
        return [speed, 9.80665 - drag / mass, -loss / (mass * 824)]

    def there(_: float, state: list[float]) -> float:
        return state[0] - 0.4

    there.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(slopes, (0, 1), [0, 3.0, start], events=there, rtol=1e-8)
    assert droplets.arrival_temperature(diameter, 3.0, start, 0.4, air) == approx(run.y[2][-1], abs=1)


def test_reach_of_thrown_drops() -> None:
    # source: flight without drag by hand: 10 m/s on the level reach 10.2 m, from 1 m up 11.2 m, which is
    # about the 35 ft (11 m) cleared for hot work in 29 CFR 1910.252(a)(2)
    assert spatter.throw(10, 0) == approx(10.2, rel=5e-3)
    assert spatter.throw(10, 1) == approx(11.15, rel=5e-3)
    best = max(
        10 * math.cos(a) * (10 * math.sin(a) + math.sqrt((10 * math.sin(a)) ** 2 + 2 * 9.80665)) / 9.80665
        for a in (math.radians(i / 10) for i in range(900))
    )
    assert spatter.throw(10, 1) == approx(best, rel=1e-4)
