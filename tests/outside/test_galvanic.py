"""Couples of metals against the published index table, its limits, and two other galvanic series."""

from collections.abc import Callable

import pytest
from pytest import approx

from advisor.advise import Advice
from advisor.loading import Loaded

# source: MIL-DTL-14072F, table VI, as reproduced at vk6ysf.com/galvanic_table.htm (volts below gold, sign dropped)
INDEX = {
    "gold": 0.00,
    "silver-nickel-copper": 0.15,
    "nickel": 0.30,
    "titanium": 0.30,
    "copper": 0.35,
    "brass": 0.40,
    "high-brass": 0.45,
    "stainless-18cr": 0.50,
    "chromium-tin": 0.60,
    "lead": 0.70,
    "aluminium-copper": 0.75,
}
LIMITS = {"harsh": 0.15, "normal": 0.25, "controlled": 0.50}


def test_index_and_limits(loaded: Loaded) -> None:
    rows, limits = loaded.book.tables["galvanic"].rows, loaded.book.tables["galvanic_limits"].rows
    for group, volts in INDEX.items():
        assert rows[group].cells["index"] == approx((volts, volts)), group
    for place, volts in LIMITS.items():
        # source: the limits printed with the same table; gold on silver is its own example of what is let pass
        assert limits[place].cells["permitted"] == approx((volts, volts)), place


@pytest.mark.parametrize(
    ("group", "volts"),
    # source: galvanic series in sea water against Ag/AgCl at 25 degC, boatbuilding chart (docslib.org/doc/8174925),
    # within 0.01 V of the calomel electrode; the chart states a scatter of 0.04 V for iron and nickel alloys
    [("zinc", -1.05), ("aluminium", -0.82), ("steel", -0.79), ("brass", -0.45), ("high-brass", -0.45)],
)
def test_sea_water_potential(loaded: Loaded, group: str, volts: float) -> None:
    low, high = loaded.book.tables["galvanic"].rows[group].cells["sea"]
    assert low - 0.08 <= volts <= high + 0.08


def test_order_of_the_series(loaded: Loaded) -> None:
    # source: MIL-STD-889B notice 3, table II: zinc, aluminium 6061, steel 1010, yellow brass and copper in this order
    rows = loaded.book.tables["galvanic"].rows
    middles = [sum(rows[group].cells["sea"]) / 2 for group in ("zinc", "aluminium", "steel", "brass", "copper")]
    assert middles == sorted(middles)


def told(advice: Advice, topic: str, words: str) -> bool:
    """Whether it is said for certain; metals without a sea-water potential leave it open."""
    return any(words in note.item and note.state == "certain" for note in advice.on(topic))


@pytest.mark.parametrize(
    ("first", "second", "place", "asked"),
    [
        # source: limits of the published table; difference of index beyond the limit asks for isolation
        ("gold", "silver-nickel-copper", "harsh", False),
        ("stainless-18cr", "nickel", "normal", False),
        ("stainless-18cr", "nickel", "harsh", True),
        ("stainless-18cr", "high-brass", "harsh", False),
        ("aluminium", "stainless-18cr", "normal", True),
        ("aluminium", "stainless-18cr", "controlled", False),
        ("stainless-18cr", "zinc", "controlled", True),
        ("steel", "zinc", "normal", True),
        ("stainless-18cr", "stainless-18cr", "immersed", False),
    ],
)
def test_when_a_couple_is_answered(
    advise: Callable[[str], Advice], first: str, second: str, place: str, asked: bool
) -> None:
    advice = advise(f"others: none\ncouple: [{{first: {first}, second: {second}, place: {place}, ratio: 1}}]\n")
    assert (told(advice, "practice", "permitted") or told(advice, "practice", "let pass")) == asked


@pytest.mark.parametrize(
    ("first", "second", "ratio", "clash"),
    [
        # source: MIL-STD-1250A, 5.6: a small less noble part in a large nobler one; the reverse is borne
        ("stainless-18cr", "zinc", 50, True),
        ("stainless-18cr", "aluminium", 50, True),
        ("aluminium", "stainless-18cr", 50, False),
        ("stainless-18cr", "zinc", 1, False),
        # source: sea-water series: brass is eaten by passive stainless steel, though the index says the reverse
        ("stainless-18cr", "high-brass", 50, True),
    ],
)
def test_small_anodes(advise: Callable[[str], Advice], first: str, second: str, ratio: int, clash: bool) -> None:
    advice = advise(f"others: none\ncouple: [{{first: {first}, second: {second}, place: immersed, ratio: {ratio}}}]\n")
    assert told(advice, "conflict", "does not last") == clash


def test_insulation_ends_it(advise: Callable[[str], Advice]) -> None:
    # source: MIL-STD-1250A, 5.7
    advice = advise('others: none\ncouple: [{first: stainless-18cr, second: zinc, place: harsh, insulated: "yes"}]\n')
    assert not told(advice, "conflict", "does not last")
