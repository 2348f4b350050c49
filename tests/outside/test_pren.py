"""Pitting resistance equivalents against published values, and the materials table against its own compositions."""

import pytest
from pytest import approx

from advisor.loading import Loaded
from advisor.physics import corrosion

# source: International Molybdenum Association, "Stainless grades and properties": typical composition and PREN
IMOA = [
    ("ss-430", 16.5, 0.0, 0.0, 0.0, 16.5),
    ("ss-444", 17.7, 2.1, 0.0, 0.0, 24.6),
    ("ss-304", 18.1, 0.0, 0.0, 16.0, 18.1),
    ("ss-316", 17.2, 2.1, 0.0, 16.0, 24.1),
    ("ss-317lmn", 17.8, 4.1, 0.14, 16.0, 33.6),
    ("ss-904l", 20.0, 4.3, 0.0, 16.0, 34.2),
    ("ss-6mo", 20.0, 6.1, 0.2, 16.0, 43.3),
    ("ss-2304", 23.0, 0.3, 0.1, 16.0, 25.6),
    ("ss-2205", 22.0, 3.1, 0.17, 16.0, 35.0),
    ("ss-2507", 25.0, 4.0, 0.27, 16.0, 42.5),
]


@pytest.mark.parametrize(("grade", "cr", "mo", "n", "factor", "published"), IMOA, ids=[row[0] for row in IMOA])
def test_the_formula_gives_the_published_value(
    grade: str, cr: float, mo: float, n: float, factor: float, published: float
) -> None:
    assert corrosion.pren(cr, mo, n, 0.0, factor) == approx(published, abs=0.06)


@pytest.mark.parametrize(("grade", "published"), [(row[0], row[5]) for row in IMOA], ids=[row[0] for row in IMOA])
def test_the_published_value_lies_in_the_range_of_the_grade(loaded: Loaded, grade: str, published: float) -> None:
    cells = loaded.book.tables["materials"].rows[grade].cells
    assert cells["pren_min"][0] <= published <= cells["pren_max"][0]


@pytest.mark.parametrize(
    ("contents", "published"),
    [
        # source: British Stainless Steel Association, "Calculation of pitting resistance equivalent numbers":
        # low end of EN 1.4404, and the low end of EN 1.4435 worked in the same way
        ((16.5, 2.0, 0.0, 0.0), 23.1),
        ((17.0, 2.5, 0.0, 0.0), 25.25),
        # source: International Molybdenum Association, formula with tungsten, heat of a superduplex steel
        ((25.0, 3.6, 0.25, 0.7), 42.04),
    ],
)
def test_ends_of_ranges_and_tungsten(contents: tuple[float, float, float, float], published: float) -> None:
    assert corrosion.pren(*contents) == approx(published, abs=0.05)


def test_the_table_agrees_with_its_compositions(loaded: Loaded) -> None:
    rows = {key: row for key, row in loaded.book.tables["materials"].rows.items() if "cr" in row.cells}
    assert len(rows) > 30
    for key, row in rows.items():
        factor = 0.0 if row.cells.get("ferritic") else 16.0
        for end, column in ((0, "pren_min"), (1, "pren_max")):
            # percent are kept as fractions in the table
            cr, mo, n, w = (100 * row.cells.get(name, (0.0, 0.0))[end] for name in ("cr", "mo", "n", "w"))
            assert corrosion.pren(cr, mo, n, w, factor) == approx(row.cells[column][0], abs=0.06), (key, column)


@pytest.mark.parametrize(
    ("chloride", "celsius", "lowest"),
    [
        # source: Nickel Development Institute, reference book 11003 (1987), natural waters at ambient temperature:
        # crevice attack rare below 200 mg/L (304) and 1000 mg/L (316)
        (150, 20, corrosion.PLAIN),
        (600, 15, corrosion.MOLYBDENUM),
        (900, 20, corrosion.MOLYBDENUM),
        # source: International Molybdenum Association, PREN 32 is too little and 40 the practice in sea water
        (19400, 20, corrosion.SUPER),
        # source: guide lines for gasketed heat exchangers in general trade use: lowest grade for mg/L and degC
        (10, 120, corrosion.PLAIN),
        (50, 60, corrosion.PLAIN),
        (50, 80, corrosion.MOLYBDENUM),
        (150, 80, corrosion.MOLYBDENUM),
        (80, 120, corrosion.MOLYBDENUM),
        (300, 60, corrosion.MOLYBDENUM),
        (300, 120, corrosion.SUPER),
        (25, 130, corrosion.MOLYBDENUM),
        (50, 130, corrosion.DUPLEX),
    ],
)
def test_class_of_steel_for_chloride_and_temperature(chloride: float, celsius: float, lowest: float) -> None:
    assert corrosion.required_pren(chloride / 1000, celsius + 273.15) == lowest


@pytest.mark.parametrize(
    ("percent", "grams"),
    # source: chloride of brines from atomic masses (0.6066) with the density of sodium chloride solutions at 20 degC
    # in Perry's Chemical Engineers' Handbook, 1.0707 at 10 % and 1.1804 at 24 %
    [(10, 0.6066 * 107.07), (24, 0.6066 * 0.24 * 1180.4)],
)
def test_chloride_of_salt_brine(percent: float, grams: float) -> None:
    assert corrosion.chloride_of_salt(percent / 100, 0.6066) == approx(grams, rel=0.01)
