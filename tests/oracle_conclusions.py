"""What rules demand and which materials they rule out, worked out anew for the second opinion of `oracles.py`."""

import functools
import itertools
from collections.abc import Callable, Mapping
from typing import Any

from oracle_values import Untold, Value, cell_holds, less, same

from advisor import yamlfile
from advisor.resources import KNOWLEDGE
from advisor.rulebook import Conclusion, ExcludeEntry, Rulebook
from advisor.vocabulary import Slot

Worked = Callable[[Any, Slot | None, str], Any]
"""Works out a value of the rule that fires, for a slot or in a unit."""
ORDER = ("resists", "limited", "unknown", "attacked")


def demanded(
    name: str, entry: Conclusion, where: Any, slots: Callable[[str], dict[str, Slot]], worked: Worked, book: Rulebook,
    *, sure: bool,
) -> dict[Any, tuple[str, frozenset[str], dict[str, Value]]]:  # fmt: skip
    """Return the facts of one conclusion of a rule; `name` says which rule and which of its conclusions."""
    topics, asked = book.vocabulary.topics, entry.demand
    if entry.note is not None:
        return {("note", entry.note[0], name, where): (f"demand {entry.note[0]}", frozenset(), {})}
    if entry.exclude is not None:
        found = ruled_out(entry.exclude, worked, book, sure=sure)
        return {("material", name, *verdict): ("demand material", frozenset(), {}) for verdict in found}
    if entry.spare is not None:
        template = f"spare {entry.spare.topic}"
        return {(template, item): (template, frozenset(), {"item": frozenset([item])}) for item in entry.spare.item}
    template, topic = f"demand {asked.topic}", topics[asked.topic]
    if asked.item is None:
        raw = asked.at_least if asked.at_least is not None else asked.at_most
        figure = worked(raw, slots(template)["value"], topic.unit or "")
        return {(template, figure): (template, frozenset(), {"value": figure})}
    own = {key: worked(raw, slots(template)[key], topic.parameters[key]) for key, raw in asked.parameters.items()}
    named = tuple(sorted(own.items()))
    return {(template, item, named): (template, frozenset(), {**own, "item": frozenset([item])}) for item in asked.item}


def ruled_out(
    entry: ExcludeEntry, worked: Worked, book: Rulebook, *, sure: bool
) -> set[tuple[str, str, tuple[str, ...]]]:
    """Return (material, rating, roles) for every material that is worse than `resists`."""
    table = book.tables["materials"]
    single = {key: row for key, row in table.rows.items() if "worst_of" not in row.cells}
    roles = tuple(sorted(entry.roles or {role for row in table.rows.values() for role in row.cells.get("roles", ())}))
    found: dict[str, str] = {}
    if entry.by:
        figures = [worked(entry.strength, None, "percent"), worked(entry.temperature, None, "K"),
                   worked(entry.duration, None, "s")]  # fmt: skip
        point = [figure[0 if sure else 1] for figure in figures]
        agents = worked(entry.agent, Slot(slot="agent", row="agents"), "")
        for key in single:
            ratings = sorted(
                (rated(agent, key, strength, *point[1:])
                 for agent in agents for strength in within_span(agent, key, *figures[0][:2])),
                key=ORDER.index,
            )  # fmt: skip
            found[key] = ratings[0 if sure else -1]
        if isinstance(agents, Untold):
            found = {} if sure else dict.fromkeys(single, "unknown")
    elif entry.rows:
        for key in single:
            meets = [
                all(cell_holds(table, key, *wanted, known) for wanted in entry.rows.items()) for known in (True, False)
            ]
            found[key] = entry.rating if meets[0] else "unknown" if meets[1] else "resists"
    else:
        low, high, told = worked(entry.below if entry.below is not None else entry.above, None,
                                 table.columns[entry.column or ""].unit or "")  # fmt: skip
        for key, row in single.items():
            if all(cell_holds(table, key, *wanted, True) for wanted in (entry.of or {}).items()):
                found[key] = limited(entry, row.cells, low, high, told, sure=sure)
    return {(key, rating, roles) for key, rating in found.items() if rating != "resists"}


def limited(entry: ExcludeEntry, cells: Mapping[str, Any], low: float, high: float, told: bool, *, sure: bool) -> str:
    """The rating of a material whose figure is held against a limit, of which nothing or something is told."""
    if not told:
        return "resists" if sure else "unknown"
    cell = cells.get(entry.column or "")
    if cell is None:
        return entry.missing
    if entry.below is not None:
        return entry.rating if less(cell[0], low if sure else high) else "resists"
    return entry.rating if less(high if sure else low, cell[1]) else "resists"


@functools.cache
def statements() -> dict[tuple[str, str], list[dict[str, Any]]]:
    """Every cell of the resistance matrix as it is written, by agent and material."""
    files = [yamlfile.load(path).data for path in sorted((KNOWLEDGE / "resistance").glob("*.yaml"))]
    return {(agent, material.strip()): listed
            for data in files for agent, cells in data["cells"].items()
            for names, listed in cells.items() for material in names.split(",")}  # fmt: skip


def within_span(agent: str, material: str, low: float, high: float) -> list[float]:
    """The ends of a span of strengths, and one strength between any two neighbouring bounds in it."""
    ends = {float(bound) / 100 for entry in statements().get((agent, material), []) if "window" in entry
            for bound in entry["window"][:2]}  # fmt: skip
    steps = sorted({low, high} | {end for end in ends if low < end < high})
    return sorted({low, high} | {(one + other) / 2 for one, other in itertools.pairwise(steps)})


def rated(agent: str, material: str, strength: float, temperature: float, seconds: float) -> str:
    """The best statement that covers the point, else what is said of all beyond, else unknown."""
    best, beyond = None, "unknown"
    for entry in statements().get((agent, material), []):
        if "beyond" in entry:
            beyond = entry["beyond"]
            continue
        least, rating = 0.0, next(kind for kind in ("resists", "limited", "window") if kind in entry)
        bounds = entry[rating]
        if rating == "window":
            least, bounds, rating = bounds[0], bounds[1:], entry["rating"]
        most, hottest = bounds
        covers = (
            (most is None or up_to(strength, most / 100)) and up_to(least / 100, strength)
            and (hottest is None or up_to(temperature, hottest + 273.15))
            and ("hours" not in entry or up_to(seconds, 3600.0 * entry["hours"]))
        )  # fmt: skip
        if covers and (best is None or ORDER.index(rating) < ORDER.index(best)):
            best = rating
    return best or beyond


def up_to(one: float, other: float) -> bool:
    return less(one, other) or same(one, other)
