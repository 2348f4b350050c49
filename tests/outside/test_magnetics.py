"""Flux density against Biot-Savart by magpylib and against published and hand figures.

Every closed form is compared with magpylib 6 on random geometry, and the worked figures of magnetics are hand
calculations that any reader can repeat.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from magpylib.current import Circle, Polyline
from pytest import approx

from advisor.physics import conductors, helix, magnetics

MT = 1e-3
LONG = 2000.0
KILOAMPERE = st.floats(0.05, 60.0).map(lambda value: value * 1e3)
DISTANCE = st.floats(0.02, 2.0)
SIDE = st.floats(0.05, 1.5)


def reference(current: float, vertices: object, point: object) -> float:
    """Size of the flux density of a polyline by magpylib."""
    return float(np.linalg.norm(Polyline(current=current, vertices=vertices).getB(point)))


def loop_vertices(width: float, height: float) -> list[list[float]]:
    x, y = width / 2, height / 2
    return [[-x, -y, 0], [x, -y, 0], [x, y, 0], [-x, y, 0], [-x, -y, 0]]


@pytest.mark.parametrize(
    ("kiloampere", "millimetre", "millitesla"),
    # source: Ampere's law by hand, B[mT] = 200 I[kA] / r[mm]; 10 kA at 50 mm is the trade's 40 mT
    [
        (10, 50, 40.0),
        (15, 100, 30.0),
        (30, 50, 120.0),
        (0.3, 20, 3.0),
        (1, 10, 20.0),
        (1, 100, 2.0),
        (5, 250, 4.0),
    ],
)
def test_long_wire_by_hand(kiloampere: float, millimetre: float, millitesla: float) -> None:
    assert magnetics.long_wire(kiloampere * 1e3, millimetre / 1e3) == approx(millitesla * MT, rel=1e-6)


@pytest.mark.parametrize(
    ("before", "beyond", "distance", "millitesla"),
    [
        # source: Biot-Savart on a 0.3 m piece with 10 kA, magpylib 6.3.0
        (0.15, 0.15, 0.05, 37.947),
        (0.15, 0.15, 0.1, 16.641),
        (0.15, 0.15, 0.15, 9.428),
        (0.15, 0.15, 0.3, 2.981),
        (0.0, 0.15, 0.05, 18.974),  # opposite the end
    ],
)
def test_straight_piece(before: float, beyond: float, distance: float, millitesla: float) -> None:
    assert magnetics.straight_piece(10e3, distance, before, beyond) == approx(millitesla * MT, rel=1e-3)


def test_pair_by_hand() -> None:
    # source: superposition of two line currents by hand, 10 kA
    assert magnetics.between_pair(10e3, 0.1, 0.05) == approx(80 * MT, rel=1e-6)
    assert magnetics.beside_pair(10e3, 0.1, 0.05) == approx(26.667 * MT, rel=1e-4)
    assert magnetics.beside_pair(10e3, 0.1, 0.1) == approx(10 * MT, rel=1e-6)
    off_plane = math.hypot(0.05, 0.1)
    assert magnetics.pair(10e3, 0.1, off_plane, off_plane) == approx(16 * MT, rel=1e-6)
    assert magnetics.beside_pair(10e3, 0.04, 0.08) == approx(8.333 * MT, rel=1e-4)
    assert magnetics.beside_pair(10e3, 0.04, 0.48) == approx(0.3205 * MT, rel=1e-3)


def test_throat_of_a_spot_gun() -> None:
    # source: Biot-Savart on a loop of 0.4 x 0.3 m with 12 kA, magpylib 6.3.0
    assert magnetics.inside_throat(12e3, 0.2, 0.2, 0.15, 0.15) == approx(40.0 * MT, rel=1e-3)
    assert magnetics.inside_throat(12e3, 0.05, 0.35, 0.15, 0.15) == approx(68.0 * MT, rel=2e-3)
    assert magnetics.outside_throat(12e3, 0.05, 0.3, 0.4) == approx(33.73 * MT, rel=2e-3)
    assert magnetics.outside_throat(12e3, 0.2, 0.3, 0.4) == approx(3.508 * MT, rel=3e-3)
    assert magnetics.outside_throat(12e3, 0.5, 0.3, 0.4) == approx(0.4838 * MT, rel=5e-3)
    loop = conductors.rectangle(0.4, 0.3, 12e3)
    assert conductors.path_magnitude(loop, (0, 0, 0.2)) == approx(12.82 * MT, rel=2e-3)
    assert conductors.path_magnitude(loop, (0, 0, 1.0)) == approx(0.271 * MT, rel=5e-3)
    # source: 2 sqrt(2) mu0 I / (pi a) in the middle of a square of 0.2 m, 10 kA; corner of a 0.5 x 0.25 m
    # throat, 15 kA
    assert magnetics.inside_throat(10e3, 0.1, 0.1, 0.1, 0.1) == approx(56.57 * MT, rel=1e-3)
    assert magnetics.inside_throat(15e3, 0.05, 0.45, 0.05, 0.2) == approx(111.7 * MT, rel=3e-3)


def test_low_field_leads() -> None:
    assert magnetics.coaxial(10e3, 0.0, 0.05) == 0.0
    # source: two line currents 2 mm apart, magpylib 6.3.0: 1.667 mT at 50 mm from the axis, on the near side
    assert magnetics.coaxial(10e3, 0.002, 0.05) == approx(1.667 * MT, rel=1e-3)
    # source: complex field sum, magpylib 6.3.0; 10 kA on a radius of 15 mm
    assert magnetics.interleaved(10e3, 1, 0.015, 0.1) == approx(6.138 * MT, rel=1e-3)
    assert magnetics.interleaved(10e3, 2, 0.015, 0.1) == approx(0.900 * MT, rel=1e-2)
    assert magnetics.interleaved(10e3, 3, 0.015, 0.1) == approx(0.135 * MT, rel=1e-2)


@pytest.mark.parametrize(
    ("pitch", "distance", "millitesla"),
    # source: Biot-Savart summed over helices of 40 pitches, 10 kA, 60 mm between centres (magpylib on 8
    # pitches)
    [(0.5, 0.1, 11.7), (0.5, 0.2, 1.80), (0.5, 0.3, 0.376), (0.3, 0.2, 0.69), (0.3, 0.3, 0.065)],
)
def test_twisted_pair_bounds_the_summed_field(pitch: float, distance: float, millitesla: float) -> None:
    bound = helix.twisted_pair(10e3, 0.06, pitch, distance) / MT
    assert millitesla * 0.99 <= bound <= millitesla * 1.1


@settings(max_examples=25, deadline=None)
@given(st.floats(0.01, 0.1), st.floats(0.15, 1.5), st.floats(0.06, 0.4), st.floats(0, math.pi))
def test_twisted_pair_bounds_magpylib_at_every_angle(
    spacing: float, pitch: float, distance: float, angle: float
) -> None:
    # source: magpylib, two helical polylines of 40 pitches. A cut pair radiates from its ends like a short
    # piece of current across the spacing; that much is allowed for, since the formula is for a pair without
    # ends
    reach = 20 * pitch
    z = np.linspace(-reach, reach, 40 * 120 + 1)
    total = np.zeros(3)
    for sign, phase in ((1, 0.0), (-1, math.pi)):
        turn = 2 * np.pi * z / pitch + phase
        vertices = np.c_[spacing / 2 * np.cos(turn), spacing / 2 * np.sin(turn), z]
        point = (distance * math.cos(angle), distance * math.sin(angle), 0)
        total += Polyline(current=sign * 1e4, vertices=vertices).getB(point)
    ends = 2 * conductors.MU0 * 1e4 * spacing / (4 * math.pi * reach**2)
    assert float(np.linalg.norm(total)) <= helix.twisted_pair(1e4, spacing, pitch, distance) * 1.001 + ends


@settings(max_examples=60, deadline=None)
@given(
    KILOAMPERE,
    st.lists(st.tuples(*[st.floats(-1, 1)] * 3), min_size=3, max_size=6, unique=True),
    st.tuples(*[st.floats(-1.5, 1.5)] * 3),
)
def test_any_closed_path_agrees_with_magpylib(
    current: float, corners: list[tuple[float, float, float]], point: tuple[float, float, float]
) -> None:
    # source: magpylib 6, getB of a closed polyline
    path = conductors.polyline(corners, current, closed=True)
    if conductors.distance_to_path(path, point) < 0.02:
        return
    # Pieces of a millionth of a millimetre are no conductors; the library drops them, and the path is then not closed.
    if min(math.dist(piece.start, piece.end) for piece in path) < 1e-3:
        return
    theirs = Polyline(current=current, vertices=[*corners, corners[0]]).getB(point)
    ours = conductors.path_field(path, point)
    size = float(
        np.linalg.norm([Polyline(current=current, vertices=[s.start, s.end]).getB(point) for s in path])
    )
    assert ours == approx(list(theirs), rel=1e-3, abs=1e-6 * size + 1e-15)


@settings(max_examples=40, deadline=None)
@given(KILOAMPERE, DISTANCE, st.floats(0, 2), st.floats(0.01, 2))
def test_pieces_agree_with_magpylib(current: float, distance: float, before: float, beyond: float) -> None:
    # source: magpylib 6, getB(current.Polyline)
    theirs = reference(current, [[0, 0, -before], [0, 0, beyond]], (distance, 0, 0))
    assert magnetics.straight_piece(current, distance, before, beyond) == approx(theirs, rel=1e-3)
    endless = reference(current, [[0, 0, -LONG], [0, 0, LONG]], (distance, 0, 0))
    assert magnetics.long_wire(current, distance) == approx(endless, rel=1e-3)


@settings(max_examples=40, deadline=None)
@given(KILOAMPERE, st.floats(0.01, 1), DISTANCE, st.floats(0, math.pi))
def test_pairs_agree_with_magpylib(current: float, spacing: float, distance: float, angle: float) -> None:
    # source: magpylib 6, go and return as a loop 4 km long
    vertices = [[0, 0, -LONG], [0, 0, LONG], [-spacing, 0, LONG], [-spacing, 0, -LONG], [0, 0, -LONG]]
    assert magnetics.beside_pair(current, spacing, distance) == approx(
        reference(current, vertices, (distance, 0, 0)), rel=1e-3
    )
    inner = spacing * (0.05 + 0.9 * distance / 2.0)
    assert magnetics.between_pair(current, spacing, min(inner, spacing - inner)) == approx(
        reference(current, vertices, (-inner, 0, 0)), rel=1e-3
    )
    x, y = distance * math.cos(angle), distance * math.sin(angle)
    far = math.hypot(x + spacing, y)
    if far > 0.02:
        assert magnetics.pair(current, spacing, distance, far) == approx(
            reference(current, vertices, (x, y, 0)), rel=1e-3
        )


@settings(max_examples=60, deadline=None)
@given(KILOAMPERE, SIDE, SIDE, st.floats(0.05, 0.95), st.floats(0.05, 0.95), DISTANCE)
def test_throats_agree_with_magpylib(
    current: float, width: float, height: float, across: float, along: float, distance: float
) -> None:
    # source: magpylib 6, getB of a rectangular polyline
    vertices = loop_vertices(width, height)
    left, front = across * width, along * height
    inside = reference(current, vertices, (left - width / 2, front - height / 2, 0))
    assert magnetics.inside_throat(current, left, width - left, front, height - front) == approx(
        inside, rel=1e-3
    )
    outside = reference(current, vertices, (width / 2 + distance, 0, 0))
    assert magnetics.outside_throat(current, distance, height, width) == approx(outside, rel=1e-3)
    beside = reference(current, vertices, (width / 2 + distance, (along - 0.5) * height, 0))
    assert beside <= magnetics.outside_throat(current, distance, height, width) * 1.001


@settings(max_examples=80, deadline=None)
@given(KILOAMPERE, SIDE, SIDE, st.tuples(st.floats(-1.5, 1.5), st.floats(-1.5, 1.5), st.floats(-1.5, 1.5)))
def test_no_loop_exceeds_the_bound_for_unknown_size(
    current: float, width: float, height: float, point: tuple[float, float, float]
) -> None:
    # source: magpylib 6; and far away the dipole on its axis bounds the loop in every direction
    nearest = conductors.distance_to_path(conductors.rectangle(width, height, current), point)
    if nearest < 0.01:
        return
    field = reference(current, loop_vertices(width, height), point)
    assert field <= magnetics.near_any_loop(current, nearest) * 1.001
    middle = math.hypot(*point)
    if middle >= 2 * math.hypot(width, height):
        assert field <= magnetics.far_from_loop(current, width * height, middle) * 1.001


def test_unknown_throat_is_pi_times_the_single_wire() -> None:
    # source: mu0 I / (2 r) by hand, 12 kA at 150 mm: 50.3 mT, where the real 0.4 x 0.3 m throat makes 40.0 mT
    bound = magnetics.near_any_loop(12e3, 0.15)
    assert bound == approx(50.3 * MT, rel=2e-3)
    assert bound / magnetics.long_wire(12e3, 0.15) == approx(math.pi)
    assert bound > magnetics.inside_throat(12e3, 0.2, 0.2, 0.15, 0.15) > 2 * magnetics.long_wire(12e3, 0.15)


def test_coiled_up_cable() -> None:
    # source: Biot-Savart on a circle by hand: 3 turns of 0.6 m diameter, 400 A; magpylib Circle
    assert conductors.coil_axis(3, 400, 0.3, 0.0) == approx(2.51 * MT, rel=2e-3)
    assert conductors.coil_axis(3, 400, 0.3, 0.3) == approx(0.889 * MT, rel=2e-3)
    theirs = float(np.linalg.norm(Circle(current=1200, diameter=0.6).getB((0, 0, 0.3))))
    assert conductors.coil_axis(3, 400, 0.3, 0.3) == approx(theirs, rel=1e-6)


def test_a_point_on_a_conductor_is_refused() -> None:
    with pytest.raises(conductors.OnConductorError, match="lies on a conductor"):
        conductors.path_field(conductors.rectangle(0.4, 0.3, 1e3), (0.2, 0.0, 0.0))
