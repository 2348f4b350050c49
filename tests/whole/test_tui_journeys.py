"""Two whole journeys from an empty site to a saved file and an exported report, by keys alone.

The third, of the reviewer who audits, stands with the audit screen.
"""

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from conftest import DEPTH, ROOT
from screens import AskApp, Pilot, answer, drive, follow, paste, running, until

from advisor.loading import Loaded
from tui import export
from tui.finder import Finder, PathLine

Program = Callable[..., subprocess.CompletedProcess[str]]


async def entry(app: AskApp, pilot: "Pilot[None]", subject: str, choice: str) -> None:
    """Go to a subject by its name and answer whether there is any."""
    await pilot.press("f2")
    listed = app.desk.query_one("#subjects")
    listed.highlighted = next(n for n, s in enumerate(listed.subjects) if s.title == subject)
    await pilot.press("enter")
    await pilot.pause()
    await paste(pilot, choice)
    await pilot.press("enter")
    await pilot.pause()


async def denied(app: AskApp, pilot: "Pilot[None]", *templates: str) -> None:
    """Say of subjects that there is nothing of the kind."""
    await pilot.press("f2")
    listed = app.desk.query_one("#subjects")
    for template in templates:
        listed.highlighted = next(n for n, s in enumerate(listed.subjects) if s.template == template)
        await pilot.press("n")


async def saved_and_reported(app: AskApp, pilot: "Pilot[None]", site: Path, kind: str, report: Path) -> None:
    """Save the site and export a report, through the windows that ask for their names."""
    await pilot.press("ctrl+s")
    await until(pilot, lambda: isinstance(app.screen, PathLine))
    app.screen.query_one("Input").value = str(site)
    await pilot.press("enter")
    await until(pilot, lambda: app.screen is app.desk and not app.desk.session.dirty)
    await pilot.press("ctrl+r")
    await until(pilot, lambda: isinstance(app.screen, Finder))
    await pilot.press(*["down"] * [option.value for option in export.OPTIONS].index(kind), "enter")
    await until(pilot, lambda: isinstance(app.screen, PathLine))
    app.screen.query_one("Input").value = str(report)
    await pilot.press("enter")
    await until(pilot, report.exists)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)][:DEPTH])
def test_a_food_plant_engineer_tells_a_wash_point(
    loaded: Loaded, tmp_path: Path, program: Program, size: tuple[int, int]
) -> None:
    site, report = tmp_path / "filler.yaml", tmp_path / "filler.json"

    async def work() -> None:
        async with running(loaded, tmp_path / "state", size=size) as (app, pilot):
            await pilot.press("enter")  # a sensor
            await paste(pilot, "65 mm")
            await pilot.press("enter")
            await answer(app, pilot, "point called", "Filler 3, sensor over the belt")
            await answer(app, pilot, "indoors, under a roof", "indoor")
            await entry(app, pilot, "Cleaning", "booster station")
            await answer(app, pilot, "high is the pressure at the nozzle", "360 psi")
            await answer(app, pilot, "how near can the nozzle", "20 cm")
            await answer(app, pilot, "how hot water nozzle", "65 C")
            await answer(app, pilot, "near does any surface of the unit come to open food", "splash")
            await answer(app, pilot, "cold does the air", "4 C")
            await answer(app, pilot, "warm does the air", "28 C")
            await entry(app, pilot, "Chemicals and products", "add")
            await answer(app, pilot, "agent touches", "caustic soda")
            await answer(app, pilot, "how strong", "2 %")
            await denied(app, pilot, "dust", "immersion", "weld", "field_source", "hazard", "sun", "radiant")
            await follow(app, pilot)
            shown = {row.key: row.state for row in app.desk.sheet.rows}
            assert shown["ingress.water|IPX9"] == "certain"
            assert shown["temperature.wash|certain"] == "certain"
            assert any(key.startswith("geometry|") for key in shown)
            await saved_and_reported(app, pilot, site, "json", report)

    drive(work)
    assert "360 psi" in site.read_text("utf-8")
    done = program("require", site, "--format", "json")
    assert done.returncode == 0, done.stderr
    assert json.loads(report.read_text("utf-8")) == json.loads(done.stdout)


def test_a_weld_cell_designer_rules_units_out(loaded: Loaded, tmp_path: Path, program: Program) -> None:
    site, report = tmp_path / "cell.yaml", tmp_path / "cell.txt"

    async def work() -> None:
        async with running(loaded, tmp_path / "state") as (app, pilot):
            await pilot.press("enter")
            await answer(app, pilot, "point called", "Cell 7, clamp sensor")
            await entry(app, pilot, "Welding and cutting", "add")
            await answer(app, pilot, "welding or cutting process works", "spot")
            await answer(app, pilot, "how near to the unit is the weld", "300 mm")
            await answer(app, pilot, "drop fly straight", "direct")
            await entry(app, pilot, "Strong currents and magnets", "add")
            await answer(app, pilot, "how do the conductors lie", "single")
            await answer(app, pilot, "which kind of current", "mf")
            await answer(app, pilot, "how large is the current", "12 kA")
            await answer(app, pilot, "how is that current counted", "rectified")
            await answer(app, pilot, "centre line of the nearest", "80 mm")
            await answer(app, pilot, "can the conductor move", "usual")
            await answer(app, pilot, "which principle does the unit sense", "inductive")
            await answer(app, pilot, "all that you have not spoken of", "none")
            await follow(app, pilot)
            topics = {row.topic for row in app.desk.sheet.rows if row.state == "certain"}
            assert "spatter.face" in topics
            assert any(topic.startswith("immunity.magnetic") for topic in topics)
            await saved_and_reported(app, pilot, site, "txt proofs", report)

    drive(work)
    text = report.read_text("utf-8")
    assert text == program("require", site, "--proofs").stdout
    assert "12 kA" in text


def test_what_a_journey_gave_can_be_opened_in_any_window(loaded: Loaded, tmp_path: Path) -> None:
    async def work() -> None:
        for size in ((80, 24), (100, 30), (160, 50)):
            for scenario in ("sun-baked-cabinet", "seawater-sump-probe"):
                async with running(loaded, tmp_path / "state", ROOT / "scenarios" / scenario, size) as (app, pilot):
                    await pilot.press("f2", "down", "enter", "f4", "o", "end", "home", "f3")
                    assert app.desk.sheet.rows

    drive(work)
