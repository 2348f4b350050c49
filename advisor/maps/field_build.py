"""From a site to the document of `field`: each source's figures as the rules have them, and its picture."""

from advisor import __version__, quantities
from advisor.advise import Advice
from advisor.document import Figure
from advisor.engine.facts import Fact
from advisor.engine.wording import say_span
from advisor.faults import Fault, InputError, Place
from advisor.maps.contours import contours
from advisor.maps.field import NoPictureError, Scene, scene
from advisor.maps.field_document import FieldDocument, FieldLine, FieldPicture, FieldSource, KeepOut
from advisor.report.requirement import site_block, stamp
from advisor.rulebook import Rulebook
from advisor.site import Instance
from advisor.values import Domain, Span, Words

TEMPLATE = "field_source"
FINE = 121
"""Points across the picture from which the lines are drawn."""
COLUMNS, ROWS = 64, 32
"""Blocks of the picture in a terminal, where a sign is twice as high as wide."""
SPARE = 1.3
HARDER_DOWN = ("distance", "upper", "lower", "rear", "tips")
"""Answers of which the smaller end makes the stronger field."""


def field_document(advice: Advice, book: Rulebook) -> FieldDocument:
    """Return the document. Raises InputError where the site tells of no source."""
    told = [entry for entry in advice.site.instances if entry.template == TEMPLATE and entry.certain]
    if not told:
        what, accepted = "the site tells of no strong current and no magnet", f"entries of {TEMPLATE} in the site file"
        raise InputError([Fault(Place("field"), what, accepted)])
    sums = [_high(fact.slots["design"]) for fact in _facts(advice, "field") if len(fact.roots) > 1]
    return FieldDocument(
        version=__version__,
        rulebook=stamp(book),
        site=site_block(advice.site),
        sources=[_source(entry, advice, book) for entry in told],
        together=_figure(Span(max(sums), max(sums)), "mT") if sums else None,
    )


def _facts(advice: Advice, template: str) -> list[Fact]:
    return [fact for fact in advice.possible.facts.values() if fact.template == template]


def _of(advice: Advice, template: str, instance: Instance) -> Fact | None:
    found = [fact for fact in _facts(advice, template) if fact.roots == {instance.id}]
    return max(
        found,
        key=lambda fact: max((_high(d) for d in fact.slots.values() if isinstance(d, Span)), default=0.0),
        default=None,
    )


def _source(entry: Instance, advice: Advice, book: Rulebook) -> FieldSource:
    part, keep = _of(advice, "part_field", entry), _of(advice, "keep_out", entry)
    lines = book.tables["field_lines"].rows
    outs = [
        _keep_out(str(row.cells["name"]), keep, str(row.cells["slot"]), row.cells["flux"], "mm")
        for row in lines.values()
    ]
    if keep is not None:
        outs.append(
            _keep_out("wearers of active implants, by the action level of the field", keep, "implant", None, "m")
        )
    layouts = _words(entry.answers["layout"].domain)
    picture, missing = None, ""
    try:
        picture = _picture(entry, layouts, book)
    except NoPictureError as problem:
        missing = str(problem)
    return FieldSource(
        name=entry.label or entry.id.replace("#", " "),
        layout=layouts[0] if len(layouts) == 1 else "not known",
        about=_layout_words(layouts, book),
        kind=", ".join(book.tables["field_kinds"].rows[word].name for word in _words(entry.answers["waveform"].domain)),
        peak=_figure(part.slots.get("peak"), "mT") if part is not None else None,
        design=_figure(part.slots.get("design"), "mT") if part is not None else None,
        keep_out=[out for out in outs if out is not None],
        picture=picture,
        no_picture=missing,
    )


def _keep_out(name: str, keep: Fact | None, slot: str, flux: tuple[float, float] | None, unit: str) -> KeepOut | None:
    domain = keep.slots.get(slot) if keep is not None else None
    if not isinstance(domain, Span):
        return None
    level = None if flux is None else _figure(Span(*flux), "mT")
    high = Span(domain.high, domain.high, told=domain.told)
    return KeepOut(unit=name, field=level, distance=_figure(high, unit), known=domain.point)


def _picture(entry: Instance, layouts: list[str], book: Rulebook) -> FieldPicture:
    if len(layouts) != 1:
        raise NoPictureError("layout is not told")
    given: dict[str, float] = {}
    for name, answer in entry.answers.items():
        if isinstance(answer.domain, Span) and answer.domain.told:
            given[name] = answer.domain.low if name in HARDER_DOWN else answer.domain.high
    factor = _most(entry.answers["figure"].domain, "peak_factors", "factor", book)
    factor *= _most(entry.answers["nearby"].domain, "field_margins", "margin", book)
    drawn = scene(layouts[0], given, factor)
    levels = {key: row.cells["flux"][0] for key, row in book.tables["field_lines"].rows.items()}
    left, low, size = _frame(drawn, sorted(levels.values()))
    step = size / (FINE - 1)
    grid = [[drawn.field(left + c * step, low + r * step) for c in range(FINE)] for r in range(FINE)]
    lines = [
        FieldLine(
            unit=str(book.tables["field_lines"].rows[key].cells["name"]),
            level=_figure(Span(level, level), "mT"),
            paths=[[(left + x * step, low + y * step) for x, y in line] for line in contours(grid, level)],
        )
        for key, level in levels.items()
    ]
    bands = sorted(levels.values())
    wide, tall = size / COLUMNS, size / ROWS
    blocks = []
    for row in range(ROWS):
        y = low + (row + 0.5) * tall
        values = [drawn.field(left + (column + 0.5) * wide, y) for column in range(COLUMNS)]
        blocks.append("".join(str(sum(value >= level for level in bands)) for value in values))
    return FieldPicture(
        left=left, low=low, size=size, wires=list(drawn.wires), loop=list(drawn.loop), unit=drawn.unit,
        at_unit=_figure(Span(*(drawn.field(*drawn.unit),) * 2), "mT"), lines=lines, blocks=blocks, note=drawn.note,
        factor=factor,
    )  # fmt: skip


def _frame(drawn: Scene, levels: list[float]) -> tuple[float, float, float]:
    """Return left, low and size of a square that holds conductors, unit and the line of the second level."""
    points = [*drawn.wires, *drawn.loop, drawn.unit]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    half = max(max(xs) - min(xs), max(ys) - min(ys), 0.02) / 2
    right = max(xs)
    # The line of 40 mT and the like is found outwards, in the direction of the unit.
    reach = next((r for r in _steps() if drawn.field(right + r, 0.0) < levels[min(1, len(levels) - 1)]), 0.0)
    half = SPARE * max(half, right - middle[0] + reach)
    return middle[0] - half, middle[1] - half, 2 * half


def _steps() -> list[float]:
    return [1e-3 * 1.1**number for number in range(120)]


def _most(domain: Domain, table: str, column: str, book: Rulebook) -> float:
    """Return the largest figure of the rows that are allowed."""
    rows = book.tables[table].rows
    return max(float(rows[word].cells[column][1]) for word in _words(domain)) if isinstance(domain, Words) else 1.0


def _words(domain: Domain) -> list[str]:
    return sorted(domain.options) if isinstance(domain, Words) else []


def _layout_words(layouts: list[str], book: Rulebook) -> str:
    choices = book.vocabulary.templates[TEMPLATE].by_name["layout"].choices or {}
    return choices.get(layouts[0], "") if len(layouts) == 1 else ""


def _high(domain: Domain) -> float:
    return domain.high if isinstance(domain, Span) else 0.0


def _figure(domain: Domain | None, unit: str) -> Figure:
    assert isinstance(domain, Span)
    text = say_span(domain, unit) if domain.told else f"not known yet ({quantities.show(domain.high, unit)} at worst)"
    return Figure(low=domain.low, high=domain.high, unit=quantities.si_unit(unit), text=text)
