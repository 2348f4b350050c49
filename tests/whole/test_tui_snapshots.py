"""Snapshots of the screens at 80x24 and 120x40: the SVG that the terminal interface draws, held against kept ones.

What is kept is the picture's text, row by row, so that a newer Textual with
other class names or fonts changes nothing. After a change of knowledge or lay-out that is meant, look at the new
screens and keep them:

    SITEWORTHY_KEEP_SNAPSHOTS=1 pytest tests/whole/test_tui_snapshots.py
"""

import os
import re
from collections.abc import Awaitable, Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest
from rich.cells import cell_len
from screens import AskApp, Pilot, drive, paste, running, until

from advisor.loading import Loaded
from tui.audit import AuditScreen
from tui.audit_dialogs import SheetPicker
from tui.finder import Finder
from tui.help import Help
from tui.map_screen import MapScreen
from tui.reasons import Reasons

DIGEST = re.compile(r"rulebook [0-9a-f]{12} \(\d+ rules\)")
"""What any change of the knowledge changes."""
KEPT = Path(__file__).parent / "snapshots"
SITE = """\
site: Snapshot point
about: Invented.
place: {setting: indoor}
unit: {kind: sensor, largest_size: 50 mm, inside: filled, connection: connector, running_temperature: 30 degC}
wash: [{name: hose, method: hose, nozzle: fan, pressure: 8 bar, flow: 20 L/min, distance: 1 m, temperature: 45 degC}]
immersion: none
others: none
"""
SHEET = """\
Sensor (invented)
IP67, housing 1.4404, seal EPDM, -25 ... +70 °C
"""


async def desk(app: AskApp, pilot: "Pilot[None]") -> None:
    """The first screen with a site open."""


async def reasons(app: AskApp, pilot: "Pilot[None]") -> None:
    await pilot.press("f4")
    app.desk.sheet_list.go("ingress.water|IPX6")
    await pilot.press("enter")
    await until(pilot, lambda: isinstance(app.screen, Reasons) and bool(app.screen.branches))


async def helped(app: AskApp, pilot: "Pilot[None]") -> None:
    await pilot.press("f1")
    await until(pilot, lambda: isinstance(app.screen, Help))


async def mapped(app: AskApp, pilot: "Pilot[None]") -> None:
    await pilot.press("f9")
    for words in ("wash.pressure", "wash.distance"):
        await until(pilot, lambda: isinstance(app.screen, Finder))
        asking = app.screen
        await paste(pilot, words)
        await pilot.press("enter")
        await until(pilot, lambda asking=asking: app.screen is not asking)
    await until(pilot, lambda: isinstance(app.screen, MapScreen) and app.screen.document is not None)


async def audit(app: AskApp, pilot: "Pilot[None]") -> None:
    await pilot.press("f5")
    await until(pilot, lambda: isinstance(app.screen, SheetPicker))
    await pilot.press("a")
    await until(pilot, lambda: isinstance(app.screen, AuditScreen) and app.screen.bench is not None)
    await until(pilot, lambda: not app.screen.busy)


SCREENS: dict[str, Callable[[AskApp, "Pilot[None]"], Awaitable[None]]] = {
    "desk": desk,
    "reasons": reasons,
    "help": helped,
    "audit": audit,
    "map": mapped,
}


def rows(svg: str) -> list[str]:
    """The text of a picture, row by row, each piece in the column in which it stands on the screen."""
    lines: dict[float, dict[float, ElementTree.Element]] = {}
    for node in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):
        if "clip-path" in node.attrib:
            lines.setdefault(float(node.attrib["y"]), {})[float(node.attrib["x"])] = node
    found = []
    for _, pieces in sorted(lines.items()):
        row = ""
        for x, node in sorted(pieces.items()):
            text = (node.text or "").replace("\xa0", " ")
            if not cell_len(text):
                continue
            width = float(node.attrib["textLength"]) / cell_len(text)
            row += " " * (round(x / width) - cell_len(row)) + text
        found.append(row.rstrip())
    return found


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
@pytest.mark.parametrize("name", SCREENS)
def test_the_screen_is_as_kept(loaded: Loaded, tmp_path: Path, name: str, size: tuple[int, int]) -> None:
    site = tmp_path / "plant" / "site.yaml"
    (site.parent / "units").mkdir(parents=True)
    site.write_text(SITE, "utf-8")
    (site.parent / "units" / "sensor.txt").write_text(SHEET, "utf-8")

    async def work() -> None:
        async with running(loaded, tmp_path / "state", site, size) as (app, pilot):
            await until(pilot, lambda: bool(app.desk.sheet_list.bars))
            await SCREENS[name](app, pilot)
            await pilot.pause(0.2)
            held(name, size, app)

    drive(work)


def held(name: str, size: tuple[int, int], app: AskApp) -> None:
    # The sheet's own path is another on each run.
    found = [" (path of the sheet)" if row.startswith(" /") else row for row in rows(app.export_screenshot())]
    found = [DIGEST.sub("rulebook (digest and count)", row) for row in found]
    assert len(found) <= size[1]
    assert all(cell_len(row) <= size[0] for row in found), "a row runs over the edge"
    path = KEPT / f"{name}-{size[0]}x{size[1]}.txt"
    if os.environ.get("SITEWORTHY_KEEP_SNAPSHOTS"):
        path.parent.mkdir(exist_ok=True)
        path.write_text("\n".join(found) + "\n", "utf-8")
    kept = path.read_text("utf-8").splitlines()
    assert found == kept
