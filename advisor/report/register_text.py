"""Renders a register as text: how many points have a fit unit, the fewest types for all, the groups that fare alike."""

from advisor.register.document import CoverEntry, RegisterDocument
from advisor.report.common import visible
from advisor.report.text import head, wrap

MOST_GROUPS = 25


def register_text(document: RegisterDocument) -> str:
    """Return the text; the whole matrix is in the CSV and JSON."""
    points, types = len(document.points), len(document.types)
    title = f"Register: {points} points against {document.units} units"
    lines = [title, "=" * len(title)]
    lines += wrap(
        f"rulebook {document.rulebook.digest} ({document.rulebook.rules} rules), catalogue {document.catalogue}; "
        f"{document.answers} different sets of answers"
        f"{f', {document.taken} of them from the journal' if document.taken else ''}; {types} types of units that "
        "claim differently."
    )
    for name, reason in document.rulebook.waived.items():
        lines += wrap(f"Rule {name} is lifted by the plant's own rules: {reason}", 0, "! ")
    served = sum(point.fit > 0 for point in document.points)
    possible = sum(point.fit == 0 and point.unproven > 0 for point in document.points)
    lines += [
        "",
        f"  {served:>6}  points have a fit unit",
        f"  {possible:>6}  points have none that is fit, but some that is only unproven",
        f"  {points - served - possible:>6}  points have no unit that is not unfit",
    ]
    lines += head("The fewest types of units that are fit for all points which have one")
    lines += _cover(document.fit, "fit")
    lines += head("The fewest types if all that is unproven were proven: ask their makers")
    lines += _cover(document.provable, "fit or unproven")
    lines += head("Points that fare alike, the most first")
    order = sorted(enumerate(document.groups), key=lambda entry: (-entry[1].points, entry[0]))
    lines.append(f"  {'points':>6}  {'fit':>6} {'unproven':>8} {'unfit':>6}  types of units; such as")
    for _, group in order[:MOST_GROUPS]:
        counts = [group.verdicts.count(letter) for letter in "FPU"]
        figures = f"{group.points:>6}  {counts[0]:>6} {counts[1]:>8} {counts[2]:>6}"
        lines += wrap(visible(group.example), 2, f"{figures}  ")
    if len(order) > MOST_GROUPS:
        lines.append(f"  and {len(order) - MOST_GROUPS} more groups; the whole matrix: --format csv or json")
    return "\n".join(lines) + "\n"


def _cover(found: CoverEntry, what: str) -> list[str]:
    lines: list[str] = []
    if found.types:
        proof = "no fewer do, proven" if found.proven else "not proven to be the fewest: the extra `register` solves it"
        lines += wrap(f"{len(found.types)} types ({proof}):", 2)
        lines.append(f"  {'serves':>6}  {'alone':>6}")
        for entry in found.types:
            lines += wrap(visible(entry.name), 2, f"{entry.serves:>6}  {entry.alone:>6}  ")
    else:
        lines.append(f"  None: at no point is a unit {what}.")
    if found.unserved:
        names = "; ".join(visible(name) for name in found.examples[:5])
        more = f" and {found.unserved - 5} more" if found.unserved > 5 else ""
        lines += wrap(f"No unit is {what} at {found.unserved} points: {names}{more}.", 2, "! ")
    return lines
