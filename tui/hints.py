"""The line of key hints: what the focused part takes first, then the screen; cut between hints, never inside one.

It replaces the toolkit's own footer, which builds a widget for each key anew whenever the focus moves.
"""

from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

LAST = ("f1", "ctrl+p")
"""Hints that are kept whatever the width."""


class Hints(Static):
    """Shows the keys that work now; a click on one does the same."""

    DEFAULT_CSS = """
    Hints { height: 1; dock: bottom; background: $panel; padding: 0 1; link-style: none; link-color: $foreground; }
    Hints { link-background-hover: $primary 40%; link-style-hover: none; }
    """

    def __init__(self) -> None:
        super().__init__(markup=False)
        self._drawn: tuple[object, ...] = ()

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._changed)
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def _changed(self, screen: Screen[object]) -> None:
        self._draw()

    def _draw(self) -> None:
        if not self.is_attached or not self.screen.is_active:
            return
        found: list[tuple[str, str, str, str]] = []
        for active in self.screen.active_bindings.values():
            binding = active.binding
            if not binding.show or not active.enabled or any(entry[2] == binding.action for entry in found):
                continue
            space = "app" if active.node is self.app else "screen" if active.node is self.screen else "focused"
            space = "" if binding.action.startswith(("app.", "screen.")) else f"{space}."
            found.append((binding.key, self.app.get_key_display(binding), binding.action, f"{space}{binding.action}"))
        names = {active.binding.action: active.binding.description for active in self.screen.active_bindings.values()}
        if self.app.ENABLE_COMMAND_PALETTE:
            found.append(("ctrl+p", "^p", "command_palette", "app.command_palette"))
            names["command_palette"] = "All actions"
        hints = [(key, shown, names[action], call) for key, shown, action, call in found]
        while sum(_width(hint) for hint in hints) > self.size.width - 2 and len(hints) > len(LAST):
            spare = [hint for hint in hints if hint[0] not in LAST]
            if not spare:
                break
            hints.remove(spare[-1])
        if tuple(hints) != self._drawn:
            self._drawn = tuple(hints)
            self.update(Content("  ").join(_content(hint) for hint in hints))


def _width(hint: tuple[str, str, str, str]) -> int:
    return len(hint[1]) + len(hint[2]) + 3


def _content(hint: tuple[str, str, str, str]) -> Content:
    _, shown, name, call = hint
    pressed = f"@click={call}"
    return Content.assemble((shown, f"bold $accent {pressed}"), (f" {name}", pressed))
