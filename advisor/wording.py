"""How a person words a figure, brought to the form that `quantities` reads: plain text in, plain text out.

A figure comes hedged ("about 60 degC", "max. 60 degC", "20 cm min", "minus 20 degC"), twice ("60 °C (140 °F)"), as
so many times a span ("3 x 20 min"), or as a word that the vocabulary gives a figure to ("continuous", "inland"). A
bound is the figure itself where the slot asks for that end, since the end is then what the unit has to stand; otherwise
it stays a bound. The words of hedges stand in `knowledge/vocabulary/units.yaml`.
Text that none of this fits is returned as it is, for `quantities` to read or refuse.
"""

import functools
import re
from collections.abc import Callable

from advisor import quantities
from advisor.phrases import DENIALS
from advisor.quantities import QuantityError
from advisor.tables import plain
from advisor.vocabulary import Slot

_FIGURE = r"[-+−]?\s?[\d.].*"
_UNIT = r"\d\s*[^\d\s(]\S*"
"""The end of a figure with its unit; what follows it as 'min' is a bound and no minute."""
_FIGURES = re.compile(r"\d[\d.,/]*(?:\s*(?:-|–|to|\.\.+|…|\+/-|±)\s*[-+]?\d[\d.,/]*)?")
_PLAIN = re.compile(r"[-+]?\d[\d.]*(?: ?\.\. ?[-+]?\d[\d.]*)? ?[A-Za-z°%µ][\w°%µ/*]*")
"""A figure or a range with one unit, in which nothing is worded; most are, and the words need not be looked for."""
_SAME = 0.03
"""By how much two tellings of one figure may differ, as a share of it: both are rounded, and neither is wrong."""


def settle(raw: str | float, slot: Slot) -> str | float:
    """Return the answer to a slot of a quantity as text that `quantities.parse` reads. Raises QuantityError.

    It is refused where one figure is told twice and the two differ by more than 3 %.
    """
    if not isinstance(raw, str):
        return raw
    text = re.sub(r"\A(?:±|\+/-)\s*(?=\d)", "", " ".join(raw.split()))
    if match := re.search(r"(?<![\d.,])[1-9]\d{0,2}\.\d00(?![\d.,])", text):
        whole, short = match[0].replace(".", ""), match[0].rstrip("0").rstrip(".")
        raise QuantityError(f"{match[0]} may mean {whole} or {short}", f"write {whole} or {short}")
    word = plain(text)
    for figure, words in slot.also.items():
        if word in map(plain, words):
            return figure
    if _PLAIN.fullmatch(text):
        return text
    if slot.unit == "percent" and (match := re.fullmatch(r"1 ?: ?([1-9]\d{0,4})", text)):
        return f"{100 / int(match[1]):.6g} %"  # one part in so many
    text = _unhedged(_once(_unhedged(_plain_figure(text), slot), slot), slot)
    return _times(text, slot)


@functools.cache
def _hedges() -> dict[str, str]:
    """Return what matches the words of a hedge, by its kind."""
    found = {}
    for kind, words in quantities.hedges().items():
        longest = (re.escape(word).replace(r"\ ", r"\s+") for word in sorted(words, key=len, reverse=True))
        found[kind] = "(?:" + "|".join(rf"{mark}(?![A-Za-z])\.?" for mark in longest) + ")"
    return found


def _plain_figure(text: str) -> str:
    """Write a number in words as a figure, and drop words beside it that say only where or when it holds."""
    if not re.search(r"\d", text):
        for words, count in sorted(quantities.counts().items(), key=lambda pair: -len(pair[0])):
            text = re.sub(rf"(?<!\w){words}\s+(?=[A-Za-z°])", f"{count:g} ", text, count=1, flags=re.I)
    if DENIALS.intersection(text.lower().split()) or len(_FIGURES.findall(text)) != 1:
        return text
    asides = {side: "|".join(map(re.escape, words)) for side, words in quantities.asides().items()}
    hedged = any(re.match(rf"{_hedges()[kind]}", text, re.I) for kind in ("about", "most", "least", "span from"))
    lead = rf"\A[A-Za-z ]*?(?:(?<![A-Za-z])(?:{asides['before']})|[,:=])\s+(?=(?:[A-Za-z.]+\s+)?\W*\d)"
    while not hedged and (shorter := re.sub(lead, "", text, flags=re.I)) != text:
        text = shorter
    tail = rf"(?:(?<![A-Za-z])(?:{asides['after']})(?![A-Za-z])|[(,])[^\d]*\Z"
    return re.sub(rf"(\d\s*[A-Za-z°%\"'][^\s(,]*[^\d(,]*?)\s*{tail}", r"\1", text, flags=re.I)


def _unhedged(text: str, slot: Slot) -> str:
    hedges = _hedges()
    for sign, word in (("-", "below nought"), ("", "above nought")):
        text = re.sub(rf"(?<!\w){hedges[word]}\s+(?=\d)", sign, text, flags=re.I)
    text = re.sub(rf"(?<=\S)[,;]?\s*\(?(?<!\w){hedges['beside']}\)?\Z", "", text, flags=re.I)
    ends = rf"{hedges['span from']}\s+({_FIGURE}?)\s+{hedges['span to']}\s+({_FIGURE})"
    if match := re.fullmatch(ends, text, re.I):
        return f"{match[1]} to {match[2]}"
    # Where a range is parted, the other end of a bound is an answer of its own and stays open.
    most = (slot.harsher == "up" or slot.asks == "high") and not slot.low_end
    least = slot.harsher == "down" or slot.asks == "low"
    marks: tuple[tuple[str, Callable[[str], str]], ...] = (
        ("about", lambda figure: figure),
        ("most", lambda figure: figure if most else f"<= {figure}"),
        ("least", lambda figure: figure if least else f">= {figure}"),
    )
    for kind, wrap in marks:
        mark = hedges[kind]
        if match := re.fullmatch(rf"{mark}\s*({_FIGURE})", text, re.I):
            return wrap(match[1])
        match = re.fullmatch(rf"({_FIGURE.replace('.*', '.*?')})\s*,?\s+\(?{mark}\)?", text, re.I)
        if match and re.search(rf"{_UNIT}\Z", match[1]):
            return wrap(match[1])
    return text


def _once(text: str, slot: Slot) -> str:
    """Drop the second telling of a figure told in two units, such as 60 degC (140 degF) or 10 bar / 145 psi."""
    match = re.fullmatch(
        rf"({_FIGURE[:-2]}[^()/]*?)\s*(?:\(\s*({_FIGURE[:-2]}[^()]*)\)|\s/\s({_FIGURE[:-2]}[^()/]*))", text
    )
    if match is None or slot.unit is None:
        return text
    first, second = match[1], match[2] or match[3]
    unit, difference = slot.unit, slot.difference
    try:
        ends = zip(*(quantities.parse(told, unit, difference=difference) for told in (first, second)), strict=True)
    except QuantityError:
        return text
    # A degree Celsius has its zero elsewhere, and half a degree is what rounding to whole degrees makes.
    least = 0.6 if unit == "degC" else 0.0
    pairs = [[quantities.from_si(end, unit, difference=difference) for end in pair] for pair in ends]
    if any(abs(one - other) > max(_SAME * abs(one), least) for one, other in pairs):
        raise QuantityError(f"{first!r} and {second!r} are not the same", "one of them")
    return first


def _times(text: str, slot: Slot) -> str:
    """Return a number of equal spans of time as their sum: 3 x 20 min."""
    match = re.fullmatch(
        r"(\d{1,3})\s*(?:[x×*]|times)\s*(\d[\d.,]*)\s*([a-z]+\.?(?:\s*(?:a|per|/)\s*day)?)", text, re.I
    )
    if match is None or slot.unit != "hour" or "," in match[2]:
        return text
    return f"{int(match[1]) * float(match[2]):.12g} {match[3]}"
