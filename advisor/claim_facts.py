"""What a spec sheet says as facts, so that the rules about claims can see it beside what is told of the site."""

from collections.abc import Iterator, Mapping

from advisor.engine.facts import Fact
from advisor.notation import items as said
from advisor.quantities import to_si
from advisor.rating_claims import immersion_depth
from advisor.rulebook import Rulebook
from advisor.sheet import Said, UnitSheet
from advisor.tables import Row
from advisor.values import ABSENT, Domain, Span, Words

LASTING = 3.6e9
"""Seconds that stand for a claim without end, such as permanent immersion."""


def claim_facts(unit: UnitSheet, book: Rulebook) -> list[Fact]:
    """Return one fact for each reading that rules may test, and one for the sheet as a whole."""
    facts = []
    vocabulary = book.vocabulary
    entries = [("sheet", _whole(unit), unit.name), *_entries(unit, book.tables["materials"].rows)]
    for number, (template, slots, quote) in enumerate(entries):
        names = vocabulary.templates[template].by_name
        filled = {name: slots.get(name, ABSENT) for name in names}
        facts.append(Fact(template, f"{template}@{number}", filled, label=quote))
    return facts


def _word(*words: str) -> Domain:
    return Words(frozenset(words)) if words else ABSENT


def _point(value: float | None) -> Domain:
    return ABSENT if value is None else Span(value, value)


def _degrees(value: float | None) -> Domain:
    return ABSENT if value is None else _point(to_si(value, "degC"))


def _entries(unit: UnitSheet, materials: Mapping[str, Row]) -> Iterator[tuple[str, dict[str, Domain], str]]:
    waves = _waves(unit)
    for entry in unit.said:
        item = entry.item
        if item.denied:
            continue
        if isinstance(item, said.IngressRating):
            for condition in [c.name for c in item.conditions] or ["none"]:
                for note in item.notes or ("none",):
                    yield "rating", _rating(item, entry, condition, note), entry.quote
        elif isinstance(item, said.Statement):
            slots = {"name": _word(item.name), "topic": _word(item.topic)}
            slots["reference"] = _word("given" if item.reference else "none")
            slots["words"] = _word(entry.quote)
            slots["hours"] = _point(item.value) if item.unit == "s" else ABSENT
            yield "statement", slots, entry.quote
        elif isinstance(item, said.Material):
            for slug in item.slugs:
                grade = "missing" if item.generic else "stated"
                yield (
                    "made_of",
                    {
                        "material": _word(slug),
                        "stands_for": _word(*materials[slug].cells.get("worst_of", (slug,))),
                        "part": _word(entry.part),
                        "grade": _word(grade),
                    },
                    entry.quote,
                )
        elif isinstance(item, said.MagneticImmunity) and (item.flux_t is not None or not waves):
            for wave in item.waveforms or ("unstated",):
                slots = {"flux": _point(item.flux_t), "waveform": _word(wave)}
                slots["figure"] = _word("none" if item.flux_t is None else "given")
                slots["alone"] = _word("yes" if waves <= {wave} else "no")
                yield "field_claim", slots, entry.quote
        elif isinstance(item, said.EmcStatement):
            yield "emc_claim", {"standard": _word(item.standard)}, entry.quote
        elif isinstance(item, said.Temperature):
            slots = {"role": _word(item.role), "part": _word(entry.part)}
            slots |= {"low": _degrees(item.low_degc), "high": _degrees(item.high_degc)}
            yield "range_claim", slots, entry.quote


def _waves(unit: UnitSheet) -> set[str]:
    """The waveforms for which the sheet gives a figure."""
    given = [e.item for e in unit.said if isinstance(e.item, said.MagneticImmunity) and e.item.flux_t is not None]
    return {wave for item in given for wave in item.waveforms or ("unstated",)}


def _rating(item: said.IngressRating, entry: Said, condition: str, note: str) -> dict[str, Domain]:
    slots = {
        "first": _word(item.first),
        "depth": _point(immersion_depth(item)),
        "pressure": _point(item.pressure_pa),
        "duration": _point(LASTING if item.duration_s is None and item.has("continuous") else item.duration_s),
        "condition": _word(condition),
        "note": _word(note),
        "part": _word(entry.part),
        "standard": _word(item.standard or "none"),
    }
    if item.second != "X":
        slots["code"] = _word(f"IPX{item.second}")
    if item.pressure_pa is not None:
        unstated = not item.absolute and "pressure-unreferenced" in item.notes
        slots["reading"] = _word("unstated" if unstated else "stated")
    return slots


def _whole(unit: UnitSheet) -> dict[str, Domain]:
    ratings = [
        e.item for e in unit.said if isinstance(e.item, said.IngressRating) and e.item.credit and not e.item.denied
    ]
    seconds, firsts = {item.second for item in ratings}, {item.first for item in ratings}
    # What an enclosure Type turns into by the one-way table shows jets and immersion as well.
    seconds |= {c.item.removeprefix("IPX") for c in unit.claims if c.topic == "ingress.water" and c.credit != "none"}
    cold, hot = bool(seconds & {"5", "6", "6K"}), bool(seconds & {"9", "9K"})
    types = any(isinstance(entry.item, said.EnclosureType) for entry in unit.said)
    ranges = [
        e.item
        for e in unit.said
        if isinstance(e.item, said.Temperature) and e.item.role in ("operating", "unspecified")
    ]
    highs = [item.high_degc for item in ranges if item.high_degc is not None]
    lows = [item.low_degc for item in ranges if item.low_degc is not None]
    return {
        "jets": _word("both" if cold and hot else "hot" if hot else "cold" if cold else "none"),
        "immersion": _word("eight" if "8" in seconds else "seven" if "7" in seconds else "none"),
        "solids": _word("six" if firsts & {"6", "6K"} else "five" if firsts & {"5", "5K"} else "none"),
        "type_claimed": _word("yes" if types else "no"),
        "ip_claimed": _word("yes" if ratings else "no"),
        "high": _degrees(min(highs, default=None)),
        "low": _degrees(max(lows, default=None)),
        "fields": _word("given" if _waves(unit) else "none"),
    }
