"""The one compiled form of the rulebook: conditions as tests on slots, conclusions as expressions, rules in layers.

Every rule becomes one `CompiledRule` for each alternative under `any`. All patterns are positive: `unless` is allowed
only on answers, where it is a test that must fail, so the order of firing can never matter. Demands are facts of a
template of their own for each topic, so that a rule may follow from a demand. A circle of conclusions is refused.
"""

import re
from dataclasses import dataclass

from advisor.engine.exclusion import ByLimit, ByResistance, Exclusion
from advisor.engine.expressions import Expression
from advisor.rulebook import Rule
from advisor.values import Test


@dataclass(frozen=True)
class CompiledPattern:
    """A fact to be bound: its tests must hold, its refusals must not."""

    alias: str
    template: str
    tests: tuple[Test, ...]
    refusals: tuple[Test, ...] = ()


@dataclass(frozen=True)
class CompiledDemand:
    """A demand, a note or something not needed, ready to be concluded."""

    topic: str
    items: tuple[str, ...] = ()
    value: Expression | None = None
    parameters: tuple[tuple[str, Expression], ...] = ()
    text: str = ""
    spare: bool = False
    exclusion: Exclusion | None = None


@dataclass(frozen=True)
class CompiledRule:
    """One alternative of a rule."""

    rule: Rule
    variant: int
    patterns: tuple[CompiledPattern, ...]
    derives: tuple[tuple[str, tuple[tuple[str, Expression], ...]], ...]
    demands: tuple[CompiledDemand, ...]
    layer: int = 0


DEMAND = "demand"
MATERIAL = "material"
"""The topic of all facts that rule materials out; the topics of the roles are joined from them."""
FIELD = re.compile(r"\{([a-z_]+)\.([a-z_0-9]+)\}")
"""A bound slot named in a rule's text."""


def demand_template(topic: str) -> str:
    """Return the name of the template whose facts are the demands on a topic."""
    return f"{DEMAND} {topic}"


def spare_template(topic: str) -> str:
    """Return the name of the template whose facts say what of a topic may be left out."""
    return f"spare {topic}"


def expressions_of(demand: CompiledDemand) -> list[Expression]:
    """Return every expression that a demand computes."""
    found = [expression for _, expression in demand.parameters]
    found += [demand.value] if demand.value is not None else []
    means = demand.exclusion.means if demand.exclusion is not None else None
    if isinstance(means, ByResistance):
        found += [means.agent, means.strength, means.temperature, means.duration]
    elif isinstance(means, ByLimit):
        found.append(means.value)
    return found
