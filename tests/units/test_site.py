"""A site file becomes facts: presets, assumptions, alternatives, relevance, and what is not known."""

from collections.abc import Callable
from typing import Any

import pytest
import strategies
from conftest import SMALL

from advisor import yamlfile
from advisor.faults import InputError
from advisor.loading import load
from advisor.site import Answer, Site, read_site
from advisor.values import ABSENT, Span, Words

BOOK = load(knowledge=SMALL).book
Read = Callable[[str], Site]


@pytest.fixture
def read() -> Read:
    return lambda text: read_site(yamlfile.parse(f"site: a test\n{text}", "site.yaml"), BOOK)


def answer(site: Site, identity: str, slot: str) -> Answer:
    return site.by_id()[identity].answers[slot]


def test_head(read: Read) -> None:
    site = read("about: something\ndate: 2026-11-24\nreference: 7\n")
    assert (site.name, site.about, site.date, site.reference) == ("a test", "something", "2026-11-24", "7")


@pytest.mark.parametrize(
    ("text", "domain", "origin"),
    [
        ("5 bar", Span(5e5, 5e5), "told"),
        ("2 .. 5 bar", Span(2e5, 5e5), "told"),
        ('">= 5 bar"', Span(5e5, 3000e5), "told"),
        ('"<= 5 bar"', Span(1e3, 5e5), "told"),
        ("unknown", Span(1e3, 3000e5, told=False), "unknown"),
        ("null", Span(1e3, 3000e5, told=False), "silent"),
    ],
)
def test_figures(read: Read, text: str, domain: Span, origin: str) -> None:
    found = answer(read(f"wash: {{method: hose, pressure: {text}}}"), "wash#1", "pressure")
    assert (found.domain, found.origin) == (domain, origin)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("hose", {"hose"}),
        ("HOSE", {"hose"}),
        ("[hose, lance]", {"hose", "lance"}),
        ("unknown", {"wipe", "splash", "hose", "lance"}),
    ],
)
def test_choices(read: Read, text: str, words: set[str]) -> None:
    found = answer(read(f"wash: {{method: {text}}}"), "wash#1", "method").domain
    assert isinstance(found, Words)
    assert set(found.options) == words


@pytest.mark.parametrize("word", ["sea-water", "sea water", "Sea Water", "sea_water", "brine of the sea"])
def test_rows_go_by_key_name_and_alias(read: Read, word: str) -> None:
    found = answer(read(f"immersion: {{kind: temporary, liquid: {word}}}"), "immersion", "liquid").domain
    assert found == Words(frozenset(["sea-water"]))


def test_a_preset_fills_what_is_not_told(read: Read) -> None:
    site = read("wash: {preset: mains-hose, pressure: 4 bar}")
    assert answer(site, "wash#1", "method") == Answer(Words(frozenset(["hose"])), "preset", "preset mains-hose")
    assert answer(site, "wash#1", "pressure").domain == Span(4e5, 4e5)
    assert answer(read("wash: {preset: mains-hose}"), "wash#1", "pressure").domain == Span(2e5, 10e5)
    assert answer(read("wash: {preset: mains-hose, pressure: unknown}"), "wash#1", "pressure").origin == "unknown"


def test_what_is_assumed_is_said(read: Read) -> None:
    assert answer(read(""), "place", "altitude") == Answer(Span(0, 0), "assumed", "0 m")
    assert answer(read("place: {altitude: unknown}"), "place", "altitude").origin == "unknown"


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("kind: temporary", {"depth"}),
        ("kind: temporary, pressure: 1 bar", {"pressure"}),
        ("kind: temporary, pressure: unknown", {"pressure"}),
        ("kind: temporary, depth: 1 m, pressure: 1 bar", {"depth", "pressure"}),
        ("kind: temporary, depth: unknown, pressure: 1 bar", {"pressure"}),
    ],
)
def test_of_alternatives_one_answer_is_enough(read: Read, text: str, kept: set[str]) -> None:
    site = read(f"immersion: {{{text}}}")
    assert {name for name in ("depth", "pressure") if answer(site, "immersion", name).domain is not ABSENT} == kept


def test_a_slot_that_does_not_apply_is_absent_and_an_answer_to_it_is_named(read: Read) -> None:
    site = read("wash: {method: wipe, pressure: 5 bar}")
    assert answer(site, "wash#1", "pressure") == Answer(ABSENT, "not relevant")
    assert len(site.unused) == 1
    assert "pressure" in site.unused[0]
    assert read("wash: {method: hose, pressure: 5 bar}").unused == ()


def test_a_slot_in_doubt_is_marked(read: Read) -> None:
    doubtful = answer(read("wash: {method: [wipe, hose], pressure: 5 bar}"), "wash#1", "pressure").domain
    assert doubtful == Span(5e5, 5e5, maybe=True)


def test_instances(read: Read) -> None:
    site = read("wash: [{name: first, method: hose}, {method: wipe}]")
    own = [entry for entry in site.instances if entry.template == "wash"]
    assert [(entry.id, entry.label, entry.certain) for entry in own] == [
        ("wash#1", "first", True),
        ("wash#2", "wash 2", True),
    ]


@pytest.mark.parametrize(
    ("text", "ids"),
    [
        ("", [("wash?", False)]),
        ("wash: unknown", [("wash?", False)]),
        ("wash: none", []),
        ("wash: {method: hose}", [("wash#1", True)]),
    ],
)
def test_silence_is_no_denial(read: Read, text: str, ids: list[tuple[str, bool]]) -> None:
    assert [(entry.id, entry.certain) for entry in read(text).instances if entry.template == "wash"] == ids


def test_none_of_a_template_that_stands_once(read: Read) -> None:
    assert answer(read("immersion: none"), "immersion", "kind").domain == Words(frozenset(["none"]))


@pytest.mark.parametrize("text", ["place: {setting: indoor}", "place: [{setting: indoor}]"])
def test_one_in_a_list_is_one(read: Read, text: str) -> None:
    assert answer(read(text), "place", "setting").domain == Words(frozenset(["indoor"]))


def test_every_asked_template_of_the_shipped_vocabulary_can_be_left_out(
    site_of: Callable[[str], Any],
) -> None:
    site = site_of("")
    assert all(slot in entry.answers for entry in site.instances for slot in entry.answers)
    assert {entry.origin for inst in site.instances for entry in inst.answers.values()} <= {
        "silent",
        "assumed",
        "not relevant",
    }


WORLD = "site: x\nothers: none\nunit: {kind: sensor}\nplace: {setting: outdoor}\n"


def whole(text: str) -> Site:
    return read_site(yamlfile.parse(text, "site.yaml"), load().book)


def test_others_none_does_not_deny_what_the_unit_is() -> None:
    assert answer(whole(WORLD), "emc", "environment").domain == Words(frozenset(["plant"]))
    assert answer(whole(WORLD), "sensing", "principle").domain == Words(frozenset(["junction-box"]))
    by_a_weld = whole(WORLD + "field_source: {layout: measured, waveform: dc, flux: 30 mT}\n")
    assert answer(by_a_weld, "sensing", "principle").origin == "silent"
    assert answer(whole(WORLD + "emc: none\n"), "emc", "environment").domain == Words(frozenset(["none"]))


def test_others_none_leaves_nothing_that_cools_a_surface_below_the_air() -> None:
    air = "air: {low: 18 degC, high: 26 degC, humidity: 50 %}\n"
    assert answer(whole(WORLD + air), "air", "coldest_surface").domain == Span(291.15, 291.15)
    assert answer(whole(WORLD.replace("others: none\n", "") + air), "air", "coldest_surface").origin == "silent"
    told = whole(WORLD + "air: {low: 18 degC, high: 26 degC, coldest_surface: 6 degC}\n")
    assert answer(told, "air", "coldest_surface").domain == Span(279.15, 279.15)


def test_a_kind_of_unit_says_how_it_senses_where_nothing_else_does() -> None:
    text = "site: a test\nunit: {kind: photo eye}\n"
    found = answer(whole(text), "sensing", "principle")
    assert (found.domain, found.origin) == (Words(frozenset(["photoelectric"])), "assumed")
    told = answer(whole(text + "sensing: {principle: capacitive}\n"), "sensing", "principle")
    assert told.domain == Words(frozenset(["capacitive"]))
    assert answer(whole("site: a test\nunit: {kind: sensor}\n"), "sensing", "principle").origin == "silent"


def test_others_none_puts_the_sea_far_away_and_silence_does_not() -> None:
    assert answer(whole(WORLD), "corrosion", "sea").domain == Span(1e6, 1e6)
    silent = answer(whole(WORLD.replace("others: none\n", "")), "corrosion", "sea")
    assert silent.origin == "silent"
    assert answer(whole(WORLD + "corrosion: {sea: 2 km}\n"), "corrosion", "sea").domain == Span(2000, 2000)


def test_rain_outdoors_is_driven_unless_told() -> None:
    assert answer(whole(WORLD), "weather", "rain").domain == Words(frozenset(["driven"]))
    told = whole(WORLD + "weather: {rain: falling}\n")
    assert answer(told, "weather", "rain").domain == Words(frozenset(["falling"]))


def test_a_loose_word_means_any_of_its_rows() -> None:
    text = "site: a test\nexposure: [{agent: oil}, {agent: Caustic_Soda}]\n"
    site = read_site(yamlfile.parse(text, "site.yaml"), load().book)
    loose, sharp = (entry.answers["agent"].domain for entry in site.by_id().values() if entry.template == "exposure")
    assert loose == Words(frozenset({"mineral-oil", "fat"}))
    assert sharp == Words(frozenset({"caustic-soda"}))


def test_other_words_for_a_choice() -> None:
    text = "site: a test\nplace: {setting: outside}\nwash: [{method: pressure washer}, {method: washdown}]\n"
    told = read_site(yamlfile.parse(text, "site.yaml"), load().book).by_id()
    assert told["place"].answers["setting"].domain == Words(frozenset({"outdoor"}))
    sharp, loose = (entry.answers["method"].domain for entry in told.values() if entry.template == "wash")
    assert (sharp, loose) == (Words(frozenset({"lance"})), Words(frozenset({"hose", "lance"})))


def test_a_longer_phrase_is_read_by_its_noun_and_said_so() -> None:
    site = whole(WORLD.replace("outdoor", "old body shop") + "dust: [{kind: granite dust}]\n")
    assert answer(site, "place", "setting").domain == Words(frozenset(["indoor"]))
    assert "place.setting: 'old body shop' is read as indoor." in site.unused
    assert "dust.kind: 'granite dust' is read as stone." in site.unused
    with pytest.raises(InputError):
        whole(WORLD.replace("outdoor", "yard behind no shop"))


def test_dry_cleaning_is_no_water() -> None:
    site = whole(WORLD + "wash: [{method: vacuum cleaner}]\n")
    assert answer(site, "wash#1", "method").domain == Words(frozenset(["dry"]))


@pytest.mark.parametrize(
    ("text", "identity", "slot", "words"),
    [
        ("place: {setting: outdoor plant}", "place", "setting", {"outdoor"}),
        ("place: {setting: outdoor lodge hall}", "place", "setting", {"outdoor"}),
        ("unit: {kind: pull wire switch}", "unit", "kind", {"safety-device"}),
        ("unit: {kind: muting sensor}", "unit", "kind", {"safety-device"}),
        ("wash: {method: wet vacuum}", "wash#1", "method", {"splash"}),
        ("wash: {method: water broom}", "wash#1", "method", {"hose"}),
        ("wash: {method: foam and rinse}", "wash#1", "method", {"foam", "hose"}),
        ("exposure: [{agent: detergent}]", "exposure#1", "agent", {"alkaline-foam", "neutral-detergent"}),
    ],
)
def test_words_are_not_read_as_something_milder(text: str, identity: str, slot: str, words: set[str]) -> None:
    found = answer(whole(f"site: a test\n{text}\n"), identity, slot).domain
    assert isinstance(found, Words)
    assert set(found.options) == words


@pytest.mark.parametrize("text", ["place: {setting: lodge without roof}", "unit: {kind: SIL 2 transmitter}"])
def test_a_phrase_that_could_be_milder_than_it_says_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="is no choice"):
        whole(f"site: a test\n{text}\n")


@pytest.mark.parametrize(
    ("told", "slot", "left"),
    [
        ({"immersion": {"depth": "2 m"}}, "kind", {"temporary", "repeated", "permanent"}),
        ({"immersion": {"duration": "24 hour"}}, "kind", {"temporary", "repeated", "permanent"}),
        ({"immersion": {"depth": "2 m", "duration": "permanently"}}, "kind", {"permanent"}),
        ({"cabinet": {"power": "50 W"}}, "kind", {"box"}),
        # A pressure may be that of steam too: what is harder stays.
        ({"wash": [{"pressure": "8 bar"}]}, "method", {"hose", "lance", "steam"}),
    ],
)
def test_a_silent_answer_loses_only_what_is_milder_than_the_rest_allows(
    told: dict[str, Any], slot: str, left: set[str]
) -> None:
    site = strategies.read({"others": "none", **told})
    found = next(instance for instance in site.instances if instance.template in told).answers[slot]
    assert isinstance(found.domain, Words)
    assert found.domain.options == left
    assert found.origin == "assumed"


def test_a_nought_behind_a_question_settles_nothing() -> None:
    site = strategies.read({"others": "none", "immersion": {"depth": "0 m"}})
    assert answer(site, "immersion", "kind").origin != "assumed"


def test_an_answer_without_an_order_keeps_every_choice() -> None:
    site = strategies.read({"others": "none", "sensing": {"diameter": "18 mm"}})
    options = answer(site, "sensing", "principle").domain.options  # type: ignore[union-attr]
    assert {"photoelectric", "inductive-ferrite", "capacitive"} <= options
