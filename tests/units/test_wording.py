"""How figures are worded: hedged, bounded, told twice, so many times a span, or by a word."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor import quantities
from advisor.quantities import QuantityError
from advisor.vocabulary import Slot
from advisor.wording import settle


def slot(unit: str, harsher: str | None = None, **more: object) -> Slot:
    return Slot(slot="told", ask="?", unit=unit, plausible=f"0 .. 1000 {unit}", harsher=harsher, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("told", "unit", "harsher", "meant"),
    [
        ("60 degC", "degC", None, "60 degC"),
        ("approx. 60 degC", "degC", None, "60 degC"),
        ("~60 °C", "degC", None, "60 °C"),
        ("max 60 °C", "degC", "up", "60 °C"),
        ("up to 60 °C", "degC", "up", "60 °C"),
        ("60 °C max.", "degC", "up", "60 °C"),
        ("-40 °C (min)", "degC", "down", "-40 °C"),
        ("at least 60 °C", "degC", "up", ">= 60 °C"),
        ("max 60 °C", "degC", None, "<= 60 °C"),
        ("not exceeding 60 °C", "degC", None, "<= 60 °C"),
        ("under 60 °C", "degC", "up", "60 °C"),
        ("never below 60 °C", "degC", None, ">= 60 °C"),
        ("above 60 °C", "degC", None, ">= 60 °C"),
        ("60 °C or more", "degC", None, ">= 60 °C"),
        ("60 °C and above", "degC", None, ">= 60 °C"),
        ("within 200 mm", "mm", "down", "<= 200 mm"),
        ("minus 20 °C", "degC", "down", "-20 °C"),
        ("not below minus 20 °C", "degC", "down", "-20 °C"),
        ("from 20 to 40 °C", "degC", None, "20 to 40 °C"),
        ("between minus 5 and plus 40 °C", "degC", None, "-5 to 40 °C"),
        ("95 % RH non-condensing", "percent", "up", "95 % RH"),
        ("95 % (non-condensing)", "percent", "up", "95 %"),
        ("steam at 120 °C", "degC", None, "120 °C"),
        ("cold water, about 10 °C", "degC", None, "10 °C"),
        ("hot water of 80 °C", "degC", None, "80 °C"),
        ("200 bar at the pump", "bar", "up", "200 bar"),
        ("25 bar (nozzle)", "bar", "up", "25 bar"),
        ("3-4 m depending on the tide", "m", "up", "3-4 m"),
        ("half a metre", "m", "down", "0.5 metre"),
        ("about a foot", "m", "down", "1 foot"),
        ("20 min a day", "hour", "up", "20 min a day"),
        ("1:50", "percent", "up", "2 %"),
        ("±180 degree/m", "degree/m", "up", "180 degree/m"),
        ("12 in from the wall", "mm", "down", "12 in"),
        ("min. 20 cm", "mm", "down", "20 cm"),
        ("20 cm min", "mm", "down", "20 cm"),
        ("max 2 m", "mm", "down", "<= 2 m"),
        ("10 min", "hour", "up", "10 min"),
        ("3 x 20 min", "hour", "up", "60 min"),
        ("2 times 1.5 h a day", "hour", "up", "3 h a day"),
        ("60 °C (140 °F)", "degC", None, "60 °C"),
        ("max. 10 bar (145 psi)", "bar", "up", "10 bar"),
        ("60 °C / 140 °F", "degC", None, "60 °C"),
        ("20 L/min", "L/min", "up", "20 L/min"),
        ("5-40 °C", "degC", "up", "5-40 °C"),
        ("3/4 in", "mm", "up", "3/4 in"),
    ],
)
def test_a_worded_figure_is_read_as_meant(told: str, unit: str, harsher: str | None, meant: str) -> None:
    settled = settle(told, slot(unit, harsher))
    assert settled == meant
    assert quantities.parse(settled, unit) == quantities.parse(meant, unit)


def test_a_word_stands_for_the_figure_that_the_vocabulary_gives_it() -> None:
    assert settle("Continuously", slot("hour", also={"24 hour": ["continuously"]})) == "24 hour"


@pytest.mark.parametrize("told", ["60 °C (160 °F)", "10 bar / 200 psi", "0 °C (40 °F)"])
def test_two_tellings_that_differ_are_refused(told: str) -> None:
    with pytest.raises(QuantityError, match="not the same"):
        settle(told, slot("bar" if "bar" in told else "degC"))


@pytest.mark.parametrize("text", ["1.000 psi", "12.000 A", "2.500 mm"])
def test_a_point_before_three_digits_that_end_in_noughts_is_asked_about(text: str) -> None:
    with pytest.raises(QuantityError, match="may mean"):
        settle(text, slot("bar"))


@pytest.mark.parametrize("text", ["1.025 kg/L", "0.100 mm", "10.00 bar", "1.5 bar"])
def test_a_plain_decimal_is_left_alone(text: str) -> None:
    assert settle(text, slot("bar")) == text


WORDED = [
    *("max", "min", "up to", "from", "to", "and", "about", "a", "half", "minus", "never", "at"),
    *("60", "1,200", "1:50", "°C", "%", "(", ")", ","),
]


@given(st.lists(st.sampled_from(WORDED), max_size=7), st.sampled_from([None, "up", "down"]))
def test_any_wording_is_read_or_refused(words: list[str], harsher: str | None) -> None:
    try:
        low, high = quantities.parse(settle(" ".join(words), slot("degC", harsher)), "degC")
    except QuantityError:
        return
    assert low <= high
