"""What a single claim is worth against a single demand: codes, figures, materials, and the credit of the claim.

Pure functions without the sheet, the parts or the site; `audit` puts their results together.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Literal

from advisor.claims import Claim
from advisor.resistance import RATINGS, Rating
from advisor.tables import Table
from advisor.topics import Demand
from advisor.values import CLOSE
from advisor.vocabulary import Topic

Outcome = Literal["meets", "unclear", "unstated", "falls short"]
OUTCOMES: tuple[Outcome, ...] = ("meets", "unclear", "unstated", "falls short")


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


def figure(demand: Demand, topic: Topic, claim: Claim) -> tuple[Outcome, str, float | None]:
    """Hold a claimed figure against a demanded one: the outcome, its words, and by how much it falls short in SI."""
    if claim.value is None or demand.value is None:
        return "unclear", f"{claim.quote}: no figure is claimed.", None
    up = topic.join == "highest"
    lacking = demand.value - claim.value if up else claim.value - demand.value
    if lacking <= abs(demand.value) * CLOSE:
        outcome: Outcome = "meets"
        text = f"{claim.quote} reaches it."
        return limited(outcome, claim), with_notes(text, claim, outcome), None
    text = f"{claim.quote} does not reach it."
    return "falls short", with_notes(text, claim, "falls short"), lacking


def quotes(claims: Iterable[Claim]) -> str:
    """The words of the sheet that make these claims, each once."""
    return ", ".join(dict.fromkeys(claim.quote for claim in claims))


def shown_warm(claim: Claim, lowest: float, text: str) -> Claim:
    """Take full credit from a claim that was shown at a temperature above the lowest one demanded."""
    if claim.shown_at is None or claim.shown_at <= lowest + CLOSE or claim.credit != "full":
        return claim
    return replace(claim, credit="conditional", notes=(*claim.notes, text))


def limited(outcome: Outcome, claim: Claim) -> Outcome:
    """What a claim that meets the demand is worth with its credit."""
    if outcome != "meets":
        return outcome if claim.credit != "none" or outcome == "falls short" else "unclear"
    worth: dict[str, Outcome] = {"full": "meets", "conditional": "unclear", "none": "falls short"}
    return worth[claim.credit]


def with_notes(text: str, claim: Claim, outcome: Outcome) -> str:
    """Add what limits a claim to the words of its finding, unless it meets the demand in full."""
    return " ".join([text, *claim.notes]) if claim.credit != "full" or outcome != "meets" else text


def rated(name: str, certain: Rating, possible: Rating) -> tuple[Outcome, str]:
    """Return what the ratings of a material are worth, and the words."""
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
