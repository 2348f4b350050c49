"""Renders a register as one HTML page: the fewest types, and a matrix of groups of points against those types."""

from dataclasses import dataclass
from datetime import date

from advisor.document import RulebookStamp
from advisor.register.document import GroupEntry, RegisterDocument
from advisor.report import html

MOST_ROWS, MOST_COLUMNS = 150, 30
WORDS = {"F": "fit", "P": "unproven", "U": "unfit"}


@dataclass(frozen=True)
class Row:
    """A group of points with its verdicts on the types shown."""

    group: GroupEntry
    letters: str


@dataclass(frozen=True)
class Headed:
    """The document with what the head of a page needs."""

    document: RegisterDocument

    @property
    def version(self) -> str:
        return self.document.version

    @property
    def rulebook(self) -> RulebookStamp:
        return self.document.rulebook

    @property
    def site(self) -> dict[str, object]:
        name = f"{len(self.document.points)} points against {self.document.units} units"
        return {"name": name, "about": "", "date": "", "reference": "", "answers": {}}


def register_page(document: RegisterDocument, *, on: date) -> str:
    """Return the page dated `on`."""
    names = [entry.name for entry in document.types]
    wanted = dict.fromkeys([*(t.name for t in document.fit.types), *(t.name for t in document.provable.types)])
    columns = [names.index(name) for name in wanted][:MOST_COLUMNS]
    order = sorted(document.groups, key=lambda group: -group.points)
    rows = [Row(group, "".join(group.verdicts[column] for column in columns)) for group in order[:MOST_ROWS]]
    return html.page(
        "register.html.j2", Headed(document), on, False,
        register=document,
        columns=[names[column] for column in columns],
        rows=rows,
        rest=len(order) - len(rows),
        words=WORDS,
        served=sum(point.fit > 0 for point in document.points),
        possible=sum(point.fit == 0 and point.unproven > 0 for point in document.points),
    )  # fmt: skip
