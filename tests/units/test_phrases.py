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
    assert phrase("hall roof", KNOWN, heads="alone") == ("outdoor",)


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


@pytest.mark.parametrize(
    ("words", "read"),
    [
        ("hosed twice a week", ("hose",)),
        ("hose 2 m", ("hose",)),
        ("in the hall", ("indoor",)),
        ("on the yard, daily", None),
        ("hosed never", None),
    ],
)
def test_how_often_and_how_much_is_left_out(words: str, read: tuple[str, ...] | None) -> None:
    known = {"hosed": ("hose",), "hose": ("hose",), "hall": ("indoor",)}
    assert phrase(words, known, tails=["a week", "twice", "daily"]) == read


def test_parts_alone() -> None:
    assert phrase("granite and dust", KNOWN, heads="parts") == ("stone",)
    assert phrase("granite dust", KNOWN, heads="parts") is None


ORDERED = {"foam": ("foam",), "rinse": ("spray", "hose"), "dry cloth": ("dry",), "hose": ("hose",)}


@pytest.mark.parametrize(
    ("words", "read"),
    [
        ("foam and rinse", ("foam", "hose")),
        ("foam or rinse", ("foam", "spray", "hose")),
        ("foam, then hose", ("hose",)),
        ("dry cloth with alcohol", ("dry", "spray", "foam", "hose")),
        ("foam in some new way", ("foam",)),
        ("some new foam way", ("foam", "hose")),
        ("some new way", None),
        ("hose with alcohol", ("hose",)),
        ("foam with hose", ("hose",)),
    ],
)
def test_of_two_that_are_both_meant_the_harsher_stands(words: str, read: tuple[str, ...] | None) -> None:
    assert phrase(words, ORDERED, leads=True, order=["dry", "spray", "foam", "hose"]) == read


@pytest.mark.parametrize(("words", "read"), [("misted", ("spray",)), ("misting", ("spray",)), ("hosing", ("hose",))])
def test_bent_words_mean_what_their_stem_means(words: str, read: tuple[str, ...]) -> None:
    assert phrase(words, {"mist": ("spray",), "hose": ("hose",)}) == read


def test_what_yields_gives_way() -> None:
    known = {"dusty": ("unheated",), "salty": ("offshore",), "hall": ("unheated",)}
    assert phrase("dusty and salty", known, yields=["unheated"]) == ("offshore",)
    assert phrase("dusty hall", known, yields=["unheated"]) == ("unheated",)
