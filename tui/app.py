"""The application: one session on one desk, its themes, the palette, and the windows at the start and the end."""

import contextlib
from collections.abc import Iterable

from textual import work
from textual.app import App, SystemCommand
from textual.binding import Binding
from textual.screen import Screen

from advisor.advise import Advisor
from advisor.faults import InputError
from advisor.report.text import CAVEAT
from tui import themes
from tui.commands import COMMANDS
from tui.desk import Desk
from tui.files import write_whole
from tui.finder import Finder
from tui.help import Help
from tui.journal import state_folder
from tui.outline import Option
from tui.recent import recent, remember
from tui.session import Session

NEW, OPEN = "new", "open"


class AskApp(App[int]):
    """`siteworthy ask` on a terminal."""

    TITLE = "siteworthy"
    BINDINGS = [
        Binding("ctrl+q", "leave", "Quit", priority=True),
        Binding("ctrl+t", "theme", "Colours", show=False, priority=True),
    ]

    def __init__(self, session: Session, *, fresh: bool = False) -> None:
        """`fresh` tells that no site was asked for, so that earlier work is offered first."""
        super().__init__()
        self.fresh = fresh
        self.state_dir = session.state_dir
        self.desk = Desk(session, Advisor(session.loaded))
        for theme in themes.ALL:
            self.register_theme(theme)
        self.theme = themes.PLAIN.name if self.no_color else themes.DARK.name

    def on_mount(self) -> None:
        self.push_screen(self.desk)
        self.begin()

    @work(exclusive=True, group="begin")
    async def begin(self) -> None:
        """Show the cautions on the first start, and offer what was not saved."""
        mark = state_folder(self.state_dir) / "cautions-shown"
        if not mark.exists():
            await self.push_screen_wait(_cautions())
            with contextlib.suppress(InputError, OSError):
                mark.parent.mkdir(parents=True, exist_ok=True)
                write_whole(mark, "The cautions were shown.\n")
        session = self.desk.session
        left = {str(entry.journal): entry for entry in Session.recoverable(self.state_dir)}
        if not self.fresh:
            path = session.path.absolute() if session.path else None
            left = {name: entry for name, entry in left.items() if entry.path == path}
            if path is not None:
                remember(path, self.state_dir)
        if not left and not (self.fresh and recent(self.state_dir)):
            return
        options = [
            Option(
                name,
                f"go on with unsaved work: {entry.title}",
                f"{entry.saved_at:%Y-%m-%d %H:%M}, {entry.path or 'no file'}",
            )
            for name, entry in left.items()
        ]
        options += [Option(NEW, "begin a new point"), Option(OPEN, "open a site")] if self.fresh else [
            Option(NEW, "take the file as it is", "the unsaved work stays in the journal")
        ]  # fmt: skip
        found = await self.push_screen_wait(Finder("Where do you want to go on?", options, search=False))
        if found in left:
            try:
                self.desk.take(Session.recover(session.loaded, left[found], self.state_dir))
            except InputError as problem:
                self.notify(str(problem), severity="error", markup=False)
        elif found == OPEN:
            await self.desk.choose_site()

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Offer every action in the palette; on other screens those of the application."""
        for command in COMMANDS:
            if command.action.startswith("app.") or screen is self.desk:
                title = f"{command.title} ({command.key})" if command.key else command.title
                yield SystemCommand(title, command.about, self._act(command.action))

    def _act(self, action: str) -> "_Act":
        return _Act(self, action)

    def action_theme(self) -> None:
        """Go to the next colours: dark, light, none."""
        names = [theme.name for theme in themes.ALL]
        self.theme = names[(names.index(self.theme) + 1) % len(names)] if self.theme in names else names[0]

    @work(exclusive=True, group="leave")
    async def action_leave(self) -> None:
        """Leave; what is not saved is asked about first."""
        if await self.desk.may_leave():
            self.exit(0)

    def action_help(self) -> None:
        """Show what can be done here."""
        if not isinstance(self.screen, Help):
            self.push_screen(Help())

    def action_cautions(self) -> None:
        """Show what this tool does not do."""
        self.push_screen(_cautions())


class _Act:
    """An action as a function without arguments, as the palette wants it."""

    def __init__(self, app: AskApp, action: str) -> None:
        self.app, self.action = app, action

    async def __call__(self) -> None:
        await self.app.run_action(self.action, self.app if self.action.startswith("app.") else self.app.desk)


def _cautions() -> Finder:
    return Finder("Before you rely on it", [Option("ok", "understood")], CAVEAT, search=False)
