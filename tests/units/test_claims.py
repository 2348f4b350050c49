"""What readings claim, against the demands of sensing, spatter, fields and disturbance; footnotes and saved lists."""

import math
from pathlib import Path

import pytest
import strategies

from advisor import emc
from advisor.catalogue.writer import sheet_yaml
from advisor.claims import Claim
from advisor.faults import InputError
from advisor.notation.errors import LexiconError
from advisor.notation.sheet_text import LIMITED, LIMITS, read_sheet
from advisor.sheet import SheetReader

BOOK = strategies.rulebook().book
READER = SheetReader(BOOK)


def claims(text: str, topic: str) -> list[Claim]:
    """The claims of a sheet on one topic."""
    return [claim for claim in READER.from_text(text, "a unit", "a sheet").claims if claim.topic == topic]


@pytest.mark.parametrize(
    ("text", "value", "credit"),
    [
        ("Rated operating distance sn 8 mm", 0.008, "full"),
        ("Sn = 4 mm ± 10 %", 0.004, "full"),
        ("Bemessungsschaltabstand sn [mm]\t15", 0.015, "full"),
        ("Nennschaltabstand: 0,3 in", 0.00762, "full"),
        ("Sensing distance 0...6.5 mm", 0.0065, "conditional"),
        ("Sn up to 12 mm", 0.012, "conditional"),
        ("sn 5", 0.005, "conditional"),
    ],
)
def test_sensing_distance(text: str, value: float, credit: str) -> None:
    (claim,) = claims(text, "sensing.distance")
    assert claim.value == pytest.approx(value)
    assert claim.credit == credit


def test_metals_of_targets_are_none_of_the_unit() -> None:
    text = "Rated sensing distance: 5 mm (steel), 3 mm (stainless), 2 mm (aluminium)\nReduction factors: brass 0.4"
    assert claims(text, "material.housing") == []


@pytest.mark.parametrize(
    ("text", "item", "denied"),
    [
        ("flush mountable", "embeddable", False),
        ("Einbauart: nicht bündig", "embeddable", True),
        ("Reduction factor\t1 for all metals", "equal-factor", False),
    ],
)
def test_abilities(text: str, item: str, denied: bool) -> None:
    assert [(claim.item, claim.denied) for claim in claims(text, "sensing.ability")] == [(item, denied)]


@pytest.mark.parametrize(
    ("text", "denied", "credit"),
    [
        ("output remains functional during welding (no freezing)", False, "full"),
        ("no output freeze", False, "full"),
        ("switching function maintained in the weld field", False, "full"),
        ("Schaltfunktion während des Schweißens", False, "full"),
        ("output is not frozen during welding", False, "full"),
        ("output typically functional during welding", False, "conditional"),
        ("output frozen during the field", True, "full"),
        ("Ausgang wird im Schweißfeld ausgeblendet", True, "full"),
        ("not functional during welding", True, "none"),
    ],
)
def test_what_the_output_does_in_the_field(text: str, denied: bool, credit: str) -> None:
    (claim,) = claims(text, "sensing.ability")
    assert (claim.item, claim.denied, claim.credit) == ("live", denied, credit)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("RF fields 10 V/m, burst 2 kV", {"radiated-10vm", "burst-2kv"}),
        ("EFT 1 kV; surge 1 kV; conducted 3 V", {"burst-1kv", "surge-1kv", "conducted-3v"}),
        ("ESD 4/8 kV", {"esd-contact-4kv", "esd-air-8kv"}),
        ("ESD 8 kV", set()),  # contact or air is not said
        ("IEC 61000-4-2: 4 kV (contact) / 8 kV (air)", {"esd-contact-4kv", "esd-air-8kv"}),
        ("surge 1 kV line to line", set()),  # the codes count the one to earth
        ("surge 1 kV line to earth, 0.5 kV line to line", {"surge-1kv"}),
        ("burst pressure 100 bar", set()),
    ],
)
def test_short_names_of_disturbance(text: str, expected: set[str]) -> None:
    assert {claim.item for claim in claims(text, "emc")} == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("self-draining, crevice-free", {("self-draining", "conditional"), ("no-crevices", "conditional")}),
        ("no exposed threads; flush seals", {("no-exposed-threads", "full"), ("flush-seals", "full")}),
        ("smooth cable, laser marked", {("smooth-jacket", "full"), ("permanent-marking", "full")}),
        ("laser marking optional", {("permanent-marking", "conditional")}),
        ("adhesive label", {("permanent-marking", "denied")}),
        ("not self-draining", {("self-draining", "denied")}),
    ],
)
def test_features_of_shape(text: str, expected: set[tuple[str, str]]) -> None:
    found = {(claim.item, "denied" if claim.denied else claim.credit) for claim in claims(text, "geometry")}
    assert found == expected


def test_radius_and_slope_are_figures() -> None:
    text = "all radii >= 3 mm, slope 3°"
    (radius,), (slope,) = claims(text, "surface.radius"), claims(text, "surface.slope")
    assert (radius.value, slope.value) == (pytest.approx(0.003), pytest.approx(math.radians(3)))


def test_a_certificate_of_a_class_is_evidence_that_a_person_must_see() -> None:
    text = "EHEDG Type EL Class I, certificate no. 7"
    found = claims(text, "geometry")
    assert "no-crevices" in {claim.item for claim in found}
    assert {claim.credit for claim in found} == {"conditional"}
    assert [(claim.credit, claim.value) for claim in claims(text, "surface.radius")] == [("conditional", None)]


def test_a_material_that_is_not_there_is_denied() -> None:
    found = claims("Housing: 1.4404, brass-free", "material.housing")
    assert [(claim.materials, claim.denied) for claim in found] == [(("ss-316l",), False), (("brass",), True)]


@pytest.mark.parametrize(
    ("text", "topic", "expected"),
    [
        ("Face: brass, PTFE coated", "spatter.face", {("shedding-face", "full"), ("hard-face", "full")}),
        ("Sensing face: stainless steel 1.4404", "spatter.face", {("hard-face", "full")}),
        ("Face: PBT", "spatter.face", set()),
        ("Housing: aluminium", "spatter.housing", set()),
        ("Housing: nickel-plated brass", "spatter.housing", {("spatter-housing", "full")}),
        ("Housing: metal", "spatter.housing", set()),  # it may be zinc or aluminium
        ("Cable: FEP", "spatter.jacket", {("spatter-jacket", "full")}),
        ("Cable: PUR", "spatter.jacket", set()),
        ("Cable: schweißfunkenbeständig", "spatter.jacket", {("spatter-jacket", "conditional")}),
    ],
)
def test_spatter_is_proved_by_the_material(text: str, topic: str, expected: set[tuple[str, str]]) -> None:
    assert {(claim.item, claim.credit) for claim in claims(text, topic)} == expected


def test_a_coat_of_the_body_is_judged_as_a_coat() -> None:
    assert [claim.materials for claim in claims("Housing: brass, PTFE coated", "material.coating")] == [("coat-ptfe",)]
    assert [claim.materials for claim in claims("Housing: brass, PTFE coated", "material.housing")] == [("brass",)]


def test_a_steady_field_counts_for_the_switched_one_and_is_looked_into_for_pulses() -> None:
    text = "Magnetic field immunity 200 mT DC"
    kinds = ("dc", "mf", "pulse", "ac")
    found = {kind: [c.credit for c in claims(text, f"immunity.magnetic.{kind}")] for kind in kinds}
    assert found == {"dc": ["full"], "mf": ["full"], "pulse": ["conditional"], "ac": []}


def test_rms_counts_more_than_a_peak() -> None:
    (rms,) = claims("Magnetic field immunity 100 mT rms, 50 Hz", "immunity.magnetic.ac")
    (peak,) = claims("Magnetic field immunity 100 mT peak, 50 Hz", "immunity.magnetic.ac")
    assert rms.value == pytest.approx(0.1 * 2**0.5)
    assert peak.value == pytest.approx(0.1)


def test_a_general_standard_claims_the_surge_to_earth() -> None:
    codes = emc.claimed("EN 61000-6-2", (), BOOK.tables)
    assert [code for code in codes if code.startswith("surge")] == ["surge-2kv"]


@pytest.mark.parametrize(
    "text",
    [
        "IP67 1)\n1) only with mated connector",
        "Degree of protection ¹\tIP67\n¹ with optional gasket",
        "* IP67 *\n* PBT housing\n*) front side only",
    ],
)
def test_a_footnote_limits_the_claim_at_its_mark(text: str) -> None:
    (rating,) = read_sheet(text).of("ingress")
    assert rating.item.conditions
    assert rating.quote.strip().startswith("IP67")


def test_a_numbered_list_is_no_footnote() -> None:
    sheet = read_sheet("1) IP67\n2) -25...+70 °C")
    assert [claim.item.kind for claim in sheet.claims] == ["ingress", "temperature"]


def test_a_limit_of_no_claim_holds_the_unit_back() -> None:
    unit = READER.from_text("IP67\n-25...+70 °C\nOnly if the bracket is fitted", "a unit", "a sheet")
    assert [missed.why for missed in unit.missed] == [LIMITS]
    assert unit.doubts


@pytest.mark.parametrize(
    ("line", "condition"),
    [
        ("Only with mated connector", "mated"),
        ("IP ratings apply with protective cap fitted only", "accessory needed"),
        ("Rating valid for the closed state only", "stated apart"),
        ("Seal must be replaced yearly to keep the rating", "upkeep"),
        ("All values are targets", "stated apart"),
        ("Die Schutzart gilt nur mit montierter Schutzkappe", "stated apart"),
    ],
)
def test_a_line_of_its_own_limits_the_ratings(line: str, condition: str) -> None:
    sheet = read_sheet(f"IP67, IP65\n-25...+70 °C\n{line}")
    assert [claim.item.has(condition) for claim in sheet.of("ingress")] == [True, True]
    assert [missed.why for missed in sheet.missed] == [LIMITED]


@pytest.mark.parametrize(
    "line", ["Protection class III", "Cable for fixed use only", "IP rating to IEC 60529", "Output rating 200 mA"]
)
def test_a_line_on_something_else_does_not(line: str) -> None:
    sheet = read_sheet(f"IP67, IP65\n-25...+70 °C\n{line}")
    assert not any(claim.item.conditions for claim in sheet.of("ingress"))


def test_a_denied_bound_bounds_the_other_side() -> None:
    (claim,) = READER.from_text("Do not operate below 0 °C", "a unit", "a sheet").claims
    assert (claim.topic, claim.denied) == ("temperature.low", True)


def test_a_fault_of_the_vocabulary_is_none_of_the_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(text: str) -> None:
        raise LexiconError(Path("words.yaml"), "line 3: the key 'a' stands twice")

    monkeypatch.setattr("advisor.sheet.read_sheet", broken)
    with pytest.raises(InputError, match=r"words\.yaml") as caught:
        READER.from_text("IP67", "a unit", "a sheet")
    assert "too long" not in str(caught.value)


def test_what_an_empty_box_offers_is_not_claimed() -> None:
    sheet = read_sheet("□ IP65  ☒ IP66  □ IP69K")
    assert [claim.quote for claim in sheet.of("ingress")] == ["IP66"]
    assert any("IP69K" in missed.quote for missed in sheet.missed)


def test_ratings_of_one_line_are_saved_in_one_entry() -> None:
    text = sheet_yaml(READER.from_text("IP65/IP66", "a unit", "a sheet"), READER.claim_reader)
    assert '- "IP65 / IP66"' in text


def test_a_family_yields_to_its_grade() -> None:
    unit = READER.from_text("Sensor, stainless steel\nHousing: 1.4404", "a unit", "a sheet")
    assert [claim.materials for claim in unit.claims if claim.topic == "material.housing"] == [("ss-316l",)]
    assert [missed.quote for missed in unit.missed if missed.why.startswith("the grade")] == ["stainless steel"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Impact energy: 7 J", "IK08"),
        ("Impact resistance 5 J", "IK08"),
        ("Impact energy 4.9 J", "IK07"),
        ("impact 0.1 J", ""),
    ],
)
def test_blows_in_joule_reach_a_code(text: str, code: str) -> None:
    # source: IEC 62262:2002 with Amendment 1:2021, Table 1 (IK07 2 J, IK08 5 J)
    assert [claim.item for claim in claims(text, "impact")] == ([code] if code else [])


def test_readings_of_a_variant_are_kept_apart() -> None:
    text = "Sensor, IP65\nVariant A: housing 1.4404; seal FKM\nVariant B: housing PP"
    found = [(claim.materials, claim.variant, claim.credit) for claim in claims(text, "material.housing")]
    assert found == [(("ss-316l",), "variant a", "conditional"), (("pp",), "variant b", "conditional")]
    assert [claim.variant for claim in claims(text, "material.seal")] == ["variant a"]
    assert [claim.credit for claim in claims(text, "ingress.water")] == ["full"]


def test_a_twist_goes_with_its_rating() -> None:
    (claim,) = claims("Cord set: torsion ±180 °/m", "cable")
    assert (claim.item, claim.parameters["twist"]) == ("torsion", pytest.approx(math.pi))


def test_paint_speaks_against_a_surface_that_does_not_flake() -> None:
    assert [(claim.item, claim.denied) for claim in claims("Housing: painted steel", "geometry")] == [
        ("no-flaking", True)
    ]
    assert claims("Housing: 1.4404", "geometry") == []


def test_a_standard_of_several_tables_claims_no_level() -> None:
    assert [(claim.item, claim.credit) for claim in claims("EMC: EN 61326-1", "emc")] == [("", "conditional")]
    assert claims("EMC: EN 61000-6-4", "emc") == []  # it limits what the unit sends out


def test_a_level_may_stand_in_the_cell_beside_its_standard() -> None:
    text = "ESD (IEC 61000-4-2) | 4 kV contact, 8 kV air\nIEC 61000-4-3 | 3 V/m"
    assert {claim.item for claim in claims(text, "emc")} == {"esd-contact-4kv", "esd-air-8kv", "radiated-3vm"}


def test_two_standards_on_a_sheet_are_both_met() -> None:
    found = claims("EMC: EN 60947-5-2, EN 61000-6-2", "emc")
    assert {"radiated-3vm", "radiated-10vm"} <= {claim.item for claim in found}
    assert all(claim.floor for claim in found)


@pytest.mark.parametrize(
    ("text", "value", "credit"),
    [
        ("radii 3 to 6 mm", 0.003, "full"),
        ("all radii max. 6 mm", 0.006, "conditional"),
    ],
)
def test_the_least_radius_counts(text: str, value: float, credit: str) -> None:
    (claim,) = claims(text, "surface.radius")
    assert (claim.value, claim.credit) == (pytest.approx(value), credit)


def test_radius_of_a_bent_cable_is_none_of_the_corners() -> None:
    assert claims("Cable: bending radius 25 mm", "surface.radius") == []


def test_free_of_a_material() -> None:
    found = claims("Housing PBT, free of brass", "material.housing")
    assert [(claim.materials, claim.denied) for claim in found] == [(("pbt",), False), (("brass",), True)]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_a_text_sheet_of_an_office_program_is_read(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "unit.txt"
    path.write_bytes("Gehäuse: 1.4404\nSchutzart IP67\n".encode(encoding))
    quotes = [claim.quote for claim in READER.load(path).claims]
    assert {"1.4404", "IP67"} <= set(quotes)


def test_a_limit_of_use_is_no_contradiction() -> None:
    unit = READER.from_text("IP69\nCleaning: max. 20 bar", "a unit", "a sheet")
    limits = [claim for claim in unit.claims if claim.limit]
    assert {claim.item for claim in limits} >= {"IPX6", "IPX9"}
    assert all(claim.denied for claim in limits)


def test_a_generous_cleaning_pressure_limits_nothing() -> None:
    unit = READER.from_text("IP69\nCleaning: max. 100 bar", "a unit", "a sheet")
    assert not any(claim.limit for claim in unit.claims)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("Operating -40...60 °C, cold start from -20 °C", {"full": -20.0, "conditional": -40.0}, {"full": 60.0}),
        ("Ambient -20...85 °C, derating above 60 °C", {"full": -20.0}, {"full": 60.0, "conditional": 85.0}),
        ("Operating from -40 °C to 60 °C", {"full": -40.0}, {"full": 60.0}),
    ],
)
def test_a_limit_within_a_range_cuts_it(text: str, low: dict[str, float], high: dict[str, float]) -> None:
    for end, wanted in (("low", low), ("high", high)):
        found = {claim.credit: claim.value for claim in claims(text, f"temperature.{end}")}
        assert found == {credit: pytest.approx(value + 273.15) for credit, value in wanted.items()}


def test_random_vibration_is_no_sine_test() -> None:
    assert [claim.credit for claim in claims("Vibration 10 g rms, 20-2000 Hz random", "vibration")] == ["conditional"]
    assert [claim.credit for claim in claims("Vibration 10 g, 10-500 Hz", "vibration")] == ["full"]


def test_a_cross_reference_is_no_likeness() -> None:
    assert {c.credit for c in claims("Housing: 1.4404 (equivalent to AISI 316L)", "material.housing")} == {"full"}
    assert {c.credit for c in claims("Housing: similar to 1.4404", "material.housing")} == {"conditional"}


@pytest.mark.parametrize(
    "text",
    [
        "NEMA 4, IP66, indoor use only",
        "Type 4X (IP66) front only",
        "NEMA 4X/IP66 with optional gasket",
        "IP66, Type 4X pending",
    ],
)
def test_a_condition_holds_for_types_and_codes_of_one_list(text: str) -> None:
    for topic in ("enclosure.type", "ingress.water"):
        assert all(claim.credit != "full" for claim in claims(text, topic))
