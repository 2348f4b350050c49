"""The application: one session on one desk, its themes, and the screens that stand over the desk."""

from pathlib import Path

from textual.app import App
from textual.binding import Binding

from advisor.advise import Advisor
from tui import themes
from tui.desk import Desk
from tui.session import Session


class AskApp(App[int]):
    """`siteworthy ask` on a terminal."""

    TITLE = "siteworthy"
    BINDINGS = [
        Binding("ctrl+q", "leave", "Quit", priority=True),
        Binding("ctrl+t", "theme", "Colours", show=False, priority=True),
    ]

    def __init__(self, session: Session, state_dir: Path | None = None, *, fresh: bool = False) -> None:
        """`fresh` tells that no site was asked for, so that earlier work is offered first."""
        super().__init__()
        self.fresh = fresh
        self.state_dir = state_dir
        self.desk = Desk(session, Advisor(session.loaded))
        for theme in themes.ALL:
            self.register_theme(theme)
        self.theme = themes.PLAIN.name if self.no_color else themes.DARK.name

    def on_mount(self) -> None:
        self.push_screen(self.desk)

    def action_theme(self) -> None:
        """Go to the next colours: dark, light, none."""
        names = [theme.name for theme in themes.ALL]
        self.theme = names[(names.index(self.theme) + 1) % len(names)] if self.theme in names else names[0]

    def action_leave(self) -> None:
        """Leave; what is not saved stays kept for the next start."""
        self.exit(0)

    def action_help(self) -> None:
        """Show what can be done here."""
