"""What the words and figures of spec sheets are worth: the tables `claim_*`, ready for look-up.

Nothing is decided here; the rows say which statement, waveform, range, condition, mark of the notation or material
claims what. A name that stands in no row weakens nothing (marks), claims nothing (statements), or is taken as a
condition that a person must confirm (conditions).
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from advisor import quantities
from advisor.notation.items import Item
from advisor.rulebook import Rulebook
from advisor.tables import Row

Credit = Literal["full", "conditional", "none"]
CREDITS: tuple[Credit, ...] = ("full", "conditional", "none")
Rows = Mapping[str, Row]
ABSENT = "=absent"
"""How an answer ends that says that no rule concludes an instance of a derived template, not even possibly."""


@dataclass(frozen=True)
class ClaimTables:
    """The rows of one rulebook."""

    conditions: Rows
    notes: Rows
    topics: Rows
    ranges: Rows
    fields: Rows
    statements: Mapping[str, tuple[Row, ...]]
    """By the name of the statement."""
    standards: Rows
    proofs: tuple[Row, ...]
    lifts: Mapping[str, tuple[tuple[str, bool], ...]]
    """By the name of a statement or coat: rules whose reasons against a material it answers, and whether by test."""
    materials: Rows

    @classmethod
    def of(cls, book: Rulebook) -> "ClaimTables":
        """Return the tables of a rulebook."""
        names = ("conditions", "notes", "topics", "ranges", "fields", "standards")
        rows = {name: book.tables[f"claim_{name}"].rows for name in names}
        statements: dict[str, tuple[Row, ...]] = {}
        for row in book.tables["claim_statements"].rows.values():
            for name in row.cells["statements"]:
                statements[name] = (*statements.get(name, ()), row)
        proofs = tuple(book.tables["claim_materials"].rows.values())
        lifts: dict[str, tuple[tuple[str, bool], ...]] = {}
        for row in book.tables["claim_lifts"].rows.values():
            for name in (*row.cells.get("statements", ()), *row.cells.get("materials", ())):
                answers = ((rule, bool(row.cells.get("tested"))) for rule in row.cells["rules"])
                lifts[name] = (*lifts.get(name, ()), *answers)
        return cls(**rows, statements=statements, proofs=proofs, lifts=lifts, materials=book.tables["materials"].rows)

    def flagged(self, item: Item, flag: str) -> bool:
        """Tell whether a condition of a reading has this flag, such as speaking of a state outside service."""
        rows = [self.conditions.get(condition.name.replace(" ", "-")) for condition in item.conditions]
        return any(row is not None and bool(row.cells.get(flag)) for row in rows)

    def factor(self, conditions: Iterable[str]) -> float:
        """Return how many times a figure of an alternating quantity counts with these conditions."""
        rows = [self.conditions.get(name.replace(" ", "-")) for name in conditions]
        factors = [float(row.cells["factor"][0]) for row in rows if row is not None and "factor" in row.cells]
        return math.prod(factors, start=1.0)

    def shown_down_to(self, degc: float | None) -> float | None:
        """Return down to which temperature a test at one of this many degrees Celsius counts, in kelvin."""
        if degc is None:
            return None
        room: float = self.conditions["tested-at"].cells["room"][0]
        return min(quantities.to_si(degc, "degC"), room)

    def narrows(self, item: Item) -> bool:
        """Tell whether a reading narrows the same claim made elsewhere on the sheet."""
        return any(name in self.notes and bool(self.notes[name].cells.get("narrows")) for name in item.notes)

    def worth_of_note(self, note: str) -> Credit:
        """Return what a reading with this mark of the notation is worth."""
        row = self.notes.get(note)
        worth: Credit = row.cells["credit"] if row is not None else "full"
        return worth

    def undecided(self, standard: str) -> tuple[Row, ...]:
        """Return what a standard speaks of without fixing a level, by its running number ("EN 61326-1")."""
        number = f"{standard.rpartition(' ')[2]}-"
        return tuple(row for row in self.standards.values() if number.startswith(f"{row.cells['number']}-"))

    def spoken(self, statement: str, part: str) -> tuple[Row, ...]:
        """Return what a statement claims, said of a part."""
        return tuple(row for row in self.statements.get(statement, ()) if part in row.cells.get("parts", (part,)))

    def proved(self, part: str, slugs: tuple[str, ...]) -> tuple[Row, ...]:
        """Return what the materials named of a part prove besides themselves; each of them must prove it."""
        rows = [self.materials[slug] for slug in slugs if slug in self.materials]
        meant = [self.materials[key] for row in rows for key in row.cells.get("worst_of", (row.key,))]
        asked = [row for row in self.proofs if meant and part in row.cells["parts"]]
        return tuple(row for row in asked if all(_proves(row, one) for one in meant))

    def answered(self, names: Iterable[str]) -> list[tuple[str, bool]]:
        """Return the rules whose reasons against a material these statements or coats answer, and whether by test."""
        return [rule for name in names for rule in self.lifts.get(name, ())]

    def roles(self, row: Row) -> set[str]:
        """Return the roles of a material; a loose name has those of all materials that it may stand for."""
        named = [self.materials[key] for key in row.cells.get("worst_of", ()) if key in self.materials]
        return {role for entry in (row, *named) for role in entry.cells.get("roles", ())}


def idle_answers(book: Rulebook) -> frozenset[str]:
    """Return the answers of a site with which some limit of a sheet does not matter."""
    rows = [row for name in ("claim_conditions", "claim_topics") for row in book.tables[name].rows.values()]
    return frozenset(str(row.cells["idle"]) for row in rows if "idle" in row.cells)


def _proves(proof: Row, material: Row) -> bool:
    cells, own = proof.cells, material.cells
    if material.key in cells.get("rows", ()) or own.get("family") in cells.get("families", ()):
        return True
    if own.get("spatter") in cells.get("spatter", ()):
        return True
    return own.get("class") in cells.get("classes", ()) and own.get("family") not in cells.get("not_families", ())
