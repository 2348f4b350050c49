"""Numbers, units, ranges, lists and tolerances, read from tokens.

    figure    = [bound] signed [unit] { alternate } [ joint signed [unit] | list | tolerance ]
    bound     = "≤" | "<" | "<=" | "≥" | ">" | ">=" | "±"
    signed    = [ "+" | dash | "minus" | "plus" ] number
    joint     = ".." | "..." | "…" | "~" | "÷" | dash | "to" | "bis" | "≤ T ≤" | "/" before a signed number
              | "and" after "between"
    list      = { "/" number }                             4/8 kV, 50/60 Hz
    tolerance = ( "±" | "+/-" ) number                     20 ± 5 °C
    alternate = "(" the same in another unit ")"           -25 °C (-13 °F) to ...

A unit after the last figure serves the ones before it. A figure that is glued to letters which are no unit
(`316L`, `3x`) is no figure. Figures stay as written until the unit is settled: `value` says what 1,500 means.
"""

from collections.abc import Sequence

from advisor.notation.elements import Quantity
from advisor.notation.lexicon import Lexicon, Unit
from advisor.notation.tokens import DASHES, NUMBER, SIGN, WORD, Token

_JOINTS = frozenset({"..", "...", "....", "…", "~", "÷", "～", "∼", "⋯", "→", "->"})
_JOINT_WORDS = frozenset({"to", "bis", "through", "till", "until", "hasta", "upto"})
_BOUNDS = {"≤": "max", "<": "max", "<=": "max", "⩽": "max", "≥": "min", ">": "min", ">=": "min", "⩾": "min"}
_PLUSMINUS = frozenset({"±", "+/-"})
_BETWEEN = frozenset({"between", "zwischen"})
_AND = frozenset({"and", "und"})
_NEGATIVE = frozenset({"minus"})
_POSITIVE = frozenset({"plus"})


def value(text: str, grouped: bool) -> tuple[float, bool]:
    """The number, and whether a comma or dot in it could be read either way."""
    sign = -1.0 if text.startswith("-") else 1.0
    digits = text.lstrip("-").replace("'", "").replace("’", "").replace(" ", "")
    dots, commas = digits.count("."), digits.count(",")
    unsure = False
    if dots and commas:
        thousands = "." if digits.rfind(",") > digits.rfind(".") else ","
        digits = digits.replace(thousands, "").replace(",", ".")
        if digits.count(".") > 1:
            digits = digits.replace(".", "")
    elif dots + commas > 1:
        digits = digits.replace(".", "").replace(",", "")
    elif dots + commas == 1:
        whole, rest = digits.replace(",", ".").split(".")
        unsure = len(rest) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0")
        digits = whole + rest if unsure and grouped else f"{whole}.{rest}"
    return sign * float(digits), unsure


def unit_at(lexicon: Lexicon, tokens: Sequence[Token], index: int) -> tuple[tuple[Unit, ...], int]:
    """The units that the spelling at `index` can mean and the index after it; none is an empty tuple."""
    if index >= len(tokens) or tokens[index].kind not in (WORD, SIGN):
        return (), index
    strict = lexicon.units_strict.longest(tokens, index)
    loose = lexicon.units_loose.longest(tokens, index)
    if strict is None or (loose is not None and loose[1] > strict[1]):
        strict, loose = loose, None
    if strict is None:
        return _inch(lexicon, tokens, index)
    found = list(strict[0])
    if loose is not None and loose[1] == strict[1]:
        found += [unit for unit in loose[0] if unit not in found]
    return tuple(found), strict[1]


def _inch(lexicon: Lexicon, tokens: Sequence[Token], index: int) -> tuple[tuple[Unit, ...], int]:
    """The inch as "in", which is also a small word: a unit only right behind a number with no word after it."""
    after = tokens[index + 1] if index + 1 < len(tokens) else None
    alone = after is None or after.kind not in (WORD, NUMBER)
    if tokens[index].text != "in" or index == 0 or tokens[index - 1].kind != NUMBER or not alone:
        return (), index
    found = lexicon.units_loose.longest(lexicon.tokens("inch"), 0)
    return (tuple(found[0]), index + 1) if found is not None else ((), index)


def figure(lexicon: Lexicon, tokens: Sequence[Token], index: int) -> tuple[Quantity, int] | None:
    """The quantity that starts at `index`, and the index after it."""
    start = index
    limit = _BOUNDS.get(tokens[index].text, "")
    plusminus = tokens[index].text in _PLUSMINUS
    if limit or plusminus:
        index += 1
    first = _signed(tokens, index)
    if first is None:
        return None
    text, index, signed = first
    units, index = unit_at(lexicon, tokens, index)
    values, all_units = [text], [units]
    notes: list[str] = []
    spread, tolerance = "", False
    if units:
        index = _alternate(lexicon, tokens, index, units, values[0])
    if not (limit or plusminus):
        remarks: list[str] = []
        between = start > 0 and tokens[start - 1].norm in _BETWEEN
        joined = _joined(lexicon, tokens, index, bool(units), remarks, between=between)
        if joined is not None and _agree(units, joined[1]):
            text, second_units, after, spread = joined
            values.append(text)
            all_units.append(second_units)
            index = after
            notes += remarks
            while spread == "list" and (more := _joined(lexicon, tokens, index, False, notes)) is not None:
                if more[3] != "list":
                    break
                values.append(more[0])
                all_units.append(more[1])
                index = more[2]
        elif index + 1 < len(tokens) and tokens[index].text in _PLUSMINUS and tokens[index + 1].kind == NUMBER:
            number, after, _ = _signed(tokens, index + 1) or ("", index, False)
            if after < len(tokens) and tokens[after].text == "%" and units:
                index = after + 1  # "8 mm ± 10 %": what the type is rated for, with the scatter of the single unit
            else:
                margin_units, after = unit_at(lexicon, tokens, after)
                values.append(number)
                all_units.append(margin_units or units)
                index, tolerance, spread = after, True, "range"
                notes.append("tolerance")
    if not any(all_units) and _glued_word(tokens, index):
        return None
    settled = _settle(all_units)
    if settled and settled[-1] and spread == "range":
        index = _alternate(lexicon, tokens, index, settled[-1], values[-1])
    slips = (tokens[place - 1].text + "0" for place in range(start + 1, index) if tokens[place].text == "O")
    if any(slip in "".join(values) for slip in slips):
        notes.append("scan-slip")
    element = Quantity(
        tokens[start].start, tokens[index - 1].end, tuple(values), settled, spread, limit,
        signed=signed, tolerance=tolerance, notes=notes,
    )
    return element, index


def _signed(tokens: Sequence[Token], index: int) -> tuple[str, int, bool] | None:
    """A number with its sign: text with a plain minus, index after it, whether a sign stood there."""
    negative = signed = False
    if index < len(tokens) and tokens[index].kind != NUMBER:
        token = tokens[index]
        negative = token.text in DASHES or token.norm in _NEGATIVE
        signed = negative or token.text in ("+", "＋") or token.norm in _POSITIVE
        index += 1 if signed else 0
    if index >= len(tokens) or tokens[index].kind != NUMBER:
        return None
    text = tokens[index].text
    index += 1
    if _scanned_zero(tokens, index):
        text, index = text + "0", index + 1
    if len(text) <= 3 and text.isdigit() and text[0] != "0":
        # "10 000 h": blanks between groups of three, the last group not followed by more digits.
        while index < len(tokens) and tokens[index].gap and _group(tokens, index):
            text += tokens[index].text
            index += 1
    return ("-" if negative else "") + text, index, signed


def _scanned_zero(tokens: Sequence[Token], index: int) -> bool:
    """Whether a capital O right after digits stands for 0: not where it could be a degree sign before C or F."""
    if index >= len(tokens) or tokens[index].gap or tokens[index].text != "O":
        return False
    return index + 1 >= len(tokens) or tokens[index + 1].norm not in ("c", "f")


def _group(tokens: Sequence[Token], index: int) -> bool:
    token = tokens[index]
    one_blank = token.start - tokens[index - 1].end == 1
    return token.kind == NUMBER and len(token.text) == 3 and token.text.isdigit() and one_blank and token.text == "000"


def _joined(
    lexicon: Lexicon, tokens: Sequence[Token], index: int, has_unit: bool, notes: list[str],
    *, between: bool = False,
) -> tuple[str, tuple[Unit, ...], int, str] | None:
    """What is joined to the figure before `index`: text, units, index after it, 'range' or 'list'."""
    if index >= len(tokens):
        return None
    token, spread = tokens[index], "range"
    if token.text in _JOINTS or token.norm in _JOINT_WORDS or token.text == "à" or (between and token.norm in _AND):
        index += 1
        if index < len(tokens) and tokens[index].norm in ("max", "up"):
            index += 2 if index + 1 < len(tokens) and tokens[index + 1].text in (".", "to") else 1
    elif token.norm == "up" and index + 1 < len(tokens) and tokens[index + 1].norm == "to":
        index += 2
    elif _BOUNDS.get(token.text) == "max" and index + 2 < len(tokens) and tokens[index + 1].kind == WORD:
        after = index + 3 if tokens[index + 2].kind == WORD else index + 2
        if after >= len(tokens) or _BOUNDS.get(tokens[after].text) != "max":
            return None
        index = after + 1
    elif token.text in DASHES:
        index += 1
        if index < len(tokens) and tokens[index].kind == NUMBER and token.gap and not tokens[index].gap:
            notes.append("sign-or-dash")
    elif token.text == "/":
        index += 1
        following = tokens[index] if index < len(tokens) else None
        if following is None:
            return None
        explicit = following.text in DASHES or following.text in ("+", "＋")
        if not explicit:
            if following.kind != NUMBER or has_unit:
                return None
            spread = "list"
    else:
        return None
    second = _signed(tokens, index)
    if second is None:
        return None
    text, index, _ = second
    units, index = unit_at(lexicon, tokens, index)
    if not units and _glued_word(tokens, index):
        return None
    return text, units, index, spread


def _agree(first: tuple[Unit, ...], second: tuple[Unit, ...]) -> bool:
    if not first or not second:
        return True
    dimensions = {unit.dimension for unit in first}
    if any(unit.dimension in dimensions for unit in second):
        return True
    return any(unit.name == "°" for unit in (*first, *second))


def _settle(units: list[tuple[Unit, ...]]) -> tuple[tuple[Unit, ...], ...]:
    """Units for every figure: the nearest one given after it, else the one before; a bare ° becomes the other."""
    settled = list(units)
    if len({found for found in settled if found}) > 1:
        settled = [() if found and found[0].name == "°" else found for found in settled]
    for place in range(len(settled) - 2, -1, -1):
        if not settled[place]:
            settled[place] = settled[place + 1]
    for place in range(1, len(settled)):
        if not settled[place]:
            settled[place] = settled[place - 1]
    return tuple(settled) if any(settled) else ()


def _alternate(
    lexicon: Lexicon, tokens: Sequence[Token], index: int, units: tuple[Unit, ...], text: str
) -> int:
    """Pass over the same figure in another unit in brackets: the index after it, or `index`."""
    if index >= len(tokens) or tokens[index].text not in "([":
        return index
    inner = _signed(tokens, index + 1)
    if inner is None:
        return index
    other, after = unit_at(lexicon, tokens, inner[1])
    if not other or after >= len(tokens) or tokens[after].text not in ")]" or other == units:
        return index
    for mine in units:
        for its in other:
            if its.dimension == mine.dimension:
                here = value(text, mine.grouped)[0] * mine.factor + mine.offset
                there = value(inner[0], its.grouped)[0] * its.factor + its.offset
                close = 1.5 if mine.dimension == "temperature" else 0.03 * max(abs(here), abs(there))
                if abs(here - there) <= close:
                    return after + 1
    return index


def _glued_word(tokens: Sequence[Token], index: int) -> bool:
    return index < len(tokens) and not tokens[index].gap and tokens[index].kind in (WORD, NUMBER)


def converted(quantity: Quantity, dimension: str) -> tuple[list[float], list[str], Unit] | None:
    """All figures in the base unit of a dimension, the notes they earn, and the unit of the last."""
    results: list[float] = []
    notes = list(quantity.notes)
    last: Unit | None = None
    for place, text in enumerate(quantity.values):
        choices = quantity.units[place] if place < len(quantity.units) else ()
        unit = next((choice for choice in choices if choice.dimension == dimension), None)
        if unit is None:
            return None
        number, unsure = value(text, unit.grouped)
        if unsure and "thousands-or-decimal" not in notes:
            notes.append("thousands-or-decimal")
        offset = 0.0 if quantity.tolerance and place else unit.offset
        results.append(float(f"{number * unit.factor + offset:.12g}"))
        last = last if quantity.tolerance and last is not None else unit
    if last is None:
        return None
    if quantity.tolerance:
        results = [results[0] - results[1], results[0] + results[1]]
    return results, notes, last
