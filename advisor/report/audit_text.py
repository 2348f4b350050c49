"""Renders an audit as plain text: the verdict first, then what falls short, what is silent, what needs a person."""

from collections.abc import Iterable

from advisor.document import AuditDocument, FindingEntry, UnitEntry
from advisor.report.text import CAVEAT, head, notes, proof, wrap

_ORDER = ("falls short", "unstated", "unclear", "meets")
_TITLES = {
    "falls short": "Falls short",
    "unstated": "The sheet is silent: ask",
    "unclear": "Read, but a person must decide",
    "meets": "Meets",
}
_VERDICTS = {
    "fit": "FIT: every binding demand is met by the sheet",
    "unfit": "UNFIT: something falls short",
    "unproven": "UNPROVEN: nothing falls short, but something is silent or unclear",
}


def audit(document: AuditDocument, *, proofs: bool = False, opened: bool = False) -> str:
    """Return the audit of all units; `proofs` adds reasons, `opened` the findings on open demands that are not met."""
    title = f"Audit against: {document.site['name']}"
    lines = [*wrap(title), "=" * min(100, len(title))]
    lines += wrap(f"rulebook {document.rulebook.digest} ({document.rulebook.rules} rules)")
    if len(document.units) > 1:
        lines += head("Units, the best first")
        lines += [f"  {number}. {entry.unit}: {entry.verdict}" for number, entry in enumerate(document.units, 1)]
    for entry in document.units:
        lines += _unit(entry, proofs, opened)
    stops = [note for note in document.refer if note.state == "certain"]
    for name, entries in (
        ("Stop: outside this tool", stops),
        ("To be referred unless an open answer excludes it", [note for note in document.refer if note not in stops]),
        ("Beyond every published test", [note for note in document.beyond if note.state == "certain"]),
        ("Papers and test reports to ask for", [note for note in document.evidence if note.state == "certain"]),
        ("Cautions", [note for note in document.cautions if note.state == "certain"]),
    ):
        if entries:
            lines += head(name) + notes(entries, proofs)
    lines += ["", *wrap(CAVEAT)]
    return "\n".join(lines) + "\n"


def _unit(entry: UnitEntry, proofs: bool, opened: bool) -> list[str]:
    lines = head(entry.unit, "=")
    if entry.about:
        lines += wrap(entry.about)
    lines += wrap(_VERDICTS[entry.verdict])
    for text in entry.held_back:
        lines += wrap(text, 0, "! ")
    for kind in _ORDER:
        found = [finding for finding in entry.findings if finding.finding == kind]
        shown = [finding for finding in found if opened or finding.state == "certain" or kind == "meets"]
        if found:
            lines += ["", f"  {_TITLES[kind]}"]
        for alike in _grouped(shown, proofs):
            lines += _finding(alike, proofs)
        if len(found) > len(shown):
            lines += wrap(
                f"{len(found) - len(shown)} more on demands that hang on open answers (listed with --open)", 4, "+ "
            )
    if entry.claim_notes:
        lines += ["", "  What the claims do not mean"]
        for note in entry.claim_notes:
            lines += wrap(note.text, 4, "! ")
            if proofs:
                lines += proof(note.proof, 8)
    if entry.not_understood:
        lines += ["", "  Not understood on the sheet"]
        for text in entry.not_understood:
            lines += wrap(text, 4, "? ")
    return lines


def _grouped(findings: Iterable[FindingEntry], proofs: bool) -> list[list[FindingEntry]]:
    """Findings on one topic that the same words answer, or that nothing answers, stand together; proofs part them."""
    groups: dict[tuple[object, ...], list[FindingEntry]] = {}
    for number, finding in enumerate(findings):
        told = "" if finding.finding in ("meets", "unstated") else _beside(finding)
        key = (number,) if proofs else (finding.finding, finding.title, finding.part, _claimed(finding), told)
        groups.setdefault(key, []).append(finding)
    return list(groups.values())


def _beside(finding: FindingEntry) -> str:
    """What is said of a finding besides that the very thing demanded is claimed."""
    return finding.text.removeprefix(_own_words(finding)).strip()


def _own_words(finding: FindingEntry) -> str:
    return f"{finding.demanded} is claimed."


def _claimed(finding: FindingEntry) -> str:
    return ", ".join(dict.fromkeys(claim.quote for claim in finding.claimed)) or "nothing"


def _finding(alike: list[FindingEntry], proofs: bool) -> list[str]:
    first = alike[0]
    where = f" ({first.part})" if first.part not in ("", "unit") else ""
    short = f" by {first.lacking.text}" if first.lacking is not None and first.finding == "falls short" else ""
    demanded = "; ".join(finding.demanded for finding in alike)
    own = len(alike) > 2 and all(finding.text.startswith(_own_words(finding)) for finding in alike)
    told = ["All are claimed.", *map(_beside, alike)] if own else [finding.text for finding in alike]
    texts = " ".join(text for text in dict.fromkeys(told) if text)
    lines = wrap(f"{first.title}{where}: demanded {demanded}; claimed {_claimed(first)}{short}. {texts}", 4, "- ")
    if proofs:
        lines += proof(first.proof, 8)
    return lines
