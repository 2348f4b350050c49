"""Which units of an audit are shown and in which order: filters by verdict, finding and name, and ways to sort."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from advisor.catalogue.run import Result
from advisor.document import Outcome
from tui.audit_bench import Wanted

VERDICTS = ("", "fit", "unproven", "unfit")
FINDINGS: tuple[Outcome | str, ...] = ("", "falls short", "unstated", "unclear", "meets")
SORTS = ("best first", "worst first", "by name", "as in the file", "by this column")
_SEVERITY = {"falls short": 0, "unstated": 1, "unclear": 2, "meets": 3, None: 4}


@dataclass(frozen=True)
class Shown:
    """What is asked for; `column` is the demand that `finding` and the last way to sort speak of."""

    verdict: str = ""
    finding: str = ""
    column: Wanted | None = None
    name: str = ""
    sort: str = SORTS[0]

    def turn_verdict(self) -> "Shown":
        """Go to the next verdict."""
        return replace(self, verdict=_next(VERDICTS, self.verdict))

    def turn_finding(self, column: Wanted) -> "Shown":
        """Go to the next finding on a demand; on another demand it begins anew."""
        before = self.finding if self.column == column else ""
        return replace(self, finding=_next(FINDINGS, before), column=column)

    def turn_sort(self, column: Wanted | None) -> "Shown":
        """Go to the next way to sort; the last one needs a demand."""
        sort = _next(SORTS if column is not None else SORTS[:-1], self.sort)
        keep = self.column if self.finding else None
        return replace(self, sort=sort, column=column if sort == SORTS[-1] and not keep else keep or column)

    def words(self) -> str:
        """Return what is shown in words; '' for everything."""
        parts = [self.verdict, f"name has {self.name!r}" if self.name else ""]
        if self.finding and self.column is not None:
            parts.append(f"{self.column.title}: {self.finding}")
        return ", ".join(part for part in parts if part)


def arrange(ordered: Iterable[Result], shown: Shown) -> list[Result]:
    """Return the units asked for, in the order asked for; `ordered` has the best first."""
    found = [result for result in ordered if not shown.verdict or result.fate.verdict == shown.verdict]
    if shown.finding and shown.column is not None:
        number = shown.column.number
        found = [result for result in found if result.fate.outcomes[number] == shown.finding]
    if shown.name:
        wanted = shown.name.casefold()
        found = [result for result in found if wanted in result.name.casefold()]
    if shown.sort == SORTS[1]:
        found.reverse()
    elif shown.sort == SORTS[2]:
        found.sort(key=lambda result: result.name.casefold())
    elif shown.sort == SORTS[3]:
        found.sort(key=lambda result: (result.source, result.line))
    elif shown.sort == SORTS[4] and shown.column is not None:
        number = shown.column.number
        found.sort(key=lambda result: _SEVERITY[result.fate.outcomes[number]])
    return found


def _next(words: tuple[str, ...], word: str) -> str:
    return words[(words.index(word) + 1) % len(words)] if word in words else words[0]
