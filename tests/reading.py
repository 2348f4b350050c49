"""What a reader of a report sees, whatever form it has."""

import html
import re

from markdown_it import MarkdownIt


def plain(text: str, form: str) -> str:
    """Return what a reader of the report sees."""
    if form == "md":
        text = MarkdownIt("gfm-like").render(text)
    if form in ("md", "html"):
        text = html.unescape(re.sub(r"<[^>]*>", "", text)).replace("\u200b", "")
    return " ".join(text.split())
