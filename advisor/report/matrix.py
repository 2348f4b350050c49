"""The matrix of units and demands: which finding each unit has on each demand, for reports on several units.

The shorter list stands across, so that the table stays readable: a few units become columns, and in a catalogue the
demands do. Demands on which all units fare alike are kept; a demand that does not concern a unit has no finding, which
is not the same as one that is met.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.document import FindingEntry, Proof, UnitEntry

ACROSS = 8
"""Up to so many units stand across; with more, the demands do."""
ON_A_PAGE = 16
"""So many demands stand across in one table, which then fits on an upright page."""
MOST_ROWS = 500
"""More units than these would make a page that no browser turns; the page says how many are left out."""
MOST_DETAILED = 25
"""So many units are shown finding by finding."""

Key = tuple[str, str, str]


@dataclass(frozen=True)
class Column:
    """One demand that units were held against."""

    key: Key
    title: str
    demanded: str
    state: str
    proof: Proof

    @property
    def label(self) -> str:
        """The demand in a line."""
        open_mark = " (open)" if self.state == "open" else ""
        return f"{self.title}: {self.demanded.partition(' (')[0] if self.long else self.demanded}{open_mark}"

    @property
    def long(self) -> bool:
        """Tell whether the demand is a figure that is not known yet; what is plausible then stands in the tables."""
        return self.demanded.startswith("not known yet")


@dataclass(frozen=True)
class Row:
    """One unit with its finding on every demand, '' where the demand does not concern it."""

    number: int
    unit: UnitEntry
    findings: tuple[str, ...]

    @property
    def counts(self) -> Counter[str]:
        """How many of each finding the unit has."""
        return Counter(self.findings)


@dataclass(frozen=True)
class Matrix:
    """Units and demands, certain demands first; `left_out` counts the units beyond MOST_ROWS."""

    demands: tuple[Column, ...]
    rows: tuple[Row, ...]
    left_out: int = 0

    @property
    def units_across(self) -> bool:
        """Tell whether units are the columns."""
        return len(self.rows) <= ACROSS

    @property
    def block_width(self) -> int:
        """How many demands one table takes: all where they stand below each other, else what fits on paper."""
        tables = 1 if self.units_across else math.ceil(len(self.demands) / ON_A_PAGE)
        return max(math.ceil(len(self.demands) / max(tables, 1)), 1)

    @property
    def blocks(self) -> list[tuple[Column, ...]]:
        """The demands cut into tables."""
        return [
            self.demands[first : first + self.block_width] for first in range(0, len(self.demands), self.block_width)
        ]


def key(finding: FindingEntry) -> Key:
    """Return what tells demands apart."""
    return finding.topic, finding.demanded, finding.state


def matrix(units: Sequence[UnitEntry]) -> Matrix:
    """Return the matrix of the units in their order, which is best first."""
    shown = units[:MOST_ROWS]
    demands = columns(shown)
    rows = []
    for number, unit in enumerate(shown, 1):
        # A demand that stands twice on one unit, as of two parts, counts by its worst finding.
        found: dict[Key, str] = {}
        for finding in unit.findings:
            found[key(finding)] = worse(found.get(key(finding), ""), finding.finding)
        rows.append(Row(number, unit, tuple(found.get(column.key, "") for column in demands)))
    return Matrix(demands, tuple(rows), len(units) - len(shown))


def columns(units: Sequence[UnitEntry]) -> tuple[Column, ...]:
    """Return every demand that any of the units was held against, certain ones first, else as they come."""
    found: dict[Key, Column] = {}
    for unit in units:
        for finding in unit.findings:
            found.setdefault(
                key(finding),
                Column(key(finding), finding.title, finding.demanded, finding.state, finding.proof),
            )
    return tuple(sorted(found.values(), key=lambda column: column.state))


_HARD = ("", "meets", "unclear", "unstated", "falls short")


def worse(first: str, second: str) -> str:
    """Return the finding that counts of two."""
    return max(first, second, key=_HARD.index)
