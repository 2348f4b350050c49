"""Where the shipped knowledge lies: beside the `advisor` package, in a checkout and in an installed wheel alike."""

from pathlib import Path

KNOWLEDGE = Path(__file__).resolve().parent.parent / "knowledge"
