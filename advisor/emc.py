"""What an EMC statement on a sheet claims, as codes of the table `emc_codes`.

A basic standard with a level claims the highest code of its phenomenon that the level reaches; a discharge level
counts only where contact or air is said. A standard that fixes levels itself (IEC 60947-5-2, IEC 61000-6-2) claims, for
each phenomenon, the highest level that it asks of any port and band, since demands are worded by the highest port
too. Which standard speaks of which phenomenon and what it asks for stand in the sources of the rows of `emc_codes` and
`emc_levels`; a standard or severity that they do not name claims nothing.
"""

import re
from collections.abc import Iterable, Mapping, Sequence

from advisor.notation.items import Level
from advisor.tables import Row, Table
from advisor.values import CLOSE

_NUMBER = re.compile(r"\d{4,5}(?:-\d+)*")
_PREFIX = {"k": 1000.0, "m": 0.001}
_FIGURES = ("voltage", "field", "emf", "magnetic")
_TO_EARTH, _BETWEEN_LINES = "-earth", "-line"
"""How the table of levels tells the two ways of a surge apart; codes count the one to earth, which is the higher."""


def claimed(standard: str, levels: Sequence[Level], tables: Mapping[str, Table]) -> list[str]:
    """Return the codes that a statement claims, at most one for each phenomenon."""
    number = _number(standard)
    if not number or "emc_codes" not in tables or "emc_levels" not in tables:
        return []
    codes = tables["emc_codes"].rows.values()
    if not levels:
        asked = _asked(number, tables["emc_levels"].rows.values())
        return [code for phenomenon, value in asked.items() if (code := _highest(codes, phenomenon, value, ""))]
    own = {str(row.cells["phenomenon"]) for row in codes if _number(row.source) == number}
    found: dict[str, str] = {}
    for level in levels:
        for phenomenon in sorted(own):
            code = _highest(codes, phenomenon, level.value, level.unit) if _labelled(phenomenon, level.label) else ""
            if code:
                found[phenomenon] = code
    return list(found.values())


def _asked(number: str, rows: Iterable[Row]) -> dict[str, float]:
    """Return for each phenomenon the highest level that a standard asks of any port and band."""
    asked: dict[str, float] = {}
    for row in rows:
        value = next((row.cells[figure][0] for figure in _FIGURES if figure in row.cells), None)
        if value is not None and _number(row.source) == number:
            phenomenon = str(row.cells["phenomenon"]).removesuffix(_TO_EARTH)
            if phenomenon.endswith(_BETWEEN_LINES):
                continue
            asked[phenomenon] = max(value, asked.get(phenomenon, value))
    return asked


def _number(text: str) -> str:
    """Return the running number of the first standard that a text names, without edition."""
    match = _NUMBER.search(text)
    return match[0] if match else ""


def _labelled(phenomenon: str, label: str) -> bool:
    """Tell whether a level may speak of a phenomenon: contact or air of discharges, to earth of surges."""
    if phenomenon == "surge":
        return label != "between lines"
    ways = [way for way in ("contact", "air") if phenomenon.endswith(way)]
    return label in ways if ways else True


def _highest(codes: Iterable[Row], phenomenon: str, value: float, unit: str) -> str:
    """Return the highest code of a phenomenon that a level in volt, V/m or A/m reaches; empty if none."""
    best, code = 0.0, ""
    for row in codes:
        if row.cells["phenomenon"] != phenomenon:
            continue
        named = next(word for word in reversed(row.name.split()) if word.lstrip("km") in ("V", "V/m", "A/m"))
        level = float(row.cells["level"][0]) * _PREFIX.get(named[0], 1.0)
        if (not unit or named.lstrip("km") == unit) and best < level <= value * (1 + CLOSE):
            best, code = level, row.key
    return code
