"""Builds and renders the audit of many units: counts, what most of them fail on, the ranked table, the best in full."""

from collections.abc import Sequence

from advisor.catalogue.document import MOST_RANKED, CatalogueDocument, DemandTally, RankedUnit
from advisor.catalogue.run import CatalogueAuditor
from advisor.document import AuditDocument
from advisor.faults import Fault
from advisor.report import audit_text
from advisor.report.audited import AuditBuilder
from advisor.report.text import head, wrap

TABLE = 50
"""Units in the printed table."""
MOST_FAULTS = 20
_VERDICTS = ("fit", "unproven", "unfit")


def demand_titles(run: CatalogueAuditor, builder: AuditBuilder) -> list[str]:
    """What is demanded, in a few words for each demand."""
    titles = []
    for topic, number in run.ranking.demands:
        demand = run.auditor.demands[topic][number]
        entry = builder.topics[topic]
        wanted = "" if entry.role is not None else f" {builder.builder.headline(demand).split(' (', 1)[0]}"
        titles.append(f"{topic}{wanted}{' (open)' if demand.state == 'open' else ''}")
    return titles


def document(
    run: CatalogueAuditor,
    builder: AuditBuilder,
    columns: dict[str, list[str]],
    notes: Sequence[str],
    faults: Sequence[Fault],
) -> CatalogueDocument:
    """The document of all that was audited."""
    detailed: AuditDocument = builder.document(run.details())
    ranking = run.ranking
    states = [run.auditor.demands[topic][number].state for topic, number in ranking.demands]
    tallies = [
        DemandTally(
            topic=topic,
            demanded=title,
            state=state,
            meets=tally["meets"],
            unclear=tally["unclear"],
            unstated=tally["unstated"],
            falls_short=tally["falls short"],
            not_concerned=tally[None],
        )
        for (topic, _), title, state, tally in zip(
            ranking.demands, demand_titles(run, builder), states, ranking.tallies(), strict=True
        )
    ]
    ranked = [
        RankedUnit(
            place=place,
            unit=result.name,
            source=result.source,
            line=result.line,
            verdict=result.fate.verdict,
            falls_short=result.fate.rank[0],
            unstated=result.fate.rank[1],
            unclear=result.fate.rank[2],
            surplus=result.fate.rank[3],
        )
        for place, result in enumerate(ranking.ordered()[:MOST_RANKED], start=1)
    ]
    fields = {name: getattr(detailed, name) for name in AuditDocument.model_fields if name != "schema_name"}
    counts = ranking.counts()
    return CatalogueDocument(
        **fields,
        audited=len(ranking.results),
        counts={verdict: counts[verdict] for verdict in _VERDICTS},
        columns=columns,
        notes=list(notes),
        rows_not_read=[str(fault) for fault in faults],
        demands=tallies,
        ranked=ranked,
    )


def text(found: CatalogueDocument, *, proofs: bool = False, opened: bool = False) -> str:
    """The document as plain text."""
    title = f"Catalogue against: {found.site['name']}"
    lines = [*wrap(title), "=" * min(100, len(title))]
    lines += wrap(f"rulebook {found.rulebook.digest} ({found.rulebook.rules} rules)")
    lines += head("Verdicts")
    lines += [f"  {found.counts[verdict]:>8}  {verdict}" for verdict in _VERDICTS]
    lines.append(f"  {found.audited:>8}  audited")
    if found.rows_not_read:
        lines.append(f"  {len(found.rows_not_read):>8}  rows not audited")
        lines += [line for fault in found.rows_not_read[:MOST_FAULTS] for line in wrap(fault, 4, "! ")]
    for name, columns in found.columns.items():
        lines += head(f"Columns of {name}")
        lines += [line for entry in columns for line in wrap(entry, 2)]
    lines += [line for note in found.notes for line in wrap(note, 2, "! ")]
    lines += head("What the units fail on")
    lines.append(f"  {'meets':>8} {'unclear':>8} {'silent':>8} {'short':>8}  demand")
    shown = [tally for tally in found.demands if opened or tally.state == "certain"]
    for tally in sorted(shown, key=lambda tally: tally.meets):
        lines.append(
            f"  {tally.meets:>8} {tally.unclear:>8} {tally.unstated:>8} {tally.falls_short:>8}  {tally.demanded[:60]}"
        )
    if len(shown) < len(found.demands):
        lines.append(f"  + {len(found.demands) - len(shown)} that hang on open answers (listed with --open)")
    lines += head("The best units: fewest shortfalls, then silences, then unclear, then surplus")
    lines.append(f"  {'place':>6} {'verdict':<9} {'short':>5} {'silent':>6} {'unclear':>7} {'surplus':>7}  unit")
    for unit in found.ranked[:TABLE]:
        where = f" (line {unit.line})" if unit.line else ""
        counts = f"{unit.falls_short:>5} {unit.unstated:>6} {unit.unclear:>7} {unit.surplus:>7}"
        lines.append(f"  {unit.place:>6} {unit.verdict:<9} {counts}  {_plain(unit.unit)[:60]}{where}")
    if found.audited > TABLE:
        lines.append(f"  and {found.audited - TABLE} more (all of them with --format csv)")
    detail = AuditDocument(**{name: getattr(found, name) for name in AuditDocument.model_fields})
    return "\n".join(lines) + "\n\n" + audit_text.audit(detail, proofs=proofs, opened=opened)


def _plain(text: str) -> str:
    return "".join(sign if sign.isprintable() else " " for sign in text)
