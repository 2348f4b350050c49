"""The files last opened, newest first, kept in the state folder. Losing this list loses no work, so it never fails."""

import contextlib
import json
from pathlib import Path

from advisor.faults import InputError
from tui.files import write_whole
from tui.journal import state_folder

_MOST = 20


def recent(state_dir: Path | None = None) -> list[Path]:
    """Return the files last remembered that are still there, newest first."""
    return [path for path in _all(state_folder(state_dir)) if path.is_file()]


def remember(path: Path, state_dir: Path | None = None) -> None:
    """Set the file at the head of the list."""
    folder, path = state_folder(state_dir), path.absolute()
    kept = [path, *(other for other in _all(folder) if other != path)][:_MOST]
    with contextlib.suppress(InputError, OSError):
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(folder / "recent.json", json.dumps([str(entry) for entry in kept], indent=1) + "\n")


def _all(folder: Path) -> list[Path]:
    try:
        entries = json.loads((folder / "recent.json").read_text("utf-8"))
    except (OSError, ValueError):
        return []
    return [Path(entry) for entry in entries if isinstance(entry, str)] if isinstance(entries, list) else []
