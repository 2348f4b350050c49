"""The screen of a map: which demands hold where over two answers that are figures, a letter and a colour each."""

from typing import Any

from rich.text import Text
from textual import work
from textual.app import App, ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from advisor.advise import Advisor
from advisor.faults import InputError
from advisor.maps.document import MapDocument
from advisor.report.map_text import map_text
from advisor.site import Site
from tui import mapping, paint, themes
from tui.finder import Finder
from tui.hints import Hints
from tui.walk import said


class MapScreen(Screen[None]):
    """Shows the map of two answers of a site; the site itself is not touched."""

    DEFAULT_CSS = """
    MapScreen #title { height: 1; background: $primary 25%; padding: 0 1; text-style: bold; }
    MapScreen #title { text-wrap: nowrap; text-overflow: ellipsis; }
    MapScreen VerticalScroll { height: 1fr; padding: 0 1; }
    MapScreen #map { height: auto; }
    """
    BINDINGS = [
        Binding("escape,q", "dismiss(None)", "Back"),
        Binding("s", "swap", "Swap axes"),
        Binding("o", "other", "Other answers"),
        Binding("c", "copy", "Copy"),
    ]

    def __init__(self, site: Site, advisor: Advisor, slots: tuple[str, str]) -> None:
        super().__init__()
        self.site, self.advisor, self.slots = site, advisor, slots
        self.document: MapDocument | None = None

    def compose(self) -> ComposeResult:
        yield Static(id="title", markup=False)
        with VerticalScroll(id="page"):
            yield Static(id="map", markup=False)
        yield Hints()

    def on_mount(self) -> None:
        self.query_one("#page").focus()
        self.draw_map()

    def _head(self, words: str) -> None:
        if self.is_attached:
            self.query_one("#title", Static).update(paint.plain(words))

    @work(thread=True, exclusive=True, exit_on_error=False)
    def draw_map(self) -> None:
        """Have the map worked out beside the screen."""
        slots = self.slots
        words = f"Map of {self.site.name}: {slots[0]} across, {slots[1]} up"
        shown = -1

        def notice(share: float) -> None:
            nonlocal shown
            if int(share * 20) != shown:
                shown = int(share * 20)
                self.app.call_from_thread(self._head, f"{words}: working it out, {share:.0%}")

        self.app.call_from_thread(self._head, f"{words}: working it out …")
        try:
            size = mapping.cells(self.size.width, self.size.height)
            found = mapping.drawn(self.site, slots, self.advisor.loaded, size, notice)
        except InputError as problem:
            self.app.call_from_thread(self._failed, words, said(problem))
            return
        self.app.call_from_thread(self._show, words, found)

    def _failed(self, words: str, why: str) -> None:
        self._head(words)
        self.query_one("#map", Static).update(paint.plain_lines(why))

    def _show(self, words: str, found: MapDocument) -> None:
        if not self.is_attached:
            return
        self.document = found
        self._head(words)
        coloured = self.app.theme != themes.PLAIN.name
        _, _, page = map_text(found, colour=coloured).split("\n", 2)
        self.query_one("#map", Static).update(Content.from_rich_text(Text.from_ansi(page)))

    def action_swap(self) -> None:
        """Lay the axes the other way round."""
        self.slots = self.slots[1], self.slots[0]
        self.draw_map()

    @work(exclusive=True, group="ask")
    async def action_other(self) -> None:
        """Choose two other answers."""
        slots = await choose(self.app, self.site, self.advisor)
        if slots is not None:
            self.slots = slots
            self.draw_map()

    def action_copy(self) -> None:
        """Copy the map as text, without colours."""
        if self.document is not None:
            self.app.copy_to_clipboard(map_text(self.document))
            self.notify("Copied.")


async def choose(app: App[Any], site: Site, advisor: Advisor) -> tuple[str, str] | None:
    """Ask for the two answers of a map; None where the person goes back."""
    options = mapping.options(site, advisor.loaded)
    first = await app.push_screen_wait(Finder("Map: which answer lies across?", options))
    if first is None:
        return None
    others = [option for option in options if option.value != first]
    second = await app.push_screen_wait(Finder("Map: and which answer goes up?", others))
    return None if second is None else (first, second)
