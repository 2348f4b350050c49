"""Longer phrases are read by the noun at their end, and by nothing where the end is no noun."""

import pytest

from advisor.phrases import phrase

KNOWN = {
    "shop": ("indoor",),
    "yard": ("outdoor",),
    "hall": ("indoor",),
    "open hall": ("sheltered",),
    "roof": ("outdoor",),
    "dust": ("unknown",),
    "granite": ("stone",),
}


@pytest.mark.parametrize(
    ("words", "read"),
    [
        ("body shop", ("indoor",)),
        ("old scrap yard", ("outdoor",)),
        ("big open hall", ("sheltered",)),
        ("granite dust", ("stone",)),
        ("fine dust", ("unknown",)),
        ("hall roof", ("outdoor", "indoor")),
        ("open hall roof", ("outdoor", "sheltered")),
        ("yard beside the shop", None),
        ("no shop", None),
        ("shop floor", None),
        ("shop", None),
    ],
)
def test_phrase(words: str, read: tuple[str, ...] | None) -> None:
    assert phrase(words, KNOWN) == read


def test_long_phrase_is_not_read() -> None:
    assert phrase("a b c d e f g h shop".replace("a ", "x ", 1), KNOWN) is None


def test_a_word_that_the_slot_names_keeps_a_phrase_unread() -> None:
    assert phrase("guard sensor", {"sensor": ("sensor",)}, ["guard"]) is None
    assert phrase("door sensor", {"sensor": ("sensor",)}, ["guard"]) == ("sensor",)


def test_the_end_alone() -> None:
    assert phrase("hall roof", KNOWN, alone=True) == ("outdoor",)
