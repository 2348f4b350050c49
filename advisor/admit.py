"""Which change of the site would let a rejected unit in.

For every demand on which a unit falls short the changes are found that bring the demand down to what the unit claims;
each is held against the unit by a whole audit of the changed site, and so are, where no single change does, sets of
one change for each shortfall. A unit is let in when nothing falls short any more; what its sheet is silent on stays
to be asked. The engine of record decides, as in every audit.
"""

import itertools
from collections.abc import Iterable
from dataclasses import dataclass

from advisor import quantities
from advisor.audit import Audit, Auditor, Finding
from advisor.materials import standing_for
from advisor.relax import Change, Relaxer
from advisor.rulecheck import example_site
from advisor.whatif.edits import Edit, apply

MOST_SHORTFALLS = 4
MOST_EACH = 3
MOST_JOINT = 12


@dataclass(frozen=True)
class Admission:
    """Changes that let a unit in, and the verdict on it then."""

    changes: tuple[Change, ...]
    verdict: str
    silent: int
    """On how many binding demands its sheet says nothing or nothing clear, then."""


@dataclass(frozen=True)
class Rejected:
    """A unit that falls short, on what, and what would let it in; nothing where nothing movable does."""

    unit: str
    shortfalls: tuple[str, ...]
    admissions: tuple[Admission, ...]


class Admitter:
    """Looks for admissions on one site. Raises EngineError."""

    def __init__(self, relaxer: Relaxer) -> None:
        self.relaxer, self.advisor, self.book = relaxer, relaxer.advisor, relaxer.book
        self._auditors: dict[frozenset[Edit], Auditor] = {}

    def rejected(self, audits: Iterable[Audit]) -> list[Rejected]:
        """Return every unfit unit with what would let it in."""
        return [self._one(audit) for audit in audits if audit.verdict == "unfit"]

    def _one(self, audit: Audit) -> Rejected:
        short = [finding for finding in audit.findings if finding.outcome == "falls short"]
        titles = tuple(dict.fromkeys(self.book.vocabulary.topics[f.demand.topic].title for f in short))
        groups = [self._changes(finding) for finding in short]
        # Where one shortfall cannot be helped nothing lets the unit in.
        if not all(groups) or len(short) > MOST_SHORTFALLS:
            return Rejected(audit.unit.name, titles, ())
        every = {frozenset(change.edits): change for group in groups for change in group}
        found = [admission for change in every.values() if (admission := self._try(audit, (change,)))]
        if not found and len(groups) > 1:
            sets = itertools.islice(itertools.product(*(group[:MOST_EACH] for group in groups)), MOST_JOINT)
            tried: set[frozenset[Edit]] = set()
            for chosen in sets:
                changes = tuple({frozenset(change.edits): change for change in chosen}.values())
                edits = frozenset(edit for change in changes for edit in change.edits)
                places = {edit.place for edit in edits}
                if edits in tried or len(places) < len(edits):
                    continue
                tried.add(edits)
                admission = self._try(audit, changes)
                found += [admission] if admission else []
        found.sort(key=lambda own: (len(own.changes), sum(change.size for change in own.changes)))
        return Rejected(audit.unit.name, titles, tuple(found[:MOST_EACH]))

    def _changes(self, finding: Finding) -> list[Change]:
        demand = finding.demand
        topic = self.book.vocabulary.topics[demand.topic]
        values = [demand.item] if topic.join == "codes" else [""]
        if demand.value is not None and finding.lacking is not None:
            claimed = demand.value + (-finding.lacking if topic.join == "highest" else finding.lacking)
            unit = topic.unit or ""
            values = [f"{quantities.from_si(claimed, unit, difference=topic.difference):.10g} {unit}".strip()]
        elif topic.join == "materials":
            # A loose name, such as FKM without its type, is let in by what lets in the worst that it may mean.
            table, known = self.book.tables["materials"], {verdict.material for verdict in demand.materials}
            named = [table.rows[key] for claim in finding.claims for key in claim.materials]
            meant = [key for row in named for key in standing_for(row, topic.role or "", table)]
            values = list(dict.fromkeys(key for key in meant if key in known))
        return [change for value in values for change in self.relaxer.changes(demand.topic, value)]

    def _try(self, audit: Audit, changes: tuple[Change, ...]) -> Admission | None:
        edits = frozenset(edit for change in changes for edit in change.edits)
        if edits not in self._auditors:
            told = apply(self.relaxer.site.told, edits)
            site = example_site(told, self.book, str(told["site"]))
            self._auditors[edits] = Auditor(self.advisor.advise(site), self.book)
        after = self._auditors[edits].audit(audit.unit)
        if after.verdict == "unfit":
            return None
        silent = sum(finding.outcome in ("unstated", "unclear") for finding in after.findings)
        return Admission(changes, after.verdict, silent)
