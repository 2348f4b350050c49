"""Demands against claims: a finding for each binding demand, and the verdict on the unit.

`meets`: a claim with full credit lies at or above the demand. `unclear`: a claim was read, but a person must decide
(a condition, a missing figure, a rating that the standard does not turn into the one demanded, a demand that an open
answer may still lift). `unstated`: the sheet is silent. `falls short`: the best claim lies below. A unit is an
assembly: a part that has a claim of its own on a topic must bear the demand itself, and the worst part decides.
Silence is never a pass: a unit is fit only if every binding demand is met and nothing was referred.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from advisor.advise import Advice
from advisor.claims import Claim
from advisor.materials import judge
from advisor.resistance import RATINGS, Rating
from advisor.rulebook import Rulebook
from advisor.sheet import UnitSheet
from advisor.tables import Table
from advisor.topics import Demand
from advisor.values import CLOSE
from advisor.vocabulary import Topic

Outcome = Literal["meets", "unclear", "unstated", "falls short"]
OUTCOMES: tuple[Outcome, ...] = ("meets", "unclear", "unstated", "falls short")
Verdict = Literal["fit", "unproven", "unfit"]
WHOLE = "unit"


@dataclass(frozen=True)
class Finding:
    """How one demand fares: the outcome, the part that decided it, the claims looked at, and why."""

    demand: Demand
    outcome: Outcome
    part: str
    claims: tuple[Claim, ...]
    text: str
    lacking: float | None = None
    """How far a figure falls short, in coherent SI."""


@dataclass(frozen=True)
class Audit:
    """A unit held against a site."""

    unit: UnitSheet
    verdict: Verdict
    findings: tuple[Finding, ...]
    held_back: tuple[str, ...] = ()
    """Why a unit that meets everything is not fit all the same."""

    @property
    def rank(self) -> tuple[int, int, int]:
        """Fewest shortfalls first, then silences, then what is unclear."""
        outcomes = [finding.outcome for finding in self.findings]
        return outcomes.count("falls short"), outcomes.count("unstated"), outcomes.count("unclear")


class Auditor:
    """Audits units against one advice; findings are kept by the claims they rest on, for catalogues."""

    def __init__(self, advice: Advice, book: Rulebook) -> None:
        self.advice, self.book = advice, book
        self.parts = book.tables["claim_parts"].rows
        self._kept: dict[tuple[object, ...], Finding] = {}

    def audit(self, unit: UnitSheet) -> Audit:
        """Return the verdict on a unit."""
        by_topic: dict[str, list[Claim]] = {}
        for claim in unit.claims:
            by_topic.setdefault(claim.topic, []).append(claim)
        findings = []
        for demand in self.advice.demands:
            topic = self.book.vocabulary.topics[demand.topic]
            claims = tuple(by_topic.get(demand.topic, ()))
            if not claims and topic.audit == "if named" and not self._names(unit, topic):
                continue
            findings.append(self._finding(demand, topic, claims))
        held = self._held_back()
        outcomes = {finding.outcome for finding in findings}
        if "falls short" in outcomes:
            verdict: Verdict = "unfit"
        elif outcomes <= {"meets"} and not held:
            verdict = "fit"
        else:
            verdict = "unproven"
        return Audit(unit, verdict, tuple(findings), held)

    def _held_back(self) -> tuple[str, ...]:
        refer = [note for note in self.advice.notes.get("refer", ()) if note.state == "certain"]
        conflicts = [note for note in self.advice.notes.get("conflict", ()) if note.state == "certain"]
        words = ["The point is referred: no spec sheet answers what is outside this tool."] if refer else []
        if conflicts:
            words.append("The answers clash; settle them first.")
        return tuple(words)

    def _names(self, unit: UnitSheet, topic: Topic) -> bool:
        """Tell whether the sheet speaks of a part whose material the topic is about."""
        return any(
            topic.role in self.parts[part].cells.get("roles", ())
            for part in unit.parts
            if part in self.parts and not self.parts[part].cells["whole"]
        )

    def _finding(self, demand: Demand, topic: Topic, claims: tuple[Claim, ...]) -> Finding:
        key = (id(demand), *(claim.key for claim in claims))
        kept = self._kept.get(key)
        if kept is None:
            kept = self._kept[key] = self._judge(demand, topic, claims)
        return kept

    def _judge(self, demand: Demand, topic: Topic, claims: tuple[Claim, ...]) -> Finding:
        if not claims:
            return Finding(demand, "unstated", "", (), "The sheet says nothing of it.")
        parts: dict[str, list[Claim]] = {}
        for claim in claims:
            row = self.parts.get(claim.part)
            whole = row is None or bool(row.cells["whole"])
            parts.setdefault(WHOLE if whole else claim.part, []).append(claim)
        found = [self._of_part(demand, topic, part, tuple(own)) for part, own in parts.items()]
        worst = max(found, key=lambda finding: OUTCOMES.index(finding.outcome))
        if topic.role is None and WHOLE not in parts and worst.outcome == "meets":
            only = ", ".join(parts)
            return Finding(demand, "unclear", worst.part, claims, f"Stated of the {only} only, not of the unit.")
        if worst.outcome == "falls short" and demand.state == "open":
            text = f"{worst.text} The demand hangs on an open answer."
            return Finding(demand, "unclear", worst.part, worst.claims, text, worst.lacking)
        return worst

    def _of_part(self, demand: Demand, topic: Topic, part: str, claims: tuple[Claim, ...]) -> Finding:
        if topic.join == "materials":
            return self._material(demand, topic, part, claims)
        if topic.join == "codes":
            results = [(*self._code(demand, topic, claim), claim) for claim in claims]
        else:
            results = [(*_figure(demand, topic, claim), claim) for claim in claims]
        if topic.join != "codes" and len({claim.value for claim in claims if claim.credit == "full"}) > 1:
            return _contradiction(demand, part, results)
        outcome, text, lacking, claim = min(results, key=lambda result: OUTCOMES.index(result[0]))
        return Finding(demand, outcome, part, claims if outcome != "meets" else (claim,), text, lacking)

    def _code(self, demand: Demand, topic: Topic, claim: Claim) -> tuple[Outcome, str, float | None]:
        table = self.book.tables[topic.table or ""]
        if not claim.item:
            return "unclear", f"{claim.quote}: no code is claimed.", None
        outcome, text = meets_code(table, topic, claim.item, claim.parameters, demand.item, demand.parameters)
        return _limited(outcome, text, claim), _with_notes(text, claim, outcome), None

    def _material(self, demand: Demand, topic: Topic, part: str, claims: tuple[Claim, ...]) -> Finding:
        table = self.book.tables["materials"]
        role = topic.role or ""
        worst: tuple[int, Outcome, str, Claim] | None = None
        for claim in claims:
            for slug in claim.materials:
                verdict = judge(table.rows[slug], role, table, self.advice.certain, self.advice.possible)
                outcome, text = _rated(table.rows[slug].name, verdict.certain, verdict.possible)
                reasons = dict.fromkeys(r.text for r in verdict.reasons if r.rating == verdict.possible != "resists")
                text += "".join(f" {reason}." for reason in list(reasons)[:2])
                limited = _limited(outcome, text, claim)
                entry = (OUTCOMES.index(limited), limited, _with_notes(text, claim, outcome), claim)
                worst = entry if worst is None or entry[0] > worst[0] else worst
        if worst is None:
            return Finding(demand, "unclear", part, claims, "The material was not recognised.")
        return Finding(demand, worst[1], part, (worst[3],), worst[2])


def meets_code(
    table: Table,
    topic: Topic,
    item: str,
    parameters: Mapping[str, float],
    wanted: str,
    needed: Mapping[str, float],
) -> tuple[Outcome, str]:
    """Hold a claimed code with its figures against a demanded one. Returns the outcome and the reason in words."""
    row, goal = table.rows[item], table.rows[wanted]
    if item != wanted and wanted not in row.cells.get("covers", ()):
        if wanted in row.cells.get("often_covers", ()):
            return "unclear", f"{row.name} is often taken for {goal.name}, but the standard does not say so."
        return "falls short", f"{row.name} does not cover {goal.name}."
    for name in topic.parameters:
        own = goal.cells.get(name)
        limit = max(needed.get(name, 0.0), own[1] if own is not None and item != wanted else 0.0)
        if not limit or (row.cells.get(name) is not None and item != wanted):
            continue
        given = parameters.get(name)
        if given is None:
            return "unclear", f"{row.name} without {name} cannot be verified."
        if given < limit * (1 - CLOSE):
            return "falls short", f"{row.name} is claimed for less {name} than is demanded."
    return "meets", f"{row.name} is claimed."


def _figure(demand: Demand, topic: Topic, claim: Claim) -> tuple[Outcome, str, float | None]:
    if claim.value is None or demand.value is None:
        return "unclear", f"{claim.quote}: no figure is claimed.", None
    up = topic.join == "highest"
    lacking = demand.value - claim.value if up else claim.value - demand.value
    if lacking <= abs(demand.value) * CLOSE:
        outcome: Outcome = "meets"
        text = f"{claim.quote} reaches it."
        return _limited(outcome, text, claim), _with_notes(text, claim, outcome), None
    text = f"{claim.quote} does not reach it."
    return "falls short", _with_notes(text, claim, "falls short"), lacking


def _limited(outcome: Outcome, text: str, claim: Claim) -> Outcome:
    """What a claim that meets the demand is worth with its credit."""
    del text
    if outcome != "meets":
        return outcome if claim.credit != "none" or outcome == "falls short" else "unclear"
    return {"full": "meets", "conditional": "unclear", "none": "falls short"}[claim.credit]  # type: ignore[return-value]


def _with_notes(text: str, claim: Claim, outcome: Outcome) -> str:
    return " ".join([text, *claim.notes]) if claim.credit != "full" or outcome != "meets" else text


def _contradiction(demand: Demand, part: str, results: list[tuple[Outcome, str, float | None, Claim]]) -> Finding:
    """Two full claims that differ: the worse one counts, and a person must find out which is right."""
    worst = max(results, key=lambda result: OUTCOMES.index(result[0]))
    claims = tuple(result[3] for result in results)
    quotes = ", ".join(dict.fromkeys(claim.quote for claim in claims))
    if all(result[0] == "meets" for result in results):
        return Finding(demand, "meets", part, claims, f"Each of the differing claims reaches it: {quotes}.")
    if worst[0] == "falls short" and all(result[0] == "falls short" for result in results):
        return Finding(demand, "falls short", part, claims, worst[1], worst[2])
    return Finding(demand, "unclear", part, claims, f"The sheet contradicts itself: {quotes}.", worst[2])


def _rated(name: str, certain: Rating, possible: Rating) -> tuple[Outcome, str]:
    if certain == "attacked":
        return "falls short", f"{name} is ruled out."
    if possible == "attacked":
        return "unclear", f"{name} is ruled out unless the open answers say otherwise."
    worse = max(certain, possible, key=RATINGS.index)
    if worse == "unknown":
        return "unclear", f"{name} is not proven here."
    if worse == "limited":
        return "unclear", f"{name} stands it with limits."
    return "meets", f"{name} stands it."


def is_open(value: float | None) -> bool:
    """Tell whether a figure is missing or not finite."""
    return value is None or not math.isfinite(value)
