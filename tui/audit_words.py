"""What the audit screens say, as wrapped text: findings with their claims, proofs, and what is known of a unit."""

from textual.content import Content

from advisor.audit import Finding
from advisor.document import Computation, Condition, FindingEntry, Proof, Reason
from tui import paint
from tui.audit_bench import Opened, Wanted

SIGNS = {"meets": "✓", "falls short": "✗", "unstated": "○", "unclear": "?"}
WORDS = {
    "meets": "meets",
    "falls short": "falls short",
    "unstated": "the sheet is silent: ask",
    "unclear": "read, but a person must decide",
}
VERDICTS = {
    "fit": "✓ FIT: every binding demand is met by the sheet",
    "unfit": "✗ UNFIT: something falls short",
    "unproven": "? UNPROVEN: nothing falls short, but something is silent or unclear",
}
CREDITS = {
    "full": "counts in full",
    "conditional": "counts only once a person has confirmed its condition",
    "none": "proves nothing",
}
Part = tuple[list[str], str]
"""Lines with their style."""


def title(text: str) -> Part:
    """A heading."""
    return ["", text], "bold underline"


def claim_side(opened: Opened, finding: Finding, entry: FindingEntry, width: int) -> Content:
    """Return what is demanded, how the unit fares, and what its sheet says of it, word for word."""
    part = f", of the {entry.part}" if entry.part not in ("", "unit") else ""
    parts: list[Part] = [
        (paint.hang(f"{entry.title}: {entry.demanded}", width), "bold"),
        (paint.hang(f"{entry.state} demand", width, f"{paint.SIGNS[entry.state]} "), ""),
        (paint.hang(f"{entry.finding.upper()}{part}", width, f"{SIGNS[entry.finding]} "), "bold"),
        (paint.hang(entry.text, width, "  "), ""),
    ]
    if entry.lacking is not None:
        parts.append((paint.hang(f"It lacks {entry.lacking.text}.", width, "  "), ""))
    parts.append(title("What the sheet says"))
    if not finding.claims:
        parts.append((paint.hang("Nothing. Silence is no pass: ask the maker.", width), ""))
    for claim, shown in zip(finding.claims, entry.claimed, strict=True):
        where = opened.place(claim)
        of = f", of the {claim.part}" if claim.part != "unit" else ""
        parts.append((paint.hang(f"“{claim.quote}”{of}", width, "• "), "bold"))
        parts.append((paint.hang(f"{where + ': ' if where else ''}{CREDITS[claim.credit]}", width, "  "), ""))
        parts += [(paint.hang(note, width, "  ! "), "") for note in shown.notes]
        parts += [
            (paint.hang(line.text.strip(), width, "  » " if line.hit else "  │ "), "reverse" if line.hit else "dim")
            for line in opened.excerpt(claim)
        ]
    return paint.lines(*parts, *traps(opened, width))


def traps(opened: Opened, width: int) -> list[Part]:
    """Return what the claims of the sheet do not mean."""
    if not opened.entry.claim_notes:
        return []
    found: list[Part] = [title("What the claims do not mean")]
    return found + [(paint.hang(note.text, width, "! "), "") for note in opened.entry.claim_notes]


def proof_side(entry: FindingEntry, width: int) -> Content:
    """Return why it is demanded, down to the clause."""
    head: list[Part] = [(paint.hang(f"Why: {entry.proof.conclusion}", width), "bold")]
    return paint.lines(*head, *proof(entry.proof, width, ""))


def proof(entry: Proof, width: int, lead: str) -> list[Part]:
    """Return the reasons of a proof, each deeper one further in."""
    found: list[Part] = []
    for reason in entry.reasons:
        found += _reason(reason, width, lead)
    if entry.more_reasons:
        found.append((paint.hang(f"and {entry.more_reasons} more of the same on others", width, lead), "dim"))
    return found


def _reason(reason: Reason, width: int, lead: str) -> list[Part]:
    inner = f"{lead}  "
    found: list[Part] = [
        ([""], ""),
        (paint.hang(reason.title, width, f"{lead}▪ "), "bold"),
        (paint.hang(reason.because, width, inner), ""),
    ]
    for condition in reason.conditions:
        found.append((paint.hang(_condition(condition), width, f"{inner}if "), ""))
        bar = paint.margin(condition, max(8, min(24, width - len(inner) - 4)))
        if bar:
            found.append(([f"{inner}   {bar}"], ""))
    for computation in reason.computations:
        found += _computation(computation, width, inner)
    source = f"{reason.source} ({reason.basis}; {reason.kind}; rule {reason.rule})"
    found.append((paint.hang(source, width, f"{inner}source: ", len(inner) + 2), "dim"))
    if reason.not_when:
        found.append((paint.hang(reason.not_when, width, f"{inner}asks too much when: ", len(inner) + 2), "dim"))
    for below in reason.rests_on:
        found.append((paint.hang(below.conclusion, width, f"{inner}where "), ""))
        found += proof(below, width, inner if len(inner) < width // 3 else lead)
    return found


def _condition(condition: Condition) -> str:
    test = "applies" if condition.test == "applies" else f"is {condition.test}"
    margin = f", {condition.margin_text}" if condition.margin_text else ""
    doubt = "" if condition.holds == "certain" else ", which is not certain"
    return f"{condition.about} = {condition.value.text} ({condition.origin}) {test}{margin}{doubt}"


def _computation(entry: Computation, width: int, lead: str) -> list[Part]:
    inputs = ", ".join(f"{name} = {figure.text}" for name, figure in entry.inputs.items())
    text = f"{entry.about} = {entry.result.text}, by {entry.formula}" + (f" with {inputs}" if inputs else "")
    found: list[Part] = [(paint.hang(text, width, f"{lead}so "), "")]
    if entry.source:
        found.append((paint.hang(f"source: {entry.source} ({entry.basis})", width, f"{lead}   "), "dim"))
    found += [(paint.hang(note, width, f"{lead}   ! "), "") for note in entry.notes]
    for step in entry.steps:
        found += _computation(step, width, lead)
    return found


def cell(wanted: Wanted, number: int, count: int, outcome: str | None, said: str, width: int) -> Content:
    """Return what a cell of the matrix says, in four lines."""
    found = f"{SIGNS[outcome]} {WORDS[outcome]}" if outcome else "– does not concern this unit"
    return paint.lines(
        (paint.hang(f"{wanted.title}: {wanted.demanded} [{wanted.state}]", width, f"{number}/{count} "), "bold"),
        (paint.hang(f"{found}: {said}" if said else found, width, "  ")[:3], ""),
    )  # fmt: skip
