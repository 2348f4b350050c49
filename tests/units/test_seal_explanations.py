"""Why this seal: what is said of the common rubbers in five surroundings, rating and reason, each with its source."""

from collections.abc import Callable

import pytest

from advisor.advise import Advice
from advisor.loading import Loaded
from advisor.materials import MaterialVerdict, judge

MILD = """
others: none
place: {setting: indoor}
unit: {kind: sensor, inside: filled, connection: connector, running_temperature: 20 degC}
corrosion: {water: 20 mg/L}
"""
ROOM = "air: {low: 15 degC, high: 25 degC, humidity: 50 %, coldest_surface: 20 degC}\n"
SURROUNDINGS = {
    "hot caustic with animal fat": """
exposure:
  - {agent: caustic-soda, strength: 2 %, temperature: 80 degC, duration: 0.5 hour, dries: "no"}
  - {agent: fat, temperature: 60 degC, duration: 8 hour}
""",
    "steam": "exposure: [{agent: steam, temperature: 121 degC, duration: 0.5 hour}]",
    "peracetic acid": "exposure: [{agent: peracetic-acid, strength: 0.3 %, temperature: 20 degC, duration: 0.3 hour}]",
    "cutting fluid": "exposure: [{agent: cutting-emulsion, strength: 8 %, temperature: 35 degC, duration: 24 hour}]",
    "freezing": "air: {low: -25 degC, high: 20 degC, humidity: 50 %, coldest_surface: 20 degC}",
}

# surroundings, seal, rating, words of the reason, source of the expectation
EXPECTED = [
    (
        "hot caustic with animal fat",
        "epdm-peroxide",
        "attacked",
        "fat or vegetable oil (60 °C, 8 h)",
        "ISO/TR 7620:2005, EPDM in fat",
    ),
    ("hot caustic with animal fat", "fkm-1", "attacked", "hydroxide (2 %", "Moore 2006, ch. 2: bases take HF off"),
    ("hot caustic with animal fat", "nbr", "limited", "hydroxide (2 %", "ISO/TR 7620:2005, NBR in hot caustic"),
    ("hot caustic with animal fat", "vmq", "limited", "fat", "Forrest 2006, ch. 4; Nahar and Zhang 2011"),
    ("hot caustic with animal fat", "ffkm", "resists", "", "ISO/TR 7620:2005, perfluoro rubber"),
    ("steam", "epdm-peroxide", "resists", "", "rubber-trade comparison of cures, 150 degC"),
    ("steam", "epdm-sulphur", "limited", "saturated steam (121 °C", "rubber-trade comparison of cures, 120 degC"),
    ("steam", "fkm-1", "attacked", "saturated steam (121 °C", "ISO/TR 7620:2005; Moore 2006"),
    ("steam", "nbr", "attacked", "saturated steam (121 °C", "ISO/TR 7620:2005"),
    ("steam", "vmq", "limited", "saturated steam (121 °C", "O-ring handbooks: short cycles to 121 degC"),
    ("steam", "ffkm", "limited", "saturated steam (121 °C", "O-ring handbooks: the grade decides"),
    ("steam", "ffkm-steam", "resists", "", "O-ring handbooks: steam grades"),
    ("peracetic acid", "epdm-peroxide", "resists", "", "O-ring handbooks: the seal for peracetic acid"),
    ("peracetic acid", "fkm-1", "limited", "peracetic acid (0.3 %", "O-ring handbooks: fair, acetic acid swells it"),
    ("peracetic acid", "nbr", "attacked", "peracetic acid (0.3 %", "ISO/TR 7620:2005: oxidised"),
    ("peracetic acid", "vmq", "limited", "peracetic acid (0.3 %", "O-ring handbooks: fair"),
    ("peracetic acid", "ffkm", "resists", "", "ISO/TR 7620:2005"),
    ("cutting fluid", "epdm-peroxide", "attacked", "cutting fluid (8 %", "ISO/TR 7620:2005: the oil swells it"),
    ("cutting fluid", "fkm-1", "resists", "", "ISO/TR 7620:2005; Wikipedia, FKM"),
    ("cutting fluid", "nbr", "resists", "", "Wikipedia, Nitrile rubber; Harper 2006, table 4.2"),
    ("cutting fluid", "ffkm", "resists", "", "ISO/TR 7620:2005"),
    ("freezing", "epdm-peroxide", "resists", "", "Wikipedia, EPDM rubber: to -50 degC"),
    ("freezing", "fkm-1", "attacked", "as cold as -25 °C", "Wikipedia, FKM: type 1 to about -15 to -20 degC"),
    ("freezing", "nbr", "resists", "", "Wikipedia, Nitrile rubber: to -40 degC"),
    ("freezing", "vmq", "resists", "", "Callister, table 15.4: silicone to -115 degC"),
    ("freezing", "ffkm", "attacked", "as cold as -25 °C", "O-ring handbooks: to about -10 to -15 degC"),
]


def site(surroundings: str) -> str:
    """The surroundings in an otherwise mild room, with nothing left open."""
    text = SURROUNDINGS[surroundings]
    return MILD + ("" if text.startswith("air:") else ROOM) + text


def verdict(loaded: Loaded, advice: Advice, material: str) -> MaterialVerdict:
    table = loaded.book.tables["materials"]
    return judge(table.rows[material], "seal", table, advice.certain, advice.possible)


@pytest.mark.parametrize(
    ("surroundings", "seal", "rating", "words", "source"), EXPECTED, ids=[f"{e[1]} in {e[0]}" for e in EXPECTED]
)
def test_rating_and_reason(
    loaded: Loaded, advise: Callable[[str], Advice], surroundings: str, seal: str, rating: str, words: str, source: str
) -> None:
    advice = advise(site(surroundings))
    found = verdict(loaded, advice, seal)
    assert (found.certain, found.possible) == (rating, rating), (source, found)
    assert all(reason.text for reason in found.reasons)
    if words:
        assert any(words in reason.text for reason in found.reasons if reason.rating == rating), (source, found)
    else:
        assert not found.reasons, (source, found)


def test_every_reason_by_resistance_names_its_source(loaded: Loaded, advise: Callable[[str], Advice]) -> None:
    advice = advise(site("hot caustic with animal fat"))
    found = verdict(loaded, advice, "epdm-peroxide")
    assert "ISO/TR 7620:2005" in found.reasons[0].text
    assert any(basis in found.reasons[0].text for basis in ("published", "recalled", "common practice"))


def test_the_pair_of_opposites_is_named(advise: Callable[[str], Advice]) -> None:
    # source: ISO/TR 7620:2005; Moore 2006: EPDM and FKM fail in opposite halves of the cycle
    advice = advise(site("hot caustic with animal fat"))
    practice = [note.item for note in advice.on("practice")]
    assert any("EPDM stands the alkali" in text and "FKM stands the fat" in text for text in practice)


def test_a_loose_name_is_as_bad_as_its_worst_compound(loaded: Loaded, advise: Callable[[str], Advice]) -> None:
    # source: reading rule of the trade: EPDM without its cure is sulphur cured, FKM without its type is type 1
    advice = advise(site("steam"))
    assert verdict(loaded, advice, "epdm-unspecified").possible == "limited"
    assert verdict(loaded, advice, "fkm-unspecified").possible == "attacked"
