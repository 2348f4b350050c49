"""What can go wrong in this package, and nothing else: a text that is too long, a lexicon that is wrong.

Reading a text never raises anything but `TextTooLongError`. `LexiconError` comes only from loading the knowledge
files and names the file and what is wrong in it.
"""

from pathlib import Path

MAX_TEXT = 200_000
"""Longest text, in characters, that is read in one go."""


class NotationError(ValueError):
    """Base of the two errors of this package."""


class TextTooLongError(NotationError):
    """The text has more than `MAX_TEXT` characters."""

    def __init__(self, length: int) -> None:
        super().__init__(length)
        self.length = length

    def __str__(self) -> str:
        return f"the text has {self.length} characters; at most {MAX_TEXT} are read in one go"


class LexiconError(NotationError):
    """A file of the lexicon cannot be used."""

    def __init__(self, path: Path, problem: str) -> None:
        super().__init__(path, problem)
        self.path = path
        self.problem = problem

    def __str__(self) -> str:
        return f"{self.path}: {self.problem}"
