"""Lines of one level through a grid of values, by marching squares; pure geometry.

Points are in columns and rows of the grid, so that (1.5, 2) lies half-way between the second and third column on the
third row. Where a value is missing no line is drawn. Between two values the line is placed in proportion, by their
logarithms where both and the level lie above nought and a factor of two apart, since fields and pressures fall so.
"""

import itertools
import math
from collections.abc import Sequence

Point = tuple[float, float]
Values = Sequence[Sequence[float | None]]
_FACTOR = 2.0


def contours(values: Values, level: float) -> list[list[Point]]:
    """Return the lines along which the values pass the level, the longest first."""
    pieces: list[tuple[Point, Point]] = []
    for row in range(len(values) - 1):
        for column in range(len(values[row]) - 1):
            pieces += _cell(values, column, row, level)
    return sorted(_joined(pieces), key=lambda line: (-length(line), line))


def length(line: Sequence[Point]) -> float:
    """Return the length of a line in cells."""
    return sum(math.dist(first, second) for first, second in itertools.pairwise(line))


def middle(line: Sequence[Point]) -> Point:
    """Return the point half-way along a line."""
    rest = length(line) / 2
    for first, second in itertools.pairwise(line):
        step = math.dist(first, second)
        if step >= rest and step > 0:
            share = rest / step
            return first[0] + share * (second[0] - first[0]), first[1] + share * (second[1] - first[1])
        rest -= step
    return line[-1]


def _cell(values: Values, column: int, row: int, level: float) -> list[tuple[Point, Point]]:
    corners = ((column, row), (column + 1, row), (column + 1, row + 1), (column, row + 1))
    at = [values[y][x] for x, y in corners]
    known = [value for value in at if value is not None]
    if len(known) < 4:
        return []
    cuts: list[Point] = []
    for number, (first, second) in enumerate(zip(known, [*known[1:], known[0]], strict=True)):
        if (first >= level) != (second >= level):
            share = _share(first, second, level)
            (x, y), (to_x, to_y) = corners[number], corners[(number + 1) % 4]
            cuts.append((x + share * (to_x - x), y + share * (to_y - y)))
    if len(cuts) == 4 and (sum(known) / 4 >= level) == (known[0] >= level):
        # A saddle: the middle belongs to the first corner's side, so that the lines go round the others.
        cuts = [cuts[0], cuts[1], cuts[2], cuts[3]]
    elif len(cuts) == 4:
        cuts = [cuts[3], cuts[0], cuts[1], cuts[2]]
    return [(cuts[number], cuts[number + 1]) for number in range(0, len(cuts) - 1, 2)]


def _share(first: float, second: float, level: float) -> float:
    low, high = sorted((first, second))
    if low > 0 and high >= _FACTOR * low and level > 0:
        return (math.log(level) - math.log(first)) / (math.log(second) - math.log(first))
    return (level - first) / (second - first)


def _joined(pieces: Sequence[tuple[Point, Point]]) -> list[list[Point]]:
    """Join pieces that share an end into lines."""

    def name(point: Point) -> Point:
        return round(point[0], 6), round(point[1], 6)

    ends: dict[Point, list[int]] = {}
    for number, piece in enumerate(pieces):
        for point in piece:
            ends.setdefault(name(point), []).append(number)
    left = set(range(len(pieces)))
    lines = []
    # Open lines first, from one of their ends; what is left then are rings.
    starts = [numbers[0] for numbers in ends.values() if len(numbers) == 1] + list(range(len(pieces)))
    for start in starts:
        if start not in left:
            continue
        left.discard(start)
        first, second = pieces[start]
        line = [first, second] if len(ends[name(first)]) == 1 or len(ends[name(second)]) != 1 else [second, first]
        while True:
            following = next((number for number in ends[name(line[-1])] if number in left), None)
            if following is None:
                break
            left.discard(following)
            one, other = pieces[following]
            line.append(other if name(one) == name(line[-1]) else one)
        lines.append(line)
    return lines
