"""Opening, saving and exporting on the main screen. Nothing is overwritten without a question, and nothing is lost."""

from pathlib import Path

from textual import work

from advisor.faults import InputError
from tui import export
from tui.desk_base import DeskBase
from tui.finder import Finder, PathLine
from tui.outline import Option
from tui.recent import recent, remember
from tui.session import ChangedOnDiskError, Session

OTHER = "another file"


class FileActions(DeskBase):
    """Actions on files."""

    @work(exclusive=True, group="files")
    async def action_save(self) -> None:
        """Save the site file."""
        await self.save(self.session.path)

    @work(exclusive=True, group="files")
    async def action_save_as(self) -> None:
        """Save under another name."""
        await self.save(None)

    async def save(self, path: Path | None) -> bool:
        """Save to the path, or to one that is asked for; false if it was given up."""
        text = ""
        while True:
            if path is None:
                start = str(self.session.path or export.file_name(self.walk.site.name, "yaml"))
                typed = await self.app.push_screen_wait(PathLine("Save the site as", start, text))
                if typed is None:
                    return False
                path = Path(typed).expanduser()
            try:
                self.session.save(path)
            except ChangedOnDiskError as problem:
                if not await self._overwrite(path, str(problem)):
                    path, text = None, ""
                    continue
                try:
                    self.session.save(path, overwrite=True)
                except InputError as second:
                    path, text = None, str(second)
                    continue
            except InputError as problem:
                path, text = None, str(problem)
                continue
            remember(path, self.session.state_dir)
            self.notify(f"Saved to {path}.", markup=False)
            self.redraw()
            return True

    async def _overwrite(self, path: Path, why: str) -> bool:
        options = [Option("no", "choose another name"), Option("yes", "write over it")]
        return (
            await self.app.push_screen_wait(Finder(f"{path.name}: write over it?", options, why, search=False)) == "yes"
        )

    async def may_leave(self) -> bool:
        """Ask what to do with what is not saved; false if the person stays."""
        if not self.session.dirty:
            return True
        options = [
            Option("save", "save it"),
            Option("keep", "leave it in the journal", "the next start offers it"),
            Option("drop", "throw the changes away"),
            Option("stay", "stay here"),
        ]
        found = await self.app.push_screen_wait(Finder("There are changes that are not saved", options, search=False))
        if found == "save":
            return await self.save(self.session.path)
        if found == "drop":
            self.session.discard()
        return found in ("keep", "drop")

    @work(exclusive=True, group="files")
    async def action_open(self) -> None:
        """Open another site."""
        if await self.may_leave():
            await self.choose_site()

    async def choose_site(self) -> None:
        """Let a person choose a file among those last opened, or by its path."""
        last = recent(self.session.state_dir)
        found: str | None = OTHER
        if last:
            options = [Option(str(path), str(path)) for path in last] + [Option(OTHER, OTHER)]
            found = await self.app.push_screen_wait(Finder("Open which site?", options))
        text = ""
        while found is not None:
            if found == OTHER:
                found = await self.app.push_screen_wait(
                    PathLine("Open a site file, or a folder with site.yaml", "", text)
                )
                if found is None:
                    return
            path = Path(found).expanduser()
            try:
                session = Session.open(self.session.loaded, path, self.session.state_dir)
            except InputError as problem:
                found, text = OTHER, str(problem)
                continue
            self.take(session)
            remember(session.path or path, session.state_dir)
            return

    @work(exclusive=True, group="files")
    async def action_new(self) -> None:
        """Begin with an empty site."""
        if await self.may_leave():
            self.take(Session(self.session.loaded, self.session.state_dir))

    @work(exclusive=True, group="files")
    async def action_export(self) -> None:
        """Write the requirement sheet to a file."""
        kind = await self.app.push_screen_wait(Finder("Export the requirement sheet as", export.OPTIONS, search=False))
        if kind is None:
            return
        start, text = str(export.beside(self.session.path, self.walk.site.name, kind)), ""
        while True:
            typed = await self.app.push_screen_wait(PathLine("Write the report to", start, text))
            if typed is None:
                return
            path = Path(typed).expanduser()
            if path.exists() and not await self._overwrite(path, f"{path} is there already."):
                continue
            work_ = self.run_worker(
                lambda p=path: export.write(self.session, self.advisor, kind, p), thread=True, exit_on_error=False
            )
            try:
                await work_.wait()
            except Exception as problem:  # noqa: BLE001 - the worker wraps what went wrong
                start, text = typed, str(getattr(work_, "error", None) or problem)
                continue
            self.notify(f"Written to {path}.", markup=False)
            return
