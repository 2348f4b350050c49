"""Properties of the reader: what is printed is read, nothing raises, nothing is dropped, places hold."""

import string
from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.notation import (
    Condition,
    EmcStatement,
    EnclosureType,
    Impact,
    IngressRating,
    Item,
    Level,
    MagneticImmunity,
    Material,
    Pressure,
    Shock,
    Statement,
    Temperature,
    Thread,
    Vibration,
    meaning,
    read,
    write,
)
from advisor.notation.lexicon import lexicon
from advisor.notation.sheet_text import read_sheet

WORDS = lexicon()
CODES = WORDS.codes


def figures(low: float, high: float) -> st.SearchStrategy[float]:
    """Figures with at most four digits behind the point, as sheets give them."""
    return st.floats(low, high, allow_nan=False).map(lambda value: round(value, 4))


maybe = st.none() | figures(0.001, 50_000)
parts = st.lists(st.sampled_from(sorted(set(WORDS.parts) - {"face"})), max_size=2, unique=True).map(tuple)


def conditions(kind: str) -> st.SearchStrategy[tuple[Condition, ...]]:
    """Conditions that can limit a kind, one of a family."""
    names = [name for name, model in WORDS.conditions.items() if kind in model.kinds or "any" in model.kinds]
    lists = st.lists(st.sampled_from(names), max_size=2, unique_by=lambda name: WORDS.conditions[name].family)
    return lists.map(lambda chosen: tuple(Condition(name) for name in chosen))


@st.composite
def ingress(draw: st.DrawFn) -> IngressRating:
    second = draw(st.sampled_from(CODES.ingress.second))
    tested = second in ("7", "8", "9", "9K")
    jet = second in ("9", "9K")
    depth = draw(maybe) if tested and not jet else None
    pressure = draw(maybe) if tested else None
    return IngressRating(
        first=draw(st.sampled_from(CODES.ingress.first)),
        second=second,
        additional=draw(st.sampled_from(["", *CODES.ingress.additional])),
        supplementary=draw(st.sampled_from(["", *CODES.ingress.supplementary])),
        standard=draw(st.sampled_from([None, "IEC 60529", "EN 60529", "ISO 20653", "DIN 40050-9", "JIS C 0920"])),
        depth_m=depth,
        pressure_pa=pressure,
        absolute=pressure is not None and draw(st.booleans()),
        duration_s=draw(maybe) if tested else None,
        water_degc=draw(st.none() | figures(0.5, 90)) if jet or second == "8" else None,
        conditions=draw(conditions("ingress")),
        parts=draw(parts),
    )


@st.composite
def spans(draw: st.DrawFn, low: float, high: float) -> tuple[float | None, float | None]:
    ends = sorted(draw(st.lists(figures(low, high), min_size=2, max_size=2, unique=True)))
    shape = draw(st.sampled_from(["both", "low", "high"]))
    return (None if shape == "high" else ends[0]), (None if shape == "low" else ends[1])


@st.composite
def temperatures(draw: st.DrawFn) -> Temperature:
    low, high = draw(spans(-200, 400))
    roles = ["unspecified", "operating", "storage", "medium", "cleaning", "sterilisation", "surface", "transport"]
    return Temperature(
        low_degc=low, high_degc=high, role=draw(st.sampled_from(roles)),
        duration_s=draw(maybe), conditions=draw(conditions("temperature")),
    )  # fmt: skip


@st.composite
def pressures(draw: st.DrawFn) -> Pressure:
    low, high = draw(spans(-100_000, 10_000_000))
    roles = ["unspecified", "operating", "medium", "cleaning", "maximum", "proof", "burst"]
    references = ["unstated", "gauge", "absolute"]
    return Pressure(
        low_pa=low, high_pa=high, role=draw(st.sampled_from(roles)),
        reference=draw(st.sampled_from(references)), conditions=draw(conditions("pressure")),
    )  # fmt: skip


@st.composite
def magnetic(draw: st.DrawFn) -> MagneticImmunity:
    waves = draw(st.lists(st.sampled_from(["ac", "dc", "mf", "pulsed"]), min_size=1, max_size=3, unique=True))
    low = draw(st.none() | figures(1, 5000))
    return MagneticImmunity(
        flux_t=draw(st.none() | figures(0.001, 2)), waveforms=tuple(sorted(waves)), low_hz=low, high_hz=low,
        conditions=draw(conditions("magnetic")),
    )  # fmt: skip


@st.composite
def impacts(draw: st.DrawFn) -> Impact:
    ik = draw(st.sampled_from(["", *CODES.impact.codes]))
    energy = draw(figures(0.1, 60)) if not ik else CODES.impact.codes[ik]
    return Impact(ik=ik, energy_j=energy, conditions=draw(conditions("impact")))


@st.composite
def vibrations(draw: st.DrawFn) -> Vibration:
    low, high = sorted(draw(st.lists(figures(1, 5000), min_size=2, max_size=2, unique=True)))
    travel = draw(st.none() | figures(0.0001, 0.09))
    acceleration = draw(figures(1, 1000)) if travel is None else draw(st.none() | figures(1, 1000))
    return Vibration(
        acceleration_ms2=acceleration, travel_m=travel, peak_to_peak=travel is not None and draw(st.booleans()),
        low_hz=low, high_hz=high, duration_s=draw(st.none() | figures(1, 5000)),
        axes=draw(st.none() | st.integers(1, 6)),
        standard=draw(st.sampled_from([None, "IEC 60068-2-6", "EN 60068-2-64"])),
    )  # fmt: skip


@st.composite
def shocks(draw: st.DrawFn) -> Shock:
    return Shock(
        acceleration_ms2=draw(figures(1, 5000)), duration_s=draw(figures(0.0005, 0.5)),
        count=draw(st.none() | st.integers(1, 5000)), axes=draw(st.none() | st.integers(1, 6)),
        standard=draw(st.sampled_from([None, "IEC 60068-2-27"])),
    )  # fmt: skip


@st.composite
def emc(draw: st.DrawFn) -> EmcStatement:
    units, labels = st.sampled_from(["V", "V/m", "A/m"]), st.sampled_from(["contact", "air"])
    levels = st.builds(Level, figures(0.1, 30_000), units, labels)
    number = draw(st.integers(2, 11))
    return EmcStatement(
        standard=draw(st.sampled_from([f"IEC 61000-4-{number}", "EN 61000-6-2"])),
        levels=tuple(draw(st.lists(levels, max_size=3))),
        severity=draw(st.sampled_from(["", "2", "3", "X"])), criterion=draw(st.sampled_from(["", "A", "B"])),
        conditions=draw(conditions("emc")),
    )  # fmt: skip


@st.composite
def statements(draw: st.DrawFn) -> Statement:
    name = draw(st.sampled_from(sorted(WORDS.statements)))
    model = WORDS.statements[name]
    value = draw(figures(0.001, 1)) if model.figure else None
    unit = WORDS.base_units[model.figure] if model.figure else ""
    return Statement(name=name, topic=model.topic, value=value, unit=unit)


def sure_materials() -> st.SearchStrategy[Material]:
    """Materials under every spelling of the tables."""
    aliases: dict[str, tuple[str, ...]] = {}
    stack = [WORDS.materials._root]
    while stack:
        node = stack.pop()
        for name in node.entries:
            aliases[name.alias] = tuple(dict.fromkeys(entry.slug for entry in node.entries))
        stack += node.next.values()
    return st.sampled_from(sorted(aliases)).map(lambda alias: Material(slugs=aliases[alias], name=alias))


enclosures = st.builds(
    EnclosureType,
    type=st.sampled_from(CODES.enclosure.types),
    standard=st.sampled_from([None, "NEMA 250", "UL 50E", "CSA C22.2 No. 94.2"]),
    conditions=conditions("enclosure"),
    parts=parts,
)
threads = st.builds(Thread, size=st.sampled_from(["M8", "M12", "M18x1", "G1/2", "Pg9", "M20x1.5"]))
items: st.SearchStrategy[Item] = st.one_of(
    ingress(), enclosures, temperatures(), pressures(), magnetic(), impacts(), vibrations(), shocks(), emc(),
    statements(), threads,
)  # fmt: skip


@given(items, st.booleans())
@settings(max_examples=600, deadline=None)
def test_what_is_written_is_read(item: Item, denied: bool) -> None:
    if denied and not isinstance(item, Thread):
        item = replace(item, denied=True)
    text = write(item)
    reading = read(text)
    assert [meaning(found) for found in reading.items] == [meaning(item)], text
    assert reading.unread == ()


@given(sure_materials())
@settings(max_examples=300, deadline=None)
def test_every_name_of_a_material_is_read(item: Material) -> None:
    said = WORDS.phrases.longest(WORDS.tokens(item.name), 0)
    # "Halogen-free" says what a jacket is without; as a statement it is more honest than as a material.
    assume(said is None or all(entry.cls != "statement" for entry in said[0]))
    reading = read(write(item))
    found = reading.of("material")
    assert len(found) == 1
    assert isinstance(found[0], Material)
    assert set(found[0].slugs) >= set(item.slugs)


PIECES = """
IP IP6 67 69K 9K X / , ; : ( ) - … ... ± ≤ °C K bar m h mm T mT G g Hz NEMA Type 4X 6P up to max. not nicht when mated
front rear housing Gehäuse Dichtung FKM 1.4404 316L PA66 -GF30 IEC EN 60529 61000-4-2 21 CFR 177.2600 1935/2004 EU FDA
Ra 0,8 1,500 1.000 24 h shock vibration weld immune with mit or oder JIS C zwischen und IK10 M12 ATEX II 3D Ex no only
"""
SHEETISH = st.lists(
    st.one_of(
        st.sampled_from([*PIECES.split(), "\t", "\n"]),
        st.text(alphabet=string.printable + "äöüß°µ−–…≤½²Ω\u0308\u00ad\u200b", max_size=6),
        st.integers(-500, 100_000).map(str),
    ),
    max_size=25,
).flatmap(lambda pieces: st.sampled_from(["", " "]).map(lambda joint: joint.join(pieces)))


@given(SHEETISH | st.text(max_size=60), st.sampled_from(["", "Housing", "Operating temperature [°C]", "IP69K", ":("]))
@settings(max_examples=1500, deadline=None)
def test_nothing_raises_and_places_hold(text: str, heading: str) -> None:
    reading = read(text, heading)
    for part in reading.unread:
        assert text[part.start : part.end] == part.quote
    for item in reading.items:
        assert 0 <= item.start <= item.end <= len(text)
        if "yes-no-column" not in item.notes:
            assert text[item.start : item.end] == item.quote


@given(st.lists(SHEETISH, max_size=6).map("\n".join))
@settings(max_examples=300, deadline=None)
def test_a_sheet_never_raises_and_its_lines_hold(text: str) -> None:
    sheet = read_sheet(text)
    rows = text.splitlines()
    for missed in sheet.missed:
        # A stretch may run on over the end of its line.
        first = missed.quote.split()[0]
        assert rows[missed.line - 1][missed.column - 1 :].startswith(first)
    for claim in sheet.claims:
        assert 1 <= claim.line <= len(rows)


@given(
    st.sampled_from(["zorbium", "Wunderstahl", "unbekannt"]),
    st.sampled_from(["housing: {}", "{} IP67", "IP67 {}", "{}"]),
)
def test_an_unknown_word_is_reported(word: str, shape: str) -> None:
    assert word in " ".join(fragment.quote for fragment in read(shape.format(word)).unread)


@given(st.integers(0, 99), st.sampled_from(["", "K"]))
def test_only_codes_that_exist_are_credited(number: int, letter: str) -> None:
    code = f"{number:02d}{letter}"
    rating = read(f"IP{code}").items[0]
    assert isinstance(rating, IngressRating)
    assert rating.credit == (code[0] in CODES.ingress.first and code[1:] in CODES.ingress.second)
