"""Sites of weld cells and strong currents against worked figures: from the answers to what is demanded.

Expected fields are peak flux densities; the demand adds the margin of the table of field margins, so each case holds
the demand against field times margin. The source of each figure stands beside it.
"""

from collections.abc import Callable

import pytest

from advisor.engine.bounds import evaluate
from advisor.loading import Loaded
from advisor.site import Site
from advisor.topics import Demand, combine

MT = 1e-3
MM = 1e-3
MARGIN = 1.5
"""Fixed conductor and no steel near by, row `usual` of the field margins."""

INDUCTIVE = "sensing: {principle: inductive-ferrite-free}\n"
OTHERS_NONE = (
    "unit: {kind: sensor}\nwash: none\nimmersion: none\ndust: none\nfood: none\nexposure: none\nhazard: none\n"
)


class Advice:
    """The demands and notes on a site, topic by topic."""

    def __init__(self, loaded: Loaded, site: Site) -> None:
        facts = site.facts()
        certain, possible = (evaluate(loaded.rules, facts, loaded.book, certain=reading) for reading in (True, False))
        topics = loaded.book.vocabulary.topics.values()
        self.demands = {topic.topic: combine(topic, certain, possible, loaded.book) for topic in topics}

    def on(self, topic: str) -> list[Demand]:
        return self.demands[topic]


Advise = Callable[[str], Advice]


@pytest.fixture(scope="module")
def advise(loaded: Loaded, site_of: Callable[[str], Site]) -> Advise:
    """Advise by the quick evaluator; that it agrees with the engine of record is under test elsewhere."""
    return lambda told: Advice(loaded, site_of(told))


def source(told: str, waveform: str = "mf", figure: str = "peak") -> str:
    return (
        f"{INDUCTIVE}weld: none\nfield_source: "
        f"[{{waveform: {waveform}, figure: {figure}, nearby: usual, together: alone, {told}}}]\n"
    )


def one(advice: Advice, topic: str) -> Demand:
    (demand,) = [demand for demand in advice.on(topic) if demand.state == "certain"]
    return demand


def figure(advice: Advice, topic: str) -> float:
    value = one(advice, topic).value
    assert value is not None
    return value


def codes(advice: Advice, topic: str) -> set[str]:
    return {demand.item for demand in advice.on(topic) if demand.state == "certain"}


def notes(advice: Advice, topic: str) -> str:
    return "\n".join(demand.item for demand in advice.on(topic) if demand.state == "certain")


@pytest.mark.parametrize(
    ("told", "millitesla"),
    [
        # source: Ampere's law by hand, B[mT] = 200 I[kA] / r[mm]
        ("layout: single, current: 10 kA, distance: 50 mm", 40.0),
        ("layout: single, current: 15 kA, distance: 100 mm", 30.0),
        ("layout: single, current: 30 kA, distance: 50 mm", 120.0),
        ("layout: single, current: 300 A, distance: 20 mm", 3.0),
        ("layout: single, current: 1000 A, distance: 10 mm", 20.0),
        # source: superposition of two line currents by hand, agreeing with magpylib 6.3.0
        ("layout: pair-between, current: 10 kA, spacing: 100 mm, distance: 50 mm", 80.0),
        ("layout: pair-beside, current: 10 kA, spacing: 100 mm, distance: 50 mm", 26.667),
        ("layout: pair-beside, current: 10 kA, spacing: 100 mm, distance: 100 mm", 10.0),
        ("layout: pair-beside, current: 10 kA, spacing: 40 mm, distance: 80 mm", 8.333),
        # source: the same, mid-plane 100 mm over the plane of the wires (111.8 mm from each)
        ("layout: pair-above, current: 10 kA, spacing: 100 mm, distance: 111.8034 mm", 16.0),
        # source: Biot-Savart on the four sides, magpylib 6.3.0: throat of 0.4 x 0.3 m, centre, near one leg, outside
        (
            "layout: throat-inside, current: 12 kA, upper: 150 mm, lower: 150 mm, rear: 200 mm, tips: 200 mm",
            40.0,
        ),
        ("layout: throat-inside, current: 12 kA, upper: 150 mm, lower: 150 mm, rear: 50 mm, tips: 350 mm", 68.0),
        (
            "layout: throat-inside, current: 15 kA, upper: 50 mm, lower: 200 mm, rear: 50 mm, tips: 450 mm",
            111.7,
        ),
        ("layout: throat-outside, current: 12 kA, distance: 50 mm, leg: 300 mm, reach: 400 mm", 33.73),
        ("layout: throat-outside, current: 12 kA, distance: 200 mm, leg: 300 mm, reach: 400 mm", 3.508),
        # source: two line currents 2 mm apart, by hand (the core 2 mm off centre, exact form)
        ("layout: coaxial, current: 10 kA, eccentricity: 2 mm, distance: 50 mm", 1.667),
        # source: upper bound mu0 I / (2 r) for any convex loop; the real 0.4 x 0.3 m throat makes 40.0 mT there
        ("layout: anywhere, current: 12 kA, distance: 150 mm", 50.27),
    ],
)
def test_the_field_of_a_layout(advise: Advise, told: str, millitesla: float) -> None:
    assert figure(advise(source(told)), "immunity.magnetic.mf") == pytest.approx(millitesla * MARGIN * MT, rel=3e-3)


def test_layout_not_told_is_taken_on_the_safe_side(advise: Advise) -> None:
    # source: the bound for any convex loop is pi times the single wire
    loop = figure(advise(source("current: 12 kA, distance: 150 mm")), "immunity.magnetic.mf")
    wire = figure(advise(source("layout: single, current: 12 kA, distance: 150 mm")), "immunity.magnetic.mf")
    assert loop / wire == pytest.approx(3.14159, rel=1e-4)


def test_twisted_cable(advise: Advise) -> None:
    # source: Biot-Savart sum over a long helical pair, 60 mm spacing, 300 mm pitch: 0.69 mT at 200 mm from the axis
    told = "layout: twisted, current: 10 kA, spacing: 60 mm, pitch: 300 mm, distance: 170 mm"
    demand = figure(advise(source(told)), "immunity.magnetic.mf")
    assert demand >= 0.689 * MARGIN * MT
    assert demand <= 0.9 * MARGIN * MT


def test_centred_coaxial_lead_asks_for_nothing(advise: Advise) -> None:
    # source: Ampere's law, no net current inside the path
    advice = advise(source("layout: coaxial, current: 10 kA, eccentricity: 0 mm, distance: 50 mm"))
    assert not advice.on("immunity.magnetic.mf")


def test_rms_becomes_peak(advise: Advise) -> None:
    # source: crest factor of the sine; 10 kA rms at 50 mm peak at 56.6 mT, so that 40 mT peak is not enough
    told = source("layout: single, current: 10 kA, distance: 50 mm", "ac", "rms-full")
    assert figure(advise(told), "immunity.magnetic.ac") == pytest.approx(56.57 * MARGIN * MT, rel=1e-3)


def test_sources_at_the_same_time_add(advise: Advise) -> None:
    # source: superposition with the triangle inequality: 40 mT and 10 mT make 50 mT at the most, in each kind of field
    told = (
        "sensing: {principle: inductive-ferrite-free}\nfield_source:\n"
        "  - {layout: measured, waveform: mf, flux: 40 mT, together: first}\n"
        "  - {layout: measured, waveform: ac, flux: 10 mT, together: second}\n"
    )
    advice = advise(told)
    for kind in ("mf", "ac"):
        assert figure(advice, f"immunity.magnetic.{kind}") == pytest.approx(50 * MARGIN * MT, rel=1e-6)
    apart = advise(told.replace("first", "alone").replace("second", "alone"))
    assert figure(apart, "immunity.magnetic.ac") == pytest.approx(10 * MARGIN * MT, rel=1e-6)


@pytest.mark.parametrize(("near", "margin"), [("usual", 1.5), ("moving", 2.0), ("steel", 2.5)])
def test_margin_by_place(advise: Advise, near: str, margin: float) -> None:
    # source: trade margins: tolerance and stepped-up current, moving conductor, image of the current in steel
    told = source("layout: single, current: 10 kA, distance: 50 mm").replace("nearby: usual", f"nearby: {near}")
    assert figure(advise(told), "immunity.magnetic.mf") == pytest.approx(40 * margin * MT, rel=1e-6)


def test_a_mains_claim_says_nothing_for_a_steady_field(advise: Advise) -> None:
    # source: rule of the trade on kinds of field; 20 mT beside a pot line, a unit proved for 100 mT at 50 Hz
    advice = advise(INDUCTIVE + "field_source: [{layout: measured, waveform: dc, flux: 20 mT, together: alone}]\n")
    assert not advice.on("immunity.magnetic.ac")
    assert figure(advice, "immunity.magnetic.dc") == pytest.approx(20 * MARGIN * MT, rel=1e-6)
    assert "50 or 60 Hz" in notes(advice, "evidence")


def test_30_amperes_a_metre_says_nothing(advise: Advise) -> None:
    # source: B = mu0 H, 30 A/m are 0.0377 mT
    advice = advise(source("layout: single, current: 10 kA, distance: 50 mm", "ac"))
    assert "30 A/m of IEC 61000-4-8 is 0.038 mT" in notes(advice, "evidence")


def test_a_magnetic_switch_needs_its_own_test(advise: Advise) -> None:
    # source: switch points of 1 to 5 mT; 10 kA at 300 mm make 6.7 mT
    told = source("layout: single, current: 10 kA, distance: 300 mm").replace("inductive-ferrite-free", "reed")
    advice = advise(told)
    assert figure(advice, "immunity.magnetic.mf") == pytest.approx(6.667 * MARGIN * MT, rel=1e-3)
    assert "without that test it is out here" in notes(advice, "evidence")


@pytest.mark.parametrize("principle", ["photoelectric", "fibre-optic", "ultrasonic", "limit-switch", "back-pressure"])
def test_principles_that_no_field_disturbs(advise: Advise, principle: str) -> None:
    # source: sensing textbooks: no core and no magnet in the unit
    told = source("layout: single, current: 30 kA, distance: 50 mm").replace("inductive-ferrite-free", principle)
    assert not advise(told).on("immunity.magnetic.mf")


def test_distances_for_classes(advise: Advise) -> None:
    # source: r = 200 I / B: 10 kA peak, 40 mT: 50 mm bare, 75 mm with the margin of 1.5
    text = notes(advise(source("layout: single, current: 10 kA, distance: 50 mm")), "practice")
    assert "75 mm for a unit proved for 40 mT" in text
    assert "30 mm for 100 mT" in text
    assert "15 mm for 200 mT" in text


def test_implants_beside_an_arc_cable(advise: Advise) -> None:
    # source: static action level of Directive 2013/35/EU, Table B4: 300 A from a long wire reach 0.5 mT at 120 mm
    text = notes(advise(source("layout: single, current: 300 A, distance: 20 mm", "dc")), "caution")
    assert "implants 0.12 m or more" in text


@pytest.mark.parametrize(
    ("target", "more", "millimetre"),
    [
        # source: IEC 60947-5-2, assured distance 0.81 sn: sn 4 mm reads steel at 3.0 mm (3.24 mm assured)
        ("carbon-steel", "", 3.704),
        # source: reduction factors of aluminium 0.3 to 0.5, low end: sn 4 mm does not read it at 3.0 mm
        ("aluminium", "", 12.346),
        # source: equal-factor units within 10 percent
        ("aluminium", ", equal_factor: yes", 4.115),
    ],
)
def test_the_rated_distance_that_is_needed(advise: Advise, target: str, more: str, millimetre: float) -> None:
    told = f"sensing: {{principle: inductive-ferrite-free, target: {target}, gap: 3 mm, build_up: 0 mm{more}}}\n"
    assert figure(advise(told), "sensing.distance") == pytest.approx(millimetre * MM, rel=1e-3)


def test_zones_of_the_face(advise: Advise) -> None:
    # source: IEC 60947-5-2 tolerances: sn 10 mm is off for sure at 14.3 mm; standard target 3 sn = 30 mm square
    told = (
        "sensing: {principle: inductive-ferrite-free, target: carbon-steel, gap: 8.1 mm, build_up: 0 mm, "
        "diameter: 18 mm}\n"
    )
    text = notes(advise(told), "practice")
    assert "background beyond 14.3 mm" in text
    assert "smaller than 30 mm square, or than the face" in text
    assert "36 mm apart if flush" in text


def test_spatter_of_carbon_dioxide(advise: Advise) -> None:
    # source: ranking of processes by spatter: 200 mm from a weld with carbon dioxide no bare plastic lasts
    advice = advise(OTHERS_NONE + "weld: [{process: mag-co2, distance: 200 mm, sight: direct}]\nfield_source: none\n")
    assert codes(advice, "spatter.face") == {"shedding-face"}
    assert codes(advice, "spatter.jacket") == {"spatter-jacket"}
    guarded = advise(OTHERS_NONE + "weld: [{process: mag-co2, distance: 200 mm, sight: guarded}]\nfield_source: none\n")
    assert not codes(guarded, "spatter.face") | codes(guarded, "spatter.jacket")


@pytest.mark.parametrize(
    ("process", "metres", "plastic_lasts"),
    [
        # source: trade ranking: severity 2 within 0.5 m, 3 within 1 m, 4 and 5 within 2 m
        ("mag-argon", 0.5, False), ("mag-argon", 0.6, True),
        ("laser", 1.0, False), ("laser", 1.1, True),
        ("spot-zinc", 2.0, False), ("spot-zinc", 2.1, True),
        ("tig", 0.05, True),
    ],
)  # fmt: skip
def test_how_far_bare_plastic_is_out(advise: Advise, process: str, metres: float, plastic_lasts: bool) -> None:
    weld = f"weld: [{{process: {process}, distance: {metres} m, sight: direct}}]\n"
    advice = advise(f"unit: {{kind: sensor}}\n{weld}")
    assert (not codes(advice, "spatter.face")) is plastic_lasts


@pytest.mark.parametrize(
    ("role", "material", "rating"),
    [
        # source: contact of two half-spaces: every steel drop melts aluminium (solidus 582 degC) and burns plastic
        ("housing", "al-cast", "attacked"), ("face", "pbt", "attacked"), ("face", "peek", "attacked"),
        # source: practice in weld cells: PVC burns through, PUR holds the drop, PTFE and ceramic shed it
        ("jacket", "pvc-jacket", "attacked"), ("jacket", "pur-ether", "limited"),
        ("face", "ptfe", "resists"), ("face", "alumina", "resists"), ("jacket", "fep", "resists"),
    ],
)  # fmt: skip
def test_materials_under_drops(advise: Advise, role: str, material: str, rating: str) -> None:
    advice = advise(OTHERS_NONE + "weld: [{process: spot-steel, distance: 0.5 m, sight: direct, painted: no}]\n")
    verdicts = {entry.material: entry.certain for entry in one(advice, f"material.{role}").materials}
    assert verdicts.get(material, "resists") == rating


def test_tig_throws_nothing_but_bursts(advise: Advise) -> None:
    # source: no spatter; high-frequency striking of IEC 60974-3; 150 A at 200 mm make 0.15 mT
    weld = "weld: [{process: tig, distance: 200 mm, sight: direct, return_path: clear}]\n"
    field = (
        "field_source: [{layout: single, waveform: dc, figure: peak, nearby: usual, current: 150 A, "
        "distance: 200 mm, together: alone}]\n"
    )
    advice = advise(OTHERS_NONE + INDUCTIVE + weld + field)
    assert not advice.on("spatter.face")
    assert not [topic for topic in ("ac", "mf", "dc", "pulse") if advice.on(f"immunity.magnetic.{topic}")]
    assert {"radiated-20vm", "burst-4kv"} <= codes(advice, "emc")
    assert "Trial in place during arc starts" in notes(advice, "evidence")
    hall = advise(OTHERS_NONE + "sensing: {principle: hall-encoder}\n" + weld + field)
    assert figure(hall, "immunity.magnetic.dc") == pytest.approx(0.15 * MARGIN * MT, rel=1e-3)


def test_steel_round_one_conductor(advise: Advise) -> None:
    # source: IEC 60364-5-52, 521.5
    told = "unit: {kind: junction-box}\nfield_source: [{layout: measured, waveform: ac, flux: 20 mT}]\n"
    assert "single alternating-current conductor through a steel wall" in notes(advise(told), "practice")


@pytest.mark.parametrize(
    ("kind", "word"),
    [
        # source: scope of IEC 60947-5-2 (no behaviour under fault); EN 378-3; IEC 60079-10-1; radiation and oxygen law
        ("safety-function", "IEC 60947-5-3"), ("ammonia", "EN 378-3"), ("flammable-gas", "IEC 60079-10-1"),
        ("ionising", "radiation protection officer"), ("oxygen", "oxygen systems"),
    ],
)  # fmt: skip
def test_what_others_decide(advise: Advise, kind: str, word: str) -> None:
    assert word in notes(advise(f"hazard: [{{kind: {kind}}}]\n"), "refer")


def test_gun_water_needs_both_jets_and_immersion(advise: Advise) -> None:
    # source: IEC 60529, clause 6: the second numeral 7 covers no jets
    advice = advise(OTHERS_NONE + "weld: [{process: spot-steel, distance: 0.5 m, sight: guarded}]\n")
    assert {"IPX5", "IPX7"} <= codes(advice, "ingress.water")


def test_one_word_a_subject_is_enough(advise: Advise) -> None:
    advice = advise(OTHERS_NONE + "weld: none\nfield_source: none\nsensing: none\nemc: none\n")
    subjects = ("immunity.magnetic.", "spatter.", "sensing.", "emc")
    assert not [topic for topic, found in advice.demands.items() if found and topic.startswith(subjects)]
    assert not advice.on("refer")


@pytest.mark.parametrize(
    ("milder", "harder", "topic"),
    [
        ("current: 10 kA, distance: 50 mm", "current: 12 kA, distance: 50 mm", "immunity.magnetic.mf"),
        ("current: 10 kA, distance: 50 mm", "current: 10 kA, distance: 40 mm", "immunity.magnetic.mf"),
        (
            "layout: twisted, current: 10 kA, spacing: 60 mm, pitch: 300 mm, distance: 61 mm",
            "layout: twisted, current: 10 kA, spacing: 60 mm, pitch: 300 mm, distance: 59 mm",
            "immunity.magnetic.mf",
        ),
        (
            "layout: coaxial, current: 10 kA, distance: 26 mm",
            "layout: coaxial, current: 10 kA, distance: 24 mm",
            "immunity.magnetic.mf",
        ),
    ],
)
def test_harder_never_asks_less(advise: Advise, milder: str, harder: str, topic: str) -> None:
    assert figure(advise(source(milder)), topic) <= figure(advise(source(harder)), topic)


def test_a_source_of_open_layout_adds_one_share(loaded: Loaded, site_of: Callable[[str], Site]) -> None:
    told = "{layout: [single, anywhere, pair-above], waveform: dc, current: 5 kA, figure: peak, distance: 200 mm}"
    site = site_of(f"field_source: [{told}]")
    facts = evaluate(loaded.rules, site.facts(), loaded.book, certain=False).facts.values()
    parts = [fact.slots["peak"] for fact in facts if fact.template == "part_field"]
    shares = [fact.slots["peak"] for fact in facts if fact.template == "share"]
    assert (len(parts), len(shares)) == (3, 1)
    assert (shares[0].low, shares[0].high) == (min(p.low for p in parts), max(p.high for p in parts))
