"""Renders the fields of a site as one HTML page with a picture in SVG for each source: lines, keep-outs, the unit."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from advisor import quantities
from advisor.maps.axis import round_step
from advisor.maps.contours import length
from advisor.maps.field_document import FieldDocument, FieldPicture, Point
from advisor.report import html

SIDE, EDGE = 520.0, 40.0


@dataclass(frozen=True)
class DrawnLine:
    """A line of equal field as an SVG path with its label."""

    path: str
    label: str
    x: float
    y: float
    style: int


@dataclass(frozen=True)
class Drawing:
    """The picture of one source in units of the page."""

    lines: tuple[DrawnLine, ...]
    wires: tuple[Point, ...]
    loop: str
    unit: Point
    bar: float
    bar_text: str
    side: float = SIDE


def field_page(document: FieldDocument, *, on: date) -> str:
    """Return the page dated `on`."""
    drawn = [(source, drawing(source.picture) if source.picture else None) for source in document.sources]
    return html.page("field.html.j2", document, on, False, sources=drawn)


def drawing(picture: FieldPicture) -> Drawing:
    """Lay a picture out."""
    scale = SIDE / picture.size

    def place(x: float, y: float) -> Point:
        return round((x - picture.left) * scale, 1), round(SIDE - (y - picture.low) * scale, 1)

    lines = []
    for style, line in enumerate(picture.lines):
        for number, path in enumerate(line.paths):
            points = [place(x, y) for x, y in path]
            # The label stands where the line is highest, so that those of nested lines do not meet.
            x, y = min(points, key=lambda point: (point[1], abs(point[0] - SIDE / 2)))
            text = line.level.text if number == 0 and length(points) > EDGE else ""
            lines.append(DrawnLine("M" + "L".join(f"{a} {b}" for a, b in points), text, x, max(y, 14.0), style))
    step = round_step(picture.size / 8)
    return Drawing(
        tuple(lines),
        tuple(place(*wire) for wire in picture.wires),
        _loop(picture, place),
        place(*picture.unit),
        round(step * scale, 1),
        quantities.show(step, "mm" if step < 1 else "m"),
    )


def _loop(picture: FieldPicture, place: Callable[[float, float], Point]) -> str:
    if not picture.loop:
        return ""
    return "M" + "L".join(f"{x} {y}" for x, y in (place(*corner) for corner in picture.loop)) + "z"
