"""Text that is safe in GitHub-flavoured Markdown: `escape` for running text and cells, `code` for names, `table`."""

import re
from collections.abc import Sequence

from advisor.report.common import visible

_MARKS = re.compile(r"[\\`*_\[\]|~$#!]")
_ENTITY = re.compile(r"&(?=#?\w)")
_BLOCK = re.compile(r"(?:[-+=:](?=[\s\-+=:|]|\Z)|>)")
_NUMBERED = re.compile(r"(\d{1,9})([.)])(?=\s|\Z)")
_ADDRESS = re.compile(r"(?i)(://|\bwww\.|\bmailto:|\bxmpp:|@)")
_UNLINKED = "\u200b"
"""A blank of no width: viewers make links and mentions out of plain text, and no escape keeps them from it."""


def escape(text: object) -> str:
    """Return the text so that it reads as it is and means nothing else, on one line."""
    words = " ".join(visible(text).split())
    words = _ADDRESS.sub(lambda match: match[0][0] + _UNLINKED + match[0][1:], words)
    words = _MARKS.sub(r"\\\g<0>", words)
    words = _ENTITY.sub("&amp;", words).replace("<", "&lt;").replace(">", "&gt;")
    if _BLOCK.match(words):
        words = "\\" + words
    return _NUMBERED.sub(r"\1\\\2", words, count=1) if _NUMBERED.match(words) else words


def code(text: object) -> str:
    """Return the text as a code span, fenced by more backticks than it holds. Not for cells of tables."""
    words = " ".join(visible(text).split())
    if not words:
        return ""
    fence = "`" * (max((len(run) for run in re.findall(r"`+", words)), default=0) + 1)
    pad = " " if words.startswith("`") or words.endswith("`") else ""
    return f"{fence}{pad}{words}{pad}{fence}"


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Return a table of cells that are escaped already, with an empty line after it; nothing where no row is."""
    if not rows:
        return []
    lines = [head, ["---"] * len(head), *rows]
    return [f"| {' | '.join(line)} |" for line in lines] + [""]
