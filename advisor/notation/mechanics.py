"""Shock and vibration from accelerations, times, frequencies and travels.

    shock     = acceleration ( time < 1 s ) [ count ] [ axes ]
    vibration = frequencies [ travel | acceleration ] [ time ] [ axes ]

A run of such figures within one clause, with brackets, marks, standards and small words between, is cut into groups:
a figure of a kind the group already has opens the next group, a short time makes it a shock, a frequency or a
travel a vibration. A group of an acceleration alone needs the word shock or vibration before it; without either
word at least two kinds of figure must stand together. The letter g without that is grams.
"""

from dataclasses import dataclass, field

from advisor.notation.drafts import Draft, Page, is_mark
from advisor.notation.elements import BREAK, Cited, Element, Mark, Named, Phrase, Quantity, Unknown
from advisor.notation.figures import converted, value
from advisor.notation.items import Shock, Vibration

_TOPICS = ("shock", "vibration", "random")
_WITHIN = ("axes", "shocks", "amplitude", "double amplitude", "rms")


@dataclass(slots=True)
class _Group:
    topic: str = ""
    figures: dict[str, Quantity] = field(default_factory=dict)
    words: set[str] = field(default_factory=set)
    used: list[Element] = field(default_factory=list)
    count: int | None = None
    axes: int | None = None
    standard: str | None = None


def mechanics(page: Page) -> None:
    """Make drafts of all shock and vibration figures on the page."""
    groups: list[_Group] = []
    group = _Group()
    topics: list[str] = []

    def close() -> None:
        nonlocal group
        if group.figures:
            groups.append(group)
        group = _Group()

    for index, element in enumerate(page.elements):
        if is_mark(element, BREAK):
            close()
            topics = []
        elif isinstance(element, Phrase):
            names = element.names("topic")
            topic = next((name for name in names if name in _TOPICS), "")
            before = page.elements[index - 1] if index else None
            counted = "shocks" in names and (before in group.used or (isinstance(before, Quantity) and before.bare))
            if topic and not counted:
                if any(name in group.figures for name in ("acceleration", "frequency", "length")):
                    close()
                    topics = []
                topics.append("vibration" if topic == "random" else topic)
                if topic == "random":
                    group.words.add("random")
                element.taken = element.taken or not element.named("condition")
            elif any(name in _WITHIN for name in names):
                group.words.update(names)
                group.used.append(element)
            elif not element.named("limit"):
                close()
        elif isinstance(element, Quantity) and not element.taken:
            kind = _kind(page, index, element, topics)
            if not kind:
                if not element.bare:
                    close()
                continue
            if kind == "count":
                number = int(value(element.values[0], False)[0]) if element.values[0].isdigit() else None
                following = page.elements[index + 1]
                if isinstance(following, Phrase) and "axes" in following.names("topic"):
                    group.axes = number
                else:
                    group.count = number
                group.used.append(element)
                continue
            if kind in group.figures or _clash(group, kind, element):
                close()
            group.figures[kind] = element
            group.used.append(element)
            group.topic = group.topic or _pick(topics, kind, element)
        elif isinstance(element, Named) and _counts(page, index, element):
            group.count = int(element.text)
            group.used.append(element)
        elif isinstance(element, Cited):
            topic = element.known.topic if element.known else ""
            if topic in ("shock", "vibration"):
                group.standard = element.key
                group.used.append(element)
                topics.append(topic)
        elif not isinstance(element, (Mark, Unknown)):
            close()
    close()
    for one in groups:
        _draft(page, one)


def _kind(page: Page, index: int, element: Quantity, topics: list[str]) -> str:
    if element.has("acceleration"):
        # "Magnetic field immunity, AC 50 Hz: 1000 G": the same letter stands for gauss.
        fielded = element.has("flux") and page.topic_before(index, ("magnetic",), limit=12)
        return "" if fielded and not {"shock", "vibration"} & set(topics) else "acceleration"
    for kind in ("frequency", "time"):
        if element.only(kind):
            return kind
    if element.only("length"):
        figures = converted(element, "length")
        return "length" if figures is not None and max(figures[0]) <= 0.1 else ""
    following = page.elements[index + 1] if index + 1 < len(page.elements) else None
    if element.bare and isinstance(following, Phrase) and set(following.names("topic")) & {"axes", "shocks"}:
        return "count"
    return ""


def _counts(page: Page, index: int, element: Named) -> bool:
    """Whether a number that could also name an alloy counts shocks: "2007 bumps"."""
    following = page.elements[index + 1] if index + 1 < len(page.elements) else None
    return element.text.isdigit() and isinstance(following, Phrase) and "shocks" in following.names("topic")


def _clash(group: _Group, kind: str, element: Quantity) -> bool:
    """Whether a figure cannot belong to the group: a frequency to a shock, a short time to a vibration."""
    short = kind == "time" and _seconds(element) < 1.0
    has_short = "time" in group.figures and _seconds(group.figures["time"]) < 1.0
    return (kind in ("frequency", "length") and has_short) or (
        short and ("frequency" in group.figures or "length" in group.figures)
    )


def _seconds(element: Quantity) -> float:
    figures = converted(element, "time")
    return figures[0][0] if figures else 0.0


def _pick(topics: list[str], kind: str, element: Quantity) -> str:
    if kind in ("frequency", "length"):
        return "vibration" if "vibration" in topics else (topics or [""])[-1]
    if kind == "time" and _seconds(element) < 1.0:
        return "shock" if "shock" in topics else (topics or [""])[-1]
    return topics[-1] if topics else ""


def _draft(page: Page, group: _Group) -> None:
    figures = group.figures
    short = "time" in figures and _seconds(figures["time"]) < 1.0
    if "acceleration" in figures and short:
        kind = "shock"
    elif "frequency" in figures and ("acceleration" in figures or "length" in figures or group.topic == "vibration"):
        kind = "vibration"
    elif group.topic and ("acceleration" in figures or ("length" in figures and group.topic == "vibration")):
        kind = group.topic
    else:
        return
    fields: dict[str, object] = {"axes": group.axes, "standard": group.standard}
    notes: list[str] = []
    for name in ("acceleration", "frequency", "length", "time"):
        if name not in figures:
            continue
        result = converted(figures[name], name)
        if result is None:
            continue
        numbers, remarks, _ = result
        notes += [remark for remark in remarks if remark not in notes]
        if name == "acceleration":
            fields["acceleration_ms2"] = min(numbers)
        elif name == "time":
            fields["duration_s"] = min(numbers)
        elif name == "frequency" and kind == "vibration":
            fields["low_hz"], fields["high_hz"] = min(numbers), max(numbers)
        elif name == "length" and kind == "vibration":
            _travel(fields, min(numbers), group.words, notes)
    if kind == "vibration":
        figure = group.figures.get("acceleration")
        spelled = figure is not None and "rms" in page.text[figure.start : figure.end].casefold()
        fields["rms"] = spelled or bool(group.words & {"rms", "random"})
        draft = Draft(Vibration, 0, 0, fields, notes)
    else:
        fields["count"] = group.count
        draft = Draft(Shock, 0, 0, fields, notes)
    draft.start = min(element.start for element in group.used)
    draft.end = max(element.end for element in group.used)
    page.add(draft, *group.used)


def _travel(fields: dict[str, object], travel: float, words: set[str], notes: list[str]) -> None:
    """One millimetre may be amplitude or peak to peak. If it is not said, the smaller motion is credited."""
    fields["travel_m"] = travel
    fields["peak_to_peak"] = "amplitude" not in words or "double amplitude" in words
    if not words & {"amplitude", "double amplitude"}:
        notes.append("amplitude-or-peak-to-peak")
