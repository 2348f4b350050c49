"""The field of one source as a picture: where its conductors lie as the unit sees them, and the flux density about.

Contract: a plane picture in metres, in which the answers put conductors and unit, and a function for the peak flux
density in tesla with its margin, by the formulas of `physics`. Ranges are taken at their harder end: the highest
current and the nearest place. The picture of a layout that the rules bound from above shows that bound; for go and
return it shows the exact field, of which the rules take an upper bound above the gap. Several sources have a picture
each, since nothing says how they lie to each other.
"""

import bisect
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from advisor.physics import magnetics, weld_rules
from advisor.physics.conductors import OnConductorError, path_magnitude, polyline

Point = tuple[float, float]
NEAREST = 2e-3
"""Metres; nearer to a centre line the field is drawn as at that distance."""
CLOSE_TWIST, WIDE_TWIST, CLOSE_COAXIAL = 0.06, 0.1, 0.025
"""Where the formulas of twisted and coaxial leads end, as in their rules; nearer, the bound of any loop holds."""
_RADII = 240


class NoPictureError(ValueError):
    """The layout has no geometry, or an answer that it needs is not told; the text says which."""


@dataclass(frozen=True)
class Scene:
    """Conductors as seen in the picture, the unit's place, and the flux density (T) with margin at a point (m)."""

    wires: tuple[Point, ...]
    """Conductors that run through the plane of the picture."""
    loop: tuple[Point, ...]
    """Corners of a loop that lies in it."""
    unit: Point
    field: Callable[[float, float], float]
    note: str


def scene(layout: str, given: Mapping[str, float], factor: float) -> Scene:
    """Return the scene of a layout from its answers in SI (m, A); `factor` is peak factor times margin.

    Raises NoPictureError.
    """

    def need(name: str) -> float:
        if name not in given:
            raise NoPictureError(f"{name} is not told")
        return given[name]

    maker = _MAKERS.get(layout)
    if maker is None:
        raise NoPictureError("a measured field or a magnet has no known shape")
    made = maker(need)
    return Scene(made.wires, made.loop, made.unit, lambda x, y: factor * made.field(x, y), made.note)


Need = Callable[[str], float]


def _radial(field_at: Callable[[float], float], unit: float, note: str) -> Scene:
    """A field that hangs on the distance from one axis alone, kept at some radii and read off in between."""
    radii = [NEAREST * (1e5 ** (number / (_RADII - 1))) for number in range(_RADII)]
    kept: list[float | None] = [None] * _RADII

    def value(number: int) -> float:
        known = kept[number]
        if known is None:
            known = kept[number] = max(field_at(radii[number]), 1e-15)
        return known

    def field(x: float, y: float) -> float:
        radius = min(max(math.hypot(x, y), radii[0]), radii[-1])
        number = min(max(bisect.bisect_right(radii, radius) - 1, 0), _RADII - 2)
        share = math.log(radius / radii[number]) / math.log(radii[number + 1] / radii[number])
        return math.exp((1 - share) * math.log(value(number)) + share * math.log(value(number + 1)))

    return Scene(((0.0, 0.0),), (), (unit, 0.0), field, note)


def _single(need: Need) -> Scene:
    current = need("current")
    note = "One conductor through the plane of the picture; the field is the same all round it."
    return _radial(lambda r: magnetics.long_wire(current, r), need("distance"), note)


def _anywhere(need: Need) -> Scene:
    current = need("current")
    note = (
        "How the conductors lie is not known: the most that any loop can make at that distance from its nearest side."
    )
    return _radial(lambda r: magnetics.near_any_loop(current, r), need("distance"), note)


def _twisted(need: Need) -> Scene:
    current, spacing, pitch = need("current"), need("spacing"), need("pitch")

    def field(radius: float) -> float:
        distance = max(radius - spacing / 2, NEAREST)
        if distance < CLOSE_TWIST or spacing > WIDE_TWIST:
            return magnetics.near_any_loop(current, distance)
        return weld_rules.twisted_lead(current, spacing, pitch, radius)

    note = "A twisted lead through the plane of the picture; a splice or end is a plain pair and reaches further."
    return _radial(field, need("distance") + spacing / 2, note)


def _coaxial(need: Need) -> Scene:
    current, eccentricity = need("current"), need("eccentricity")

    def field(radius: float) -> float:
        if radius < CLOSE_COAXIAL:
            return magnetics.near_any_loop(current, radius)
        return magnetics.coaxial(current, eccentricity, radius)

    note = "A coaxial lead through the plane of the picture, its core off centre towards the unit."
    return _radial(field, need("distance"), note)


def _pair(need: Need, unit: Callable[[float, float], Point]) -> Scene:
    current, spacing = need("current"), need("spacing")
    wires = ((0.0, 0.0), (-spacing, 0.0))

    def field(x: float, y: float) -> float:
        near, far = (max(math.hypot(x - at, y), NEAREST) for at, _ in wires)
        return magnetics.pair(current, spacing, near, far)

    note = "Go and return through the plane of the picture, the exact field of the two."
    return Scene(wires, (), unit(need("distance"), spacing), field, note)


def _above(distance: float, spacing: float) -> Point:
    """Over the middle of the gap, where the rule's bound is exact; nearer than half the spacing over one conductor."""
    half = spacing / 2
    return (-half, math.sqrt(distance**2 - half**2)) if distance > half else (0.0, distance)


def _loop(corners: tuple[Point, ...], unit: Point, current: float) -> Scene:
    path = polyline([(x, y, 0.0) for x, y in corners], current, closed=True)

    def field(x: float, y: float) -> float:
        try:
            return path_magnitude(path, (x, y, 0.0))
        except OnConductorError:
            return magnetics.long_wire(current, NEAREST)

    return Scene((), corners, unit, field, "The throat in the plane of the picture, four straight sides.")


def _inside(need: Need) -> Scene:
    up, down, back, front = need("upper"), need("lower"), need("rear"), need("tips")
    return _loop(((-back, -down), (front, -down), (front, up), (-back, up)), (0.0, 0.0), need("current"))


def _outside(need: Need) -> Scene:
    half, reach = need("leg") / 2, need("reach")
    return _loop(((-reach, -half), (0.0, -half), (0.0, half), (-reach, half)), (need("distance"), 0.0), need("current"))


_MAKERS: dict[str, Callable[[Need], Scene]] = {
    "single": _single,
    "anywhere": _anywhere,
    "pair-beside": lambda need: _pair(need, lambda distance, spacing: (distance, 0.0)),
    "pair-above": lambda need: _pair(need, _above),
    "pair-between": lambda need: _pair(need, lambda distance, spacing: (-min(distance, spacing / 2), 0.0)),
    "throat-inside": _inside,
    "throat-outside": _outside,
    "twisted": _twisted,
    "coaxial": _coaxial,
}
