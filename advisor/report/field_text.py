"""Renders the fields of a site as text: figures, keep-out distances, and a picture in blocks for each source."""

import itertools

from advisor import quantities
from advisor.maps.field_document import FieldDocument, FieldPicture, FieldSource
from advisor.report.text import head, wrap

SHADES = " ░▒▓█"
WIRE, UNIT, LOOP = "O", "@", "+"
MARGIN = "Levels and distances count the peak with its margin; distances to the centre line of the nearest conductor."


def field_text(document: FieldDocument) -> str:
    """Return the text."""
    title = f"Magnetic fields: {document.site['name']}"
    lines = [*wrap(title), "=" * min(100, len(title))]
    lines += wrap(f"rulebook {document.rulebook.digest} ({document.rulebook.rules} rules). {MARGIN}")
    for name, reason in document.rulebook.waived.items():
        lines += wrap(f"Rule {name} is lifted by the plant's own rules: {reason}", 0, "! ")
    if document.together is not None:
        lines += wrap(
            f"Sources that act at the same time make up to {document.together.text} at the unit, margin counted.",
            0,
            "! ",
        )
    for source in document.sources:
        lines += _source(source)
    return "\n".join(lines) + "\n"


def _source(source: FieldSource) -> list[str]:
    lines = head(f"{source.name}: {source.layout}")
    lines += wrap(", ".join(text for text in (source.about, source.kind) if text) + ".", 2)
    if source.peak is not None and source.design is not None:
        lines += wrap(f"At the unit: peak {source.peak.text}, with margin {source.design.text}.", 2)
    lines += ["", "  Keep-out distances"] if source.keep_out else []
    for out in source.keep_out:
        level = f" ({out.field.text})" if out.field is not None else ""
        worst = "" if out.known else ", at the worst of what is open"
        lines += wrap(f"{out.distance.text:>9}  {out.unit}{level}{worst}", 4)
    if source.picture is None:
        return [*lines, "", *wrap(f"No picture: {source.no_picture}.", 2)]
    return [*lines, "", *_picture(source.picture)]


def _picture(picture: FieldPicture) -> list[str]:
    rows, columns = len(picture.blocks), len(picture.blocks[0])
    signs = [[SHADES[min(int(digit), len(SHADES) - 1)] for digit in row] for row in picture.blocks]

    def put(x: float, y: float, sign: str) -> None:
        column = int((x - picture.left) / picture.size * columns)
        row = int((y - picture.low) / picture.size * rows)
        if 0 <= column < columns and 0 <= row < rows:
            signs[row][column] = sign

    corners = [*picture.loop, *picture.loop[:1]]
    for (x, y), (to_x, to_y) in itertools.pairwise(corners):
        for number in range(4 * columns):
            share = number / (4 * columns)
            put(x + share * (to_x - x), y + share * (to_y - y), LOOP)
    for wire in picture.wires:
        put(*wire, WIRE)
    put(*picture.unit, UNIT)
    wide = quantities.show(picture.size, "mm" if picture.size < 10 else "m")
    lines = [f"  +{'-' * columns}+", *(f"  |{''.join(row)}|" for row in reversed(signs)), f"  +{'-' * columns}+"]
    mark = LOOP if picture.loop else WIRE
    levels = [line.level.text for line in picture.lines]
    bands = [f"'{SHADES[0]}' below {levels[0]}"]
    bands += [f"{SHADES[n + 1]} {low} to {high}" for n, (low, high) in enumerate(itertools.pairwise(levels))]
    bands.append(f"{SHADES[len(levels)]} above {levels[-1]}")
    lines += wrap(f"{wide} wide and high. {UNIT} the unit, {mark} the conductor. {', '.join(bands)}.", 2)
    lines += wrap(f"{picture.note} At the unit {picture.at_unit.text} with margin.", 2)
    outside = [line.unit for line in picture.lines if not line.paths]
    if outside:
        lines += wrap(
            f"The line lies outside of the picture, or nowhere, for {', '.join(outside)}: see the distances.", 2
        )
    return lines
