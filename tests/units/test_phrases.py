"""Longer phrases are read by the noun at their end, and by nothing where the end is no noun."""

import pytest

from advisor.phrases import in_other_number, phrase

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
        ("yards and open halls", ("outdoor", "sheltered")),
        ("body shop, yard", ("indoor", "outdoor")),
        ("shop with crane", None),
        ("shop but not yard", None),
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


@pytest.mark.parametrize(
    ("words", "read"),
    [
        ("clouds of dust", ("circulating",)),
        ("clouds at the layer", ("circulating", "settling")),
        ("bolted to the press", ("direct",)),
        ("wiped with 70 % ipa", ("wipe",)),
        ("not bolted to the press", None),
        ("dust beside clouds", None),
    ],
)
def test_a_known_word_at_the_start_leads(words: str, read: tuple[str, ...] | None) -> None:
    known = {"clouds": ("circulating",), "layer": ("settling",), "bolted": ("direct",), "wiped with ipa": ("wipe",)}
    assert phrase(words, known, leads=True) == read


NAMED = {"pump room": ("indoor",), "deck": ("outdoor",), "yard": ("outdoor",)}


@pytest.mark.parametrize(
    ("told", "meant"), [("pump rooms", ("indoor",)), ("decks", ("outdoor",)), ("yards", ("outdoor",)), ("glass", None)]
)
def test_singular_and_plural_mean_the_same(told: str, meant: tuple[str, ...] | None) -> None:
    assert in_other_number(told, NAMED) == meant
