"""What `siteworthy ask` does before there is a screen: the rulebook, the site, and which interface is wanted."""

import argparse
import gc
import importlib.util
import os
import sys
from pathlib import Path

from advisor.faults import Fault, InputError, Place
from advisor.loading import load
from tui.session import Session


def ask(options: argparse.Namespace) -> int:
    """Run the interview and return the exit code. Raises InputError where it cannot be run or the site not be read."""
    if not options.plain and not options.web:
        _needs_a_screen()
    loaded = load(options.rules)
    site: Path | None = options.site
    session = Session.open(loaded, site) if site is not None else Session(loaded)
    if options.web:
        from tui.web import serve

        rules = [part for folder in options.rules for part in ("--rules", str(folder))]
        # Behind a double dash no path can be taken for an option.
        return serve([*rules, *(["--", str(site)] if site is not None else [])], "siteworthy", options.port)
    if options.plain:
        from tui.plain import converse

        return converse(session, sys.stdin, sys.stdout)
    from tui.app import AskApp

    keep_pauses_short()
    return AskApp(session, fresh=site is None).run() or 0


def keep_pauses_short() -> None:
    """Leave what is loaded out of every later look for cycles, and look more often at what the screen makes."""
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


def _needs_a_screen() -> None:
    if importlib.util.find_spec("textual") is None:
        accepted = "pip install textual, or siteworthy ask --plain"
        raise InputError(
            [Fault(Place("ask"), "the terminal interface needs textual, which is not installed", accepted)]
        )
    if "TEXTUAL_DRIVER" in os.environ:  # the screen is a browser's
        return
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        accepted = "siteworthy ask --plain, which asks line by line"
        raise InputError([Fault(Place("ask"), "standard input and output are no terminal", accepted)])
