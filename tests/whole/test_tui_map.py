"""The map of two answers on the terminal interface."""

from pathlib import Path

import pytest
from conftest import ROOT
from screens import AskApp, Pilot, drive, paste, running, until

from advisor.loading import Loaded
from tui import themes
from tui.finder import Finder
from tui.map_screen import MapScreen

MEALS = ROOT / "scenarios" / "ready-meals-washdown"


async def drawn(app: AskApp, pilot: "Pilot[None]", first: str, second: str) -> MapScreen:
    """Ask for the map of two answers by keys and wait for it."""
    await pilot.press("f9")
    for words in (first, second):
        await until(pilot, lambda: isinstance(app.screen, Finder) and bool(app.screen.is_mounted))
        before = app.screen
        await paste(pilot, words)
        await pilot.press("enter")
        await until(pilot, lambda before=before: app.screen is not before)
    screen = app.screen
    assert isinstance(screen, MapScreen)
    await until(pilot, lambda: screen.document is not None)
    await pilot.pause()
    return screen


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_a_map_is_chosen_drawn_swapped_and_copied(loaded: Loaded, tmp_path: Path, size: tuple[int, int]) -> None:
    async def work() -> None:
        async with running(loaded, tmp_path / "state", MEALS, size) as (app, pilot):
            screen = await drawn(app, pilot, "wash:2.pressure", "wash:2.distance")
            text = str(screen.query_one("#map").content)
            assert screen.document.own_cell is not None
            assert "@ is the site's own point" in text
            assert len(screen.document.rows[0]) <= size[0] - 14
            page = screen.query_one("#page").size
            lines = text.splitlines()
            assert next(n for n, line in enumerate(lines) if line.lstrip().startswith("+--")) < page.height
            first = screen.document
            await pilot.press("s")
            await until(pilot, lambda: screen.document is not first)
            assert (screen.document.x.slot, screen.document.y.slot) == (first.y.slot, first.x.slot)
            await pilot.press("c")
            assert "Map: " in app.clipboard
            assert "\x1b" not in app.clipboard
            await pilot.press("escape")
            assert app.screen is app.desk
            assert not app.desk.session.dirty

    drive(work)


def test_without_colours_the_letters_say_it_all(loaded: Loaded, tmp_path: Path) -> None:
    async def work() -> None:
        async with running(loaded, tmp_path / "state", MEALS) as (app, pilot):
            app.theme = themes.PLAIN.name
            screen = await drawn(app, pilot, "wash:2.temperature", "wash:2.pressure")
            content = screen.query_one("#map").content
            assert not content.spans
            assert all(row.isalpha() for row in screen.document.rows)

    drive(work)


def test_answers_that_the_site_tells_are_offered_first(loaded: Loaded, tmp_path: Path) -> None:
    async def work() -> None:
        async with running(loaded, tmp_path / "state", MEALS) as (app, pilot):
            await pilot.press("f9")
            await until(pilot, lambda: isinstance(app.screen, Finder))
            told = [option.about.startswith("now ") for option in app.screen.options]
            assert told == sorted(told, reverse=True)
            assert True in told and False in told
            assert "wash:2.pressure" in [option.value for option in app.screen.options]
            await pilot.press("escape")
            await until(pilot, lambda: app.screen is app.desk)

    drive(work)
