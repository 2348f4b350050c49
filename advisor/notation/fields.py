"""Magnetic immunity and EMC statements.

    magnetic = flux | field strength, with waveforms and frequency as qualifiers     100 mT AC/DC, 80 kA/m 50 Hz
             | a word such as "weld immune", alone or with the above
    emc      = standard { level word | figure in V, V/m, A/m, A }                    IEC 61000-4-2 4/8 kV
             | a phenomenon word with such a figure                                  ESD 8 kV

The letter G is gauss only where a magnetic field is spoken of. Figures in A/m after an EMC standard are test levels,
elsewhere they become tesla by the magnetic constant.
"""

import itertools
from dataclasses import replace

from advisor.notation.drafts import Draft, Page, bracket_end, is_mark, limit_by
from advisor.notation.elements import (
    AT,
    BREAK,
    CLOSE,
    COLON,
    OPEN,
    SEP,
    Cited,
    Element,
    Mark,
    Phrase,
    Quantity,
    Unknown,
)
from advisor.notation.figures import converted
from advisor.notation.items import EmcStatement, Level, MagneticImmunity

_LEVELS = (("voltage", "V"), ("electric-field", "V/m"), ("field", "A/m"), ("current", "A"))
_MU0 = 0.0000012566370614359173
_WAYS = ("contact", "air", "between lines", "to earth")
_TEST_WORDS = ("level", "criterion", "emc", *_WAYS)
_MAGNETIC = ("magnetic",)
_DISCHARGE = "IEC 61000-4-2"


def emc(page: Page) -> None:
    """Make drafts of all EMC statements on the page."""
    for index, element in enumerate(page.elements):
        if element.taken:
            continue
        if isinstance(element, Cited) and element.known is not None and element.known.topic == "emc":
            _statement(page, index, element, element.key)
        elif isinstance(element, Phrase) and (standard := element.named("phenomenon")):
            _statement(page, index, element, standard)


def _statement(page: Page, index: int, head: Element, standard: str) -> None:
    levels: list[Level] = []
    used: list[Element] = [head]
    fields: dict[str, object] = {"standard": standard}
    label = ""
    announced = ""
    for place, element in page.walk(index, limit=16):
        if isinstance(element, Quantity) and not element.taken:
            read = _levels(element, label)
            if read:
                levels += read
            elif not (element.bare and announced):
                break
            else:
                fields["severity"] = element.values[0]
            used.append(element)
            announced = ""
        elif isinstance(element, Phrase):
            topic = next((name for name in element.names("topic") if name in _TEST_WORDS), "")
            if not topic:
                break
            if topic in _WAYS:
                label = topic
                if levels and not levels[-1].label and _touches(page, place):
                    levels[-1] = Level(levels[-1].value, levels[-1].unit, topic)
                    label = ""
            elif topic != "emc":
                announced = topic
            used.append(element)
        elif isinstance(element, Unknown):
            word = page.text[element.start : element.end]
            if not announced or len(word) > 2:
                break
            fields["severity" if announced == "level" else "criterion"] = word.upper()
            used.append(element)
            announced = ""
        elif not isinstance(element, Mark):
            break
    fields["levels"] = tuple(_discharges(standard, levels))
    if isinstance(head, Phrase) and not levels:
        return
    page.add(Draft(EmcStatement, head.start, max(e.end for e in used), fields), *used)


def _discharges(standard: str, levels: list[Level]) -> list[Level]:
    """Two bare levels of discharge are that of contact and the higher one of air: "ESD 4/8 kV"."""
    if standard != _DISCHARGE or len(levels) != 2 or any(level.label for level in levels):
        return levels
    low, high = sorted(levels, key=lambda level: level.value)
    return [replace(low, label="contact"), replace(high, label="air")] if low.value < high.value else levels


def _touches(page: Page, place: int) -> bool:
    """Whether a word stands right behind a figure, in a bracket or not: "4 kV contact", "4 kV (contact)"."""
    before = page.elements[place - 2] if is_mark(page.elements[place - 1], OPEN) else page.elements[place - 1]
    return isinstance(before, Quantity)


def _levels(element: Quantity, label: str) -> list[Level]:
    for dimension, unit in _LEVELS:
        if element.has(dimension) and not element.has("acceleration"):
            result = converted(element, dimension)
            if result is not None:
                scale = _MU0 if dimension == "field" else 1.0
                return [Level(float(f"{abs(number) / scale:.10g}"), unit, label) for number in result[0]]
    return []


def magnetic(page: Page) -> None:
    """Make drafts of all figures and words of magnetic immunity on the page."""
    for index, element in enumerate(page.elements):
        if not isinstance(element, Quantity) or element.taken:
            continue
        dimension = next((name for name in ("flux", "field") if element.has(name)), "")
        if not dimension:
            continue
        if element.has("acceleration") and not (page.topic_before(index, _MAGNETIC) or _weld_before(page, index)):
            continue
        result = converted(element, dimension)
        if result is None:
            continue
        numbers, notes, _ = result
        fields = {"flux_t": min(map(abs, numbers)) if element.spread == "list" else max(map(abs, numbers))}
        draft = page.add(Draft(MagneticImmunity, element.start, element.end, fields, notes), element)
        # "Up to 100 mT" is how far the unit holds, not what the best variant may reach.
        if dimension == "field":
            draft.note("from-field-strength")
        _qualify(page, index, draft)
        _lasting(page, draft)
    _words(page)


def _weld_before(page: Page, index: int) -> bool:
    return any(isinstance(element, Phrase) and element.named("weld") for _, element in page.back(index, limit=4))


def _qualify(page: Page, index: int, draft: Draft) -> None:
    """Take the waveforms, frequency and time that follow at once, in brackets or after a mark."""
    place = index + 1
    elements = page.elements
    inside = place < len(elements) and is_mark(elements[place], OPEN)
    close = bracket_end(page, place) if inside else -1
    taken: list[Element] = []
    while place < len(elements):
        element = elements[place]
        if isinstance(element, Phrase) and element.named("wave") and not element.taken:
            _add_wave(draft, element.named("wave"))
        elif isinstance(element, Quantity) and element.only("frequency") and "low_hz" not in draft.fields:
            _frequency(draft, element)
        elif isinstance(element, Phrase) and page.lexicon.measures(element.names("condition")):
            place += 1  # peak or rms stands between the figure and its frequency
            continue
        elif not is_mark(element, OPEN, CLOSE, SEP, AT, "and") or _leaves(page, place, close if inside else 0):
            break
        if not isinstance(element, Mark):
            taken.append(element)
        place += 1
    for element in taken:
        element.taken = True
        draft.end = max(draft.end, element.end)
    if inside and close > 0 and taken and all(e.taken or isinstance(e, Mark) for e in elements[index + 2 : close]):
        elements[index + 1].taken = elements[close].taken = True
        draft.end = max(draft.end, elements[close].end)


def _lasting(page: Page, draft: Draft) -> None:
    """Take a time behind the figure: "100 mT AC for 10 ms" holds no longer than that."""
    for element in itertools.takewhile(lambda e: not is_mark(e, BREAK, OPEN), page.behind(draft, 4)):
        if isinstance(element, Quantity):
            result = converted(element, "time") if element.only("time") and not element.taken else None
            if result is not None:
                draft.fields["duration_s"] = min(result[0])
                limit_by(page, draft, "short term", page.text[element.start : element.end])
                element.taken = True
                draft.end = element.end
            return
        if not (is_mark(element, SEP, AT) or (isinstance(element, Phrase) and element.named("limit"))):
            return


def _leaves(page: Page, place: int, close: int) -> bool:
    """Whether a mark lies behind the bracket that belongs to the figure, or leads to another figure."""
    return 0 < close < place or (is_mark(page.elements[place], SEP, "and") and _starts_other(page, place))


def _starts_other(page: Page, place: int) -> bool:
    """Whether what follows a mark leads to a field figure of its own: "100 mT AC, DC 200 mT"."""
    for _, element in page.walk(place, limit=4):
        if isinstance(element, Quantity):
            if element.has("flux") or element.has("field"):
                return True
            if not element.only("frequency"):
                return False
        elif not (isinstance(element, Phrase) and element.named("wave")) and not is_mark(element, COLON, OPEN, AT):
            return False
    return False


def _add_wave(draft: Draft, wave: str) -> None:
    waves = draft.fields.get("waveforms", ())
    if wave not in waves:
        draft.fields["waveforms"] = (*waves, wave)
    draft.given.add("wave")


def _frequency(draft: Draft, element: Quantity) -> None:
    result = converted(element, "frequency")
    if result is not None:
        draft.fields["low_hz"], draft.fields["high_hz"] = min(result[0]), max(result[0])
        draft.given.add("frequency")


def _words(page: Page) -> None:
    """"Weld immune" and its like: joined to a figure in the same clause, else a claim without figure."""
    figures = {draft.start for draft in page.drafts if draft.cls is MagneticImmunity}
    for index, element in enumerate(page.elements):
        if not isinstance(element, Phrase) or not element.named("weld"):
            continue
        element.taken = True
        near = (*page.walk(index), *page.back(index))
        if any(other.start in figures for _, other in near):
            continue
        draft = page.add(Draft(MagneticImmunity, element.start, element.end, {"flux_t": None}, ["no-figure"]))
        _qualify(page, index, draft)


def wave_before(page: Page) -> None:
    """Give waveforms and frequencies that stand before a field figure to it: "AC 50 Hz: 100 mT; DC: 200 mT"."""
    drafts = {draft.start: draft for draft in page.drafts if draft.cls is MagneticImmunity}
    waiting: list[Element] = []
    for element in page.elements:
        draft = drafts.get(element.start)
        if draft is not None:
            for one in waiting:
                one.taken = True
                if isinstance(one, Phrase):
                    _add_wave(draft, one.named("wave"))
                elif isinstance(one, Quantity) and "low_hz" not in draft.fields:
                    _frequency(draft, one)
            if waiting:
                draft.start = waiting[0].start
            waiting = []
            _infer(draft)
        elif is_mark(element, BREAK):
            waiting = []
        elif isinstance(element, Phrase) and element.named("wave") and not element.taken:
            waiting.append(element)
        elif isinstance(element, Quantity) and not element.taken:
            waiting = [*waiting, element] if element.only("frequency") else []


def _infer(draft: Draft) -> None:
    fields = draft.fields
    fields["waveforms"] = tuple(sorted(fields.get("waveforms", ())))
    if fields["waveforms"] or fields["flux_t"] is None:
        return
    low = fields.get("low_hz")
    if low is None:
        draft.note("waveform-unstated")
    else:
        fields["waveforms"] = ("ac",) if low < 400 else ("mf",)
        draft.note("waveform-from-frequency")
