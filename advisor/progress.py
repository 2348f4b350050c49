"""A bar of progress on standard error, if that is a terminal; it leaves no trace."""

import sys
from collections.abc import Callable

BAR = 40


class Progress:
    """Used as a statement: `with Progress(name) as notice:`, and `notice(share)` now and then."""

    def __init__(self, name: str) -> None:
        self.name = "".join(sign if sign.isprintable() else " " for sign in name)[:30]
        self.on = sys.stderr.isatty()

    def __enter__(self) -> Callable[[float], None]:
        return self._show if self.on else lambda share: None

    def __exit__(self, *_: object) -> None:
        if self.on:
            sys.stderr.write("\r" + " " * (BAR + len(self.name) + 12) + "\r")
            sys.stderr.flush()

    def _show(self, share: float) -> None:
        done = round(BAR * min(1.0, share))
        sys.stderr.write(f"\r{self.name} [{'#' * done}{'.' * (BAR - done)}] {100 * min(1.0, share):3.0f} %")
        sys.stderr.flush()
