"""The matrix of findings: a unit a line, a demand a column, drawn only where it is seen: catalogues are long.

Each cell is a letter of the reports (M meets, S falls short, U unstated, ? unclear, – not concerned), each verdict a
sign and its word, so that colour only helps. The cursor stands on a unit (`column` None) or on one of its findings.
"""

from collections.abc import Sequence

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from advisor.catalogue.run import Result
from advisor.report.common import LETTERS, visible
from tui.audit_bench import Wanted
from tui.paint import SIGNS

VERDICT_SIGNS = {"fit": "✓", "unproven": "?", "unfit": "✗"}
_VERDICT_WIDTH, _COUNTS, _CELL, _HEAD = 11, 12, 3, 2
_LEAST_NAME, _MOST_NAME = 22, 46
_STYLES = {
    "meets": "good", "fit": "good", "falls short": "bad", "unfit": "bad", "unstated": "ask", "unclear": "ask",
    "unproven": "ask",
}  # fmt: skip


class Matrix(ScrollView, can_focus=True):
    """Shows units against demands."""

    COMPONENT_CLASSES = {"matrix--good", "matrix--bad", "matrix--ask", "matrix--head", "matrix--line"}
    DEFAULT_CSS = """
    Matrix { height: 1fr; scrollbar-size-vertical: 1; scrollbar-size-horizontal: 0; }
    Matrix .matrix--good { color: $success; }
    Matrix .matrix--bad { color: $error; text-style: bold; }
    Matrix .matrix--ask { color: $warning; }
    Matrix .matrix--head { color: $text-muted; text-style: bold; }
    Matrix .matrix--line { background: $panel 60%; }
    """
    BINDINGS = [
        Binding("up", "move(-1, 0)", show=False),
        Binding("down", "move(1, 0)", show=False),
        Binding("left", "move(0, -1)", show=False),
        Binding("right", "move(0, 1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("home", "end(0)", show=False),
        Binding("end", "end(1)", show=False),
        Binding("enter", "open", "Open"),
    ]

    class Moved(Message):
        """The cursor stands elsewhere."""

    class Opened(Message):
        """A unit or a finding is to be shown."""

    def __init__(self, **more: str) -> None:
        super().__init__(**more)  # type: ignore[arg-type]
        self.results: Sequence[Result] = ()
        self.columns: Sequence[Wanted] = ()
        self.row, self.at, self.first = 0, -1, 0
        self.moved = False
        """Whether a person has moved the cursor; until then it stays on the first unit."""
        self._words: dict[str, tuple[str, Style]] = {}

    @property
    def result(self) -> Result | None:
        """The unit under the cursor."""
        return self.results[self.row] if self.row < len(self.results) else None

    @property
    def column(self) -> Wanted | None:
        """The demand under the cursor, None on the unit itself."""
        return self.columns[self.at] if 0 <= self.at < len(self.columns) else None

    def show(self, results: Sequence[Result], columns: Sequence[Wanted]) -> None:
        """Show other units or demands; a cursor that was moved stays on its unit where that is still there."""
        held, at = self.result if self.moved else None, self.column
        self.results, self.columns = results, columns
        self.row = next((n for n, result in enumerate(results) if result is held), 0) if held is not None else 0
        self.at = next((n for n, column in enumerate(columns) if column == at), -1) if at is not None else -1
        self.virtual_size = Size(0, len(results) + _HEAD)
        self._settle()

    @property
    def name_width(self) -> int:
        """Columns for the names: what the demands leave, within limits."""
        rest = self.size.width - _VERDICT_WIDTH - _COUNTS - _CELL * len(self.columns) - 1
        return max(_LEAST_NAME, min(_MOST_NAME, rest))

    @property
    def fitting(self) -> int:
        """How many demands stand beside each other."""
        return max(1, (self.size.width - _VERDICT_WIDTH - _COUNTS - self.name_width - 1) // _CELL)

    def action_move(self, down: int, right: int) -> None:
        """Move the cursor."""
        self.moved = True
        self.row = max(0, min(len(self.results) - 1, self.row + down))
        self.at = max(-1, min(len(self.columns) - 1, self.at + right))
        self._settle()

    def action_page(self, by: int) -> None:
        """Move by as many units as are seen."""
        self.action_move(by * max(1, self.size.height - _HEAD - 1), 0)

    def action_end(self, last: int) -> None:
        """Go to the first or the last unit."""
        self.action_move(len(self.results) if last else -len(self.results), 0)

    def action_open(self) -> None:
        """Show the unit or the finding."""
        if self.result is not None:
            self.post_message(self.Opened())

    def _settle(self) -> None:
        if self.at >= 0:
            self.first = max(min(self.first, self.at), self.at - self.fitting + 1)
        self.first = max(0, min(self.first, len(self.columns) - self.fitting))
        seen = max(1, self.size.height - _HEAD)
        top = round(self.scroll_offset.y)
        wanted = min(max(top, self.row - seen + 1), self.row)
        if wanted != top:
            self.scroll_to(y=wanted, animate=False, force=True)
        self.refresh()
        self.post_message(self.Moved())

    def on_resize(self, _: events.Resize) -> None:
        self._settle()

    def on_click(self, event: events.Click) -> None:
        row = event.y - _HEAD + round(self.scroll_offset.y)
        left = event.x - _VERDICT_WIDTH - self.name_width - 1 - _COUNTS
        at = -1 if left < 0 else self.first + left // _CELL
        if event.y < _HEAD or not 0 <= row < len(self.results) or at >= len(self.columns):
            return
        again, self.moved = (row, at) == (self.row, self.at), True
        self.row, self.at = row, at
        self._settle()
        if again:
            self.action_open()

    def render_line(self, y: int) -> Strip:
        """Draw one line: the heads stay, the units move under them."""
        width = self.size.width
        if y < _HEAD:
            return self._head(y).adjust_cell_length(width, self.rich_style)
        row = y - _HEAD + round(self.scroll_offset.y)
        if row >= len(self.results):
            return Strip.blank(width, self.rich_style)
        return self._unit(row).adjust_cell_length(width, self.rich_style)

    def _head(self, y: int) -> Strip:
        style = self._style("head")
        verdict, unit, counts = ("verdict", "unit", "short  ask ?") if y == 0 else ("", "", "")
        segments = [Segment(f"{verdict:<{_VERDICT_WIDTH}}{unit:<{self.name_width}}{counts:>{_COUNTS}} ", style)]
        for number in range(self.first, min(len(self.columns), self.first + self.fitting)):
            word = str(number + 1) if y == 0 else SIGNS[self.columns[number].state]
            mark = style + Style(reverse=number == self.at)
            segments += [Segment(f"{word:>2}", mark), Segment(" ", style)]
        if self.first + self.fitting < len(self.columns) and y == 0:
            segments.append(Segment("»", style))
        return Strip(segments)

    def _unit(self, row: int) -> Strip:
        result, here = self.results[row], row == self.row
        base = self.rich_style + (self._style("line") if here else Style())
        fate = result.fate
        width = self.name_width
        name = visible(result.name)
        name = name if len(name) <= width else name[: width - 1] + "…"
        short, ask, unclear, _ = fate.rank
        on_unit = base + Style(reverse=here and self.at < 0 and self.has_focus, bold=here)
        verdict = f"{VERDICT_SIGNS[fate.verdict]} {fate.verdict}"
        segments = [
            Segment(f"{verdict:<{_VERDICT_WIDTH}}", base + self._style(_STYLES[fate.verdict])),
            *Strip([Segment(name, on_unit)]).adjust_cell_length(width, on_unit),
            Segment(f"{short:>5}{ask:>5}{unclear:>2} ", base),
        ]
        for number in range(self.first, min(len(self.columns), self.first + self.fitting)):
            outcome = fate.outcomes[self.columns[number].number]
            style = base + self._style(_STYLES.get(outcome or "", ""))
            if here and number == self.at:
                style += Style(reverse=True)
            segments += [Segment(f" {LETTERS[outcome or '']}", style), Segment(" ", base)]
        return Strip(segments)

    def _style(self, name: str) -> Style:
        return self.get_component_rich_style(f"matrix--{name}", partial=True) if name else Style()
