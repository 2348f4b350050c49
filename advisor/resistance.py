"""The resistance matrix: how a material stands an agent at a strength, a temperature and a contact time.

Files in `knowledge/resistance` give, for an agent and a material, envelopes: a rating that holds up to BOTH a strength
and a temperature (and for at most some hours a day). A point takes the best rating of the envelopes that cover it;
outside all of them it is attacked where the list says so, else unknown. So a stronger or hotter exposure can never
become acceptable again, except inside a `window` that the file names with its reason (passive in strong acid only).
A missing cell is unknown, never fine.
"""

import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from advisor.faults import Collector, nearest, shorten
from advisor.tables import BASES, Table
from advisor.values import CLOSE
from advisor.yamlfile import Document

Rating = Literal["resists", "limited", "unknown", "attacked"]
RATINGS: tuple[Rating, ...] = ("resists", "limited", "unknown", "attacked")
_KINDS = ("resists", "limited", "beyond", "window")
_KEYS = (*_KINDS, "rating", "why", "hours", "source", "basis", "second", "note")
ZERO_CELSIUS = 273.15
SECONDS = 3600.0


@dataclass(frozen=True, slots=True)
class Envelope:
    """One statement of a cell, in coherent SI; None for a bound that does not bind."""

    rating: Rating
    strength: float | None
    temperature: float | None
    least_strength: float = 0.0
    seconds: float | None = None
    beyond: bool = False
    source: str = ""
    basis: str = ""
    note: str = ""
    second: str = ""

    def covers(self, strength: float, temperature: float, seconds: float, other_strength: float) -> bool:
        return (
            (self.strength is None or strength <= self.strength * (1 + CLOSE))
            and (self.temperature is None or temperature <= self.temperature * (1 + CLOSE))
            and other_strength >= self.least_strength * (1 - CLOSE)
            and (self.seconds is None or seconds <= self.seconds * (1 + CLOSE))
        )

    @functools.cache  # noqa: B019 - envelopes live as long as the matrix
    def words(self) -> str:
        """Return the statement in the units of the trade."""
        if self.beyond:
            text = "attacked beyond what is listed" if self.rating == "attacked" else "not known beyond"
        else:
            parts = []
            if self.least_strength:
                parts.append(f"from {100 * self.least_strength:g} %")
            if self.strength is not None:
                parts.append(f"up to {100 * self.strength:g} %")
            if self.temperature is not None:
                parts.append(f"up to {self.temperature - ZERO_CELSIUS:g} °C")
            if self.seconds is not None:
                parts.append(f"for at most {self.seconds / SECONDS:g} h a day")
            text = f"{self.rating} {', '.join(parts)}"
        return text + (f" ({self.note})" if self.note else "")


def rate(
    envelopes: Iterable[Envelope],
    strength: float,
    temperature: float,
    seconds: float,
    other_strength: float | None = None,
) -> tuple[Rating, Envelope | None]:
    """Return the rating at a point and the statement that gives it (None where nothing does).

    Where the strength is a span, `strength` is the end that the upper bounds are held against and `other_strength` the
    one for the lower bounds of windows: the strongest and the weakest give the worst over the span, as a window counts
    only where the whole span lies in it; the weakest and the strongest give the best.
    """
    other = strength if other_strength is None else other_strength
    best: Envelope | None = None
    outside: Envelope | None = None
    for envelope in envelopes:
        if envelope.beyond:
            outside = envelope
        elif envelope.covers(strength, temperature, seconds, other) and (
            best is None or RATINGS.index(envelope.rating) < RATINGS.index(best.rating)
        ):
            best = envelope
    if best is not None:
        return best.rating, best
    return (outside.rating, outside) if outside is not None else ("unknown", None)


class MatrixFiles:
    """The matrix as its files hold it; the cells of an agent are built when they are first asked for."""

    def __init__(self, documents: Iterable[Document], faults: Collector) -> None:
        self._documents, self._faults = list(documents), faults
        self._agents: dict[str, dict[str, tuple[Envelope, ...]]] = {}
        for document in self._documents:
            data = document.data
            if not isinstance(data, dict) or not isinstance(data.get("cells"), dict):
                accepted = "resistance, about, source, basis, cells"
                faults.add(document.place(), "is no file of the resistance matrix", accepted)
        self._documents = [
            d for d in self._documents if isinstance(d.data, dict) and isinstance(d.data.get("cells"), dict)
        ]

    @property
    def agents(self) -> list[str]:
        """All agents that have cells."""
        return list(dict.fromkeys(agent for document in self._documents for agent in document.data["cells"]))

    def of(self, agent: str) -> Mapping[str, tuple[Envelope, ...]]:
        """Return the statements on an agent by material; empty if there are none."""
        if agent not in self._agents:
            self._agents[agent] = self._build(agent)
        return self._agents[agent]

    def _build(self, agent: str) -> dict[str, tuple[Envelope, ...]]:
        row: dict[str, tuple[Envelope, ...]] = {}
        for document in self._documents:
            for names, entries in document.data["cells"].get(agent, {}).items():
                steps = ("cells", agent, names)
                envelopes = tuple(
                    _envelope(document, (*steps, number), entry, self._faults) for number, entry in enumerate(entries)
                )
                for material in map(str.strip, names.split(",")):
                    if material in row:
                        self._faults.add(document.place(*steps), f"the cell of {agent} and {material} stands twice")
                    row[material] = envelopes
        return row

    def check(self, tables: Mapping[str, Table]) -> None:
        """Build every cell and hold its names against the tables; what is wrong goes to the collector."""
        for document in self._documents:
            for agent, cells in document.data["cells"].items():
                known = tables["agents"].rows
                if agent not in known:
                    where = document.place("cells", agent)
                    self._faults.add(where, f"there is no agent {agent!r}", nearest(agent, known))
                for names in cells:
                    for material in map(str.strip, names.split(",")):
                        if material not in tables["materials"].rows:
                            near = nearest(material, tables["materials"].rows)
                            where = document.place("cells", agent, names)
                            self._faults.add(where, f"there is no material {material!r}", near)
        for agent in self.agents:
            self.of(agent)


def _envelope(document: Document, steps: tuple[str | int, ...], entry: Any, faults: Collector) -> Envelope:
    if not isinstance(entry, dict) or sum(kind in entry for kind in _KINDS) != 1 or set(entry) - set(_KEYS):
        accepted = f"one of {', '.join(_KINDS)}, with {', '.join(_KEYS)}"
        faults.add(document.place(*steps), f"{shorten(entry)} is no statement of a cell", accepted)
        return Envelope("attacked", None, None, beyond=True)
    sources = document.data.get("sources") or {}
    source = str(entry.get("source") or document.data.get("source") or "")
    basis = str(entry.get("basis") or document.data.get("basis") or "")
    if not source or basis not in BASES:
        what = "the statement has no source or no known basis"
        faults.add(document.place(*steps), what, f"basis: {', '.join(BASES)}")
    common = {
        "source": sources.get(source, source),
        "basis": basis,
        "note": str(entry.get("why") or entry.get("note") or ""),
        "second": sources.get(entry.get("second"), str(entry.get("second") or "")),
        "seconds": float(entry["hours"]) * SECONDS if "hours" in entry else None,
    }
    if "beyond" in entry:
        return Envelope(entry["beyond"], None, None, beyond=True, **common)
    if "window" in entry:
        least, most, hottest = entry["window"]
        return Envelope(entry["rating"], most / 100, hottest + ZERO_CELSIUS, least / 100, **common)
    kind: Rating = "resists" if "resists" in entry else "limited"
    most, hottest = entry[kind]
    return Envelope(
        kind, None if most is None else most / 100, None if hottest is None else hottest + ZERO_CELSIUS, **common
    )
