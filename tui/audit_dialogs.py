"""Small screens of the audit: choosing files, naming a file, reading a longer text."""

from collections.abc import Callable, Iterable
from pathlib import Path

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import DirectoryTree, Footer, Input, Static

from advisor.catalogue.command import KINDS
from advisor.faults import InputError
from tui import paint

_CSS = """
    {0} { align: center middle; }
    {0} > Vertical { width: 90%; max-width: 100; height: 80%; padding: 0 1; }
    {0} > Vertical { border: round $primary; background: $surface; }
    {0} .asked { height: auto; text-style: bold; }
    {0} .hint { height: auto; color: $text-muted; }
    {0} #fault { height: auto; color: $error; }
"""


class _Sheets(DirectoryTree):
    """Folders, and in them what can be audited."""

    ICON_NODE, ICON_NODE_EXPANDED, ICON_FILE = "▸ ", "▾ ", "· "

    def filter_paths(self, paths: Iterable[Path]) -> Iterable[Path]:
        return [p for p in paths if not p.name.startswith(".") and (p.is_dir() or p.suffix.lower() in KINDS)]


class SheetPicker(ModalScreen[list[Path] | None]):
    """Asks for spec sheets: a file picked in the tree, or a path typed, of a file or of a folder for all in it."""

    DEFAULT_CSS = _CSS.replace("{0}", "SheetPicker")
    BINDINGS = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("a", "all", "All in this folder"),
        Binding("backspace", "up", "Folder above"),
    ]

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.folder = folder

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static("Open spec sheets or a catalogue", classes="asked", markup=False)
            kinds = ", ".join(KINDS)
            yield Static(
                f"Pick a file ({kinds}), or type a path; a folder means all in it.", classes="hint", markup=False
            )
            yield Input(placeholder="path of a sheet, a catalogue or a folder", id="path")
            yield Static(id="fault", markup=False)
            yield _Sheets(str(self.folder))
            yield Footer(compact=True)

    def on_mount(self) -> None:
        self.query_one(_Sheets).focus()

    def on_directory_tree_file_selected(self, event: DirectoryTree.FileSelected) -> None:
        event.stop()
        self.dismiss([event.path])

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        text = event.value.strip()
        if text:
            self._take(Path(text).expanduser())

    def action_up(self) -> None:
        """Show the folder above."""
        tree = self.query_one(_Sheets)
        self.folder = Path(tree.path).absolute().parent
        tree.path = self.folder

    def action_all(self) -> None:
        """Take every sheet of the folder under the cursor."""
        node = self.query_one(_Sheets).cursor_node
        path = node.data.path if node is not None and node.data is not None else self.folder
        self._take(path if path.is_dir() else path.parent)

    def _take(self, path: Path) -> None:
        if not path.is_absolute() and not path.exists():
            path = self.folder / path
        if path.is_dir():
            found = sorted(entry for entry in path.iterdir() if entry.suffix.lower() in KINDS and entry.is_file())
            fault = "" if found else f"There is no spec sheet in {path}."
        else:
            found, fault = [path], "" if path.is_file() else f"There is no file {path}."
            if not fault and path.suffix.lower() not in KINDS:
                fault = f"{path.name} is of no kind that is read: {', '.join(KINDS)}."
        if fault:
            self.query_one("#fault", Static).update(paint.plain(fault))
        else:
            self.dismiss(found)


class NameFile(ModalScreen[Path | None]):
    """Asks for the name of a file and does something with it; a fault is shown, and the name can be mended.

    `act(path, overwrite)` raises InputError; the same name given twice means that a file may be written over.
    """

    DEFAULT_CSS = _CSS.replace("{0}", "NameFile") + "NameFile > Vertical { height: auto; }"
    BINDINGS = [Binding("escape", "dismiss(None)", "Back")]

    def __init__(self, asked: str, hint: str, value: Path, act: Callable[[Path, bool], None]) -> None:
        super().__init__()
        self.asked, self.hint, self.value, self.act = asked, hint, value, act
        self.refused = ""

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(self.asked, classes="asked", markup=False)
            yield Static(self.hint, classes="hint", markup=False)
            yield Input(str(self.value), id="path", select_on_focus=False)
            yield Static(id="fault", markup=False)
            yield Footer(compact=True)

    async def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        text = event.value.strip()
        fault = self.query_one("#fault", Static)
        path = Path(text).expanduser()
        fault.update("Writing …")
        work = self.run_worker(lambda: self.act(path, text == self.refused), thread=True, exit_on_error=False)
        try:
            await work.wait()
        except Exception:  # noqa: BLE001 - the worker wraps what was raised in it
            self.refused = text
            problem = work.error
            words = str(problem) if isinstance(problem, InputError) else f"This failed ({type(problem).__name__})."
            fault.update(paint.plain(words))
            return
        self.dismiss(path)


class LongText(ModalScreen[None]):
    """Shows a text that scrolls."""

    DEFAULT_CSS = _CSS.replace("{0}", "LongText")
    BINDINGS = [Binding("escape,enter", "dismiss(None)", "Back")]

    def __init__(self, asked: str, text: Content) -> None:
        super().__init__()
        self.asked, self.text = asked, text

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(self.asked, classes="asked", markup=False)
            with VerticalScroll():
                yield Static(self.text)
            yield Footer(compact=True)

    def on_mount(self) -> None:
        self.query_one(VerticalScroll).focus()
