"""Reasons as a tree of plain branches: a demand, the rules behind it, values against thresholds, formulas, clauses.

A branch has a short line for the tree and its full text for the pane below it; some carry a bar of value against
threshold, or the question that would settle them. Nothing here knows a screen.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.advise import Advice, Advisor
from advisor.document import Computation, Condition, DemandEntry, Explanation, NearMiss, Proof, Reason
from advisor.interview import OpenQuestion
from advisor.report.requirement import DocumentBuilder
from advisor.resistance import RATINGS
from advisor.topics import Demand
from tui.live import Row, Sheet

RATED = {"resists": "take", "limited": "with care", "unknown": "not proven", "attacked": "ruled out"}


@dataclass(frozen=True)
class Branch:
    """One line of the tree with what hangs under it."""

    label: str
    full: str = ""
    under: tuple["Branch", ...] = ()
    condition: Condition | None = None
    question: OpenQuestion | None = None
    opened: bool = True
    """Whether it is unfolded at first."""


def of_row(row: Row, sheet: Sheet, advice: Advice, advisor: Advisor) -> tuple[Branch, ...]:
    """Return the reasons of a row of the sheet, from the advice of the engine of record."""
    builder = DocumentBuilder(advice, advisor)
    if row.demand is None:
        return (Branch(f"{row.title}: {row.text} is not needed", row.why), *why_not(row.topic, row.item, builder))
    demand = _same(row.demand, advice)
    found: list[Branch] = []
    if demand.topic in advice.notes:
        entry = builder.note(demand)
        found.append(_root(entry.text, entry.proof))
    else:
        made = builder.demand(demand)
        found.append(_root(f"{made.title}: {made.text}", made.proof))
        found += _materials(made)
    hanging = [question for question in sheet.questions if row.demand in question.demands]
    if hanging:
        under = tuple(question_branch(question) for question in hanging)
        found.append(Branch("It is open: these answers would settle it (Enter goes to one)", "", under))
    return tuple(found)


def question_branch(question: OpenQuestion) -> Branch:
    """Return a question as a branch from which one can go to it."""
    return Branch(f"? {question.ask}", f"{question.ask} {question.help}".strip(), question=question)


def of_topic(topic: str, item: str, advice: Advice, advisor: Advisor) -> tuple[Branch, ...]:
    """Return why a topic, or one code of it, is demanded or not."""
    builder = DocumentBuilder(advice, advisor)
    document = builder.explanation(advisor.book.vocabulary.topics[topic], item)
    found = [_root(f"{entry.title}: {entry.text}", entry.proof) for entry in document.demands]
    return (*found, *_missed(document))


def why_not(topic: str, item: str, builder: DocumentBuilder) -> tuple[Branch, ...]:
    """Return the rules that did not ask for it."""
    return _missed(builder.explanation(builder.book.vocabulary.topics[topic], item))


def _missed(document: Explanation) -> tuple[Branch, ...]:
    what = f"{document.topic} {document.value}".strip()
    if not document.why_not:
        return () if document.demands else (Branch(f"No rule concludes {what}."),)
    under = tuple(_miss(entry) for entry in document.why_not)
    head = "More rules could ask it; what failed, the nearest first" if document.demands else (
        f"Nothing asks {what} here, not even possibly; what failed, the nearest first"
    )  # fmt: skip
    return (Branch(head, "", under, opened=not document.demands),)


def _miss(miss: NearMiss) -> Branch:
    more = f" (and {miss.also_failed} more)" if miss.also_failed else ""
    full = f"{miss.title} [{miss.rule}]: {miss.failed}{more}.\n{miss.because}\nSource: {miss.source}"
    return Branch(f"{miss.title}: {miss.failed}", full)


def _same(demand: Demand, advice: Advice) -> Demand:
    def sign(entry: Demand) -> tuple[str, str, bool]:
        return entry.item, entry.state, entry.value is None

    return next((entry for entry in advice.on(demand.topic) if sign(entry) == sign(demand)), demand)


def _root(text: str, proof: Proof) -> Branch:
    sign = "■" if proof.state == "certain" else "□"
    return Branch(f"{sign} {text} [{proof.state}]", text, reasons(proof))


def reasons(proof: Proof, depth: int = 0) -> tuple[Branch, ...]:
    """Return a branch for each rule that supports a conclusion."""
    found = [_reason(reason, depth) for reason in proof.reasons]
    if proof.more_reasons:
        found.append(Branch(f"and {proof.more_reasons} more of the same on other instances"))
    return tuple(found)


def _reason(reason: Reason, depth: int) -> Branch:
    under = [Branch(_condition_line(c), _condition_full(c), condition=c) for c in reason.conditions]
    under += [_computation(entry) for entry in reason.computations]
    under += [
        Branch(f"where {inner.conclusion}", inner.conclusion, reasons(inner, depth + 1), opened=depth < 1)
        for inner in reason.rests_on
    ]
    clause = f"{reason.source} ({reason.basis}; {reason.kind}; checked {reason.checked})"
    under.append(Branch(f"source: {clause}", f"Source: {clause}"))
    if reason.not_when:
        under.append(Branch(f"asks too much when: {reason.not_when}", f"Asks too much when: {reason.not_when}"))
    full = f"{reason.title} [{reason.rule}]\n{reason.because}\nSource: {clause}"
    return Branch(f"because {reason.title} [{reason.rule}]", full, tuple(under))


def _condition_line(condition: Condition) -> str:
    test = "applies" if condition.test == "applies" else f"is {condition.test}"
    sign = "" if condition.holds == "certain" else ", not certain"
    margin = f", {condition.margin_text}" if condition.margin_text else ""
    return f"if {condition.about} = {condition.value.text} ({condition.origin}) {test}{margin}{sign}"


def _condition_full(condition: Condition) -> str:
    margin = f"; {condition.margin_text}" if condition.margin_text else ""
    state = "for certain" if condition.holds == "certain" else "for some of the values that the answers allow"
    test = "It has to apply" if condition.test == "applies" else f"It has to be {condition.test}"
    return f"{condition.about} = {condition.value.text}, {condition.origin}. {test}, and it is {state}{margin}."


def _computation(entry: Computation) -> Branch:
    inputs = ", ".join(f"{name} = {figure.text}" for name, figure in entry.inputs.items())
    full = [f"{entry.about} = {entry.result.text}", f"by {entry.formula}" + (f" with {inputs}" if inputs else "")]
    full += [f"Source: {entry.source} ({entry.basis})"] if entry.source else []
    full += [f"Valid: {entry.model}"] if entry.model else []
    full += [f"! {note}" for note in entry.notes]
    steps = tuple(_computation(step) for step in entry.steps)
    label = f"so {entry.about} = {entry.result.text}, by {entry.formula}"
    return Branch(label, "\n".join(full), steps, opened=False)


def _materials(entry: DemandEntry) -> Iterable[Branch]:
    for rating in RATINGS:
        found = [material for material in entry.materials if material.possible == rating]
        if not found:
            continue
        under = []
        for material in found:
            doubt = (
                ""
                if material.certain == material.possible
                else f" (unless open answers say otherwise: {material.certain} for certain)"
            )
            text = f"{material.name}{doubt}" + (f": {'; '.join(material.reasons)}" if material.reasons else "")
            under.append(Branch(text, text))
        yield Branch(f"{RATED[rating]}: {len(found)}", ", ".join(m.name for m in found), tuple(under), opened=False)


def lines(branches: Iterable[Branch], depth: int = 0) -> list[str]:
    """Return the tree as indented lines, for a copy or for the plain mode."""
    found = []
    for branch in branches:
        found.append(f"{'  ' * depth}{branch.label}")
        found += lines(branch.under, depth + 1)
    return found
