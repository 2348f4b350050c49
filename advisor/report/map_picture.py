"""Geometry of the picture of a map: regions as paths with their letters, lines of equal figures, axes, the own point.

Every region has a letter, a ground and a pattern of its own, so that it is told apart without colour.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import log

from advisor.maps.contours import contours, length, middle
from advisor.maps.document import MapDocument

WIDTH, LEFT, RIGHT, TOP, BOTTOM = 760.0, 66.0, 18.0, 14.0, 52.0
PLOT = WIDTH - LEFT - RIGHT
PATTERNS = 6
"""Patterns in the style of the page; with the grounds they make every region's look its own."""
GROUNDS = 8
LEAST_LINE = 3.0
"""Cells; shorter lines have no label."""
Place = Callable[[float, float], tuple[float, float]]
"""From column and row to the place in the picture."""


@dataclass(frozen=True)
class RegionShape:
    """One region: its outline as an SVG path, and where its letter stands."""

    letter: str
    path: str
    ground: int
    pattern: int
    x: float
    y: float


@dataclass(frozen=True)
class Line:
    """A line of equal figures with its label."""

    path: str
    label: str
    x: float
    y: float
    style: int
    labelled: bool


@dataclass(frozen=True)
class Picture:
    """All of it, in units of the picture."""

    width: float
    height: float
    left: float
    top: float
    right: float
    bottom: float
    shapes: tuple[RegionShape, ...]
    edges: str
    lines: tuple[Line, ...]
    line_titles: tuple[tuple[int, str], ...]
    x_ticks: tuple[tuple[float, str], ...]
    y_ticks: tuple[tuple[float, str], ...]
    own: tuple[float, float] | None


def picture(document: MapDocument) -> Picture:
    """Return the picture of a map."""
    rows, columns = len(document.rows), len(document.rows[0])
    high = min(560.0, max(240.0, PLOT * rows / columns * 0.95))
    wide, tall = PLOT / columns, high / rows

    def place(column: float, row: float) -> tuple[float, float]:
        return round(LEFT + column * wide, 1), round(TOP + high - row * tall, 1)

    shapes = []
    for number, region in enumerate(document.regions):
        path = ""
        for row, letters in enumerate(document.rows):
            for start, end in _runs(letters, region.letter):
                (left, top), (right, bottom) = place(start, row + 1), place(end, row)
                path += f"M{left} {top}H{right}V{bottom}H{left}z"
        column, row = _inside(document.rows, region.letter)
        x, y = place(column + 0.5, row + 0.5)
        shapes.append(RegionShape(region.letter, path, number % GROUNDS, number % PATTERNS, x, y))
    return Picture(
        WIDTH, TOP + high + BOTTOM, LEFT, TOP, LEFT + PLOT, TOP + high,
        tuple(shapes),
        _edges(document.rows, place),
        *_lines(document, place),
        tuple((round(LEFT + share * PLOT, 1), text) for share, text in document.x.ticks),
        tuple((round(TOP + high - share * high, 1), text) for share, text in document.y.ticks),
        _own(document, high),
    )  # fmt: skip


def _own(document: MapDocument, high: float) -> tuple[float, float] | None:
    """The site's own point as exactly as the axes allow, not just its cell."""
    if document.own_cell is None:
        return None
    shares = []
    for axis in (document.x, document.y):
        assert axis.own is not None
        assert axis.own.low is not None
        low, high_end, value = axis.low, axis.high, axis.own.low
        if axis.scale == "logarithmic":
            low, high_end, value = log(low), log(high_end), log(value)
        shares.append((value - low) / (high_end - low))
    return round(LEFT + shares[0] * PLOT, 1), round(TOP + high - shares[1] * high, 1)


def _runs(letters: str, letter: str) -> list[tuple[int, int]]:
    runs, start = [], None
    for column, sign in enumerate([*letters, ""]):
        if sign == letter and start is None:
            start = column
        elif sign != letter and start is not None:
            runs.append((start, column))
            start = None
    return runs


def _inside(rows: list[str], letter: str) -> tuple[int, int]:
    """Return column and row of the cell of a region that lies furthest from its edge."""
    height, width = len(rows), len(rows[0])
    depth = [[0] * (width + 2) for _ in range(height + 2)]
    for row in range(1, height + 1):
        for column in range(1, width + 1):
            if rows[row - 1][column - 1] == letter:
                depth[row][column] = 1 + min(depth[row - 1][column], depth[row][column - 1], depth[row - 1][column - 1])
    best = max((depth[r][c], r, c) for r in range(1, height + 1) for c in range(1, width + 1))
    back = (best[0] - 1) // 2
    return best[2] - 1 - back, best[1] - 1 - back


def _edges(rows: list[str], place: Place) -> str:
    """Return the lines between cells of different regions as one path."""
    pieces = []
    for row, letters in enumerate(rows):
        for column, sign in enumerate(letters):
            if column + 1 < len(letters) and letters[column + 1] != sign:
                x, y = place(column + 1, row)
                pieces.append(f"M{x} {y}V{place(column + 1, row + 1)[1]}")
            if row + 1 < len(rows) and rows[row + 1][column] != sign:
                x, y = place(column, row + 1)
                pieces.append(f"M{x} {y}H{place(column + 1, row + 1)[0]}")
    return "".join(pieces)


def _lines(document: MapDocument, place: Place) -> tuple[tuple[Line, ...], tuple[tuple[int, str], ...]]:
    lines: list[Line] = []
    titles: list[tuple[int, str]] = []
    for entry in document.figures:
        style = len(titles) % 4
        drawn = False
        for level, text in zip(entry.levels, entry.level_texts, strict=True):
            for number, line in enumerate(contours(entry.values, level)):
                points = [place(x + 0.5, y + 0.5) for x, y in line]
                path = "M" + "L".join(f"{x} {y}" for x, y in points)
                x, y = middle(points)
                labelled = number == 0 and length(line) >= LEAST_LINE
                lines.append(Line(path, text, round(x, 1), round(y, 1), style, labelled))
                drawn = True
        if drawn:
            titles.append((style, entry.title))
    return tuple(lines), tuple(titles)
