"""Builds the document of `audit` out of an advice and the audits of units."""

from collections.abc import Iterable

from advisor import __version__, quantities
from advisor.advise import Advisor
from advisor.audit import Audit, Finding
from advisor.claim_facts import claim_facts
from advisor.claims import Claim
from advisor.document import AuditDocument, ClaimEntry, ClaimNote, Figure, FindingEntry, UnitEntry
from advisor.engine.wording import say_span
from advisor.report.requirement import DocumentBuilder, site_block, stamp
from advisor.values import Span
from advisor.vocabulary import Topic


class AuditBuilder:
    """Turns audits into document entries; what is the same for all units is proved once."""

    def __init__(self, builder: DocumentBuilder, advisor: Advisor) -> None:
        self.builder, self.advisor, self.book = builder, advisor, advisor.book
        self.topics = self.book.vocabulary.topics

    def document(self, audits: Iterable[Audit]) -> AuditDocument:
        """Return the document of several audits, the best unit first."""
        advice = self.builder.advice
        ranked = sorted(audits, key=lambda audit: (audit.rank, audit.unit.name))
        notes = {topic: [self.builder.note(note) for note in found] for topic, found in advice.notes.items()}
        return AuditDocument(
            version=__version__,
            rulebook=stamp(self.book),
            site=site_block(advice.site),
            units=[self.unit(audit) for audit in ranked],
            evidence=notes["evidence"],
            beyond=notes["beyond"],
            refer=notes["refer"],
            cautions=notes["caution"],
        )

    def unit(self, audit: Audit) -> UnitEntry:
        """Return one unit with its findings and the notes on its claims."""
        unit = audit.unit
        return UnitEntry(
            unit=unit.name,
            about=unit.about,
            source=unit.source,
            verdict=audit.verdict,
            held_back=list(audit.held_back),
            findings=[self.finding(finding) for finding in audit.findings],
            claim_notes=self._claim_notes(audit),
            not_understood=[
                f"line {m.line}: {m.quote}" if m.line else m.quote for m in unit.missed if m.why != "heading"
            ],
        )

    def finding(self, finding: Finding) -> FindingEntry:
        demand = finding.demand
        topic = self.topics[demand.topic]
        entry = self.builder.demand(demand)
        return FindingEntry(
            topic=demand.topic,
            title=topic.title,
            part=finding.part,
            finding=finding.outcome,
            demanded=self.builder.headline(demand)
            if topic.role is None
            else "one that stands what is told of the point",
            state=demand.state,
            claimed=[self._claim(claim, topic) for claim in finding.claims],
            text=finding.text,
            lacking=None if finding.lacking is None else _figure(finding.lacking, topic.unit or "", difference=True),
            proof=entry.proof,
        )

    def _claim(self, claim: Claim, topic: Topic) -> ClaimEntry:
        value: float | str | None = claim.value
        if claim.item and topic.table:
            value = self.book.tables[topic.table].rows[claim.item].name
        elif claim.materials:
            value = ", ".join(self.book.tables["materials"].rows[slug].name for slug in claim.materials)
        return ClaimEntry(
            quote=claim.quote,
            part=claim.part,
            line=claim.line,
            value=value,
            unit=quantities.si_unit(topic.unit or "") if claim.value is not None else "",
            parameters={name: _figure(figure, topic.parameters[name]) for name, figure in claim.parameters.items()},
            credit=claim.credit,
            notes=list(claim.notes),
        )

    def _claim_notes(self, audit: Audit) -> list[ClaimNote]:
        """Run the rules about claims over the sheet and the site together."""
        facts = claim_facts(audit.unit, self.book)
        site = self.builder.advice.site
        advice = self.advisor.advise(site, facts)
        builder = DocumentBuilder(advice, self.advisor)
        notes = [note for note in advice.notes["trap"] if note.state == "certain"]
        return [ClaimNote(text=note.item, proof=builder.note(note).proof) for note in notes]


def _figure(value: float, unit: str, *, difference: bool = False) -> Figure:
    if value == float("inf"):
        return Figure(text="without limit")
    span = Span(value, value)
    return Figure(low=value, high=value, unit=quantities.si_unit(unit), text=say_span(span, unit, difference))
