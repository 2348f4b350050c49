"""Temperatures and pressures: figures to ranges and limits.

A range gives both ends; "max", "up to", "≤" the upper, "min", "down to", "≥" the lower; a single figure without such
a word is read as the upper limit, a single negative temperature as the lower, with a note. A lower limit and an
upper limit that follow each other make one range. A time beside a temperature is how long it may last. The same
range once more in another unit is dropped if it agrees; if not, the narrower counts. A figure without unit is a
temperature only where a temperature is spoken of. Kelvin below 150 K is a difference and no reading.
"""

import itertools

from advisor.notation.drafts import Draft, Page, is_mark, limit_by
from advisor.notation.elements import AT, BREAK, CLOSE, COLON, OPEN, SEP, BareUnit, Element, Mark, Phrase, Quantity
from advisor.notation.figures import converted, value
from advisor.notation.items import Pressure, Temperature
from advisor.notation.lexicon import Unit
from advisor.notation.tokens import fold

_TOPIC = ("temperature",)


def ranges(page: Page) -> None:
    """Make drafts of all temperatures and pressures on the page."""
    aside = labelled = False
    for index, element in enumerate(page.elements):
        if isinstance(element, Phrase):
            classes = {entry.cls for entry in element.entries}
            # "Ambient temperature with LED on: max. 30 °C" speaks of the temperature all the same.
            labelled = labelled or bool(element.named("role")) or element.named("topic") in _TOPIC
            goes_on = aside and not classes & {"role", "topic", "part", "statement"}
            aside = goes_on or ("aside" in classes and not labelled)
        elif is_mark(element, BREAK):
            aside = labelled = False
        if not isinstance(element, Quantity) or element.taken or (aside and not _listed_range(page, index, element)):
            continue
        if element.has("temperature"):
            _temperature(page, index, element)
        elif element.has("pressure"):
            _pressure(page, index, element)
        elif element.bare and element.spread == "range":
            _assumed(page, index, element)
    _pair(page)
    _inner(page)
    for draft in page.drafts:
        if draft.cls is Temperature:
            _load(page, draft)


def _load(page: Page, draft: Draft) -> None:
    """Limit a range by the share of a load behind it: "-20 ... 70 °C at 50 % load"; a share of humidity is none."""
    after = page.behind(draft, 3)
    if len(after) < 2 or not is_mark(after[0], AT):
        return
    share, what = after[1], after[2] if len(after) > 2 else None
    plain = isinstance(share, Quantity) and share.only("percent") and page.text[: share.end].endswith("%")
    if plain and not (isinstance(what, Phrase) and what.named("statement")):
        limit_by(page, draft, "reduced load", page.text[share.start : (what or share).end])
        share.taken = True


def _inner(page: Page) -> None:
    """Let a limit within the range before it cut that: "-40 ... 60 °C (below -20 °C fixed only)".

    What is left holds in full; the stretch towards the nearer end holds on a condition.
    """
    heats = sorted((draft for draft in page.drafts if draft.cls is Temperature), key=lambda draft: draft.start)
    for before, draft in itertools.pairwise(heats):
        low, high = before.fields.get("low_degc"), before.fields.get("high_degc")
        ends = [draft.fields[end] for end in ("low_degc", "high_degc") if end in draft.fields]
        between = page.between(before, draft)
        apart = any(is_mark(e, BREAK) or (isinstance(e, Phrase) and (e.named("role") or e.named("statement")))
                    for e in between)  # fmt: skip
        worded = fold(page.text[draft.start : draft.end]).startswith(page.lexicon.inner)
        if low is not None and high is not None and len(ends) == 1 and worded and not apart and low < ends[0] < high:
            end = "low_degc" if ends[0] - low < high - ends[0] else "high_degc"
            notes = [*before.notes, "cut-range"]
            outer = Draft(Temperature, before.start, before.end, {end: before.fields[end]}, notes)
            before.fields[end] = ends[0]
            page.drafts.remove(draft)
            after = itertools.takewhile(
                lambda e: not is_mark(e, CLOSE, SEP, BREAK), (e for e in page.elements if e.start >= draft.end)
            )
            page.add(outer, *(e for e in after if isinstance(e, Phrase) or page.hinted([e])))


def _listed_range(page: Page, index: int, element: Quantity) -> bool:
    """Whether a range stands as a member of its own in a list: "Schaltabstand 8 mm, -25 ... +70 °C"."""
    listed = index > 0 and is_mark(page.elements[index - 1], SEP)
    return listed and element.spread == "range" and element.only("temperature")


def _temperature(page: Page, index: int, element: Quantity) -> None:
    result = converted(element, "temperature")
    if result is None:
        return
    numbers, notes, unit = result
    if unit.name == "K" and max(numbers) < 150 - 273.15:
        return
    if min(numbers) < -273.15:
        return
    draft = Draft(Temperature, element.start, element.end, _ends(element, numbers, notes, "degc"), notes)
    draft.given.add(unit.name)
    if _duplicate(page, draft):
        element.taken = True
        return
    page.add(draft, element)
    _duration(page, index, draft)


def _ends(element: Quantity, numbers: list[float], notes: list[str], suffix: str) -> dict[str, object]:
    low, high = f"low_{suffix}", f"high_{suffix}"
    if element.spread:
        if numbers[0] > numbers[-1] and element.spread == "range":
            notes.append("swapped")
        return {low: min(numbers), high: max(numbers)}
    if element.limit:
        return {high if element.limit == "max" else low: numbers[0]}
    below = suffix == "degc" and numbers[0] < 0
    notes.append("single-as-lower" if below else "single-as-upper")
    return {low if below else high: numbers[0]}


def _duplicate(page: Page, draft: Draft) -> bool:
    """Whether the draft only repeats the temperature before it in another unit."""
    last = page.drafts[-1] if page.drafts else None
    if last is None or last.cls is not Temperature:
        return False
    between = page.text[last.end : draft.start]
    if len(between) > 3 or between.strip() not in ("(", "/", "[", "", "|"):
        return False
    mine, other = draft.fields, last.fields
    if set(mine) != {name for name in other if name.endswith("degc")} or draft.given == last.given:
        return False
    close = all(abs(mine[name] - other[name]) <= 1.5 for name in mine)
    if not close:
        last.note("two-units-disagree")
        if "low_degc" in mine:
            other["low_degc"] = max(other["low_degc"], mine["low_degc"])
        if "high_degc" in mine:
            other["high_degc"] = min(other["high_degc"], mine["high_degc"])
    last.end = draft.end
    return True


def _duration(page: Page, index: int, draft: Draft) -> None:
    """Take a time that stands beside a temperature: "140 °C, 30 min", "150 °C (max. 1 h)"."""
    for _, element in page.walk(index, limit=3):
        if isinstance(element, Quantity) and element.only("time") and not element.taken:
            result = converted(element, "time")
            if result is not None:
                draft.fields["duration_s"] = max(result[0]) if element.spread == "range" else min(result[0])
                element.taken = True
                draft.end = max(draft.end, element.end)
            return
        passing = isinstance(element, Phrase) and (element.named("condition") == "short term" or element.named("limit"))
        if not (is_mark(element, SEP, OPEN, AT, CLOSE) or passing):
            return


def _pressure(page: Page, index: int, element: Quantity) -> None:
    result = converted(element, "pressure")
    if result is None:
        return
    numbers, notes, unit = result
    fields = _ends(element, numbers, notes, "pa")
    fields["reference"] = unit.reference or "unstated"
    last = page.drafts[-1] if page.drafts else None
    if last is not None and last.cls is Pressure and page.text[last.end : element.start].strip() in ("(", "/"):
        ends = [name for name in ("low_pa", "high_pa") if name in fields and name in last.fields]
        if ends and all(abs(fields[name] - last.fields[name]) <= 0.03 * abs(last.fields[name]) for name in ends):
            last.end = element.end
            element.taken = True
            return
    draft = page.add(Draft(Pressure, element.start, element.end, fields, notes), element)
    _duration(page, index, draft)


def _assumed(page: Page, index: int, element: Quantity) -> None:
    """A range without unit after a label that names a temperature, or a unit in brackets."""
    unit: Unit | None = None
    spoken = False
    colon = False
    for _, before in page.back(index, limit=8):
        if isinstance(before, BareUnit):
            unit = next((u for u in before.units if u.dimension in ("temperature", "pressure")), None)
            if unit is None:
                return
            before.taken = True
        elif isinstance(before, Phrase) and "temperature" in (before.named("topic"), _thermal(page, before)):
            spoken = True
        elif isinstance(before, (Quantity, Element)) and not isinstance(before, (Phrase, Mark)):
            break
        colon = colon or is_mark(before, COLON)
    # Nothing else on a sheet runs from below zero to above it without a unit: "-25..+70".
    spoken = spoken or (element.values[0].startswith("-") and not element.values[-1].startswith("-"))
    if unit is None and not spoken:
        return
    factor, offset, kind = (unit.factor, unit.offset, unit.dimension) if unit else (1.0, 0.0, "temperature")
    numbers = [float(f"{value(text, False)[0] * factor + offset:.12g}") for text in element.values]
    notes = [*element.notes, *(() if unit else ("unit-assumed",))]
    if kind == "temperature":
        page.add(Draft(Temperature, element.start, element.end, _ends(element, numbers, notes, "degc"), notes), element)
    else:
        fields = _ends(element, numbers, notes, "pa")
        fields["reference"] = (unit.reference if unit else "") or "unstated"
        page.add(Draft(Pressure, element.start, element.end, fields, notes), element)


def _thermal(page: Page, phrase: Phrase) -> str:
    """A role word that itself contains temperature, such as Umgebungstemperatur or Tamb."""
    word = page.text[phrase.start : phrase.end].casefold()
    return "temperature" if phrase.named("role") and ("temp" in word or word.startswith("t")) else ""


def _pair(page: Page) -> None:
    """Join "min. -25 °C, max. 70 °C" into one range."""
    merged: list[Draft] = []
    for draft in sorted(page.drafts, key=lambda d: d.start):
        last = merged[-1] if merged else None
        if last is not None and last.cls is draft.cls and draft.cls in (Temperature, Pressure):
            low, high = ("low_degc", "high_degc") if draft.cls is Temperature else ("low_pa", "high_pa")
            between = page.text[last.end : draft.start].strip(" ,;/–-").casefold()
            split = {low in last.fields, high in last.fields} == {True, False}
            other = (low in draft.fields) != (high in draft.fields) and (low in draft.fields) != (low in last.fields)
            worded = not {"single-as-upper"} & {*last.notes, *draft.notes}
            one_line = "\n" not in page.text[last.end : draft.start]
            if split and other and worded and one_line and between in ("", "and", "und", "to", "bis"):
                last.fields.update(draft.fields)
                last.end = draft.end
                last.notes = [note for note in (*last.notes, *draft.notes) if note not in ("single-as-lower",)]
                continue
        merged.append(draft)
    page.drafts = merged
