"""Renders documents as GitHub-flavoured Markdown.

`escape` and `code` stand between every text and the page, whether it came from a site file, a sheet or a rulebook:
nothing in a name or a quote can become a heading, a list, a table cell, a link, a picture, a mention, a formula or
HTML. The date is given by the caller. Reasons are nested lists, folded where the viewer can fold, and are written
where `proofs` asks for them; the explanation always has them.
"""

import re
from collections.abc import Iterable, Sequence
from datetime import date

from advisor.document import AuditDocument, DemandEntry, Explanation, NoteEntry, Requirement, UnitEntry
from advisor.report import common, matrix
from advisor.report.markdown_proof import demand_words, proof, why
from advisor.report.markdown_text import code, escape, table
from advisor.report.text import CAVEAT

Lines = list[str]


def requirement(document: Requirement, *, on: date, proofs: bool = False) -> str:
    """Return the requirement sheet dated `on`."""
    lines = _head("Requirement sheet", document, on)
    lines += [f"> **On an answer:** {escape(text)}\n" for text in document.unused_answers]
    lines += _notes("Stop: outside this tool", common.certain(document.refer), proofs)
    lines += _notes("To be referred unless an open answer excludes it", common.pending(document.refer), proofs)
    lines += _notes("Clashes", document.conflicts, proofs)
    sure = [entry for entry in document.demands if entry.state == "certain"]
    hanging = [entry for entry in document.demands if entry.state == "open"]
    lines += ["## The unit must have", ""]
    lines += _demands(sure, proofs) if sure else ["Nothing is demanded for certain.", ""]
    if hanging:
        lines += ["## Still open, and binding until it is answered", "", *_demands(hanging, proofs)]
    if document.open_questions:
        lines += ["## Answers that would settle it, the most useful first", ""]
        for number, question in enumerate(document.open_questions, 1):
            lines.append(f"{number}. **{escape(question.ask)}** {code(question.slot)}")
            if question.help:
                lines.append(f"   <br>{escape(question.help)}")
            lines.append(f"   <br>Decides: {escape(', '.join(question.decides))}")
        lines.append("")
    lines += _notes("Beyond every published test", document.beyond, proofs)
    lines += _notes("Papers and test reports to ask for", document.evidence, proofs)
    lines += _notes("How to mount and use it", document.practice, proofs)
    lines += _notes("Cautions", document.cautions, proofs)
    if document.not_needed:
        lines += ["## Not needed", ""]
        lines += [f"- **{escape(n.value)}**: {escape(n.text)} {code(n.rule)}" for n in document.not_needed]
        lines.append("")
    return _finish(lines, document.site)


def explanation(document: Explanation, *, on: date) -> str:
    """Return why a topic is demanded, or why not, dated `on`."""
    what = f"{document.topic} {document.value}".strip()
    lines = _head(f"Why {what} is demanded, or why not", document, on)
    if not document.demands:
        none = "" if document.why_not else " No rule concludes it."
        lines += [f"Nothing demands {escape(what)} here, neither for certain nor possibly.{none}", ""]
    for entry in document.demands:
        lines += [f"- {demand_words(entry)}", *proof(entry.proof, 2), ""]
    if document.why_not:
        lines += ["## Rules that would have demanded it or more, and what failed, the nearest first", ""]
        for miss in document.why_not:
            more = f" (and {miss.also_failed} more)" if miss.also_failed else ""
            lines += [
                f"- **{escape(miss.title)}** {code(miss.rule)}: {escape(miss.failed)}{more}.",
                f"  <br>{escape(miss.because)} Source: {escape(miss.source)}",
            ]
        lines.append("")
    return _finish(lines, document.site)


def audit(document: AuditDocument, *, on: date, proofs: bool = False) -> str:
    """Return the audit dated `on`. Beyond `matrix.MOST_DETAILED` units only the matrix tells of the rest."""
    count = len(document.units)
    lines = _head(f"Audit of {count} unit{'' if count == 1 else 's'}", document, on)
    lines += _notes("Stop: outside this tool", common.certain(document.refer), proofs)
    lines += _notes("To be referred unless an open answer excludes it", common.pending(document.refer), proofs)
    if count > 1:
        lines += _compared(document)
    for unit in document.units[: matrix.MOST_DETAILED]:
        lines += _unit(unit, proofs)
    lines += _notes("Beyond every published test", document.beyond, proofs)
    lines += _notes("Papers and test reports to ask for", document.evidence, proofs)
    lines += _notes("Cautions", document.cautions, proofs)
    demands = matrix.columns(document.units)
    if proofs and demands:
        lines += ["## Why each is demanded", ""]
        for column in demands:
            lines += [f"- **{escape(column.label)}**", *why(column.proof, 2)]
        lines.append("")
    return _finish(lines, document.site)


def _compared(document: AuditDocument) -> Lines:
    found = matrix.matrix(document.units)
    detailed = min(len(document.units), matrix.MOST_DETAILED)
    lines = ["## Units, the best first", ""]
    if detailed < len(document.units):
        lines += [f"The best {detailed} are shown finding by finding below.", ""]
    if found.left_out:
        lines += [f"{found.left_out} more units, all behind these, stand in the JSON document only.", ""]
    lines += table(
        ["No.", "Unit", "Verdict", *common.FINDINGS],
        [
            [str(row.number), escape(row.unit.unit), f"**{row.unit.verdict}**"]
            + [str(row.counts[finding]) for finding in common.FINDINGS]
            for row in found.rows
        ],
    )
    lines += ["## Units and demands", ""]
    legend = [f"**{letter}** {finding or 'does not concern the unit'}" for finding, letter in common.LETTERS.items()]
    lines += [", ".join(legend) + ". A demand marked (open) hangs on an answer that is not known yet.", ""]
    if found.units_across:
        body = [
            [escape(column.label), *(common.LETTERS[row.findings[place]] for row in found.rows)]
            for place, column in enumerate(found.demands)
        ]
        return lines + table(["Demand", *(escape(row.unit.unit) for row in found.rows)], body)
    for number, block in enumerate(found.blocks):
        first = number * found.block_width
        lines += table(
            ["Unit", *(str(first + place) for place in range(1, len(block) + 1))],
            [
                [escape(f"{row.number}. {row.unit.unit}")]
                + [common.LETTERS[finding] for finding in row.findings[first : first + len(block)]]
                for row in found.rows
            ],
        )
    lines += [f"{number}. {escape(column.label)}" for number, column in enumerate(found.demands, 1)]
    return [*lines, ""]


def _unit(unit: UnitEntry, proofs: bool) -> Lines:
    lines = [f"## {escape(unit.unit)}", ""]
    lines += [f"{escape(unit.about)}\n"] if unit.about else []
    lines += [f"Sheet: {code(unit.source)}\n"] if unit.source else []
    lines += [f"**{unit.verdict.upper()}**: {common.VERDICTS[unit.verdict]}", ""]
    lines += [f"> **Held back:** {escape(text)}\n" for text in unit.held_back]
    for kind, title in common.FINDINGS.items():
        found = sorted((f for f in unit.findings if f.finding == kind), key=lambda finding: finding.state)
        if not found:
            continue
        lines += [f"### {common.LETTERS[kind]} – {title} ({len(found)})", ""]
        rows = []
        for finding in found:
            where = f" ({finding.part})" if finding.part not in ("", "unit") else ""
            claimed = ", ".join(dict.fromkeys(f"“{escape(claim.quote)}”" for claim in finding.claimed)) or "nothing"
            short = f" by {finding.lacking.text}" if finding.lacking and kind == "falls short" else ""
            open_mark = "(open) " if finding.state == "open" else ""
            text = f"**{kind}**{escape(short)}. {escape(finding.text)}"
            rows.append([escape(finding.title + where), open_mark + escape(finding.demanded), claimed, text])
        lines += table(["Subject", "Demanded", "Claimed", "Finding"], rows)
    if unit.claim_notes:
        lines += ["### What the claims do not mean", ""]
        for note in unit.claim_notes:
            lines += [f"- {escape(note.text)}", *(why(note.proof, 2) if proofs else [])]
        lines.append("")
    if unit.not_understood:
        lines += ["### Not understood on the sheet", "", *(f"- {escape(text)}" for text in unit.not_understood), ""]
    return lines


def _head(kind: str, document: Requirement | Explanation | AuditDocument, on: date) -> Lines:
    site = document.site
    lines = [f"# {escape(kind)}: {escape(site['name'])}", ""]
    lines += [f"{escape(site['about'])}\n"] if site.get("about") else []
    stamp = common.stamp(document.version, document.rulebook, site, on.isoformat())
    lines += [f"- {label}: {escape(text)}" for label, text in stamp] + [""]
    for rule, reason in document.rulebook.waived.items():
        lines += [f"> **Rule lifted:** {code(rule)} is lifted by the plant's own rules: {escape(reason)}", ""]
    return lines


def _demands(entries: Iterable[DemandEntry], proofs: bool) -> Lines:
    lines: Lines = []
    topic = ""
    for entry in entries:
        if entry.topic != topic:
            lines += ["", f"### {escape(entry.title)} {code(entry.topic)}", ""]
            topic = entry.topic
        lines += [f"- {demand_words(entry)}", *(why(entry.proof, 2) if proofs else [])]
    return [*lines[1:], ""]


def _notes(title: str, entries: Sequence[NoteEntry], proofs: bool) -> Lines:
    if not entries:
        return []
    lines = [f"## {title}", ""]
    for entry in [*common.certain(entries), *common.pending(entries)]:
        open_mark = "(open) " if entry.state == "open" else ""
        lines += [f"- {open_mark}{escape(entry.text)}", *(why(entry.proof, 2) if proofs else [])]
    return [*lines, ""]


def _finish(lines: Lines, site: dict[str, object]) -> str:
    lines += ["## What was told of the point", ""]
    lines += table(
        ["About", "Answers, as they were written"],
        [
            [escape(row.about), escape(row.word) or "; ".join(f"{escape(s)}: {escape(a)}" for s, a in row.slots)]
            for row in common.answers(site)
        ],
    )
    lines += [f"**{CAVEAT}**"]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)) + "\n"
