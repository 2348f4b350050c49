"""Quantities as the trade writes them, to coherent SI and back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor import quantities
from advisor.quantities import QuantityError, from_si, number, parse, show, si_unit, to_si
from advisor.units import spelled

INF = math.inf


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [
        ("85 bar", "bar", 85e5, 85e5),
        ("85bar", "bar", 85e5, 85e5),
        ("8.5 MPa", "bar", 85e5, 85e5),
        ("1200 psi", "bar", 8273708.7518, 8273708.7518),
        ("1 200 psi", "bar", 8273708.7518, 8273708.7518),
        ("1,200 psi", "bar", 8273708.7518, 8273708.7518),
        ("13,000 ft", "m", 3962.4, 3962.4),
        ("1,000 - 1,200 psi", "bar", 6894757.2932, 8273708.7518),
        ("80-60 °C", "degC", 333.15, 353.15),
        ("0.5 g rms", "m/s**2", 6.93435, 6.93435),
        ("10 mm/s peak", "mm/s", 7.0710678e-3, 7.0710678e-3),
        ("1'200 psi", "bar", 8273708.7518, 8273708.7518),
        ("5 bar g", "bar", 5e5, 5e5),
        ("5 m of water", "bar", 49033.25, 49033.25),
        ("1/2 in", "mm", 0.0127, 0.0127),
        ("2 1/2 in", "mm", 0.0635, 0.0635),
        ("3 ft 6 in", "m", 1.0668, 1.0668),
        ("5' 6 1/2\"", "m", 1.6891, 1.6891),
        (">= 2 feet 3 inches", "m", 0.6858, INF),
        ("1'200 in", "m", 30.48, 30.48),
        ("1'000 in", "m", 25.4, 25.4),
        ("2 miles", "km", 3218.688, 3218.688),
        ("50 g", "m/s**2", 490.3325, 490.3325),
        ("6 hrs/day", "hour", 21600, 21600),
        ("2 % by mass", "percent", 0.02, 0.02),
        ("3,5 m", "m", 3.5, 3.5),
        ("0.5 miles", "m", 804.672, 804.672),
        ("2 nmi", "m", 3704, 3704),
        ("1e-3 m", "m", 0.001, 0.001),
        ("60 degC", "degC", 333.15, 333.15),
        ("60 °C", "degC", 333.15, 333.15),
        ("140 degF", "degC", 333.15, 333.15),
        ("-25 degC", "degC", 248.15, 248.15),
        ("− 25 °C", "degC", 248.15, 248.15),
        ("20 L/min", "L/min", 1 / 3000, 1 / 3000),
        ("30 m3/h", "L/min", 1 / 120, 1 / 120),
        ("1.2 g/cm3", "kg/m**3", 1200, 1200),
        ("95 %", "percent", 0.95, 0.95),
        ("60 .. 90 bar", "bar", 60e5, 90e5),
        ("60..90 bar", "bar", 60e5, 90e5),
        ("60-90 bar", "bar", 60e5, 90e5),
        ("60 – 90 bar", "bar", 60e5, 90e5),
        ("60 to 90 bar", "bar", 60e5, 90e5),
        ("60 bar .. 9 MPa", "bar", 60e5, 90e5),
        ("20 m3/h .. 30 m3/h", "L/min", 1 / 180, 1 / 120),
        ("-25 to -18 degC", "degC", 248.15, 255.15),
        ("-25 .. -18 degC", "degC", 248.15, 255.15),
        ("-25--18 degC", "degC", 248.15, 255.15),
        ("15 ± 1 L/min", "L/min", 14 / 60000, 16 / 60000),
        ("15 +/- 1 L/min", "L/min", 14 / 60000, 16 / 60000),
        ("60 °C ± 5 K", "degC", 328.15, 338.15),
        ("60 ± 5 °C", "degC", 328.15, 338.15),
        ("20 bar ± 10 %", "bar", 18e5, 22e5),
        ("80 +/- 5 %", "percent", 0.75, 0.85),
        (">= 60 degC", "degC", 333.15, INF),
        ("> 5 bar", "bar", 5e5, INF),
        ("<= 2 m", "m", -INF, 2),
        ("≤ 2 m", "m", -INF, 2),
        ("0.5", "", 0.5, 0.5),
        ("5 %", "", 0.05, 0.05),
        ("010", "", 10, 10),
    ],
)
def test_parse(text: str, unit: str, low: float, high: float) -> None:
    assert parse(text, unit) == pytest.approx((low, high), rel=1e-9)


@pytest.mark.parametrize(
    ("text", "unit", "word"),
    [
        ("5", "bar", "has no unit"),
        ("5 degC", "bar", "does not measure the same thing"),
        ("5 barr", "bar", "no known unit"),
        ("5 bara", "bar", "absolute pressure"),
        ("5 psia", "bar", "absolute pressure"),
        ("10 .. 5 bar", "bar", "runs downwards"),
        ("1,200 bar", "bar", "may mean two numbers"),
        ("1/0 in", "mm", "divides by zero"),
        ("1e999 m", "m", "not a finite number"),
        ("nan m", "m", "is no quantity"),
        ("inf m", "m", "is no quantity"),
        ("", "m", "nothing is written"),
        ("5 bar", "", "a pure number is wanted"),
        ("3 m ..", "m", "no known unit"),
        ("3 m …", "m", "no known unit"),
        ("3 m;", "m", "no known unit"),
        ("3 m # deep", "m", "no known unit"),
        ("3 m 4", "m", "no known unit"),
        ("2 h 30 min", "hour", "no known unit"),
        ("20 ± 10 % bar", "bar", ""),
        ("5 .. 6 .. 7 m", "m", ""),
        ("about 5 m", "m", "is no quantity"),
        ("5 9**9**9", "m", "no known unit"),
        ("5 m**9**9**9", "m", "no known unit"),
    ],
)
def test_refused(text: str, unit: str, word: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(text, unit)
    assert word in caught.value.what


def test_a_difference_has_no_zero_point() -> None:
    assert parse("5 K", "K", difference=True) == (5, 5)
    assert parse("9 degF", "K", difference=True) == pytest.approx((5, 5))
    assert to_si(5, "degC") == 278.15
    assert to_si(5, "degC", difference=True) == 5


def test_the_same_temperature_in_two_scales_is_the_same_number() -> None:
    assert to_si(140, "degF") == to_si(60, "degC")


def test_many_blanks_take_no_time() -> None:
    assert parse("5" + " " * 20_000 + "bar", "bar") == (5e5, 5e5)


@given(st.text("0123456789 .,-+/±%<>=*^()'\"eEbarmKCF°²³\t", max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        low, high = parse(text, "bar")
    except QuantityError:
        return
    assert low <= high


@given(
    st.floats(-1e6, 1e6),
    st.sampled_from(["bar", "degC", "mm", "L/min", "percent", "hour", "kg/m**3", "degree", "degF"]),
)
def test_there_and_back(value: float, unit: str) -> None:
    assert from_si(to_si(value, unit), unit) == pytest.approx(value, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("name", sorted(spelled().coherent))
def test_coherent_units_have_factor_one(name: str) -> None:
    assert si_unit(name) == name
    assert to_si(1, name, difference=True) == 1


@pytest.mark.parametrize("spelling", sorted(spelled().spellings))
def test_every_spelling_is_a_unit_with_a_coherent_one(spelling: str) -> None:
    assert isinstance(si_unit(spelling), str)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (85e5, "bar", "85 bar"),
        (333.15, "degC", "60 °C"),
        (0.0127, "mm", "12.7 mm"),
        (1234567, "Pa", "1.23e+06 Pa"),
        (0, "m", "0 m"),
        (1 / 3000, "L/min", "20 L/min"),
        (1200, "kg/m**3", "1200 kg/m³"),
        (INF, "m", "unbounded"),
        (0.3, "", "0.3"),
    ],
)
def test_show(value: float, unit: str, text: str) -> None:
    assert show(value, unit) == text


@given(st.floats(1e-3, 1e5))
def test_numbers_keep_three_digits(value: float) -> None:
    assert float(number(value)) == pytest.approx(value, rel=6e-3)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("40 kA/m", "mT", 0.0502655),
        ("500 Oe", "mT", 0.05),
        ("200 mg/L", "percent", 0.0002),
        ("20 g/L", "percent", 0.02),
        ("150 ppm", "percent", 0.00015),
    ],
)
def test_units_of_another_kind_that_stand_in(text: str, unit: str, value: float) -> None:
    # source: B = mu0 H in air; 1 L of dilute water has 1 kg
    assert quantities.parse(text, unit)[0] == pytest.approx(value, rel=1e-5)


def test_a_concentration_stands_in_for_percent_only() -> None:
    with pytest.raises(quantities.QuantityError):
        quantities.parse("200 mg/L", "mT")
    with pytest.raises(quantities.QuantityError):
        quantities.parse("12 g/m3", "percent")


def test_kilograms_in_full_leave_the_other_masses_alone() -> None:
    assert parse("0.5 kilograms", "kg") == (0.5, 0.5)
    assert parse("3 oz", "kg")[0] == pytest.approx(0.0850486)
