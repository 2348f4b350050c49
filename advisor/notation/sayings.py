"""Statements in words, laws, standards that belong to nothing else, and threads.

    statement = phrase { figure | law | standard }    salt spray 480 h (ISO 9227); FDA compliant, 21 CFR 177.2600
              | figure phrase                          480 h salt spray
              | law | standard | thread

A figure goes to a statement only if the lexicon says that it takes one of that dimension.
"""

import math

from advisor.notation.drafts import Draft, Page, is_mark
from advisor.notation.elements import (
    AT,
    CLOSE,
    COLON,
    OPEN,
    SEP,
    BareUnit,
    Cited,
    Element,
    Law,
    Named,
    Phrase,
    Quantity,
    ThreadSize,
    Unknown,
)
from advisor.notation.figures import converted, value
from advisor.notation.items import Condition, Statement, Thread
from advisor.notation.models import UPKEEP, WHOLE
from advisor.notation.tokens import fold

_CUSTOM = {"surface": 1e-6, "sensing": 1e-3}
"""Roughness without a unit is in micrometre by custom, a sensing distance in millimetre."""
_COARSE, _MICROINCH = 8.0, 2.5e-8
"""From this figure on a bare roughness is in microinch ("32 Ra"): in micrometre it would be that of a casting."""
_SHAPE = "shape"
_OWN_KINDS = frozenset({"ingress", "enclosure", "impact", "vibration", "shock", "emc"})


def sayings(page: Page) -> None:
    """Make drafts of all statements on the page."""
    for index, element in enumerate(page.elements):
        if isinstance(element, Phrase) and not element.taken and (name := element.named("statement")):
            _statement(page, index, element, name)
    for element in page.elements:
        if element.taken:
            continue
        if isinstance(element, Law):
            fields = {"name": element.name, "topic": element.topic, "reference": element.key}
            page.add(Draft(Statement, element.start, element.end, fields), element)
        elif isinstance(element, ThreadSize):
            page.add(Draft(Thread, element.start, element.end, {"size": element.size}), element)


def leftover_standards(page: Page) -> None:
    """Keep the standards that no reading took as statements of their own."""
    for element in page.elements:
        if isinstance(element, Cited) and not element.taken:
            topic = element.known.topic if element.known else "other"
            fields: dict[str, object] = {"name": "standard", "topic": topic, "reference": element.key}
            draft = page.add(Draft(Statement, element.start, element.end, fields), element)
            if element.known is not None and element.known.withdrawn:
                draft.note("standard-withdrawn")
        elif isinstance(element, Phrase) and not element.taken and (topic := _restricts(page, element)):
            # "Not for outdoor use" beside no rating restricts the whole unit.
            fields = {"name": element.named("condition").replace(" ", "-"), "topic": topic}
            page.add(Draft(Statement, element.start, element.end, fields), element)
        elif isinstance(element, Phrase) and not element.taken and (finish := element.named("finish")):
            # A finish beside no material is still a claim on the surface.
            fields = {"name": finish.replace(" ", "-"), "topic": "surface"}
            page.add(Draft(Statement, element.start, element.end, fields), element)


def _restricts(page: Page, phrase: Phrase) -> str:
    """The topic of what a condition says beside no reading; empty if it says nothing, or limits claims elsewhere."""
    name = phrase.named("condition")
    alone = page.lexicon.conditions[name].alone if name else ""
    return "" if alone in (WHOLE, UPKEEP) else alone


def _statement(page: Page, index: int, phrase: Phrase, name: str) -> None:
    model = page.lexicon.statements[name]
    fields: dict[str, object] = {"name": name, "topic": model.topic}
    draft = Draft(Statement, phrase.start, phrase.end, fields)
    used: list[Element] = [phrase]
    opened = 0
    custom = _CUSTOM.get(model.topic, 0.0)
    stated = False
    for place, element in page.walk(index, limit=7):
        figured = isinstance(element, Quantity) and _figure(page, element, model.figure, fields, draft, custom)
        if is_mark(element, OPEN, CLOSE):
            opened += 1 if is_mark(element, OPEN) else -1
        elif figured or (model.figured and opened and _standard(page, element)):
            used.append(element)
        elif model.figured and "value" not in fields and (opened or isinstance(element, Named)):
            # "Sn (steel) [mm]: 8": on what it is measured, and in what unit.
            if isinstance(element, BareUnit):
                custom = next((unit.factor for unit in element.units if unit.dimension == model.figure), custom)
                stated = True
                used.append(element)
            elif _standard(page, element):
                used.append(element)
        elif isinstance(element, Law) and model.topic == element.topic and model.refers and "reference" not in fields:
            fields["reference"] = element.key
            used.append(element)
        elif isinstance(element, Cited) and _same_topic(element, model.topic) and "reference" not in fields:
            fields["reference"] = element.key
            if element.known is not None and element.known.withdrawn:
                draft.note("standard-withdrawn")
            used.append(element)
        elif isinstance(element, Phrase) and _goes_with(page, place, element, name):
            used.append(element)
        elif model.topic == "explosive" and isinstance(element, (Unknown, Quantity, Named)):
            # The rest of an explosion protection mark: kept with it, not judged.
            used.append(element)
        elif not is_mark(element, SEP, COLON, AT) or model.topic == "explosive":
            break
    for place in (index - 1, index - 2):
        if place < 0 or is_mark(page.elements[place], "break"):
            break
        before = page.elements[place]
        if isinstance(before, Quantity):
            if _figure(page, before, model.figure, fields, draft, custom):
                used.append(before)
        elif isinstance(before, Cited) and not before.taken and _same_topic(before, model.topic):
            if fields.setdefault("reference", before.key) == before.key:
                used.append(before)
        elif not is_mark(before, COLON, SEP):
            break
    if model.figured and "value" not in fields:
        return
    if stated:
        draft.notes = [note for note in draft.notes if note != "unit-assumed"]
    draft.start = min(e.start for e in used)
    draft.end = max(e.end for e in used)
    page.add(draft, *used)


def _standard(page: Page, element: Element) -> bool:
    """Whether a word names the target on which the rated distance is defined."""
    return fold(page.text[element.start : element.end]) in page.lexicon.standard_targets


def _goes_with(page: Page, place: int, phrase: Phrase, name: str) -> bool:
    """Whether a phrase only goes on with the statement: the same one again, or a word before its figure."""
    if phrase.named("statement") == name:
        return not is_mark(page.elements[place - 1], SEP)
    if phrase.named("limit") and page.lexicon.statements[name].topic == "sensing":
        return False
    figured = bool(page.lexicon.statements[name].figure)
    return figured and bool(phrase.named("limit") or phrase.named("topic") in ("roughness", "level"))


def _same_topic(element: Cited, topic: str) -> bool:
    return element.known is not None and element.known.topic == topic and topic not in _OWN_KINDS


def _figure(
    page: Page, element: Quantity, dimension: str, fields: dict[str, object], draft: Draft, custom: float
) -> bool:
    """Give a figure to the statement if it can be its own; `custom` is the factor to the base unit of a bare one."""
    if element.taken or not dimension or "value" in fields:
        return False
    if element.bare and dimension == "length" and custom:
        number = value(element.values[-1], False)[0]
        factor = _MICROINCH if custom == _CUSTOM["surface"] and number >= _COARSE else custom
        fields["value"], fields["unit"] = float(f"{number * factor:.12g}"), "m"
        draft.note("unit-assumed")
        return True
    if not element.has(dimension):
        return False
    result = converted(element, dimension)
    if result is None:
        return False
    numbers, notes, _ = result
    if max(numbers) > page.lexicon.statements[str(fields["name"])].largest.get(dimension, math.inf):
        return False
    # Of radii and slopes the least counts, of roughness the most.
    shape = fields["topic"] == _SHAPE
    listed = dimension == "time" or shape or (fields["topic"] == "sensing" and element.spread == "list")
    fields["value"] = min(numbers) if listed else max(numbers)
    if fields["topic"] == "sensing" and element.spread == "range":
        draft.note("distance-range")
    if fields["topic"] in ("sensing", _SHAPE) and element.limit == "max":
        draft.conditions.append(Condition("upper bound", page.text[element.start : element.end]))
        draft.families.add("bound")
    fields["unit"] = page.lexicon.base_units[dimension]
    for note in notes:
        draft.note(note)
    return True
