"""Tables of food-contact law and hygiene against the numbers of the acts, guides and standards themselves."""

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.engine.bounds import evaluate
from advisor.engine.facts import Run
from advisor.loading import Loaded, load
from advisor.rulecheck import example_site, fired
from advisor.values import Span

TABLES = Path(__file__).parents[2] / "knowledge" / "tables"
SQUARE_INCH_IN_DM2 = 0.254**2
"""One inch is 0.254 dm by definition."""


def rows(name: str) -> dict[str, Any]:
    return dict(yaml.safe_load((TABLES / f"{name}.yaml").read_text())["rows"])


@cache
def loaded() -> Loaded:
    return load()


def run_of(**told: Any) -> Run:
    """Return all that is certain for a site of which only these answers are told."""
    book = loaded().book
    facts = [fact for fact in example_site(told, book, "test").facts() if fact.certain]
    return evaluate(loaded().rules, facts, book, certain=True)


def figure(run: Run, topic: str, hardest: Callable[..., float]) -> float:
    spans = [f.slots["value"] for f in run.facts.values() if f.template == f"demand {topic}"]
    return hardest(span.low for span in spans if isinstance(span, Span))


def codes(run: Run) -> set[str]:
    found: set[str] = set()
    for fact in run.facts.values():
        if fact.template == "demand geometry":
            found |= fact.slots["item"].options  # type: ignore[union-attr]
    return found


@pytest.mark.parametrize(
    ("key", "limit", "unit"),
    [
        ("overall", 10, "mg/dm2"),  # source: Regulation (EU) No 10/2011, Art. 12(1)
        ("overall-infants", 60, "mg/kg"),  # source: the same, Art. 12(2)
        ("surface-per-food", 6, "dm2/kg"),  # source: the same, Art. 17(2)
        ("barrier", 0.01, "mg/kg"),  # source: the same, Art. 13
        ("amines-listed", 0.002, "mg/kg"),  # source: Regulation (EU) 2020/1245, Annex II, point 2
        ("amines-sum", 0.01, "mg/kg"),  # source: the same
        ("bisphenol-before-2025", 0.05, "mg/kg"),  # source: Regulation (EU) 2018/213
        (
            "bisphenol-detection",
            1,
            "ug/kg",
        ),  # source: (EU) 2024/3190, Art. 9 by (EU) 2026/250
    ],
)
def test_migration_limits(key: str, limit: float, unit: str) -> None:
    assert rows("law_migration")[key]["limit"] == limit
    assert rows("law_migration")[key]["unit"] == unit


def test_overall_limit_by_mass() -> None:
    # source: 10 mg/dm2 on the conventional 6 dm2/kg are the 60 mg/kg of infant food
    table = rows("law_migration")
    assert table["overall"]["limit"] * table["surface-per-food"]["limit"] == table["overall-infants"]["limit"]


@pytest.mark.parametrize(
    ("key", "liquid"),
    # source: Regulation (EU) No 10/2011, Annex III, Table 1
    [
        ("a", "ethanol 10 %"),
        ("b", "acetic acid 3 %"),
        ("c", "ethanol 20 %"),
        ("d1", "ethanol 50 %"),
        ("d2", "vegetable oil"),
        ("e", "phenylene oxide"),
    ],
)
def test_simulants(key: str, liquid: str) -> None:
    assert liquid in rows("law_simulants")[key]["made_of"]
    assert len(rows("law_simulants")) == 6


def test_simulant_sets() -> None:
    # source: Regulation (EU) No 10/2011, Annex III, Table 3
    table = rows("law_simulant_sets")
    assert table["all"]["simulants"] == ["a", "b", "d2"]
    assert table["not-acid"]["simulants"] == ["a", "d2"]
    assert table["watery-alcohol-milk"]["simulants"] == ["d1"]
    assert set(table["watery-alcohol-milk-acid"]["simulants"]) == {"d1", "b"}
    assert table["watery"]["simulants"] == ["c"]
    assert set(table["watery-acid"]["simulants"]) == {"c", "b"}


@pytest.mark.parametrize(
    ("key", "hours", "celsius"),
    # source: Regulation (EU) No 10/2011, Annex V, chapter 3, Table 3
    [
        ("om0", 0.5, 40),
        ("om1", 240, 20),
        ("om2", 240, 40),
        ("om3", 2, 70),
        ("om4", 1, 100),
        ("om5", 2, 100),
        ("om6", 4, 100),
        ("om7", 2, 175),
    ],
)
def test_overall_tests(key: str, hours: float, celsius: float) -> None:
    row = rows("law_overall_tests")[key]
    assert (row["time"], row["temperature"]) == (hours, celsius)


def test_what_the_overall_tests_cover() -> None:
    # source: the same, 3.1: OM2 covers OM0, OM1 and OM3; OM5 covers OM0 to OM4
    table = rows("law_overall_tests")
    assert set(table["om2"]["also"]) == {"om0", "om1", "om3"}
    assert set(table["om5"]["also"]) == {"om0", "om1", "om2", "om3", "om4"}


@pytest.mark.parametrize("key", list(rows("law_heating")))
def test_heating_allowed(key: str) -> None:
    # source: the same, Table 3, t = 120 / 2^((T - 70) / 10) min from 70 to 100 degC
    row = rows("law_heating")[key]
    assert row["time"] == pytest.approx(120 / 2 ** ((row["temperature"] - 70) / 10), abs=0.01)


def test_specific_migration_conditions() -> None:
    # source: Regulation (EU) No 10/2011, Annex V, 2.1.3, Table 1 and Table 2
    times = [(row["up_to"], row["test"]) for row in rows("law_specific_times").values()]
    wanted = [(5 / 60, 5 / 60), (0.5, 0.5), (1, 1), (2, 2), (6, 6), (24, 24), (72, 72), (720, 240)]
    assert [t for pair in times for t in pair] == pytest.approx([t for pair in wanted for t in pair], rel=1e-5)
    heats = [row["test"] for row in rows("law_specific_temperatures").values()]
    assert heats == [5, 20, 40, 70, 100, 121, 130, 150, 175, 200, 225]
    assert all(row["test"] >= row.get("up_to", 200) for row in rows("law_specific_temperatures").values())


@pytest.mark.parametrize(
    ("element", "limit"),
    # source: Regulation (EU) 2020/1245, Annex II, Table 1
    [
        ("antimony", 0.04),
        ("arsenic", 0.01),
        ("barium", 1),
        ("cadmium", 0.002),
        ("chromium", 0.01),
        ("cobalt", 0.05),
        ("copper", 5),
        ("iron", 48),
        ("lanthanides", 0.05),
        ("lead", 0.01),
        ("lithium", 0.6),
        ("manganese", 0.6),
        ("mercury", 0.01),
        ("nickel", 0.02),
        ("zinc", 5),
        ("aluminium", 1),  # source: Regulation (EU) 2016/1416, kept in Annex II
    ],
)
def test_metals_from_plastics(element: str, limit: float) -> None:
    assert rows("law_metals")[element]["plastic"] == limit


@pytest.mark.parametrize(
    ("element", "limit"),
    # source: EDQM, Metals and alloys, 2nd ed. 2024, Table 1
    [
        ("aluminium", 5),
        ("antimony", 0.04),
        ("chromium", 1),
        ("cobalt", 0.02),
        ("copper", 4),
        ("iron", 40),
        ("manganese", 0.55),
        ("molybdenum", 0.12),
        ("nickel", 0.14),
        ("silver", 0.08),
        ("tin", 100),
        ("vanadium", 0.01),
        ("zinc", 5),
        ("zirconium", 2),
    ],
)
def test_metals_from_metals(element: str, limit: float) -> None:
    assert rows("law_metals")[element]["metal"] == limit


def test_what_the_guide_changed() -> None:
    # source: EDQM, 2nd edition: chromium was 0.25, manganese 1.8, thallium 0.0001 mg/kg
    table = rows("law_metals")
    assert (table["chromium"]["metal_2013"], table["manganese"]["metal_2013"]) == (0.25, 1.8)
    assert (table["thallium"]["metal_2013"], table["thallium"]["metal"]) == (0.0001, 0.001)


@pytest.mark.parametrize(
    ("key", "section", "per_square_inch"),
    [
        ("rubber", "177.2600", 20),  # source: 21 CFR 177.2600(e)
        ("rubber-later", "177.2600", 1),  # source: the same
        ("peek", "177.2415", 0.05),  # source: 21 CFR 177.2415(c)
        ("pvdf", "177.2510", 0.01),  # source: 21 CFR 177.2510(b)
        ("ptfe", "177.1550", 0.2),  # source: 21 CFR 177.1550(e)
        ("psu", "177.1655", 0.05),  # source: 21 CFR 177.1655, 0.0078 mg/cm2
        ("coatings", "175.300", 18),  # source: 21 CFR 175.300(c)
    ],
)
def test_extracts_in_the_united_states(key: str, section: str, per_square_inch: float) -> None:
    row = rows("law_us_materials")[key]
    assert (row["section"], row["limit"]) == (section, per_square_inch)
    assert row["limit_metric"] == pytest.approx(per_square_inch / SQUARE_INCH_IN_DM2, rel=0.002)


def test_rubber_in_hexane() -> None:
    # source: 21 CFR 177.2600(f): 175 mg per square inch in 7 h, 4 in the next 2 h
    table = rows("law_us_materials")
    assert (table["rubber"]["limit_fat"], table["rubber-later"]["limit_fat"]) == (175, 4)


@pytest.mark.parametrize(
    ("act", "start"),
    [
        (
            "ec-1935-2004",
            "2004-12-03",
        ),  # source: its Art. 28, 20 days after 13 November 2004
        ("ec-2023-2006", "2008-08-01"),  # source: Regulation (EC) No 2023/2006, Art. 8
        ("eu-10-2011", "2011-05-01"),  # source: Regulation (EU) No 10/2011, Art. 23
        ("eu-2020-1245", "2020-09-23"),  # source: Regulation (EU) 2020/1245, 20 days after 3 September 2020
        ("eu-2022-1616", "2022-10-10"),  # source: Regulation (EU) 2022/1616, 20 days after 20 September 2022
        ("eu-2024-3190", "2025-01-20"),  # source: Regulation (EU) 2024/3190, 20 days after 31 December 2024
        ("eu-2025-351", "2025-03-16"),  # source: Regulation (EU) 2025/351, 20 days after 24 February 2025
        (
            "eu-2023-1230",
            "2027-01-20",
        ),  # source: its Art. 54, corrigendum of 4 July 2023
    ],
)
def test_days_on_which_acts_start(act: str, start: str) -> None:
    assert rows("law_acts")[act]["from"] == start


def test_days_of_bisphenol() -> None:
    # source: Regulation (EU) 2024/3190 as corrected by Regulation (EU) 2026/250
    table = rows("law_bisphenol_days")
    assert table["single-use"]["first_placed"] == "2026-07-20"
    assert table["repeated-use"]["on_market"] == "2027-07-20"
    assert table["professional"]["on_market"] == "2029-01-20"
    assert table["professional"]["first_placed"].startswith("2028-01")


@pytest.mark.parametrize(
    ("year", "holds", "not_any_more"),
    [
        # source: days of Regulations (EU) 2018/213, 2024/3190 with 2026/250, 2023/1230, 2020/1245
        (
            2008,
            {"eu-plastics-before-2011", "bisphenol-before-2025", "eu-metals-2013"},
            {"eu-plastics", "eu-repeated-use"},
        ),
        (
            2020,
            {"eu-plastics", "bisphenol-before-2025", "eu-metals-2013"},
            {"bisphenol-statement", "eu-recycled-plastics"},
        ),
        (
            2026,
            {
                "bisphenol-statement",
                "bisphenol-transition",
                "eu-machinery-directive",
                "eu-metals",
                "eu-plastics-2025",
            },
            {"bisphenol-before-2025", "bisphenol-over", "eu-machinery-regulation", "eu-metals-2013"},
        ),
        (
            2027,
            {"eu-machinery-directive", "eu-machinery-regulation", "bisphenol-transition"},
            {"bisphenol-over"},
        ),
        (
            2028,
            {"eu-machinery-regulation", "bisphenol-over", "bisphenol-transition"},
            {"eu-machinery-directive"},
        ),
        (2030, {"bisphenol-over", "bisphenol-statement"}, {"bisphenol-transition", "eu-machinery-directive"}),
    ],
)
def test_dates_switch_rules(year: int, holds: set[str], not_any_more: set[str]) -> None:
    names = fired(run_of(food={"zone": "contact", "market": "eu", "year": year}))
    assert holds <= names
    assert not not_any_more & names


def test_figures_by_zone() -> None:
    food, splash = (
        run_of(food={"zone": "contact", "cleaning": "wet"}),
        run_of(food={"zone": "splash", "above": "no", "cleaning": "wet"}),
    )
    # source: EHEDG Doc 8 and 3-A fabrication text: Ra 0.8 um, which is 32 microinch within 2 %
    assert figure(food, "surface.roughness", min) == pytest.approx(0.8e-6) == pytest.approx(32 * 0.0254e-6, rel=0.02)
    # source: EHEDG Doc 8 and EN 12042, annex B.3.1: 3 mm in the food area, 1 mm in the splash area
    assert figure(food, "surface.radius", max) == pytest.approx(3e-3)
    assert figure(splash, "surface.radius", max) == pytest.approx(1e-3)
    # source: EHEDG Doc 8 and Doc 13: 3 degrees to drain
    assert figure(food, "surface.slope", max) == pytest.approx(0.05236, rel=1e-3)
    assert figure(splash, "surface.roughness", min) > 0.8e-6


@pytest.mark.parametrize(
    ("gap", "clash"),
    # source: Handbook of Hygiene Control (2005), 15.4.1 and 15.4.8: sealed, or 30 mm and more
    [("1 mm", True), ("12 mm", True), ("29 mm", True), ("30 mm", False), ("80 mm", False)],
)
def test_gap_is_not_monotone(gap: str, clash: bool) -> None:
    names = fired(run_of(food={"zone": "splash", "above": "no", "back": "gap", "gap": gap}))
    assert ("gap-too-small" in names) is clash
    assert not {"gap-too-small", "flat-unsealed"} & fired(
        run_of(food={"zone": "splash", "above": "no", "back": "sealed"})
    )


@pytest.mark.parametrize(
    ("length", "bore", "clash"),
    # source: EHEDG Doc 10: depth of a branch at most its bore (40 mm on 25 mm is 1.6)
    [("40 mm", "25 mm", True), ("25 mm", "25 mm", False), ("0 mm", "38 mm", False)],
)
def test_branches(length: str, bore: str, clash: bool) -> None:
    told = {"zone": "contact", "system": "closed", "branch_length": length, "branch_bore": bore}
    assert ("branch-too-deep" in fired(run_of(food=told))) is clash


def test_dry_bakery_is_not_asked_for_jets() -> None:
    # source: Handbook of Hygiene Control (2005), 15.2: dry rooms need no wash-down protection by reflex
    run = run_of(
        food={"zone": "contact", "above": "no", "cleaning": "dry", "product": "flour"},
        wash="none",
        immersion="none",
    )
    assert not [fact for fact in run.facts.values() if fact.template == "demand ingress.water"]
    # source: OSHA combustible dust poster: flour
    assert "food-dust-burns" in fired(run)
    assert "self-draining" not in codes(run)
    assert "no-ledges" in codes(run)


def test_above_food_is_food_area() -> None:
    # source: EN 1672-2:2005+A1:2009, 3.4.1; Handbook of Hygiene Control (2005), 15.5.9 on boxes
    run = run_of(food={"zone": "environment", "above": "yes"}, unit={"kind": "junction-box"})
    assert {"zone-above-food", "box-above-food", "roughness-food-area"} <= fired(run)
    assert {"captive-parts", "no-brittle"} <= codes(run)


def test_no_food_asks_nothing() -> None:
    run = run_of(food="none")
    assert not codes(run)
    assert not [name for name in fired(run) if "food" in name or name.startswith(("eu-", "us-"))]
