"""Rules that rule materials out: by the resistance matrix, by a limit in a column, or by what a row is.

One firing concludes one fact for each rating, with all the materials of that rating in it and a reason for each. In
the certain reading a material gets the rating that holds for the mildest of the allowed values, in the possible
reading that for the harshest, so that what is ruled out for certain is ruled out whatever the open answers are.
"""

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor import quantities
from advisor.engine.expressions import Bindings, Expression, evaluate
from advisor.resistance import RATINGS, Envelope, MatrixFiles, Rating, rate
from advisor.tables import Column, Row, Table
from advisor.values import CLOSE, Span, Words


@dataclass(frozen=True)
class ByResistance:
    """Agent, strength, temperature and contact time as expressions."""

    agent: Expression
    strength: Expression
    temperature: Expression
    duration: Expression


@dataclass(frozen=True)
class ByLimit:
    """Materials whose figure in the column lies below (or above) a value."""

    column: str
    below: bool
    value: Expression
    missing: Rating
    """The rating of a material without that figure."""
    within: frozenset[str]
    """The materials to which the limit applies."""


@dataclass(frozen=True)
class ByRow:
    """Materials that are what the rule names; those of which it is not known are unknown."""

    sure: frozenset[str]
    doubtful: frozenset[str]


@dataclass(frozen=True)
class Exclusion:
    """What a rule rules out, for which roles, and how badly."""

    means: ByResistance | ByLimit | ByRow
    roles: frozenset[str]
    rating: Rating
    text: str


@functools.lru_cache(maxsize=16)
def candidates(table: Table) -> dict[str, Row]:
    """Return the materials that can be proposed: rows that stand for one material and not for a loose name."""
    return {key: row for key, row in table.rows.items() if "worst_of" not in row.cells}


@functools.lru_cache(maxsize=16)
def roles(table: Table) -> frozenset[str]:
    """Return the parts that materials of the table are for."""
    return frozenset(role for row in table.rows.values() for role in row.cells.get("roles", ()))


def exclude(
    entry: Exclusion,
    bindings: Bindings,
    materials: Mapping[str, Row],
    matrix: MatrixFiles,
    *,
    certain: bool,
    agents: Mapping[str, Row] | None = None,
    columns: Mapping[str, Column] | None = None,
) -> dict[Rating, dict[str, str]]:
    """Return, for each rating worse than `resists`, the materials with it and the reason for each.

    `agents` are the rows by whose names the reasons call the agents; without them their keys are spelled out.
    `columns` of the materials table give the unit in which a reason names the figure of a material.
    """
    if isinstance(entry.means, ByResistance):
        return _by_resistance(entry.means, bindings, materials, matrix, agents or {}, certain=certain)
    found: dict[Rating, dict[str, str]] = {}
    if isinstance(entry.means, ByRow):
        sure = dict.fromkeys(sorted(entry.means.sure), entry.text)
        doubtful = dict.fromkeys(sorted(entry.means.doubtful), entry.text + " (not known of this material)")
        return {rating: names for rating, names in ((entry.rating, sure), ("unknown", doubtful)) if names}
    limit = entry.means
    wanted = evaluate(limit.value, bindings).result
    if not isinstance(wanted, Span) or (certain and (wanted.maybe or not wanted.told)):
        return {}
    if not wanted.told:
        return {"unknown": dict.fromkeys(sorted(limit.within), f"{entry.text} (hangs on an answer that is open)")}
    mild = wanted.low if limit.below else wanted.high
    harsh = wanted.high if limit.below else wanted.low
    edge = mild if certain else harsh
    for key in sorted(limit.within):
        cell = materials[key].cells.get(limit.column) if key in materials else None
        if cell is None:
            found.setdefault(limit.missing, {})[key] = f"{entry.text} (no figure for this material)"
            continue
        # A cell that is a range is taken at the end that is worse for the unit, in both readings: it is the material
        # that is not known better, not the site.
        figure = cell[0] if limit.below else cell[1]
        if figure < edge * (1 - CLOSE) if limit.below else figure > edge * (1 + CLOSE):
            column = (columns or {}).get(limit.column)
            shown = quantities.show(figure, column.unit or "") if column else ""
            found.setdefault(entry.rating, {})[key] = f"{entry.text} ({shown})" if shown else entry.text
    return found


def _by_resistance(
    means: ByResistance,
    bindings: Bindings,
    materials: Mapping[str, Row],
    matrix: MatrixFiles,
    named: Mapping[str, Row],
    *,
    certain: bool,
) -> dict[Rating, dict[str, str]]:
    agents = evaluate(means.agent, bindings).result
    spans = [evaluate(part, bindings).result for part in (means.strength, means.temperature, means.duration)]
    if not isinstance(agents, Words) or not all(isinstance(span, Span) for span in spans):
        return {}
    if certain and (agents.maybe or not agents.told):
        return {}
    if not agents.told:
        return {"unknown": dict.fromkeys(sorted(materials), "no agent is told yet")}
    strength, temperature, seconds = [(s.low if certain else s.high) for s in spans if isinstance(s, Span)]
    point = (strength, temperature, seconds)
    other = next(span.high if certain else span.low for span in spans if isinstance(span, Span))
    conditions = _conditions(point, spans)
    rows = []
    for agent in sorted(agents.options):
        name = named[agent].name if agent in named else agent.replace("-", " ")
        rows.append((matrix.of(agent), _Ratings(f"{name}{conditions}", point, other, certain=certain)))
    choose = min if certain else max
    found: dict[Rating, dict[str, str]] = {}
    for key in sorted(materials):
        rank, reason = choose((ratings.of(cell.get(key, ())) for cell, ratings in rows), key=lambda entry: entry[0])
        if rank:
            found.setdefault(RATINGS[rank], {})[key] = reason
    return found


class _Ratings:
    """How the statements on one agent rate at one point, with the reason; many materials share their statements."""

    def __init__(self, exposure: str, point: tuple[float, float, float], other: float, *, certain: bool) -> None:
        self._exposure, self._point, self._other, self._certain = exposure, point, other, certain
        self._known: dict[int, tuple[int, str]] = {}

    def of(self, envelopes: tuple[Envelope, ...]) -> tuple[int, str]:
        """Return the place among RATINGS, and the reason where that is not the first."""
        known = self._known.get(id(envelopes))
        if known is None:
            known = self._known[id(envelopes)] = self._rated(envelopes)
        return known

    def _rated(self, envelopes: tuple[Envelope, ...]) -> tuple[int, str]:
        rating, statement = rate(envelopes, *self._point, self._other)
        if rating == "resists":
            return 0, ""
        if statement is None:
            return RATINGS.index(rating), f"{self._exposure}: no figure for this material"
        listed = [e.words() for e in envelopes if not e.beyond] or ["attacked at all strengths"]
        within = not self._certain and rate(envelopes, *self._point)[0] != rating
        between = f" at the worst strength from {quantities.show(self._other, 'percent')} up" if within else ""
        said = f"{rating}{between}; listed: {'; '.join(listed)} ({statement.source}, {statement.basis})"
        return RATINGS.index(rating), f"{self._exposure}: {said}"


def _conditions(point: tuple[float, float, float], spans: Sequence[object]) -> str:
    units = ("percent", "degC", "hour")
    words = [
        quantities.show(value, unit)
        for value, unit, span in zip(point, units, spans, strict=True)
        if isinstance(span, Span) and span.told
    ]
    return f" ({', '.join(words)})" if words else ""
