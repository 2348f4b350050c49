"""Service temperatures of materials against published figures, and what the advice makes of them."""

from collections.abc import Callable

import pytest

from advisor.advise import Advice
from advisor.loading import Loaded
from advisor.materials import judge

ICE = 273.15


@pytest.mark.parametrize(
    ("material", "column", "most"),
    [
        # source: Wikipedia, Polybutylene terephthalate: hydrolysed in water above 60 degC
        ("pbt", "service_hot_water", 60),
        ("pbt-gf30", "service_hot_water", 60),
        # source: A to Z of Materials, acetal (2001): homopolymer in water to 60 degC
        ("pom-h", "service_hot_water", 60),
        # source: Canadian Plastics, tip of the month, November 2008: polycarbonate in water below 60 degC
        ("pc", "service_hot_water", 60),
        # source: Wikipedia, Nitrile rubber: to 108 degC
        ("nbr", "service_dry", 108),
        # source: Harper (2006), table 4.2 (140 degC); Wikipedia, EPDM rubber (150 degC)
        ("epdm-peroxide", "service_dry", 150),
        # source: rubber-trade comparisons of cure systems: sulphur-cured EPDM 120 degC, peroxide-cured 150 degC
        ("epdm-sulphur", "service_hot_water", 120),
        ("epdm-peroxide", "service_hot_water", 150),
        # source: Wikipedia, Polyphenylene sulfide: to 218 degC
        ("pps-gf40", "service_dry", 218),
        # source: Wikipedia, Polytetrafluoroethylene (260 degC) and Polyether ether ketone (250 degC)
        ("ptfe", "service_dry", 260),
        ("peek", "service_dry", 250),
        # source: EN 50525-2-11:2011, scope: 70 degC at the conductor of plain PVC cables
        ("pvc-jacket", "service_dry", 70),
        # source: Callister, appendix E, glass transition: polystyrene 100, PMMA 105 (lowest figure quoted), PC 150,
        # rigid PVC 87 degC; no load-bearing use reaches it
        ("ps", "service_dry", 100),
        ("pmma", "service_dry", 105),
        ("pc", "service_dry", 150),
        ("pvc-u", "service_dry", 87),
    ],
)
def test_upper_limits_do_not_pass_what_is_published(loaded: Loaded, material: str, column: str, most: float) -> None:
    assert loaded.book.tables["materials"].rows[material].cells[column][1] - ICE <= most + 1e-6


@pytest.mark.parametrize(
    ("material", "least"),
    [
        # source: ISO/TR 7620:2005 and O-ring handbooks: glass transition of TFE-propylene near +3 degC
        ("fepm", 3),
        # source: Wikipedia, Nitrile rubber: from -40 degC
        ("nbr", -40),
        # source: Wikipedia, EPDM rubber: from -50 degC
        ("epdm-peroxide", -50),
        # source: Wikipedia, FKM, standard type 1 grades: from -20 degC
        ("fkm-1", -20),
        # source: ASTM A370 practice, ferritic and duplex steels turn brittle; duplex used to -50 degC
        ("ss-2205", -50),
    ],
)
def test_lower_limits_do_not_pass_what_is_published(loaded: Loaded, material: str, least: float) -> None:
    assert loaded.book.tables["materials"].rows[material].cells["service_low"][0] - ICE >= least - 1e-6


@pytest.mark.parametrize(
    "material",
    # source: ageing of yttria zirconia at 134 degC (monoclinic in 20 h); Moore, Fluoroelastomers Handbook (2006), for
    # type 1; polyesters, polyurethanes and NBR by ISO/TR 7620:2005 and Wikipedia articles: none is for regular steam
    ["zirconia", "fkm-1", "nbr", "pbt", "pur-ester", "pc", "vmq", "epdm-sulphur"],
)
def test_no_regular_steam(loaded: Loaded, material: str) -> None:
    assert "service_steam" not in loaded.book.tables["materials"].rows[material].cells


@pytest.mark.parametrize(
    ("text", "role", "material", "out"),
    [
        # source: Wikipedia, Polybutylene terephthalate: a face rated to 110 degC in air fails in water of 85 degC
        ("wash: {method: hose, temperature: 85 degC}", "face", "pbt", True),
        ("wash: {method: hose, temperature: 85 degC}", "face", "peek", False),
        # source: ISO/TR 7620:2005 and O-ring handbooks: TFE-propylene is stiff in the cold
        ("air: {low: -20 degC, high: 25 degC}", "seal", "fepm", True),
        ("air: {low: -20 degC, high: 25 degC}", "seal", "epdm-peroxide", False),
        # source: cable practice, EN 50565-1: plain PVC moves to -5 degC and lies still to about -25 degC
        (
            "air: {low: -20 degC, high: 25 degC}\nmechanical: {stress: some}\ncable: {movement: flexed}",
            "jacket",
            "pvc-jacket",
            True,
        ),
        (
            "air: {low: -20 degC, high: 25 degC}\nmechanical: {stress: some}\ncable: {movement: fixed}",
            "jacket",
            "pvc-jacket",
            False,
        ),
        # source: ageing studies of polyester urethane (Darby and Kaplan 1968): ester type fails in the tropics
        ("air: {low: 20 degC, high: 45 degC, humidity: 95 %}", "jacket", "pur-ester", True),
        ("air: {low: 20 degC, high: 45 degC, humidity: 95 %}", "jacket", "pur-ether", False),
    ],
)
def test_what_the_advice_makes_of_it(
    loaded: Loaded, advise: Callable[[str], Advice], text: str, role: str, material: str, out: bool
) -> None:
    advice = advise(f"others: none\nplace: {{setting: indoor}}\n{text}\n")
    table = loaded.book.tables["materials"]
    verdict = judge(table.rows[material], role, table, advice.certain, advice.possible)
    assert (verdict.certain == "attacked") == out, verdict
