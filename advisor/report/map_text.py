"""Renders a map as text: a letter in every cell, coloured where the terminal shows colours, axes, and a legend.

The letters say all that the colours say. The site's own point is marked `@`; its region is named in the legend.
"""

from advisor.maps.document import AxisEntry, MapDocument
from advisor.report.text import head, wrap

POINT = "@"
GROUNDS = (151, 153, 223, 186, 181, 117, 217, 150, 222, 147, 116, 209, 187, 183, 158, 180, 110, 174, 144, 139, 109, 173,
           108, 103)  # fmt: skip
"""Light grounds of the 256 colours, one a region; the letters are black on them."""
_LEFT = 11


def map_text(document: MapDocument, *, colour: bool = False) -> str:
    """Return the map; `colour` adds the codes of a terminal with 256 colours."""
    x, y = document.x, document.y
    lines = [f"Map: {document.site['name']}"]
    lines.append("=" * min(100, len(lines[0])))
    lines += wrap(f"across: {x.title}, {x.text} ({x.scale}); up: {y.title}, {y.text} ({y.scale}).")
    lines += wrap(
        f"rulebook {document.rulebook.digest} ({document.rulebook.rules} rules); each cell as it is for the values in "
        f"its middle{'; only ' + ', '.join(document.topics) if document.topics else ''}."
    )
    for name, reason in document.rulebook.waived.items():
        lines += wrap(f"Rule {name} is lifted by the plant's own rules: {reason}", 0, "! ")
    lines.append("")
    lines += _picture(document, colour)
    lines += _own(document)
    lines += head("Regions")
    for region in document.regions:
        mark = _coloured(region.letter, region.letter, document, colour)
        here = "; the demands of the site's own point" if region.own else ""
        lines.append(f"  {mark}  {_percent(region.share)} of the map{here}")
        for demand in region.demands or ["nothing beyond what is demanded everywhere"]:
            lines += wrap(demand, 5, "- ")
    if document.common:
        lines += head("Demanded everywhere on the map")
        for demand in document.common:
            lines += wrap(demand, 2, "- ")
    return "\n".join(lines) + "\n"


def _picture(document: MapDocument, colour: bool) -> list[str]:
    x, y = document.x, document.y
    rows, columns = len(document.rows), len(document.rows[0])
    marks = {min(rows - 1, int(share * rows)): text for share, text in y.ticks}
    lines = [f"{y.title.rpartition(': ')[2]} [{y.shown_unit}]".replace(" []", "")]
    for number in range(rows - 1, -1, -1):
        row = document.rows[number]
        own = document.own_cell[0] if document.own_cell and document.own_cell[1] == number else None
        body = "".join(
            _coloured(POINT if column == own else letter, letter, document, colour) for column, letter in enumerate(row)
        )
        label = marks.get(number, "")
        lines.append(f"{label:>{_LEFT - 2}} {'+' if label else '|'}{body}")
    ticks = [" "] * (columns + 1)
    numbers = [" "] * (columns + _LEFT + 12)
    free = 0
    for share, text in x.ticks:
        place = min(columns - 1, int(share * columns))
        ticks[place] = "+"
        start = max(0, _LEFT - 1 + 1 + place - len(text) // 2)
        if start >= free:
            numbers[start : start + len(text)] = text
            free = start + len(text) + 1
    lines.append(" " * (_LEFT - 1) + "+" + "".join("+" if sign == "+" else "-" for sign in ticks[:columns]))
    lines.append("".join(numbers).rstrip())
    unit = f" [{x.shown_unit}]" if x.shown_unit else ""
    lines.append(f"{x.title.rpartition(': ')[2]}{unit}".rjust(_LEFT + columns))
    return lines


def _own(document: MapDocument) -> list[str]:
    said = [f"{axis.title} {axis.own.text}" for axis in (document.x, document.y) if axis.own is not None]
    if document.own_cell is not None:
        region = next((f", with the demands of {r.letter}" for r in document.regions if r.own), "")
        return ["", *wrap(f"{POINT} is the site's own point: {', '.join(said)}{region}.")]
    missing = [axis.title for axis in (document.x, document.y) if axis.own is None]
    if missing:
        return ["", *wrap(f"The site's own point is not marked, since it does not say: {', '.join(missing)}.")]
    where = "is a range" if any(_wide(axis) for axis in (document.x, document.y)) else "lies outside the map"
    return ["", *wrap(f"The site's own point {where} and is not marked: {', '.join(said)}.")]


def _wide(axis: AxisEntry) -> bool:
    return axis.own is not None and axis.own.low != axis.own.high


def _coloured(sign: str, letter: str, document: MapDocument, colour: bool) -> str:
    if not colour:
        return sign
    number = next((n for n, region in enumerate(document.regions) if region.letter == letter), 0)
    bold = "1;7;" if sign == POINT else ""
    return f"\x1b[{bold}38;5;16;48;5;{GROUNDS[number % len(GROUNDS)]}m{sign}\x1b[0m"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %" if share >= 0.01 else "under 1 %"
