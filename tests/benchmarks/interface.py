"""How long the requirement sheet takes to follow an answer in the terminal interface, and where the time goes.

Run: python tests/benchmarks/interface.py [RUNS] [SCENARIO]. Without a scenario the slowest of all is taken, as found
by reckoning each once more when everything is warm. The whole is timed from the key that gives the answer to the
screen that shows the new sheet; the parts are timed alone, without a screen. Medians in milliseconds.
"""

import asyncio
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from advisor.advise import Advisor
from advisor.interview import Interviewer
from advisor.loading import Loaded, load
from tui import live
from tui.app import AskApp
from tui.desk_base import IDLE, PAUSE
from tui.reckon import Reckoner
from tui.session import Session
from tui.start import keep_pauses_short
from tui.walk import Walk

ROOT = Path(__file__).resolve().parents[2]


def timed(work: Callable[[], object]) -> float:
    """Return the duration of a piece of work in milliseconds."""
    start = time.perf_counter()
    work()
    return 1000 * (time.perf_counter() - start)


def slowest(loaded: Loaded, state: Path) -> Path:
    """Return the scenario whose sheet takes longest."""
    reckoner = Reckoner(Advisor(loaded))
    found = []
    for path in sorted((ROOT / "scenarios").glob("*/site.yaml")):
        session = Session.open(loaded, path, state)
        live.sheet(reckoner, session.site())
        found.append(
            (statistics.median(timed(lambda s=session: live.sheet(reckoner, s.site())) for _ in range(3)), path)
        )
    return max(found)[1]


def edits(session: Session) -> tuple[str, int, str, list[str]]:
    """Return a quantity of the site and two answers to it."""
    templates = session.loaded.book.vocabulary.templates
    for name, template in templates.items():
        value = session.data.get(name)
        entry = value[0] if isinstance(value, list) else value
        for slot in template.slots if isinstance(entry, dict) else ():
            if slot.unit and slot.slot in entry and slot.plausible:
                low, _, rest = slot.plausible.partition(" .. ")
                high, _, unit = rest.partition(" ")
                at = float(low) + 0.02 * (float(high) - float(low))
                return name, 0, slot.slot, [f"{at * factor:.6g} {unit}" for factor in (1.0, 1.1)]
    raise SystemExit("the scenario tells no quantity")


async def whole(loaded: Loaded, path: Path, state: Path, runs: int) -> list[tuple[float, float]]:
    """Return the times from key to sheet, as they pass and as the processor works."""
    session = Session.open(loaded, path, state)
    app = AskApp(session)
    times = []
    async with app.run_test(size=(120, 40)) as pilot:
        desk = app.desk
        while desk.sheet is None:
            await pilot.pause(0.02)
        template, index, slot, values = edits(session)
        for run in range(runs + 2):
            desk.walk.go(template, index, slot)
            desk.show_question()
            await pilot.pause(IDLE + 0.5)
            desk.question.typed.value = values[run % 2]
            await pilot.pause(0.3)
            shown = asyncio.Event()
            arrived = desk.arrived

            def on_sheet(sheet: live.Sheet, version: int, arrived=arrived, shown=shown) -> None:  # type: ignore[no-untyped-def]
                arrived(sheet, version)
                desk.call_after_refresh(shown.set)

            desk.arrived = on_sheet  # type: ignore[method-assign]
            start, busy = time.perf_counter(), time.process_time()
            desk.question.typed.post_message(desk.question.typed.Submitted(desk.question.typed, values[run % 2]))
            await shown.wait()
            times.append((1000 * (time.perf_counter() - start), 1000 * (time.process_time() - busy)))
            desk.arrived = arrived  # type: ignore[method-assign]
    return times[2:]


def parts(loaded: Loaded, path: Path, state: Path, runs: int) -> dict[str, float]:
    """Return the median of each part."""
    session = Session.open(loaded, path, state)
    advisor, walk = Advisor(loaded), Walk(session)
    reckoner = Reckoner(advisor)
    reckoner.settle(session.site())
    template, index, slot, values = edits(session)
    found: dict[str, list[float]] = {}

    def note(name: str, work: Callable[[], Any]) -> Any:
        start = time.perf_counter()
        result = work()
        found.setdefault(name, []).append(1000 * (time.perf_counter() - start))
        return result

    for run in range(runs + 2):
        walk.go(template, index, slot)
        note("check while typing", partial(walk.check, values[run % 2]))
        note("change the site", partial(session.answer, template, index, slot, values[run % 2]))
        note("keep it safe", session.autosave)
        note("lay out the questions", walk.refresh)
        site = session.site()
        note("reckon as a whole", partial(Reckoner(advisor).advise, site))
        advice = note("reckon the change", partial(reckoner.advise, site))
        note("open questions", Interviewer(advice, advice.rules, loaded.book).questions)
        note("sheet in all", partial(live.sheet, reckoner, site))
        note("make it the base", partial(reckoner.settle, site))
    return {name: statistics.median(times[2:]) for name, times in found.items()}


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    loaded = load()
    keep_pauses_short()
    with tempfile.TemporaryDirectory() as folder:
        state = Path(folder)
        (state / "cautions-shown").write_text("shown\n", "utf-8")
        path = ROOT / "scenarios" / sys.argv[2] / "site.yaml" if len(sys.argv) > 2 else slowest(loaded, state)
        times = asyncio.run(whole(loaded, path, state, runs))
        passed, busy = ([time[at] for time in times] for at in (0, 1))
        print(
            f"{path.parent.name}: key to sheet {statistics.median(passed):.0f} ms (least {min(passed):.0f}, most "
            f"{max(passed):.0f}, {runs} runs), of which {1000 * PAUSE:.0f} ms are the pause; "
            f"processor {statistics.median(busy):.0f} ms"
        )
        for name, value in parts(loaded, path, state, runs).items():
            print(f"{name:>22} {value:7.1f} ms")


if __name__ == "__main__":
    main()
