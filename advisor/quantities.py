"""Text to physical quantities and back, in the units that the trade writes.

`parse` reads what a person types for a quantity: a value with a unit (`85 bar`, `1200 psi`, `1/2 in`, `3 ft 6 in`),
a range (`60 .. 90 bar`, `-25 to -18 degC`), a tolerance (`15 +/- 1 L/min`), or a bound (`>= 60 degC`). The result is
an interval in coherent SI. `show` writes an SI number in a unit, rounded as the trade would read it. What the units
mean says `units`.
"""

import functools
import math
import re
from collections.abc import Mapping

from advisor.faults import shorten
from advisor.units import QuantityError as QuantityError
from advisor.units import spelled, unit_of


def hedges() -> Mapping[str, list[str]]:
    """Return the words by which a figure is hedged or bounded, by kind."""
    return spelled().hedges


def counts() -> Mapping[str, float]:
    """Return the numbers that are written as words before a unit."""
    return spelled().counts


def asides() -> Mapping[str, list[str]]:
    """Return what parts a figure from words before and after it that say only where or when it holds."""
    return spelled().asides


_NUM = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d{1,3}(?:[ ']\d{3})+(?![\d])|\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?|\.\d+)"
_SIGNED = rf"[+-]?\s*(?>{_NUM})"
_BETWEEN = r"(?:\.{2,}|…|\bto\b|\bbis\b|–|—|÷|~|-)"
_WORD = r"(?!to\b|bis\b)"
_FIRST = rf"(?:{_WORD}[^\d\s.+\-–—…÷~±][^\s.+–—…÷~±]*?(?: {_WORD}[A-Za-z°]+)?)?"
"""The unit of the lower end of a range, if it has one: digits only after its first sign, as in m3/h."""
_RANGE = re.compile(rf"({_SIGNED})\s*({_FIRST})\s*{_BETWEEN}\s*({_SIGNED})\s*(.*)\Z", re.S)
_TOLERANCE = re.compile(rf"({_SIGNED})\s*((?:[^\d\s+±][^+±]*?)?)\s*(?:±|\+/-|\+-)\s*({_NUM})\s*(.*)\Z", re.S)
_INCHES = r"\d{1,2}(?:\.\d+|\s+\d+/\d+)?"
_FEET_AND_INCHES = re.compile(
    rf"(>=|<=|≥|≤|>|<)?\s*({_NUM})\s*(?:ft|foot|feet|')[ ,]*({_INCHES})\s*(?:in|inch|inches|\"|'')\.?\Z"
)
_SINGLE = re.compile(rf"(>=|<=|≥|≤|>|<)?\s*({_SIGNED})\s*(.*)\Z", re.S)


def same_dimension(first: str, second: str) -> bool:
    """Tell whether two units measure the same thing."""
    return unit_of(first).si == unit_of(second).si


def si_unit(unit: str) -> str:
    """Return the name of the coherent SI unit for a unit's dimension, '' for a pure number."""
    return unit_of(unit).si if unit else ""


def _scale(unit: str, difference: bool) -> tuple[float, float]:
    """Return (factor, offset) so that si = value * factor + offset."""
    if not unit:
        return 1.0, 0.0
    read = unit_of(unit)
    return read.factor, 0.0 if difference else read.zero


def to_si(value: float, unit: str, *, difference: bool = False) -> float:
    """Convert to coherent SI; `difference` drops the zero point of a temperature scale."""
    factor, offset = _scale(unit, difference)
    # Twelve digits: 140 degF and 60 degC are then the same number, as they are the same temperature.
    return float(f"{value * factor + offset:.12g}")


def from_si(value: float, unit: str, *, difference: bool = False) -> float:
    """Convert from coherent SI to the unit."""
    factor, offset = _scale(unit, difference)
    return (value - offset) / factor


def _number(text: str) -> float:
    word = text.replace("+", "", 1).strip()
    sign = -1.0 if word.startswith("-") else 1.0
    word = word.lstrip("-").strip()
    if "/" in word:
        whole, _, fraction = word.rpartition(" ") if " " in word else ("0", "", word)
        top, bottom = fraction.split("/")
        if float(bottom) == 0:
            raise QuantityError(f"{shorten(text)} divides by zero", "a number")
        return sign * (float(whole) + float(top) / float(bottom))
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", word):
        raise QuantityError(
            f"{text!r} may mean two numbers", f"write {word.replace(',', '')} or {word.replace(',', '.')}"
        )
    value = sign * float(re.sub(r"[ ']", "", word).replace(",", "."))
    if not math.isfinite(value):
        raise QuantityError(f"{shorten(text)} is not a finite number", "a number")
    return value


@functools.lru_cache(maxsize=16_384, typed=True)
def parse(text: str | float, unit: str, *, difference: bool = False) -> tuple[float, float]:
    """Return the interval in coherent SI that the text means.

    `unit` is the slot's unit: it fixes the dimension, and text without a unit is refused unless the slot is a pure
    number. A bound gives an interval with an infinite end. Raises QuantityError.
    """
    example = f"a value with a unit of the kind of {unit}, for example '5 {unit}'" if unit else "a number"
    clean = " ".join(str(text).replace("−", "-").split())
    if not clean:
        raise QuantityError("nothing is written here", example)
    clean = _without_commas(clean)
    convert = functools.partial(_convert, unit=unit, difference=difference, example=example)
    if match := _TOLERANCE.fullmatch(clean):
        middle, first, spread, last = match.groups()
        share = last.strip() == "%" and unit not in ("percent", "%")
        centre = convert(_number(middle), first or ("" if share else last))
        if share:
            half = abs(_number(middle)) * _number(spread) / 100
            half = convert(half, first, as_difference=True)
        else:
            half = convert(_number(spread), last or first, as_difference=True)
        return centre - half, centre + half
    if (match := _FEET_AND_INCHES.fullmatch(clean)) and _number(match[3]) < 12:
        # A length told in two units is one length: 3 ft 6 in, 5'6".
        clean = f"{match[1] or ''}{12 * _number(match[2]) + _number(match[3]):.15g} in"
    if match := _RANGE.fullmatch(clean):
        low, first, high, last = match.groups()
        bounds = (convert(_number(low), first or last), convert(_number(high), last or first))
        if bounds[0] > bounds[1] and ".." not in clean:
            return bounds[1], bounds[0]
        if bounds[0] > bounds[1]:
            raise QuantityError(f"the range {shorten(clean)} runs downwards", "the smaller value first")
        return bounds
    if match := _SINGLE.fullmatch(clean):
        sign, number, last = match.groups()
        value = convert(_number(number), last)
        if sign in (">", ">=", "≥"):
            return value, math.inf
        if sign in ("<", "<=", "≤"):
            return -math.inf, value
        return value, value
    raise QuantityError(f"{shorten(clean)} is no quantity", example)


def _without_commas(text: str) -> str:
    """Take the comma out of thousands told in a unit of those who part thousands by commas."""
    unit = re.search(r"\d\s*([^\d\s,.][^\d]*)\Z", text)
    if unit is None or unit[1] not in spelled().comma_thousands:
        return text
    return re.sub(r"(?<![\d.,])([1-9]\d{0,2}),(\d{3})(?![\d.,])", r"\1\2", text)


def parse_free(text: str | float) -> tuple[float, float]:
    """Return the interval in coherent SI of a quantity whose dimension its own unit fixes. Raises QuantityError."""
    match = _SINGLE.fullmatch(" ".join(str(text).split()))
    word = match[3].strip() if match else ""
    return parse(text, word if word not in ("%", "percent") else "")


def _convert(value: float, word: str, unit: str, difference: bool, example: str, as_difference: bool = False) -> float:
    word = word.strip()
    if not word:
        if unit:
            raise QuantityError(f"{value:g} has no unit", example)
        return value
    if not unit:
        if word in ("%", "percent"):
            return value / 100
        raise QuantityError(f"{word!r} is a unit, but a pure number is wanted", example)
    stand_in = spelled().stand_ins.get(unit, {}).get(spelled().spellings.get(word, word))
    if stand_in is not None:
        return float(f"{value * stand_in:.12g}")
    unit_of(word)
    if not same_dimension(word, unit):
        raise QuantityError(f"{word!r} does not measure the same thing as {unit}", example)
    return to_si(value, word, difference=difference or as_difference)


def common_unit(unit: str) -> str:
    """Return the unit in which the trade reads a figure that a formula gives in coherent SI."""
    common: dict[str, str] = spelled().common
    return common.get(unit, unit)


_PRETTY = {
    "degC": "°C",
    "degF": "°F",
    "percent": "%",
    "delta_degC": "K",
    "degree": "°",
    "hour": "h",
    "minute": "min",
    "day": "days",
}


def pretty_unit(unit: str) -> str:
    """Return the unit as it is printed in a text."""
    return _PRETTY.get(unit, unit).replace("**3", "³").replace("**2", "²").replace("*", "·")


def show(value: float, unit: str, *, difference: bool = False, digits: int = 3) -> str:
    """Write an SI value in the unit, with three significant digits and without needless noughts."""
    if math.isinf(value):
        return "unbounded"
    unit = handy(value, unit)
    return f"{number(from_si(value, unit, difference=difference), digits)} {pretty_unit(unit)}".rstrip()


def handy(value: float, unit: str) -> str:
    """Return the unit in which a time is read: of those listed, the largest of which there are at least its least."""
    steps = spelled().times
    if unit not in steps:
        return unit
    return next((name for name, least in steps.items() if abs(value) >= to_si(least, name)), unit)


def number(value: float, digits: int = 3) -> str:
    """Write a number with about `digits` significant digits, whole numbers whole, no exponent in the usual range."""
    if value == 0 or abs(value) < 1e-12:
        return "0"
    size = math.floor(math.log10(abs(value)))
    if size >= 6 or size < -4:
        return f"{value:.{digits}g}"
    text = f"{value:.{max(digits - 1 - size, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
