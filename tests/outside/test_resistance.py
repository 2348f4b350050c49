"""Cells of the resistance matrix against a second source, other than the one that the cell itself cites."""


import pytest

from advisor.loading import Loaded
from advisor.resistance import rate

CALLISTER = "Callister, Materials Science and Engineering, tables 16.4 and 16.5"
DIN = "DIN 11483-1"
ZINC = "Galvanizers Association of Australia, design manual, fig. 13: zinc stands pH 6 to 12.5"
WATER = "water treatment handbook: aluminium stands pH 4 to 8.5, copper alloys no acid below pH 4"
HARPER = "Harper (ed.), Handbook of Plastics Technologies (2006), table 4.2"
RUBBER = "ISO/TR 7620:2005"
LELIEVELD = "Lelieveld, Mostert and Holah, Handbook of Hygiene Control (2005)"

CASES = [
    # agent, material, percent, degC, hours a day, rating, source beside the check
    ("caustic-soda", "ss-304", 2, 80, 1, "resists", f"{DIN}: 5 % to 140 degC"),
    ("caustic-soda", "ss-316l", 4, 80, 1, "resists", f"{DIN}: 5 % to 140 degC"),
    ("nitric-acid", "ss-304", 1, 60, 1, "resists", f"{DIN}: 5 % to 90 degC"),
    ("nitric-acid", "ss-316l", 1, 60, 1, "resists", f"{DIN}: 5 % to 90 degC"),
    ("peracetic-acid", "ss-316", 0.1, 20, 2, "resists", f"{DIN}: 0.1 % at 20 degC for 2 h"),
    ("phosphoric-acid", "ss-304", 2, 60, 1, "resists", f"{DIN}: 2 % to 90 degC on 1.4301"),
    ("caustic-soda", "al-wrought-6xxx", 1, 60, 1, "attacked", LELIEVELD),
    ("caustic-soda", "al-anodised", 1, 60, 1, "attacked", LELIEVELD),
    ("hydrochloric-acid", "ss-316l", 5, 20, 1, "attacked", LELIEVELD),
    ("caustic-soda", "zinc-diecast", 2, 70, 1, "attacked", ZINC),
    ("nitric-acid", "zinc-diecast", 1, 20, 1, "attacked", ZINC),
    ("citric-acid", "zinc-diecast", 2, 20, 1, "attacked", ZINC),
    ("lactic-acid", "steel-hot-dip", 2, 20, 1, "attacked", ZINC),
    ("citric-acid", "al-cast", 2, 20, 1, "attacked", WATER),
    ("nitric-acid", "al-wrought-6xxx", 1, 20, 1, "attacked", WATER),
    ("nitric-acid", "brass", 1, 20, 1, "attacked", WATER),
    ("lactic-acid", "copper", 2, 20, 1, "attacked", WATER),
    ("acetic-acid", "brass", 5, 20, 1, "attacked", WATER),
    ("nitric-acid", "pa66", 2, 20, 24, "attacked", f"{CALLISTER}: oxidising acid, unsatisfactory"),
    ("brine-nacl", "pa66", 5, 20, 24, "resists", f"{CALLISTER}: salt solution, satisfactory"),
    ("brine-nacl", "pc", 5, 20, 24, "resists", f"{CALLISTER}: salt solution, satisfactory"),
    ("caustic-soda", "ptfe", 4, 20, 24, "resists", f"{CALLISTER}: alkali, satisfactory"),
    ("caustic-soda", "pp", 4, 20, 24, "resists", f"{CALLISTER}: alkali, satisfactory"),
    ("caustic-soda", "peek", 4, 20, 24, "resists", f"{CALLISTER}: alkali, satisfactory"),
    ("alcohol", "pp", 70, 20, 24, "resists", f"{CALLISTER}: polar solvent, satisfactory"),
    ("ozone-air", "vmq", 0, 20, 24, "resists", f"{CALLISTER}: ozone cracking, excellent"),
    ("ozone-air", "sbr", 0, 20, 24, "attacked", f"{CALLISTER}: ozone cracking, not recommended"),
    ("mineral-oil", "iir", 0, 60, 24, "attacked", f"{HARPER}: poor in oil"),
    ("mineral-oil", "acm", 0, 60, 24, "resists", f"{HARPER}: excellent in oil"),
    ("mineral-oil", "epdm-peroxide", 0, 60, 24, "attacked", f"{RUBBER}: not satisfactory"),
    ("ketone", "fkm-1", 0, 20, 24, "attacked", f"{RUBBER}: not satisfactory"),
    ("ketone", "epdm-peroxide", 0, 20, 24, "resists", f"{RUBBER}: satisfactory"),
    ("caustic-soda", "fkm-1", 2, 80, 1, "attacked", "Wikipedia, FKM: not for alkali and amines"),
    ("ammonia-anhydrous", "fkm-1", 0, 20, 24, "attacked", "Wikipedia, FKM: not for alkali and amines"),
    ("ozone-air", "nbr", 0, 20, 24, "attacked", "Wikipedia, Nitrile rubber: attacked by ozone"),
    ("brine-nacl", "ss-304", 5, 20, 24, "attacked", "Nickel Development Institute, reference book 11003: 200 mg/L"),
    ("sodium-hypochlorite", "ss-304", 0.1, 20, 24, "attacked", "Hollands and Postlewaite (2014): rusts within weeks"),
    ("ammonia-solution", "brass", 5, 20, 24, "attacked", "British Standard table of metallic hose materials"),
]


@pytest.mark.parametrize(
    ("agent", "material", "percent", "celsius", "hours", "rating", "source"),
    CASES,
    ids=[f"{case[0]}-{case[1]}" for case in CASES],
)
def test_rating_and_that_the_source_is_another(
    loaded: Loaded, agent: str, material: str, percent: float, celsius: float, hours: float, rating: str, source: str
) -> None:
    found, statement = rate(loaded.book.matrix().of(agent)[material], percent / 100, celsius + 273.15, hours * 3600)
    assert found == rating
    assert statement is not None
    own = statement.source.split(",")[0].split(" (")[0]
    assert own
    assert not source.startswith(own), f"the cell itself cites {statement.source}"


def test_enough_cells_are_checked() -> None:
    assert len({case[:2] for case in CASES}) >= 25


def test_a_span_across_the_attacked_middle_is_attacked(loaded: Loaded) -> None:
    # source: British Stainless Steel Association, stainless steels for sulphuric acid: 316 corrodes between dilute and
    # concentrated acid, and stands both ends at room temperature
    cell = loaded.book.matrix().of("sulphuric-acid")["ss-316"]
    room, day = 293.15, 86400.0
    assert rate(cell, 0.05, room, day)[0] == "resists"
    assert rate(cell, 0.5, room, day)[0] == "attacked"
    assert rate(cell, 0.95, room, day)[0] == "limited"
    assert rate(cell, 0.98, room, day, 0.05)[0] == "attacked"
    assert rate(cell, 0.98, room, day, 0.94)[0] == "limited"
    assert rate(cell, 0.05, room, day, 0.98)[0] == "resists"
