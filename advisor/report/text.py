"""Renders documents as plain text for a terminal or a file: wrapped, indented, readable without colour."""

import textwrap
from collections.abc import Iterable

from advisor.document import (
    RATED,
    Computation,
    Condition,
    DemandEntry,
    Explanation,
    MaterialEntry,
    NoteEntry,
    Proof,
    Reason,
    Requirement,
)

WIDTH = 100


def wrap(text: str, indent: int = 0, first: str = "") -> list[str]:
    """Break a text into lines at its blanks, the first with `first` before it: as textwrap does, but quicker."""
    lead = " " * indent + first
    if not text.isprintable() or "  " in text or text != text.strip():
        return _wrap_any(text, lead)
    lines = []
    width = max(WIDTH - len(lead), 0)
    while len(text) > width:
        cut = text.rfind(" ", 0, width + 1)
        cut = cut if cut > 0 else text.find(" ", width)
        if cut < 0:
            break
        lines.append(lead + text[:cut])
        text, lead = text[cut + 1 :], " " * len(lead)
    return [*lines, lead + text if text else lead.rstrip()]


def _wrap_any(text: str, lead: str) -> list[str]:
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
        break_long_words=False,
        break_on_hyphens=False,
    ) or [lead.rstrip()]


def head(title: str, mark: str = "-") -> list[str]:
    return ["", title, mark * len(title)]


def requirement(document: Requirement, *, proofs: bool = False, opened: bool = False) -> str:
    """Return the requirement sheet; `proofs` adds the reasons, `opened` every note that hangs on an open answer."""
    site = document.site
    lines = [
        *wrap(f"Requirement sheet: {site['name']}"),
        "=" * min(WIDTH, len(f"Requirement sheet: {site['name']}")),
    ]
    if site["about"]:
        lines += wrap(str(site["about"]))
    stamps = [f"date {site['date']}"] if site["date"] else []
    stamps += [f"reference {site['reference']}"] if site["reference"] else []
    lines += wrap(", ".join([*stamps, f"rulebook {document.rulebook.digest} ({document.rulebook.rules} rules)"]))
    if dict(site["answers"]).get("others") == "none":  # type: ignore[call-overload]
        lines += wrap("The site states that what it does not speak of is not there (others: none).", 0, "! ")
    for name, reason in document.rulebook.waived.items():
        lines += wrap(f"Rule {name} is lifted by the plant's own rules: {reason}", 0, "! ")
    for text in document.unused_answers:
        lines += wrap(text, 0, "! ")
    stops = [entry for entry in document.refer if entry.state == "certain"]
    if stops:
        lines += head("Stop: outside this tool") + notes(stops, proofs)
    clashes = [entry for entry in document.conflicts if opened or entry.state == "certain"]
    if clashes:
        lines += head("Clashes") + notes(clashes, proofs)
    certain = [demand for demand in document.demands if demand.state == "certain"]
    pending = [demand for demand in document.demands if demand.state == "open"]
    lines += head("The unit must have") + (_demands(certain, proofs) or ["  nothing is demanded for certain"])
    if pending:
        lines += head("Still open, and binding until it is answered") + _demands(pending, proofs)
    if document.open_questions:
        lines += head("Answers that would settle it, the most useful first")
        for question in document.open_questions:
            lines += wrap(f"{question.ask}  [{question.slot}]", 2, "? ")
            lines += wrap(f"decides: {', '.join(question.decides)}", 6)
    referrals = [entry for entry in document.refer if entry.state == "open"]
    if referrals:
        lines += head("To be referred unless an open answer excludes it") + notes(referrals, proofs)
    for title, entries in (
        ("Beyond every published test", document.beyond),
        ("Papers and test reports to ask for", document.evidence),
        ("How to mount and use it", document.practice),
        ("Cautions", document.cautions),
    ):
        shown = [entry for entry in entries if opened or entry.state == "certain"]
        if entries:
            lines += head(title) + notes(shown, proofs)
        if len(entries) > len(shown):
            lines += wrap(f"{len(entries) - len(shown)} more hang on open answers (listed with --open)", 2, "+ ")
    if document.not_needed:
        lines += head("Not needed")
        for entry in document.not_needed:
            lines += wrap(f"{entry.value}: {entry.text}", 2, "- ")
    lines += ["", *wrap(CAVEAT)]
    return "\n".join(lines) + "\n"


CAVEAT = (
    "This sheet supports the judgement of a competent person and does not replace it. Local codes, licensed practice "
    "and the makers' instructions come first; explosive atmospheres and safety functions are outside its scope."
)


def _demands(entries: Iterable[DemandEntry], proofs: bool) -> list[str]:
    lines: list[str] = []
    topic = ""
    for entry in entries:
        if entry.topic != topic:
            lines += wrap(f"{entry.title}  [{entry.topic}]", 2)
            topic = entry.topic
        lines += wrap(entry.text, 4, "- ")
        if proofs:
            lines += proof(entry.proof, 8)
    return lines


def notes(entries: Iterable[NoteEntry], proofs: bool) -> list[str]:
    lines: list[str] = []
    for entry in sorted(entries, key=lambda entry: entry.state):
        mark = "- " if entry.state == "certain" else "- (open) "
        lines += wrap(entry.text, 2, mark)
        if proofs:
            lines += proof(entry.proof, 6)
    return lines


def explanation(document: Explanation) -> str:
    """Return why a topic is demanded, or why not."""
    what = f"{document.topic} {document.value}".strip()
    lines = [f"{what} at {document.site['name']}", ""]
    for entry in document.demands:
        lines += wrap(f"{entry.text} ({entry.state})", 0, "* ")
        lines += _materials(entry.materials)
        lines += proof(entry.proof, 4)
        lines.append("")
    if not document.demands and document.topic == "material":
        lines += wrap(f"No part of a unit that this point asks about is made of {document.value}.")
    elif not document.demands:
        lines += wrap(f"Nothing demands {what} here, neither for certain nor possibly.")
        lines.append("")
    if document.why_not:
        lines += ["Rules that would have demanded it or more, and what failed, the nearest first:"]
        for miss in document.why_not:
            more = f" (and {miss.also_failed} more)" if miss.also_failed else ""
            lines += wrap(f"{miss.title} [{miss.rule}]: {miss.failed}{more}.", 2, "- ")
    elif not document.demands and document.topic != "material":
        lines += ["No rule concludes it."]
    return "\n".join(lines).rstrip() + "\n"


def _materials(entries: Iterable[MaterialEntry]) -> list[str]:
    """Return one line for each material with what speaks against it, the best first."""
    lines: list[str] = []
    for entry in entries:
        rating = RATED[entry.possible]
        if entry.possible != entry.certain:
            rating += f" unless the open answers say otherwise ({RATED[entry.certain]} for certain)"
        against = "; ".join(reason.rstrip(".") for reason in entry.reasons) or "nothing known speaks against it"
        lines += wrap(f"{entry.name}: {rating}: {against}.", 4, "- ")
    return lines


def proof(entry: Proof, indent: int) -> list[str]:
    """Return the tree of reasons, indented."""
    lines: list[str] = []
    for reason in entry.reasons:
        lines += _reason(reason, indent)
    if entry.more_reasons:
        lines += wrap(f"and {entry.more_reasons} more of the same on other instances", indent)
    return lines


def _reason(reason: Reason, indent: int) -> list[str]:
    lines = wrap(f"{reason.title} [{reason.rule}]", indent, "because ")
    lines += wrap(reason.because, indent + 4)
    for condition in reason.conditions:
        lines += wrap(_condition(condition), indent + 4, "if ")
    for computation in reason.computations:
        lines += _computation(computation, indent + 4)
    lines += wrap(f"{reason.source} ({reason.basis}; {reason.kind}; checked {reason.checked})", indent + 4, "source: ")
    if reason.not_when:
        lines += wrap(reason.not_when, indent + 4, "asks too much when: ")
    for inner in reason.rests_on:
        lines += wrap(inner.conclusion, indent + 4, "where ")
        lines += proof(inner, indent + 8)
    return lines


def _condition(condition: Condition) -> str:
    state = "" if condition.holds == "certain" else ", which is not certain"
    margin = f", {condition.margin_text}" if condition.margin_text else ""
    test = "applies" if condition.test == "applies" else f"is {condition.test}"
    return f"{condition.about} = {condition.value.text} ({condition.origin}) {test}{margin}{state}"


def _computation(entry: Computation, indent: int) -> list[str]:
    inputs = ", ".join(f"{name} = {figure.text}" for name, figure in entry.inputs.items())
    lines = wrap(
        f"{entry.about} = {entry.result.text}, by {entry.formula}" + (f" with {inputs}" if inputs else ""),
        indent,
        "so ",
    )
    if entry.source:
        lines += wrap(f"{entry.source} ({entry.basis})", indent + 3, "source: ")
    if entry.model:
        lines += wrap(entry.model, indent + 3, "valid: ")
    for note in entry.notes:
        lines += wrap(note, indent + 3, "! ")
    for step in entry.steps:
        lines += _computation(step, indent + 3)
    return lines
