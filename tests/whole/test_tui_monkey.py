"""Random keys and pastes: nothing ends the program, the sheet still follows, and what is saved still loads.

The seed is fixed. SITEWORTHY_TEST_DEPTH=N presses N times as many keys.
"""

import random
from pathlib import Path

import pytest
from conftest import DEPTH, ROOT
from screens import drive, paste, running

from advisor import yamlfile
from advisor.loading import Loaded
from advisor.site import read_site
from tui.session import Session

KEYS = """
    enter enter enter enter down down up tab shift+tab space question_mark escape left right home end pageup pagedown
    backspace delete a d n w c o x q f1 f2 f3 f4 f6 f7 f8 f9 ctrl+z ctrl+y ctrl+f ctrl+p ctrl+t ctrl+u ctrl+w 1 5
    9 i e s
""".split()  # noqa: SIM905 - many words
PASTES = (
    "85 bar", "1200 psi", "60 .. 90 bar", "-18 C", "unknown", "none", "[/b]", "[red]x", "a\nb\nc", "", " " * 30,
    "\x1b[31m", "\u202egnp", "5 kg", "caustic", "9" * 400, "{a: b}", "- x", "# c", "& *", "'", '"', "ä°µ", "0 .. ",
    "1e999 bar", "steam",
)  # fmt: skip
SIZES = ((80, 24), (120, 40), (40, 12), (100, 30))
PRESSES = 150


@pytest.mark.parametrize("seed", range(2))
def test_random_keys_do_no_harm(loaded: Loaded, tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    begun = [None, ROOT / "scenarios" / "ready-meals-washdown"][seed % 2]
    done: list[str] = []

    async def work() -> None:
        async with running(loaded, tmp_path / "state", begun) as (app, pilot):
            for _ in range(PRESSES * DEPTH):
                kind = chance.random()
                if kind < 0.15:
                    text = chance.choice(PASTES)
                    done.append(repr(text))
                    await paste(pilot, text)
                elif kind < 0.17:
                    await pilot.resize_terminal(*chance.choice(SIZES))
                else:
                    done.append(chance.choice(KEYS))
                    await pilot.press(done[-1])
                assert app.is_running, done[-12:]
                site = read_site(yamlfile.parse(app.desk.session.text, "site.yaml"), loaded.book)
                assert site.name
            if reckoning := [w for w in app.workers if w.group == "sheet"]:
                await app.workers.wait_for_complete(reckoning)
            app.desk.session.save(tmp_path / "after.yaml", overwrite=True)

    try:
        drive(work)
    except BaseException:
        print("the last keys:", done[-15:])
        raise
    assert Session.open(loaded, tmp_path / "after.yaml", tmp_path / "state").title
