"""A proof as a nested Markdown list: rule, conditions with their margins, computations, source, what it rests on."""

from advisor.document import Computation, Condition, DemandEntry, Proof, Reason
from advisor.report.markdown_text import code, escape


def demand_words(entry: DemandEntry) -> str:
    """Return a demand in a line, the demand itself in bold."""
    words = entry.text.removeprefix(entry.proof.conclusion).removeprefix(":").strip()
    open_mark = "(open) " if entry.state == "open" else ""
    return f"{open_mark}**{escape(entry.proof.conclusion)}**" + (f": {escape(words)}" if words else "")


def why(entry: Proof, indent: int) -> list[str]:
    """Return the proof folded, for the inside of a list item."""
    if not entry.reasons:
        return []
    pad = " " * indent
    return [f"{pad}<details><summary>Why</summary>", "", *proof(entry, indent), "", f"{pad}</details>", ""]


def proof(entry: Proof, indent: int) -> list[str]:
    """Return the tree of reasons."""
    lines: list[str] = []
    for reason in entry.reasons:
        lines += _reason(reason, indent)
    if entry.more_reasons:
        lines.append(f"{' ' * indent}- and {entry.more_reasons} more of the same on other instances")
    return lines


def _reason(reason: Reason, indent: int, lead: str = "") -> list[str]:
    pad, inner = " " * indent, " " * (indent + 2)
    lines = [f"{pad}- {lead}**{escape(reason.title)}** {code(reason.rule)}: {escape(reason.because)}"]
    lines += [f"{inner}- if {_condition(condition)}" for condition in reason.conditions]
    for computation in reason.computations:
        lines += _computation(computation, indent + 2)
    source = f"{reason.source} ({reason.basis}; {reason.kind}; checked {reason.checked})"
    lines.append(f"{inner}- Source: {escape(source)}")
    if reason.not_when:
        lines.append(f"{inner}- Asks too much when: {escape(reason.not_when)}")
    for held in reason.rests_on:
        if len(held.reasons) == 1 and not held.more_reasons:
            # One item less deep: viewers stop nesting lists somewhere.
            lines += _reason(held.reasons[0], indent + 2, f"where {escape(held.conclusion)}: ")
        else:
            lines += [f"{inner}- where {escape(held.conclusion)}", *proof(held, indent + 4)]
    return lines


def _condition(condition: Condition) -> str:
    test = "applies" if condition.test == "applies" else f"is {code(condition.test)}"
    margin = f", {escape(condition.margin_text)}" if condition.margin_text else ""
    state = "" if condition.holds == "certain" else ", *which is not certain*"
    value = f"**{escape(condition.value.text)}** ({escape(condition.origin)})"
    return f"{code(condition.about)} = {value} {test}{margin}{state}"


def _computation(entry: Computation, indent: int) -> list[str]:
    pad, inner = " " * indent, " " * (indent + 2)
    inputs = ", ".join(f"{name} = {figure.text}" for name, figure in entry.inputs.items())
    formula = escape(entry.formula) + (f" with {escape(inputs)}" if inputs else "")
    lines = [f"{pad}- so {code(entry.about)} = **{escape(entry.result.text)}**, by {formula}"]
    if entry.source:
        lines.append(f"{inner}- Source: {escape(f'{entry.source} ({entry.basis})')}")
    if entry.model:
        lines.append(f"{inner}- Valid: {escape(entry.model)}")
    lines += [f"{inner}- Note: {escape(note)}" for note in entry.notes]
    for step in entry.steps:
        lines += _computation(step, indent + 2)
    return lines
