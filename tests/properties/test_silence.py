"""Silence, doubt and contradiction never end as fit; deleting a claim never improves, a stronger one never worsens.

A claim is *adverse* to a demand if it does not meet it when it stands alone: taking away a claim that speaks against a
unit may rightly improve it, taking away any other may not. *Stronger*, by the order of the topic: a code that covers
the other with all its figures, a figure further on the demanded side, a material that is at least as good for the role;
on the same part, in one entry, in full credit. Two topics that hardly any sheet states (pollution, corrosivity) are
left out, so that fit units occur.
"""

from dataclasses import replace
from functools import cache

import pytest
import strategies
from conftest import DEPTH
from hypothesis import event, given, settings
from hypothesis import strategies as st

from advisor.advise import Advice
from advisor.audit import Audit, Auditor, Finding
from advisor.claims import Claim
from advisor.outcomes import OUTCOMES
from advisor.sheet import SheetReader, UnitSheet, read_entry
from advisor.site import read_site
from advisor.topics import Demand, covers
from advisor.yamlfile import Document

BOOK = strategies.rulebook().book
READER = SheetReader(BOOK)
UNSAYABLE = ("pollution", "corrosivity")
ELSE = """
place: {setting: indoor}
air: {low: 10 degC, high: 35 degC, humidity: 50 %, coldest_surface: 15 degC}
others: none
"""
UNIT = """
unit: {kind: sensor, largest_size: 50 mm, inside: filled, connection: moulded-cable, running_temperature: 20 degC}
"""
HOSE = "method: hose, pressure: 2 bar, flow: 20 L/min, distance: 2 m, temperature: 45 degC"
LANCE = "method: lance, pressure: 90 bar, flow: 15 L/min, distance: 150 mm, temperature: 75 degC"
DROWNED = "kind: permanent, depth: 4 m, liquid: fresh-water, temperature: 4 .. 20 degC, service_interval: 1 year"
CAUSTIC = "agent: caustic soda, strength: 2 %, temperature: 40 degC, duration: 30 min"
SITES = {
    "dust": f"dust: [{{kind: stone, amount: settling}}]\n{ELSE}",
    "hose": f"wash: [{{{HOSE}}}]\n{ELSE}",
    "lance": f"wash: [{{{LANCE}}}]\n{ELSE}",
    "puddle": f"immersion: {{kind: puddle, temperature: 10 .. 25 degC}}\n{ELSE}",
    "sump": f"immersion: {{{DROWNED}}}\n{ELSE}",
    "caustic": f"exposure: [{{{CAUSTIC}}}]\n{ELSE}",
    "open": "",
}
SAID = (
    ("unit", "IP65"), ("unit", "IP66 / IP67"), ("unit", "IP67 / IP69K"),
    ("unit", "IP66, IP67, IP68 (10 m, continuous), IP69"),
    ("unit", "IP54"), ("unit", "IP20"), ("unit", "IP00"), ("unit", "IP68"), ("unit", "IP68 (2 bar, continuous)"),
    ("unit", "IP67 when mated"), ("unit", "IP69K front only"), ("unit", "up to IP69K"), ("unit", "IP66 only with xyz"),
    ("unit", "not IP67"), ("unit", "not suitable for high-pressure cleaning"), ("unit", "indoor use only"),
    ("unit", "non-condensing"), ("unit", "humidity 5..85 %"), ("unit", "do not operate below 0 °C"),
    ("unit", "protect from frost"), ("unit", "IP67 pending"), ("unit", "IK08 at +20 °C"), ("electronics", "IP54"),
    ("unit", "cleaning with water up to 30 °C"), ("unit", "keep dry"),
    ("unit", "max. cleaning pressure 20 bar"), ("unit", "IP69 withdrawn"),
    ("unit", "Type 4X"), ("unit", "Type 6P"), ("unit", "-25...+70 °C"), ("unit", "-40...+100 °C"),
    ("unit", "0...+50 °C"),
    ("unit", "cleaning temperature up to 95 °C"), ("unit", "medium temperature -10...+120 °C"),
    ("unit", "+100 °C for max. 15 min"), ("unit", "storage temperature -40...+85 °C"),
    ("body", "1.4404"), ("body", "ABS"), ("body", "stainless steel"), ("seal", "EPDM"), ("seal", "NBR"),
    ("cable", "PUR"), ("cable", "PVC"), ("cable", "TPE"), ("cable", "not PVC"), ("unit", "EPDM"), ("connector", "IP67"),
    ("connector", "IP65"), ("connector", "not IP69K"), ("unit", "waterproof"), ("unit", "not waterproof"),
    ("unit", "150 mT (50 Hz AC)"), ("unit", "30 g, 11 ms"), ("unit", "EN 60947-5-2"), ("unit", "IK08"),
)  # fmt: skip


@cache
def auditor(name: str) -> Auditor:
    """The auditor of one of the points."""
    from advisor import yamlfile

    data = yamlfile.parse(f"site: {name}\n{SITES[name]}{UNIT}", name).data
    advice = strategies.advise(read_site(Document(name, data), BOOK))
    told = tuple(demand for demand in advice.demands if demand.topic not in UNSAYABLE)
    return Auditor(_with(advice, told), BOOK)


def _with(advice: Advice, demands: tuple[Demand, ...]) -> Advice:
    return replace(advice, demands=demands)


@cache
def pool() -> tuple[Claim, ...]:
    """Every claim that the texts make, each text in an entry of its own and all of them in one entry."""
    found: dict[tuple[object, ...], Claim] = {}
    for number, (part, text) in enumerate(SAID, start=1):
        entries, _ = read_entry(text, "" if part == "unit" else part, part, number)
        for place in (0, number):
            for claim in READER.claims(entries, place):
                found[(*claim.key, claim.quote, place)] = claim
    return tuple(found.values())


def unit(claims: tuple[Claim, ...]) -> UnitSheet:
    return UnitSheet("a unit", claims=claims, parts=frozenset(claim.part for claim in claims))


def by_demand(audit: Audit) -> dict[int, Finding]:
    return {id(finding.demand): finding for finding in audit.findings}


def rank_of(finding: Finding | None) -> int:
    """The place of an outcome from the best on; a demand that does not concern the unit is as silent as can be."""
    return OUTCOMES.index(finding.outcome if finding is not None else "unstated")


def alone(own: Auditor, demand: Demand, claim: Claim, parts: frozenset[str]) -> str:
    findings = own.findings(demand.topic, (claim,), parts)
    return next(finding.outcome for finding in findings if finding.demand is demand)


FITTING = {
    "dust": "IP65\n-20...+70 °C\nEN 60947-5-2",
    "hose": "IP66\n-20...+70 °C\nHousing: 1.4404\nSeal: EPDM\nCable: FEP\nEN 60947-5-2",
    "puddle": "IP65, IP67\n-20...+70 °C\nEN 60947-5-2",
    "sump": "IP68 (10 m, continuous)\n-20...+70 °C\nSeal: EPDM\nHousing: 1.4404\nCable: TPE\nEN 60947-5-2",
}
"""For some points a sheet that meets everything."""


@cache
def fitting(name: str) -> tuple[Claim, ...]:
    text = FITTING.get(name, "")
    return READER.from_text(text, "a unit", "a sheet").claims if text else ()


@st.composite
def _units(draw: st.DrawFn) -> tuple[str, tuple[Claim, ...]]:
    """A point and a unit: nearly all that is asked, or anything."""
    name = draw(st.sampled_from(sorted(SITES)))
    good = list(fitting(name)) if draw(st.integers(0, 2)) else []
    if good and draw(st.booleans()):
        good.remove(draw(st.sampled_from(good)))
    most = 4 if good else 12
    more = draw(st.lists(st.sampled_from(pool()), max_size=most, unique=True))
    return name, (*good, *(claim for claim in more if claim not in good))


units = _units()


@given(units)
@settings(max_examples=400 * DEPTH)
def test_a_fit_unit_states_everything_and_nothing_speaks_against_it(drawn: tuple[str, tuple[Claim, ...]]) -> None:
    name, claims = drawn
    own = auditor(name)
    audit = own.audit(unit(claims))
    event(audit.verdict)
    if audit.verdict != "fit":
        return
    for demand in own.advice.demands:
        on_topic = [claim for claim in claims if claim.topic == demand.topic]
        finding = by_demand(audit).get(id(demand))
        if finding is None:
            assert not on_topic
            continue
        assert finding.outcome == "meets"
        assert any(claim.credit == "full" and not claim.denied for claim in on_topic)
        topic = BOOK.vocabulary.topics[demand.topic]
        if topic.join != "materials":
            # What limits a unit to indoors does not matter at points that stand indoors, nor frost where none is.
            matters = [c for c in on_topic if c.denied and c.idle not in own.told]
            assert not any(own._speaks_against(c, demand, topic) for c in matters)


@given(units, st.data())
@settings(max_examples=400 * DEPTH)
def test_deleting_a_claim_never_improves(drawn: tuple[str, tuple[Claim, ...]], data: st.DataObject) -> None:
    name, claims = drawn
    if not claims:
        return
    own = auditor(name)
    gone = data.draw(st.sampled_from(claims))
    rest = tuple(claim for claim in claims if claim is not gone)
    before, after = by_demand(own.audit(unit(claims))), by_demand(own.audit(unit(rest)))
    parts = frozenset(claim.part for claim in claims)
    for demand in own.demands.get(gone.topic, ()):
        if rank_of(after.get(id(demand))) < rank_of(before.get(id(demand))):
            assert alone(own, demand, gone, parts) != "meets"
    for demand in own.advice.demands:
        if demand.topic != gone.topic and id(demand) in after:
            assert rank_of(after[id(demand)]) >= rank_of(before.get(id(demand)))


@given(units)
@settings(max_examples=200 * DEPTH)
def test_silence_on_a_topic_is_never_fit(drawn: tuple[str, tuple[Claim, ...]]) -> None:
    name, claims = drawn
    own = auditor(name)
    always = [topic for topic in own.demands if BOOK.vocabulary.topics[topic].audit == "always"]
    for topic in always:
        left = tuple(claim for claim in claims if claim.topic != topic)
        assert own.audit(unit(left)).verdict != "fit"
        doubtful = tuple(c if c.topic != topic else replace(c, credit="conditional") for c in claims)
        assert own.audit(unit(doubtful)).verdict != "fit"


@given(units, st.data())
@settings(max_examples=400 * DEPTH)
def test_a_stronger_claim_never_worsens(drawn: tuple[str, tuple[Claim, ...]], data: st.DataObject) -> None:
    name, claims = drawn
    own = auditor(name)
    base = data.draw(st.sampled_from(claims)) if claims else None
    if base is None or base.denied or base.topic not in own.demands:
        return
    better = [claim for claim in pool() if stronger(own, claim, base, frozenset(c.part for c in claims))]
    if not better:
        return
    more = replace(data.draw(st.sampled_from(better)), place=base.place)
    if any(c.denied and c.topic == more.topic and set(c.materials) & set(more.materials) for c in claims):
        return  # "TPE, not PVC" with PVC added contradicts itself, and rightly needs a person
    before, after = by_demand(own.audit(unit(claims))), by_demand(own.audit(unit((*claims, more))))
    for demand in own.demands[base.topic]:
        assert rank_of(after[id(demand)]) <= rank_of(before[id(demand)])


def stronger(own: Auditor, claim: Claim, base: Claim, parts: frozenset[str]) -> bool:
    """Tell whether a claim is at least as strong as another by the order of its topic."""
    if claim.topic != base.topic or claim.part != base.part or claim.denied or claim.credit != "full" or claim.apart:
        return False
    topic = BOOK.vocabulary.topics[claim.topic]
    if topic.join == "codes":
        if not claim.item or not base.item or base.floor or claim.floor:
            return False
        table = BOOK.tables[topic.table or ""]
        if not covers(table, topic, claim.item, claim.parameters, base.item, base.parameters):
            return False
        return all(claim.parameters.get(name, 0.0) >= value for name, value in base.parameters.items())
    if topic.join in ("highest", "lowest"):
        assert claim.value is not None
        assert base.value is not None
        return claim.value >= base.value if topic.join == "highest" else claim.value <= base.value
    order: list[str] = list(OUTCOMES)
    return all(
        order.index(alone(own, demand, claim, parts)) <= order.index(alone(own, demand, base, parts))
        for demand in own.demands[topic.topic]
    )


@pytest.mark.parametrize("name", FITTING)
def test_there_are_fit_units(name: str) -> None:
    audit = auditor(name).audit(READER.from_text(FITTING[name], "a unit", "a sheet"))
    assert audit.verdict == "fit", [(f.demand.topic, f.outcome, f.text) for f in audit.findings if f.outcome != "meets"]


@pytest.mark.parametrize(
    "line",
    [
        "not IP65", "Not waterproof", "must not be hosed down", "IP20 rear", "IP54",
        "Connector: IP20", "Operating temperature 0...+30 °C",
        "Nicht geeignet für Hochdruckreinigung", "not for use near a grumble", "Anschluss: nicht staubdicht",
    ],
)  # fmt: skip
def test_one_line_against_it_is_enough(line: str) -> None:
    text = f"IP65\n-20...+70 °C\n{line}"
    assert auditor("dust").audit(READER.from_text(text, "a unit", "a sheet")).verdict != "fit"


def test_a_limit_to_indoors_matters_unless_the_unit_stands_indoors() -> None:
    read = READER.from_text("IP65\n-20...+70 °C\nEN 60947-5-2\nindoor use only", "a unit", "a sheet")
    assert auditor("dust").audit(read).verdict == "fit"
    findings = auditor("open").audit(read).findings
    ingress = [finding.outcome for finding in findings if finding.demand.topic == "ingress.solids"]
    assert ingress
    assert "meets" not in ingress
