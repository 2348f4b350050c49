"""Proofs go down to answers, thresholds with their margin, formulas with inputs, and sources."""

from collections.abc import Callable, Iterator

import pytest
import strategies

from advisor.advise import Advice, Advisor
from advisor.document import Proof, Reason, Requirement
from advisor.report.requirement import DocumentBuilder

SITES = [
    "wash: {name: hot rinse, method: lance, pressure: 60 bar, flow: 20 L/min, temperature: 70 degC, distance: 150 mm}",
    "immersion: {kind: permanent, pressure: 20 bar, liquid: sea-water}\nwash: none",
    "wash: {method: [splash, hose], pressure: 5 bar}\nimmersion: unknown",
    "",
]


def walk(proof: Proof) -> Iterator[tuple[Proof, Reason]]:
    for reason in proof.reasons:
        yield proof, reason
        for inner in reason.rests_on:
            yield from walk(inner)


@pytest.fixture(params=SITES, ids=["washed", "sunk", "open", "silent"], scope="module")
def sheet(request: pytest.FixtureRequest, advise: Callable[[str], Advice], advisor: Advisor) -> Requirement:
    return DocumentBuilder(advise(request.param), advisor).requirement()


def proofs(sheet: Requirement) -> list[Proof]:
    notes = [*sheet.beyond, *sheet.refer, *sheet.cautions, *sheet.practice, *sheet.evidence, *sheet.conflicts]
    entries = [*(entry for entry in sheet.demands if not entry.topic.startswith("material.")), *notes]
    return [entry.proof for entry in entries]


def test_every_conclusion_has_a_reason_with_source_and_basis(sheet: Requirement) -> None:
    for proof in proofs(sheet):
        assert proof.reasons, proof.conclusion
        for _, reason in walk(proof):
            assert reason.source
            assert reason.because
            assert reason.basis in ("published", "recalled", "common practice")
            assert reason.rule in strategies.rulebook().book.rules


def test_a_certain_proof_rests_on_nothing_open(sheet: Requirement) -> None:
    for proof in proofs(sheet):
        if proof.state == "certain":
            for part, reason in walk(proof):
                assert part.state == "certain"
                assert all(condition.holds == "certain" for condition in reason.conditions)


def test_every_proof_ends_in_answers(sheet: Requirement) -> None:
    """What a rule binds is an answer, or is concluded and then has a proof of its own."""
    for proof in proofs(sheet):
        for _, reason in walk(proof):
            concluded = [condition for condition in reason.conditions if condition.origin == "concluded"]
            assert not concluded or reason.rests_on, reason.rule


def test_margins_are_on_the_side_that_the_state_says(sheet: Requirement) -> None:
    for proof in proofs(sheet):
        for _, reason in walk(proof):
            for condition in reason.conditions:
                if condition.margin is not None:
                    assert condition.margin >= -1e-9
                    assert condition.margin_text


def test_computations_name_formula_inputs_and_source(sheet: Requirement) -> None:
    computed = [step for proof in proofs(sheet) for _, reason in walk(proof) for step in reason.computations]
    for step in computed:
        assert step.formula
        assert step.result.text
        assert step.source or step.formula.startswith("stated by the rule")


def test_the_numbers_of_a_jet_are_in_its_proof(advise: Callable[[str], Advice], advisor: Advisor) -> None:
    """Speed of a loss-free jet by Bernoulli, v = sqrt(2 p / rho): 60 bar give 109.7 m/s before any loss."""
    document = DocumentBuilder(advise(SITES[0]), advisor).requirement()
    entry = next(demand for demand in document.demands if demand.value == "IPX9")
    conditions = [condition for _, reason in walk(entry.proof) for condition in reason.conditions]
    assert any(condition.value.text == "60 bar" for condition in conditions)
    assert any(condition.about.startswith("wash (hot rinse)") for condition in conditions)
    assert all(place for _, reason in walk(entry.proof) for place in [reason.place])


def test_the_column_of_a_sunk_unit_is_in_its_proof(advise: Callable[[str], Advice], advisor: Advisor) -> None:
    """20 bar are 204 m of fresh water of 4 degC (hydrostatics, 1000 kg/m3); with the margin of the rule it is more."""
    document = DocumentBuilder(advise(SITES[1]), advisor).requirement()
    entry = next(demand for demand in document.demands if demand.value == "IPX8" and demand.state == "certain")
    assert entry.parameters["depth"].low is not None
    assert entry.parameters["depth"].low >= 203.9
    assert any(reason.computations for _, reason in walk(entry.proof))
