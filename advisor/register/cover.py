"""The fewest types of units that serve all points: an exact set cover by scipy's solver, or a good one without it.

Points that fare alike are one row, types that serve the same points one column, and a column within another is left
out; the solver then finds the fewest columns. Among covers of the same size the one whose types serve most points is
taken, so that spares stand in for each other. Without scipy (extra `register`) the usual greedy choice is made and
said to be no proof.
"""

import importlib.util
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

LONGEST = 60.0
"""Seconds for the solver; what it has found by then is said not to be proven."""


@dataclass(frozen=True)
class Cover:
    """Chosen types by number, and whether it is proven that no fewer do. `unserved` are points that no type serves."""

    types: tuple[int, ...]
    proven: bool
    unserved: tuple[int, ...]


def cover(rows: Sequence[int], types: int) -> Cover:
    """Return the fewest of `types` types for points, each given as the set of bits of the types that serve it."""
    unserved = tuple(number for number, row in enumerate(rows) if not row)
    wanted = _needed({row for row in rows if row})
    if not wanted:
        return Cover((), True, unserved)
    columns = _columns(wanted, types)
    weight = {number: sum(row >> number & 1 for row in rows) for number in columns}
    chosen, proven = _solve(columns, len(wanted), weight)
    return Cover(tuple(sorted(chosen)), proven, unserved)


def _needed(rows: set[int]) -> list[int]:
    """Leave out rows that are served whenever another one is."""
    kept: list[int] = []
    for row in sorted(rows, key=lambda row: (row.bit_count(), row)):
        if not any(other & row == other for other in kept):
            kept.append(row)
    return kept


def _columns(rows: Sequence[int], types: int) -> dict[int, int]:
    """Return, for types that serve some rows and not only what another one serves, the set of bits of those rows."""
    served: dict[int, int] = {}
    for number in range(types):
        found = sum(1 << place for place, row in enumerate(rows) if row >> number & 1)
        if found and found not in served:
            served[found] = number
    kept: dict[int, int] = {}
    for found in sorted(served, key=lambda bits: (-bits.bit_count(), served[bits])):
        if not any(found & other == found for other in kept.values()):
            kept[served[found]] = found
    return kept


def _solve(columns: Mapping[int, int], rows: int, weight: Mapping[int, int]) -> tuple[list[int], bool]:
    if len(columns) == 1:
        return list(columns), True
    if importlib.util.find_spec("scipy") is None:
        return _greedy(columns, rows), False
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_matrix

    numbers = list(columns)
    pairs = [(r, c) for c, n in enumerate(numbers) for r in range(rows) if columns[n] >> r & 1]
    matrix = csr_matrix((np.ones(len(pairs)), tuple(zip(*pairs, strict=True))), shape=(rows, len(numbers)))
    # The bonus of all types together is less than one type costs, so that it only decides between equals.
    most = sum(weight.values()) or 1
    cost = np.array([1.0 - 0.5 * weight[number] / most for number in numbers])
    found = milp(
        cost,
        constraints=LinearConstraint(matrix, lb=1),
        integrality=np.ones(len(numbers)),
        bounds=Bounds(0, 1),
        options={"time_limit": LONGEST},
    )
    if found.x is None:
        return _greedy(columns, rows), False
    return [number for number, taken in zip(numbers, found.x, strict=True) if taken > 0.5], found.status == 0


def _greedy(columns: Mapping[int, int], rows: int) -> list[int]:
    left, chosen = (1 << rows) - 1, []
    while left:
        best = max(columns, key=lambda number: ((columns[number] & left).bit_count(), -number))
        chosen.append(best)
        left &= ~columns[best]
    return chosen
