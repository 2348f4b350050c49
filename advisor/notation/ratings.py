"""Ingress ratings, enclosure types and impact codes from their elements.

    details = "(" figures ")" | [":" | "," | "-" | "/" | "at"] figures
    figures = length | pressure | time | temperature, parted by "," "/" "and"

Details go to the nearest rating before them that has numeral 8, else 7, 9 or 9K. Without brackets a pressure goes
in at once, but a length or pressure after a comma only if a time follows, since a bare "IP68, 5 m" is as likely
the cable as the depth. An energy in joule becomes an impact reading, joined to an IK code beside it.
"""

import re

from advisor.notation.drafts import Draft, Page, bracket_end, is_mark, joins
from advisor.notation.elements import (
    AT,
    CLOSE,
    COLON,
    OPEN,
    SEP,
    Cited,
    Code,
    Element,
    ImpactCode,
    Phrase,
    Quantity,
    TypeCode,
)
from advisor.notation.figures import converted
from advisor.notation.items import Condition, EnclosureType, Impact, IngressRating
from advisor.notation.tokens import fold

_RANGE = frozenset({"to", "bis", "...", "…", "..", "through"})
_FIELDS = {"pressure": "pressure_pa", "length": "depth_m", "time": "duration_s", "temperature": "water_degc"}
_NEAR = 5
"""How many words before a depth are looked at."""
_DIMENSIONS = ("length", "pressure", "time", "temperature")


def ratings(page: Page) -> None:
    """Make drafts of all codes on the page."""
    row: list[tuple[Code, Draft]] = []
    for index, element in enumerate(page.elements):
        if isinstance(element, Code):
            draft = _rating(page, element)
            if row:
                _range(page, row[-1], (element, draft))
                if _between(page, row[-1][0], element):
                    row = []
            row.append((element, draft))
            _details(page, index, row)
        elif isinstance(element, TypeCode):
            fields: dict[str, object] = {"type": element.type, "standard": element.standard, "credit": element.credit}
            page.add(Draft(EnclosureType, element.start, element.end, fields, list(element.notes)), element)
        elif isinstance(element, ImpactCode):
            energy = page.lexicon.codes.impact.codes.get(element.code)
            fields = {"ik": element.code, "energy_j": energy, "credit": element.credit}
            draft = page.add(Draft(Impact, element.start, element.end, fields, list(element.notes)), element)
            _energy_beside(page, index, draft)
            _shown_at(page, draft)
    _depth_apart(page, row)
    for element in page.elements:
        if isinstance(element, Quantity) and not element.taken and element.only("energy"):
            figures = converted(element, "energy")
            if figures is not None:
                fields = {"energy_j": min(figures[0])}
                page.add(Draft(Impact, element.start, element.end, fields, figures[1]), element)


def _rating(page: Page, code: Code) -> Draft:
    fields = {
        "first": code.first, "second": code.second, "additional": code.additional,
        "supplementary": code.supplementary, "oil": code.oil, "impact_numeral": code.impact_numeral,
        "credit": code.credit,
    }
    return page.add(Draft(IngressRating, code.start, code.end, fields, list(code.notes)), code)


def _range(page: Page, one: tuple[Code, Draft], two: tuple[Code, Draft]) -> None:
    """"IP65 ... IP67": one unit has one of them, which one the text does not say."""
    between = page.text[one[0].end : two[0].start].strip().casefold()
    if between in _RANGE:
        for _, draft in (one, two):
            draft.conditions.append(Condition("variant dependent", between))
            draft.families.add("variant")


def _between(page: Page, first: Code, second: Code) -> bool:
    """Whether a line end parts two codes."""
    return "\n" in page.text[first.end : second.start]


def _details(page: Page, index: int, row: list[tuple[Code, Draft]]) -> None:
    elements = page.elements
    place = index + 1
    if place + 1 < len(elements) and isinstance(elements[place], Cited) and is_mark(elements[place + 1], OPEN):
        place += 1  # "IP67 according to EN 60529 (1 m, 30 min)"
    if place >= len(elements):
        return
    if is_mark(elements[place], OPEN):
        close = bracket_end(page, place)
        inside = elements[place + 1 : close] if close > 0 else []
        figures = [e for e in inside if isinstance(e, Quantity) and any(map(e.has, _DIMENSIONS))]
        if figures and not any(isinstance(e, (Code, TypeCode)) for e in inside):
            target = _target(row, allow=("8", "7", "9", "9K"))
            if target is not None:
                _fill(page, target, figures)
                for element in (elements[place], elements[close]):
                    element.taken = True
                target.end = max(target.end, elements[close].end)
        return
    comma = False
    at = False
    if is_mark(elements[place], SEP, COLON, AT):
        comma = page.text[elements[place].start : elements[place].end] == ","
        at = is_mark(elements[place], AT)
        place += 1
    figures = []
    brackets: list[Element] = []
    lasting = False
    while place < len(elements):
        element = elements[place]
        wanted = _DIMENSIONS if at else _DIMENSIONS[:3]
        if isinstance(element, Quantity) and not element.taken and any(map(element.has, wanted)):
            figures.append(element)
        elif figures and isinstance(element, Phrase) and element.named("condition") == "continuous":
            lasting = True
        elif figures and (close := _figures_inside(page, place)):
            figures += [e for e in elements[place + 1 : close] if isinstance(e, Quantity)]
            brackets += [elements[place], elements[close]]
            place = close
        elif not (joins(element) or is_mark(element, AT)) or not figures:
            break
        place += 1
    target = _target(row, allow=("8",) if not at else ("8", "9", "9K"))
    if target is None or not figures:
        return
    timed = lasting or any(e.has("time") for e in figures)
    deep = any(e.has("length") or e.has("pressure") for e in figures)
    if not deep and not at:
        return
    if (comma or any(e.has("length") for e in figures)) and not (timed or at):
        return
    if _is_part(elements[place] if place < len(elements) else None) and not timed:
        return
    _fill(page, target, figures)
    for element in brackets:
        element.taken = True
        target.end = max(target.end, element.end)


def _figures_inside(page: Page, place: int) -> int:
    """Return where a bracket closes that holds only the same in other units, "20 m (2 bar)"; 0 if there is none."""
    close = bracket_end(page, place) if is_mark(page.elements[place], OPEN) else 0
    inside = page.elements[place + 1 : close] if close > 0 else []
    told = [e for e in inside if isinstance(e, Quantity) and any(map(e.has, _DIMENSIONS[:3]))]
    return close if told and all(e in told or joins(e) for e in inside) else 0


def _is_part(element: Element | None) -> bool:
    return isinstance(element, Phrase) and bool(element.named("part"))


def _target(row: list[tuple[Code, Draft]], allow: tuple[str, ...]) -> Draft | None:
    for second in allow:
        for code, draft in reversed(row[-12:]):
            if code.second == second and code.credit:
                return draft
    return None


def _fill(page: Page, draft: Draft, figures: list[Quantity]) -> None:
    for figure in figures:
        for dimension, name in _FIELDS.items():
            if not figure.has(dimension) or name in draft.fields:
                continue
            result = converted(figure, dimension)
            if result is None:
                continue
            numbers, notes, unit = result
            jet = draft.fields["second"] in ("9", "9K")
            if name == "depth_m" and jet:
                continue
            if name == "water_degc" and (figure.spread or draft.fields["second"] == "7"):
                continue
            draft.fields[name] = max(numbers) if dimension == "temperature" else min(numbers)
            if dimension == "pressure":
                draft.fields["absolute"] = unit.reference == "absolute"
                if not unit.reference:
                    draft.note("pressure-unreferenced")
            for note in notes:
                draft.note(note)
            figure.taken = True
            draft.end = max(draft.end, figure.end)
            break


def _depth_apart(page: Page, row: list[tuple[Code, Draft]]) -> None:
    """Give a depth that stands behind a word of immersion to the only code with numeral 8 of its clause."""
    words = {fold(word) for word in page.lexicon.codes.ingress.immersion}
    for index, element in enumerate(page.elements):
        if not isinstance(element, Quantity) or element.taken or not element.only("length"):
            continue
        first = min([at for at, _ in page.back(index)], default=index)
        before = page.text[page.elements[first].start : element.start]
        near = [fold(word) for word in re.findall(r"[^\W\d_]+", before)[-_NEAR:]]
        eights = [d for code, d in row if code.second == "8" and code.credit and "depth_m" not in d.fields]
        inside = [d for d in eights if page.elements[first].start <= d.start < element.start]
        if words.intersection(near) and len(inside) == 1:
            end = inside[0].end
            _fill(page, inside[0], [element])
            inside[0].end = end


def _shown_at(page: Page, draft: Draft) -> None:
    """Take the temperature at which a blow was tested: "IK08 at -30 °C", "IK10 (+20 °C)"."""
    after = page.behind(draft, 2)
    if len(after) == 2 and is_mark(after[0], AT, OPEN) and isinstance(after[1], Quantity):
        result = converted(after[1], "temperature") if after[1].only("temperature") else None
        if result is not None:
            draft.fields["test_degc"] = max(result[0])
            after[0].taken = after[1].taken = True
            draft.end = after[1].end


def _energy_beside(page: Page, index: int, draft: Draft) -> None:
    for place, element in page.walk(index, limit=2):
        if isinstance(element, Quantity) and element.only("energy"):
            result = converted(element, "energy")
            if result is not None:
                draft.fields["energy_j"] = min(result[0])
                element.taken = True
                draft.end = element.end
                closing = page.elements[place + 1] if place + 1 < len(page.elements) else None
                if is_mark(closing, CLOSE) and is_mark(page.elements[place - 1], OPEN):
                    page.elements[place - 1].taken = page.elements[place + 1].taken = True
                    draft.end = page.elements[place + 1].end
            return
        if not is_mark(element, OPEN, SEP):
            return


def finish_ratings(page: Page) -> None:
    """Notes that can be given only when standards and details are settled."""
    for draft in page.drafts:
        if draft.cls is not IngressRating:
            continue
        fields = draft.fields
        if fields["second"] == "8" and fields["credit"]:
            has_depth = "depth_m" in fields or "pressure_pa" in fields
            lasting = any(condition.name == "continuous" for condition in draft.conditions)
            if not (has_depth and ("duration_s" in fields or lasting)):
                draft.note("eight-without-depth")
        standard = fields.get("standard") or ""
        if standard.endswith("60529") and fields["second"] == "9K":
            draft.note("k-under-iec")
