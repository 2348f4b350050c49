"""Readings back to text in one normal form, such that reading the text gives the same reading.

`write(item)` prints figures in the base unit of their field with a full stop for the decimal sign and never three
decimals, which could be taken for thousands; parts as a label in front, conditions in brackets behind. Places,
quotes and notes are not printed: they belong to the text that was read.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from advisor.notation.items import (
    EmcStatement,
    EnclosureType,
    Impact,
    IngressRating,
    Item,
    MagneticImmunity,
    Material,
    PartHeading,
    Pressure,
    Shock,
    Statement,
    Temperature,
    Thread,
    Vibration,
)
from advisor.notation.lexicon import lexicon

_HEADS = {"NEMA 250": "NEMA Type", "UL 50E": "UL Type", "UL 50": "UL 50 Type", "CSA C22.2 No. 94.2": "CSA Type"}
_ROLES = {
    "unspecified": "",
    "maximum": "permissible",
    "sterilisation": "SIP",
    "cleaning": "CIP",
    "surface": "surface temperature",
}
_LABELS = {"": "", "contact": "contact discharge ", "air": "air discharge "}


def write(item: Item, *, folder: Path | None = None) -> str:
    """The normal spelling of a reading. Raises `TypeError` for an object that is no reading of this package."""
    writer = _WRITERS.get(type(item))
    if writer is None:
        raise TypeError(f"not a reading: {type(item).__name__}")
    words = lexicon(folder)
    text: str = writer(item, folder)
    if item.denied:
        text = f"not {text}"
    for condition in item.conditions:
        text += f" ({words.conditions[condition.name].words[0]})"
    if isinstance(item, PartHeading):
        return text
    if item.parts:
        text = f"{'/'.join(words.parts[part] for part in item.parts)}: {text}"
    return text


def number(value: float) -> str:
    """A figure without exponent, with no more digits than it needs and never exactly three decimals."""
    text = f"{value:.15f}".rstrip("0").rstrip(".") if value % 1 else f"{value:.0f}"
    if float(text) != value:
        text = f"{value:.20f}".rstrip("0")
    whole, _, rest = text.partition(".")
    return f"{whole}.{rest}0" if len(rest) == 3 else text


def _span(low: float | None, high: float | None, unit: str) -> str:
    if low is None and high is None:
        return ""
    if low is None:
        return f"max. {number(high or 0.0)} {unit}"
    if high is None:
        return f"min. {number(low)} {unit}"
    return f"{number(low)} … {number(high)} {unit}"


def _ingress(item: IngressRating, folder: Path | None) -> str:
    if not item.credit and "range-of-codes" in item.notes:
        return f"IP {item.first} to 68"
    text = item.code
    if item.impact_numeral:
        text += f"({item.impact_numeral})"
    details = []
    if item.depth_m is not None:
        details.append(f"{number(item.depth_m)} m")
    if item.pressure_pa is not None:
        details.append(f"{number(item.pressure_pa)} {'Pa abs' if item.absolute else 'Pa'}")
    if item.duration_s is not None:
        details.append(f"{number(item.duration_s)} s")
    if item.water_degc is not None:
        details.append(f"{number(item.water_degc)} °C")
    if details:
        text += f" ({', '.join(details)})"
    if item.standard:
        text += f" ({item.standard}{':' + item.edition if item.edition else ''})"
    return text


def _enclosure(item: EnclosureType, folder: Path | None) -> str:
    return f"{_HEADS.get(item.standard or '', 'Enclosure Type')} {item.type}"


def _temperature(item: Temperature, folder: Path | None) -> str:
    label = _ROLES.get(item.role, item.role)
    low, high = item.low_degc, item.high_degc
    if item.denied and None in (low, high):
        low, high = high, low  # a bound that is denied bounds the other side
    text = f"{label} {_span(low, high, '°C')}".strip()
    return text if item.duration_s is None else f"{text}, {number(item.duration_s)} s"


def _pressure(item: Pressure, folder: Path | None) -> str:
    unit = {"gauge": "Pa gauge", "absolute": "Pa abs"}.get(item.reference, "Pa")
    text = f"{_ROLES.get(item.role, item.role)} {_span(item.low_pa, item.high_pa, unit)}".strip()
    return text if item.duration_s is None else f"{text}, {number(item.duration_s)} s"


def _material(item: Material, folder: Path | None) -> str:
    text = item.name if not item.filler or item.filler in item.name else f"{item.name}-{item.filler}"
    return " ".join([f"material {text}", *item.finishes])


def _magnetic(item: MagneticImmunity, folder: Path | None) -> str:
    text = "weld immune" if item.flux_t is None else f"{number(item.flux_t)} T"
    details = [wave.upper() if wave in ("ac", "dc", "mf") else wave for wave in item.waveforms]
    if item.low_hz is not None:
        high = item.low_hz if item.high_hz is None else item.high_hz
        details.append(f"{number(item.low_hz)} … {number(high)} Hz" if high != item.low_hz else f"{number(high)} Hz")
    return f"{text} ({', '.join(details)})" if details else text


def _impact(item: Impact, folder: Path | None) -> str:
    if item.energy_j is None or not item.credit:
        return item.ik
    energy = f"{number(item.energy_j)} J"
    text = f"{item.ik} ({energy})" if item.ik else energy
    return text if item.test_degc is None else f"{text} at {number(item.test_degc)} °C"


def _vibration(item: Vibration, folder: Path | None) -> str:
    parts = ["vibration"]
    if item.acceleration_ms2 is not None:
        parts.append(f"{number(item.acceleration_ms2)} m/s²{' rms' if item.rms else ''}")
    if item.travel_m is not None:
        parts.append(f"{number(item.travel_m)} m {'peak-to-peak' if item.peak_to_peak else 'amplitude'}")
    if item.low_hz is not None:
        parts.append(_span(item.low_hz, item.low_hz if item.high_hz is None else item.high_hz, "Hz"))
    return _mechanical(parts, item.duration_s, item.axes, None, item.standard)


def _shock(item: Shock, folder: Path | None) -> str:
    parts = ["shock"]
    if item.acceleration_ms2 is not None:
        parts.append(f"{number(item.acceleration_ms2)} m/s²")
    return _mechanical(parts, item.duration_s, item.axes, item.count, item.standard)


def _mechanical(
    parts: list[str], duration: float | None, axes: int | None, count: int | None, standard: str | None
) -> str:
    if duration is not None:
        parts.append(f"{number(duration)} s")
    if count is not None:
        parts.append(f"{count} bumps")
    if axes is not None:
        parts.append(f"{axes} axes")
    if standard:
        parts.append(f"to {standard}")
    return f"{parts[0]} {', '.join(parts[1:])}"


def _emc(item: EmcStatement, folder: Path | None) -> str:
    text = item.standard
    levels = [f"{_LABELS[level.label]}{number(level.value)} {level.unit}" for level in item.levels]
    if levels:
        text += " " + ", ".join(levels)
    if item.severity:
        text += f", level {item.severity}"
    return text + (f", criterion {item.criterion}" if item.criterion else "")


def _statement(item: Statement, folder: Path | None) -> str:
    words = lexicon(folder)
    if item.name in words.statements:
        text = words.statements[item.name].words[0]
        if item.value is not None:
            text += f" {number(item.value)} {item.unit}"
        if item.reference:
            text += f" ({'EU ' if '/' in item.reference else ''}{item.reference})"
        return text
    return f"EU {item.reference}" if item.reference and "/" in item.reference else item.reference or item.name


def _thread(item: Thread, folder: Path | None) -> str:
    return item.size


def _part(item: PartHeading, folder: Path | None) -> str:
    return lexicon(folder).parts[item.parts[0]]


_WRITERS: dict[type[Item], Callable[[Any, Path | None], str]] = {
    IngressRating: _ingress, EnclosureType: _enclosure, Temperature: _temperature, Pressure: _pressure,
    Material: _material, MagneticImmunity: _magnetic, Impact: _impact, Vibration: _vibration, Shock: _shock,
    EmcStatement: _emc, Statement: _statement, Thread: _thread, PartHeading: _part,
}
