"""Driving the terminal interface in tests: an application on a site, keys and words, and waiting for the sheet."""

import asyncio
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from textual import events
from textual.pilot import Pilot

from advisor.loading import Loaded
from tui.app import AskApp
from tui.session import Session

NAMED = {" ": "space", "?": "question_mark"}


def drive(work: Callable[[], Coroutine[Any, Any, None]]) -> None:
    """Run an asynchronous test."""
    asyncio.run(work())


@asynccontextmanager
async def running(
    loaded: Loaded, state: Path, site: Path | None = None, size: tuple[int, int] = (120, 40), *, first: bool = False
) -> AsyncIterator[tuple[AskApp, Pilot[Any]]]:
    """Run the application on a site; `first` leaves the cautions of the first start standing."""
    state.mkdir(parents=True, exist_ok=True)
    if not first:
        (state / "cautions-shown").write_text("shown\n", "utf-8")
    session = Session.open(loaded, site, state) if site else Session(loaded, state)
    app = AskApp(session, fresh=site is None)
    async with app.run_test(size=size) as pilot:
        if not first:
            await follow(app, pilot)
        yield app, pilot


async def follow(app: AskApp, pilot: Pilot[Any]) -> None:
    """Wait until the sheet has followed the session."""
    for _ in range(400):
        await pilot.pause(0.02)
        desk = app.desk
        if desk.sheet is not None and desk.shown_version == desk.session.version:
            await pilot.pause()
            return
    raise AssertionError("the sheet does not follow")


async def until(pilot: Pilot[Any], holds: Callable[[], bool]) -> None:
    """Wait until something holds."""
    for _ in range(400):
        if holds():
            return
        await pilot.pause(0.02)
    raise AssertionError("it does not come about")


async def write(pilot: Pilot[Any], text: str) -> None:
    """Type text, key by key."""
    for sign in text:
        await pilot.press(NAMED.get(sign, sign))


async def paste(pilot: Pilot[Any], text: str) -> None:
    """Paste text into whatever has the focus; quicker than typing it."""
    pilot.app.post_message(events.Paste(text))
    await pilot.pause()


async def answer(app: AskApp, pilot: Pilot[Any], question: str, text: str) -> None:
    """Find a question by its words, as a person does, and answer it: `text` is pasted and taken with Enter."""
    await pilot.press("ctrl+f")
    await until(pilot, lambda: type(app.screen).__name__ == "Finder")
    await paste(pilot, question)
    await pilot.press("enter")
    await until(pilot, lambda: app.screen is app.desk)
    asked = app.desk.walk.question
    assert asked is not None
    if asked.options and not app.desk.question.typed.display:
        values = [option.value for option in app.desk.question.choices.shown]
        assert text in values, (asked.ask, values)
        app.desk.question.choices.highlighted = values.index(text)
    else:
        await paste(pilot, text)
    await pilot.press("enter")
    await pilot.pause()
