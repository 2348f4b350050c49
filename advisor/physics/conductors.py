"""Flux density of any path of straight conductors, summed as vectors.

The general tool behind the closed forms of `magnetics`: a weld gun, its cables, a bus-bar run are a list of
straight segments, each with its current; the flux density at any point is the vector sum of Biot-Savart over
them. Used for field maps and to check the closed forms. Vectors are no scalars, so nothing here is registered
for rules. Metres, amperes, tesla; air, no steel near. A lone segment is no circuit: only the sum round a
closed path is physical.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

MU0 = 4e-7 * math.pi
"""Magnetic constant in H/m: exact before 2019, CODATA 2018 differs by 5e-10 of it."""

Vector = tuple[float, float, float]


class OnConductorError(ValueError):
    """The field was asked for on the line of a conductor, where it has no finite value."""

    def __init__(self, point: Vector) -> None:
        super().__init__(point)
        self.point = point

    def __str__(self) -> str:
        return f"the point {self.point} lies on a conductor: give the distance to its centre line"


@dataclass(frozen=True)
class Segment:
    """A straight conductor from `start` to `end` (m); `current` (A) flows that way, or back if negative."""

    start: Vector
    end: Vector
    current: float


def segment_field(segment: Segment, point: Vector) -> Vector:
    """Return the flux density (T) of one segment at a point (m).

    B = mu0 I / (4 pi rho) (sin a2 - sin a1), Biot-Savart on a finite straight line. Zero for a segment of no
    length and on the prolongation of a segment. Raises OnConductorError for a point on the segment itself.
    """
    along = _minus(segment.end, segment.start)
    length = _norm(along)
    if length == 0.0:
        return (0.0, 0.0, 0.0)
    from_start, from_end = _minus(point, segment.start), _minus(point, segment.end)
    across = _cross(along, from_start)
    rho = _norm(across) / length
    z_start, z_end = _dot(along, from_start) / length, _dot(along, from_end) / length
    near = min(_norm(from_start), _norm(from_end))
    if rho <= 1e-9 * max(length, near):
        if z_start * z_end <= 0.0:
            raise OnConductorError(point)
        return (0.0, 0.0, 0.0)
    size = z_start / math.hypot(z_start, rho) - z_end / math.hypot(z_end, rho)
    factor = MU0 * segment.current / (4.0 * math.pi * rho) * size / (rho * length)
    return (factor * across[0], factor * across[1], factor * across[2])


def path_field(segments: Iterable[Segment], point: Vector) -> Vector:
    """Return the vector sum of the flux densities (T) of all segments at a point; raises OnConductorError."""
    parts = [segment_field(segment, point) for segment in segments]
    return (
        math.fsum(part[0] for part in parts),
        math.fsum(part[1] for part in parts),
        math.fsum(part[2] for part in parts),
    )


def path_magnitude(segments: Iterable[Segment], point: Vector) -> float:
    """Return the size (T) of the summed flux density at a point (m); raises OnConductorError."""
    return _norm(path_field(segments, point))


def polyline(points: Sequence[Vector], current: float, *, closed: bool = False) -> tuple[Segment, ...]:
    """Return the segments along the points (m) carrying `current` (A); `closed` adds the way back."""
    ends = [*points[1:], points[0]] if closed else list(points[1:])
    return tuple(Segment(start, end, current) for start, end in zip(points, ends, strict=closed))


def rectangle(width: float, height: float, current: float) -> tuple[Segment, ...]:
    """Return a rectangular loop in the plane z = 0 round the origin: width along x, height along y (m)."""
    x, y = width / 2.0, height / 2.0
    return polyline(((-x, -y, 0.0), (x, -y, 0.0), (x, y, 0.0), (-x, y, 0.0)), current, closed=True)


def distance_to_path(segments: Iterable[Segment], point: Vector) -> float:
    """Return the distance (m) from a point to the nearest conductor; infinity without segments."""
    return min((_distance(segment, point) for segment in segments), default=math.inf)


def coil_axis(turns: float, current: float, radius: float, height: float) -> float:
    """Return the flux density (T) on the axis of a flat coil, `height` (m) from its plane; a coiled-up cable.

    B = mu0 N I R^2 / (2 (R^2 + z^2)^1.5), Biot-Savart on a circle of `radius` (m) with `turns` of `current`
    (A).
    """
    return float(MU0 * turns * current * radius**2 / (2.0 * math.hypot(radius, height) ** 3))


def _distance(segment: Segment, point: Vector) -> float:
    along, offset = _minus(segment.end, segment.start), _minus(point, segment.start)
    square = _dot(along, along)
    share = min(max(_dot(along, offset) / square, 0.0), 1.0) if square else 0.0
    return _norm(_minus(offset, (share * along[0], share * along[1], share * along[2])))


def _minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Vector, b: Vector) -> Vector:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _norm(a: Vector) -> float:
    return math.hypot(*a)
