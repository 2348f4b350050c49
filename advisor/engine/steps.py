"""Between which figures of the resistance matrix a point lies: points between the same ones are rated alike.

The matrix rates by envelopes, each with bounds of strength, temperature and time, so that the rating of a point hangs
only on which bounds it keeps. Where a rule is evaluated over and over with slightly different figures, its conclusions
can be kept by that.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import dataclass

from advisor.engine.compiled import CompiledRule
from advisor.engine.exclusion import ByResistance
from advisor.engine.expressions import Bindings, evaluate
from advisor.resistance import MatrixFiles
from advisor.values import CLOSE, Span, Words


@dataclass(frozen=True)
class _Bounds:
    """The bounds of all statements on a set of agents, rising, with the rounding that `Envelope.covers` allows."""

    strengths: tuple[float, ...]
    least: tuple[float, ...]
    temperatures: tuple[float, ...]
    seconds: tuple[float, ...]

    def place(self, strength: float, temperature: float, seconds: float, *, other: float) -> tuple[int, int, int, int]:
        return (
            bisect_left(self.strengths, strength),
            bisect_right(self.least, other),
            bisect_left(self.temperatures, temperature),
            bisect_left(self.seconds, seconds),
        )


class ResistanceSteps:
    """The places of points among the bounds; the bounds of agents are laid out when they are first met."""

    def __init__(self, matrix: Callable[[], MatrixFiles]) -> None:
        self._matrix = matrix
        self._bounds: dict[frozenset[str], _Bounds] = {}

    def of(self, rule: CompiledRule, bindings: Bindings, *, certain: bool) -> tuple[object, ...]:
        """Return what the ratings by the rule hang on in the given reading; the reasons' words may differ."""
        found: list[object] = []
        for demand in rule.demands:
            means = demand.exclusion.means if demand.exclusion is not None else None
            assert isinstance(means, ByResistance)
            agents = evaluate(means.agent, bindings).result
            spans = [evaluate(part, bindings).result for part in (means.strength, means.temperature, means.duration)]
            if not isinstance(agents, Words) or not all(isinstance(span, Span) for span in spans):
                found.append((agents, tuple(isinstance(span, Span) for span in spans)))
                continue
            ends = [span.low if certain else span.high for span in spans if isinstance(span, Span)]
            others = [span.high if certain else span.low for span in spans if isinstance(span, Span)]
            found.append((agents, self._of(agents.options).place(*ends, other=others[0])))
        return tuple(found)

    def _of(self, agents: frozenset[str]) -> _Bounds:
        if agents not in self._bounds:
            cells = [self._matrix().of(agent) for agent in sorted(agents)]
            own = {entry for cell in cells for envelopes in cell.values() for entry in envelopes}

            def rising(figures: set[float | None]) -> tuple[float, ...]:
                return tuple(sorted(figure * (1 + CLOSE) for figure in figures if figure is not None))

            self._bounds[agents] = _Bounds(
                rising({entry.strength for entry in own}),
                tuple(sorted({entry.least_strength * (1 - CLOSE) for entry in own})),
                rising({entry.temperature for entry in own}),
                rising({entry.seconds for entry in own}),
            )
        return self._bounds[agents]
