"""Faults: one printable line each, in order, with the nearest known word."""

import pytest

from advisor.faults import Collector, Fault, InputError, Place, listing, nearest, shorten


@pytest.mark.parametrize(
    ("place", "text"),
    [(Place("a.yaml", 3, 5), "a.yaml:3:5"), (Place("a.yaml", 3), "a.yaml:3"), (Place("a.yaml"), "a.yaml")],
)
def test_a_place_names_only_what_is_known(place: Place, text: str) -> None:
    assert str(place) == text


def test_a_fault_is_one_printable_line() -> None:
    line = str(Fault(Place("a.yaml", 1, 1), "what\x1b[31m\nis", "this\tinstead"))
    assert line.isprintable()
    assert line.startswith("a.yaml:1:1: what")


def test_faults_are_sorted_by_place_and_never_doubled() -> None:
    late, early = Fault(Place("a.yaml", 9, 1), "late"), Fault(Place("a.yaml", 2, 1), "early")
    assert InputError([late, early, late]).faults == (early, late)
    assert str(InputError([late, early])).splitlines() == ["a.yaml:2:1: early", "a.yaml:9:1: late"]


def test_a_collector_raises_all_at_once_or_nothing() -> None:
    faults = Collector()
    faults.raise_any()
    faults.add(Place("a"), "one")
    faults.add(Place("a"), "two", "three")
    with pytest.raises(InputError) as caught:
        faults.raise_any()
    assert len(caught.value.faults) == 2


def test_nearest_names_the_closest_word_and_what_is_accepted() -> None:
    assert nearest("hoose", ["wipe", "hose"]) == "did you mean hose? Accepted: wipe, hose"
    assert nearest("HOSE", ["wipe", "hose"]).startswith("did you mean hose?")
    assert nearest("zzz", ["wipe", "hose"]) == "accepted: wipe, hose"
    assert nearest("word3", [f"word{number}" for number in range(20)]) == "did you mean word3?"
    assert nearest("zzz", []) == "accepted: "


def test_lists_and_values_are_cut() -> None:
    assert listing([str(number) for number in range(14)]).endswith("11 and 2 more")
    assert len(shorten("x" * 500)) <= 62
    assert "\n" not in shorten("a\nb")
