"""A figure that runs through a range: its ends are reached, and only what a bound leaves untold stays open."""

import pytest

from advisor import yamlfile
from advisor.loading import load
from advisor.quantities import to_si
from advisor.site import Site, read_site
from advisor.values import Span

BOOK = load().book


def read(text: str) -> Site:
    return read_site(yamlfile.parse(f"site: a test\n{text}", "site.yaml"), BOOK)


def celsius(low: float, high: float | None = None) -> Span:
    return Span(to_si(low, "degC"), to_si(low if high is None else high, "degC"))


@pytest.mark.parametrize(
    ("told", "warmest", "coldest"),
    [
        ("4 .. 19 degC", celsius(19), celsius(4)),
        ("60 degC", celsius(60), celsius(60)),
        ("max 60 degC", celsius(60), celsius(0, 60)),
        ('">= 40 degC"', celsius(40, 100), celsius(40)),
        ("60 degC, coldest: 10 degC", celsius(60), celsius(10)),
    ],
)
def test_a_liquid_is_as_warm_and_as_cold_as_its_range(told: str, warmest: Span, coldest: Span) -> None:
    answers = read(f"immersion: {{kind: permanent, liquid: coolant, temperature: {told}}}").by_id()["immersion"].answers
    assert answers["temperature"].domain == warmest
    assert answers["coldest"].domain == coldest


def test_the_usual_range_of_natural_waters_is_said_where_it_is_taken() -> None:
    site = read("immersion: {kind: permanent, liquid: lake water}")
    assert site.unused == ("immersion: temperature is not told; 0 to 35 °C is taken, the usual range.",)
    assert site.by_id()["immersion"].answers["coldest"].domain == celsius(0)


@pytest.mark.parametrize(("told", "narrowest"), [("0 .. 30 mm", 0.0), ("5 .. 30 mm", 0.005), ("40 mm", 0.04)])
def test_the_narrowest_place_of_a_gap_counts(told: str, narrowest: float) -> None:
    answers = read(f"food: {{zone: splash, back: gap, gap: {told}}}").by_id()["food"].answers
    assert answers["gap"].domain == Span(narrowest, narrowest)


@pytest.mark.parametrize(
    ("current", "figures"), [("12 kA rms", {"rms-full", "rms-phased", "rms-deep"}), ("17 kA peak", {"peak"})]
)
def test_how_a_current_is_counted_is_read_from_its_unit(current: str, figures: set[str]) -> None:
    told = f"field_source: [{{layout: single, waveform: ac, current: {current}, distance: 150 mm}}]"
    assert read(told).by_id()["field_source#1"].answers["figure"].domain.options == figures  # type: ignore[union-attr]
