"""Takes the text of a PDF sheet with pdfplumber (the extra `pdf`), laid out as on the page, then read like pasted text.

Before anything is parsed every packed stream of the file is unpacked piece by piece up to a limit and thrown away, so
that a bomb is refused with one line and never fills the memory. Raises InputError for a file that is too large, locked,
broken, or holds no text, as scans do.
"""

import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor.faults import Fault, InputError, Place

LARGEST_FILE = 30_000_000
LARGEST_STREAM = 64_000_000
LARGEST_UNPACKED = 250_000_000
LARGEST_DRAWING = 6_000_000
"""Bytes of drawing instructions on one page."""
MOST_RATIO = 400
SMALL = 1_000_000
MOST_PAGES = 60
MOST_TEXT = 190_000
"""Characters, a little below what the notation reads in one go."""
NESTED = 3
_STREAM = re.compile(rb"stream\r?\n")
_CODED = (b"/LZWDecode", b"/LZW", b"/RunLengthDecode", b"/RL", b"/JBIG2Decode")
_CHUNK = 1 << 20


@dataclass(frozen=True)
class PdfText:
    """The text of a PDF, and the page on which each line of it stands."""

    text: str
    pages: tuple[int, ...]

    def place(self, line: int) -> str:
        """The place of a line in words."""
        page = self.pages[line - 1] if 0 < line <= len(self.pages) else 0
        return f"page {page}, line {line - self.pages.index(page)}" if page else f"line {line}"


def read_pdf(path: Path) -> PdfText:
    """Return the text of a PDF. Raises InputError."""

    def fault(what: str, accepted: str = "") -> InputError:
        return InputError([Fault(Place(str(path)), what, accepted)])

    try:
        if path.stat().st_size > LARGEST_FILE:
            raise fault("is too large", f"at most {LARGEST_FILE // 1_000_000} MB are read")
        raw = path.read_bytes()
    except OSError as problem:
        raise fault(f"cannot be read ({problem.strerror})") from None
    if b"%PDF-" not in raw[:1024]:
        raise fault("is no PDF")
    look_into(raw, str(path))
    try:
        import pdfplumber
    except ImportError:
        raise fault("needs pdfplumber", "pip install 'siteworthy[pdf]', or paste the text into a .txt file") from None
    try:
        with pdfplumber.open(path) as document:
            if len(document.pages) > MOST_PAGES:
                raise fault(f"has {len(document.pages)} pages", f"at most {MOST_PAGES}; cut the sheet out")
            found = list(_lines(document.pages, str(path)))
    except InputError:
        raise
    except RecursionError:
        raise fault("is refused: it is nested too deeply") from None
    except Exception as problem:  # noqa: BLE001 - the parser raises what the file makes it
        kind = type(problem).__name__
        locked = "Password" in kind or "Encrypt" in kind or "Password" in str(problem)
        raise fault("is locked" if locked else f"cannot be read as a PDF ({kind})") from None
    if not any(text.strip() for _, text in found):
        raise fault("holds no text", "a scan must be typed or recognised first; paste the text into a .txt file")
    text = "\n".join(text for _, text in found)
    if len(text) > MOST_TEXT:
        raise fault("holds too much text for one sheet", f"at most {MOST_TEXT} characters; cut the sheet out")
    return PdfText(text, tuple(page for page, _ in found))


def _lines(pages: Any, path: str) -> Iterator[tuple[int, str]]:
    """Yield (page, line) of every line, columns parted by blanks, one blank line for a gap and between pages."""
    for number, page in enumerate(pages, start=1):
        drawing = sum(len(stream.get_data()) for stream in page.page_obj.contents if hasattr(stream, "get_data"))
        if drawing > LARGEST_DRAWING:
            raise InputError([Fault(Place(path), f"is refused: page {number} is drawn with too many instructions")])
        lines = [line.rstrip() for line in (page.extract_text(layout=True) or "").split("\n")]
        margin = min((len(line) - len(line.lstrip()) for line in lines if line), default=0)
        blank = True
        for line in lines:
            if line or not blank:
                yield number, line[margin:]
            blank = not line
        if not blank:
            yield number, ""
        page.close()


def look_into(raw: bytes, path: str) -> None:
    """Refuse a file whose streams unpack to too much. Raises InputError."""
    total = 0
    for match in _STREAM.finditer(raw):
        end = raw.find(b"endstream", match.end())
        body = raw[match.end() : end if end >= 0 else len(raw)]
        head = raw[max(0, match.start() - 2_000) : match.start()]
        head = head[head.rfind(b" obj") + 1 :]
        if len(body) > SMALL and any(name in head for name in _CODED):
            raise InputError([Fault(Place(path), "is refused: a stream is packed in a way that cannot be looked into")])
        size = _unpacked(body, NESTED)
        total += size
        if size > LARGEST_STREAM or total > LARGEST_UNPACKED or (size > SMALL and size > MOST_RATIO * len(body)):
            raise InputError([Fault(Place(path), "is refused: it unpacks to far more than a sheet holds")])


def _unpacked(body: bytes, depth: int) -> int:
    """Return how much a stream unpacks to, packed up to `depth` times over; counting stops beyond the limit."""
    total, kept = 0, b""
    unpacker = zlib.decompressobj()
    rest = body
    try:
        while rest and total <= LARGEST_STREAM:
            piece = unpacker.decompress(rest, _CHUNK)
            rest = unpacker.unconsumed_tail
            total += len(piece)
            if depth > 1 and len(kept) < LARGEST_STREAM // 8:
                kept += piece
            if not piece:
                break
    except zlib.error:
        return total
    if depth > 1 and kept[:1] == b"\x78":
        total = max(total, _unpacked(kept, depth - 1))
    return total
