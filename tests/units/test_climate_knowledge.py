"""What climate, mechanical stress, cabinets and corrosive air make the rules demand, case by case.

Every case names what its expectation comes from. The formulas behind are held against outside sources in
`tests/outside`; here it is the way from what a person tells of a site to the demand.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
import strategies
import yaml

from advisor.advise import Advice, gather
from advisor.loading import Loaded
from advisor.site import Site

ICE = 273.15
TABLES = Path(__file__).parents[2] / "knowledge" / "tables"
Advise = Callable[[str], Advice]


@pytest.fixture(scope="session")
def advise(loaded: Loaded, site_of: Callable[[str], Site]) -> Advise:
    """Advise by the quick evaluator; that it agrees with the engine of record is tested elsewhere."""

    def quickly(text: str) -> Advice:
        site = site_of(text)
        return gather(site, *strategies.runs(site), loaded.book, loaded.rules)

    return quickly


def rows(table: str) -> dict[str, dict[str, object]]:
    return yaml.safe_load((TABLES / f"{table}.yaml").read_text(encoding="utf-8"))["rows"]


def items(advice: Advice, topic: str, state: str = "certain") -> set[str]:
    return {demand.item for demand in advice.on(topic) if demand.state == state}


def figure(advice: Advice, topic: str) -> float:
    """The certain figure on a topic, in coherent SI."""
    [demand] = [demand for demand in advice.on(topic) if demand.state == "certain"]
    assert demand.value is not None
    return demand.value


def notes(advice: Advice, topic: str) -> str:
    """All certain notes of one kind as one text."""
    return "\n".join(note.item for note in advice.notes[topic] if note.state == "certain")


# --- blows ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("entry", "code"),
    # source: E = m g h or m v^2 / 2, and the energies of IEC 62262:2002 with Amendment 1:2021, Table 1
    [
        ("{mass: 0.5 kg, height: 1 m}", "IK08"),  # 4.9 J
        ("{mass: 2.5 kg, height: 0.5 m}", "IK10"),  # 12.3 J
        ("{mass: 0.3 kg, height: 1.5 m}", "IK08"),  # 4.4 J
        ("{mass: 3 kg, height: 1.5 m}", "IK11"),  # 44 J
        ("{mass: 2.5 kg, height: 1 m}", "IK11"),  # 24.5 J, between IK10 and IK11
        ("{mass: 5 kg, height: 0.4 m}", "IK10"),  # the hammer of IK10 itself, 19.6 J
        ("{mass: 15 kg, speed: 0.5 m/s}", "IK07"),  # 1.88 J
        ("{mass: 80 kg, speed: 1 m/s}", "IK11"),  # 40 J
        ("{mass: 300 kg, speed: 0.3 m/s}", "IK10"),  # 13.5 J
    ],
)
def test_energy_to_impact_code(advise: Advise, entry: str, code: str) -> None:
    assert items(advise(f"impact: [{entry}]"), "impact") == {code}


def test_more_than_every_impact_code(advise: Advise) -> None:
    # source: 20 kg from 1 m are 196 J; IEC 62262 ends at 50 J
    advice = advise("impact: [{mass: 20 kg, height: 1 m}]")
    assert "196 J" in notes(advice, "beyond")
    assert items(advice, "impact") == {"IK11"}


def test_thresholds_of_the_blow_rules_are_the_energies_of_the_codes(loaded: Loaded) -> None:
    # source: IEC 62262:2002 with Amendment 1:2021, Table 1, as it stands in the table ik_codes
    energies = {key.upper(): row["energy"] for key, row in rows("ik_codes").items()}
    below = {"IK07": "IK06", "IK08": "IK07", "IK09": "IK08", "IK10": "IK09", "IK11": "IK10"}
    for code, lower in below.items():
        rule = loaded.book.rules[f"blow-{code.lower()}"]
        assert rule.when[0]["blow"]["energy"] == f"> {energies[lower]} J"
    assert loaded.book.rules["blow-beyond"].when[0]["blow"]["energy"] == f"> {energies['IK11']} J"


def test_impact_in_the_cold_asks_for_a_cold_test(advise: Advise) -> None:
    # source: IEC 62262:2002, 5.1 (tested at 15 to 35 degC)
    cold = advise("impact: [{source: tools-at-hand}]\nair: {low: -25 degC, high: 5 degC}")
    mild = advise("impact: [{source: tools-at-hand}]\nair: {low: 5 degC, high: 25 degC}\nmount: none\nimmersion: none")
    assert "Impact test at the lowest temperature" in notes(cold, "evidence")
    assert "Impact test at the lowest temperature" not in notes(mild, "evidence")


# --- vibration and shock ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("amplitude", "frequency", "expected"),
    # source: a = (2 pi f)^2 d, conventions of IEC 60068-2-6 (amplitude is the peak)
    [("1 mm", "55 Hz", 119.42), ("0.5 mm", "55 Hz", 59.71), ("15 mm", "9 Hz", 47.97), ("1 mm", "25 Hz", 24.67)],
)
def test_amplitude_to_acceleration(advise: Advise, amplitude: str, frequency: str, expected: float) -> None:
    advice = advise(f"vibration: [{{amplitude: {amplitude}, frequency: {frequency}}}]")
    assert figure(advice, "vibration") == pytest.approx(expected, rel=1e-3)


def test_slow_wide_shaking_is_outside_the_test_of_proximity_switches(advise: Advise) -> None:
    # source: IEC 60947-5-2:2007, 7.4.2: 1 mm from 10 to 55 Hz
    screen = advise("vibration: [{amplitude: 15 mm, frequency: 9 Hz}]")
    assert "amplitude of 15 mm" in notes(screen, "evidence")
    assert "lies outside the 10 to 55 Hz" in notes(screen, "evidence")
    assert "lies outside" not in notes(advise("vibration: [{amplitude: 0.5 mm, frequency: 50 Hz}]"), "evidence")


def test_shock_as_a_drop(advise: Advise) -> None:
    # source: area of the half sine: 30 gn for 11 ms is 2.06 m/s, like a fall of 216 mm
    [demand] = advise("vibration: [{shock: 30 gn, pulse: 11 ms}]").on("shock")
    assert demand.value == pytest.approx(294.2, rel=1e-3)
    assert "2.06 m/s" in demand.texts[0]
    assert "216 mm" in demand.texts[0]


@pytest.mark.parametrize(
    ("level", "shock", "code"),
    # source: ISO/IEC TR 29106:2007 with Amendment 1:2012: shock 40, 100, 250 m/s2; impact 1, 10, 30 J
    [("m1", 40.0, "IK06"), ("m2", 100.0, "IK09"), ("m3", 250.0, "IK11")],
)
def test_mice_m(advise: Advise, level: str, shock: float, code: str) -> None:
    advice = advise(f"classes: {{given: mice, mice_m: {level}}}")
    assert figure(advice, "shock") == pytest.approx(shock)
    assert items(advice, "impact") == {code}


def test_measuring_instrument_classes_are_not_mice(advise: Advise) -> None:
    # source: Directive 2014/32/EU, Annex I, 1.3.2: words, no figures
    advice = advise("classes: {given: mechanical, mechanical: mid-m2}\nvibration: none")
    assert not [demand for demand in advice.on("vibration") if demand.state == "certain"]
    assert "another scale" in notes(advice, "evidence")


def test_mice_i_proves_no_hot_jet(advise: Advise) -> None:
    # source: ISO/IEC TR 29106:2007: I3 is 12.5 L/min beyond 2.5 m, and 1 m for 30 minutes
    advice = advise(
        "classes: {given: mice, mice_i: i3}\n"
        "wash: [{method: lance, pressure: 100 bar, distance: 150 mm, temperature: 80 degC}]"
    )
    assert items(advice, "ingress.water") >= {"IPX6", "IPX7", "IPX9"}
    assert "prove nothing for IPX6 and IPX9" in notes(advice, "evidence")


# --- heat, cold, sun -------------------------------------------------------------------------------------------


def test_a_unit_on_a_hot_wall_takes_the_temperature_of_the_wall(advise: Advise) -> None:
    # source: conduction; practice: a unit rated 70 degC on a tank wall of 85 degC in air of 30 degC fails
    advice = advise("mount: {kind: direct, temperature: 85 degC, coldest: 5 degC}\nair: {low: 10 degC, high: 30 degC}")
    assert figure(advice, "temperature.high") == pytest.approx(85 + ICE)
    assert figure(advice, "temperature.low") == pytest.approx(5 + ICE)
    assert "85 to 100 degC" in notes(advice, "evidence")


@pytest.mark.parametrize(("material", "watts"), [("stainless", "1.3 W"), ("aluminium", "16.2 W")])
def test_a_bracket_of_steel_or_aluminium(advise: Advise, material: str, watts: str) -> None:
    # source: Fourier's law, 30 x 3 mm over 100 mm from 120 degC: 0.86 W (steel) or 10.8 W (aluminium) into 60 degC,
    # and 3/2 of it into 30 degC; balance by hand with 5 W/(m2 K) on 40 cm2: g = 0.0144 or 0.18 W/K against 0.02 W/K
    conductance = {"stainless": 0.0144, "aluminium": 0.18}[material]
    advice = advise(
        f"mount: {{kind: bracket, temperature: 120 degC, coldest: 20 degC, material: {material},"
        " section: 90 mm**2, length: 100 mm, surface: 40 cm**2}\nair: {low: 20 degC, high: 30 degC}"
    )
    by_hand = (conductance * 120 + 0.02 * 30) / (conductance + 0.02)
    assert figure(advice, "temperature.high") == pytest.approx(by_hand + ICE, abs=0.01)
    assert watts in "".join(advice.on("temperature.high")[0].texts)


def test_an_oven_mouth(advise: Advise) -> None:
    # source: Stefan-Boltzmann law: a black opening of 250 degC that fills the view gives 3702 W/m2 at 40 degC
    oven = "radiant: [{temperature: 250 degC, radius: 10 m, distance: 0.05 m}]"
    advice = advise(f"{oven}\nair: {{low: 10 degC, high: 40 degC}}")
    assert "370" in notes(advice, "practice")
    assert 150 + ICE < figure(advice, "temperature.high") < 250 + ICE


def test_the_sunlit_face(advise: Advise) -> None:
    # source: ASHRAE sol-air temperature without sky term, absorptance 0.95, 1120 W/m2, 17 W/(m2 K): 40 + 62.6 degC
    advice = advise("sun: {exposure: open, finish: dark-paint, dirt: clean}\nair: {low: 0 degC, high: 40 degC}")
    assert "103 °C" in notes(advice, "practice")
    assert 60 + ICE < figure(advice, "temperature.high") < 102.6 + ICE


def test_deep_cold_asks_for_a_cold_start_and_for_the_seal(advise: Advise) -> None:
    # source: IEC 60947-5-2:2007, 6.1 (-25 degC, photoelectric -5 degC); IEC 60068-2-1
    told = "unit: {kind: sensor}\nair: {low: -30 degC, high: 5 degC, humidity: 85 %, coldest_surface: -28 degC}"
    store = advise(told)
    papers = notes(store, "evidence")
    assert "IEC 60068-2-1 " in papers
    assert "IEC 60068-2-38" in papers
    assert "IEC 60068-2-30" in papers
    assert "Frost grows" in notes(store, "practice")


def test_a_dry_room_does_not_ask_for_condensation_tests(advise: Advise) -> None:
    # source: dew point of 22 degC and 45 % is 9.5 degC (PsychroLib 2.5.0); 14 degC stays 3 K clear of it, 12 not
    dry = "air: {{low: 15 degC, high: 22 degC, humidity: 45 %, coldest_surface: {} degC}}"
    assert "IEC 60068-2-30" not in notes(advise(dry.format(14)), "evidence")
    assert "IEC 60068-2-30" in notes(advise(dry.format(12)), "evidence")


# --- altitude --------------------------------------------------------------------------------------------------


def test_a_plant_at_3000_m(advise: Advise) -> None:
    # source: IEC 60664-1:2007, Table A.2 (factor 1.14); ISO 2533 (70.1 kPa)
    papers = notes(advise("place: {altitude: 3000 m}"), "evidence")
    assert "Clearances 1.14 times" in papers
    assert "70.1 kPa" in papers
    assert "Clearances" not in notes(advise("place: {altitude: 1900 m}"), "evidence")


def test_hot_water_flashes_in_the_mountains(advise: Advise) -> None:
    # source: IAPWS-IF97 at the pressure of ISO 2533: water boils at 93.3 degC at 2000 m
    wash = "place: {{altitude: {} m}}\nwash: [{{method: hose, temperature: 92 degC}}]"
    assert "boils at about 93.3 °C" in notes(advise(wash.format(2000)), "caution")
    assert "boils at" not in notes(advise(wash.format(900)), "caution")


def test_a_closed_box_carried_to_2000_m(advise: Advise) -> None:
    # source: ISO 2533: 101.3 less 79.5 kPa
    assert "21.8 kPa" in notes(advise("place: {altitude: 2000 m}\nunit: {kind: enclosure, inside: closed}"), "practice")


# --- cabinets --------------------------------------------------------------------------------------------------

BOX = (
    "unit: {{kind: enclosure, inside: closed}}\nsun: none\nair: {{low: 5 degC, high: 35 degC}}\n"
    "cabinet: {{kind: box, {}}}"
)


@pytest.mark.parametrize(
    ("box", "rise"),
    # source: dT = P / (k A) with the areas of VDE 0660-500 / IEC TR 60890
    [
        ("height: 2 m, width: 0.8 m, depth: 0.6 m, mounting: free, power: 300 W, coefficient: 5.5 W/m**2/K", 9.55),
        ("height: 600 mm, width: 400 mm, depth: 250 mm, mounting: wall, power: 45 W, wall: steel-painted", 10.97),
        ("height: 300 mm, width: 200 mm, depth: 120 mm, mounting: wall, power: 12 W, wall: plastic", 18.8),
        ("height: 200 mm, width: 150 mm, depth: 80 mm, mounting: wall, power: 5 W, wall: plastic", 16.31),
    ],
)
def test_stirred_inside_by_the_rule_of_thumb(advise: Advise, box: str, rise: float) -> None:
    advice = advise(BOX.format(f"stirred: fan, {box}"))
    assert figure(advice, "temperature.inside") == pytest.approx(35 + ICE + rise, abs=0.1)


def test_still_air_runs_hotter_than_stirred(advise: Advise) -> None:
    # source: IEC TR 60890 against P / (k A): about 1.4 times at half height, and more under the roof
    box = "height: 600 mm, width: 400 mm, depth: 250 mm, power: 45 W, wall: steel-painted"
    still = figure(advise(BOX.format(box)), "temperature.inside") - 35 - ICE
    assert 1.4 * 10.97 < still < 2.1 * 10.97


def test_the_sun_on_a_cabinet(advise: Advise) -> None:
    # source: dT = alpha I A / (h A_e): 0.4 x 0.3 x 0.2 m, dark, 1120 W/m2; the front alone brings 30.5 K
    box = BOX.replace("sun: none", "sun: {{exposure: {}, finish: dark-paint, dirt: clean}}")
    told = "stirred: fan, height: 400 mm, width: 300 mm, depth: 200 mm, power: 10 W, coefficient: 5.5 W/m**2/K"
    shaded = figure(advise(BOX.format(told)), "temperature.inside")
    sunny = figure(advise(box.format("open", told)), "temperature.inside")
    window = figure(advise(box.format("glass", told)), "temperature.inside")
    assert shaded - 35 - ICE == pytest.approx(4.6, abs=0.1)
    assert sunny - shaded > 30.5
    assert shaded < window < sunny


def test_heater_of_a_wall_box(advise: Advise) -> None:
    # source: k A dT with 5.5 W/(m2 K) and 0.746 m2: 20.5 W for 5 K, 41 W for 10 K
    advice = advise(
        "place: {setting: indoor}\nunit: {kind: enclosure, inside: closed}\n"
        "air: {low: 5 degC, high: 25 degC, humidity: 80 %, coldest_surface: 8 degC}\n"
        "cabinet: {kind: box, height: 600 mm, width: 400 mm, depth: 250 mm, mounting: wall, wall: steel-painted}"
    )
    assert "20.5 W or 10 K with 41 W" in notes(advice, "practice")


def test_water_in_one_filling_of_air(advise: Advise) -> None:
    # source: ideal gas and saturation: 10 L of 30 degC and 70 % cooled to 5 degC shed 144 mg
    advice = advise(
        "unit: {kind: enclosure, inside: closed}\nair: {low: 5 degC, high: 30 degC, humidity: 70 %}\n"
        "cabinet: {kind: box, height: 200 mm, width: 200 mm, depth: 250 mm}"
    )
    assert "leaves 0.14" in notes(advice, "practice")


def test_the_weakest_part_sets_the_limit(advise: Advise) -> None:
    # source: IEC 60947-1 (switchgear 40 degC) against electronics of 60 degC, in a box at 46 degC inside
    box = "stirred: fan, height: 600 mm, width: 400 mm, depth: 250 mm, power: 45 W, wall: steel-painted, contents: {}"
    hot = advise(BOX.format(box.format("switchgear")))
    assert "exceeded by 5.97 K" in notes(hot, "evidence")
    assert "Carry off 24.5 W" in notes(hot, "practice")  # 45 W less 5.5 x 0.746 x 5 K
    assert "exceeded by" not in notes(advise(BOX.format(box.format("electronics"))), "evidence")


# --- corrosive air, pollution, classes -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("told", "code"),
    # source: ISO 9223:2012, Table C.1 and ISO 12944-2:2017, Table 1 (examples of places)
    [
        ("atmosphere: none", "C1"),
        ("atmosphere: {air: unheated}", "C2"),
        ("atmosphere: {air: moist}", "C3"),
        ("atmosphere: {air: chlorine}", "C4"),
        ("atmosphere: {air: dripping}", "C5"),
        ("atmosphere: {air: offshore}", "CX"),
        ("place: {setting: outdoor}\natmosphere: {air: unheated}\ncorrosion: {sea: 3 km, road: 100 km}", "C4"),
        ("place: {setting: outdoor}\natmosphere: {air: unheated}\ncorrosion: {sea: 50 m, road: 100 km}", "CX"),
    ],
)
def test_category_of_the_air(advise: Advise, told: str, code: str) -> None:
    advice = advise(told)
    assert items(advice, "corrosivity") == {code}
    assert ("no years of life" in notes(advice, "caution")) == (code not in ("C1", "C2"))


def test_condensation_makes_pollution_degree_3(advise: Advise) -> None:
    # source: IEC 60664-1:2007, 4.6.2: dry pollution that conducts once condensation is expected
    boiler_room = "atmosphere: none\nair: {low: 5 degC, high: 25 degC, humidity: 80 %, coldest_surface: 10 degC}"
    assert items(advise(boiler_room), "pollution") == {"PD3"}
    assert items(advise("atmosphere: none"), "pollution") == {"PD2"}


@pytest.mark.parametrize(
    ("label", "low", "high"), [("3k3", 5, 40), ("3k6", -25, 55), ("3k7", -40, 70), ("4k4h", -20, 55)]
)
def test_temperatures_of_a_class(advise: Advise, label: str, low: int, high: int) -> None:
    # source: IEC 60721-3-3:1994 and 60721-3-4:1995, Tables 1
    advice = advise(f"classes: {{given: climate, climate: {label}}}\nair: {{low: 18 degC, high: 22 degC}}")
    assert figure(advice, "temperature.high") == pytest.approx(high + ICE)
    assert figure(advice, "temperature.low") == pytest.approx(low + ICE)
    assert "means nothing without its edition" in notes(advice, "evidence")


# --- cables, threads, gates ------------------------------------------------------------------------------------


def test_bend_radius_and_rating_of_cables(advise: Advise) -> None:
    # source: cable practice: 6, 10 and 12.5 diameters; a chain rating is no torsion rating
    assert "Bend" not in notes(advise("cable: {movement: fixed, diameter: 5 mm}"), "practice")
    assert "50 mm" in notes(advise("cable: {movement: flexed, diameter: 5 mm}"), "practice")
    chain = advise("cable: {movement: chain, diameter: 5 mm}")
    assert "62.5 mm" in notes(chain, "practice")
    assert items(chain, "cable") == {"drag-chain"}
    robot = advise("cable: {movement: robot, twist: 270 degree/m}")
    assert items(robot, "cable") == {"drag-chain", "torsion"}


def test_lock_nut_torque(advise: Advise) -> None:
    # source: trade data for thin-walled threaded housings
    assert "30 to 60 N·m" in notes(advise("fixing: {way: thread, thread: m18-stainless}"), "practice")


@pytest.mark.parametrize(
    ("word", "topics"),
    [
        ("mechanical", ["impact", "vibration", "shock", "cable"]),
        ("impact", ["impact"]),
        ("vibration", ["vibration", "shock"]),
        ("cable", ["cable"]),
        ("cabinet", ["temperature.inside"]),
    ],
)
def test_one_word_closes_a_subject_and_silence_keeps_it_open(advise: Advise, word: str, topics: list[str]) -> None:
    # source: the rule of the house that silence is never a pass
    silent, closed = advise(""), advise(f"{word}: none")
    for topic in topics:
        assert silent.on(topic), f"silence says nothing on {topic}"
        assert not closed.on(topic)


# --- tables that state the same facts --------------------------------------------------------------------------


def test_limits_of_classes_and_walls_are_the_ends_of_the_ranges() -> None:
    # source: the tables climate_classes and enclosure_walls, which carry the sources
    for key, row in rows("climate_classes").items():
        ends = rows("climate_limits")[key]
        assert [ends["low"], ends["high"]] == row["temperature"]
    for key, row in rows("enclosure_walls").items():
        ends, span = rows("wall_limits")[key], row["coefficient"]
        assert [ends["poor"], ends["good"]] == (span if isinstance(span, list) else [span, span])
