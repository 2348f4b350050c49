"""Reports of the present site by the renderers of `advisor.report`, from the engine of record."""

import re
from datetime import date
from pathlib import Path

from advisor.advise import Advisor
from advisor.report import text
from advisor.report.requirement import DocumentBuilder
from tui.files import write_whole
from tui.outline import Option
from tui.session import Session

OPTIONS = (
    Option("txt", "text"),
    Option("txt proofs", "text with all reasons"),
    Option("md", "Markdown"),
    Option("md proofs", "Markdown with all reasons"),
    Option("html", "HTML, one file with pictures, reasons folded"),
    Option("html proofs", "HTML with the reasons opened, for print"),
    Option("json", "JSON, for other programs"),
)


def render(session: Session, advisor: Advisor, kind: str) -> str:
    """Return the report of a kind among OPTIONS. Raises InputError."""
    form, _, proofs = kind.partition(" ")
    document = DocumentBuilder(session.advice(), advisor).requirement()
    if form == "json":
        return document.model_dump_json(by_alias=True, indent=1) + "\n"
    if form == "txt":
        return text.requirement(document, proofs=bool(proofs))
    from advisor.report import html, markdown

    page = html if form == "html" else markdown
    return str(page.requirement(document, on=date.today(), proofs=bool(proofs)))


def write(session: Session, advisor: Advisor, kind: str, path: Path) -> None:
    """Write a report. Raises InputError, with nothing half-written."""
    write_whole(path, render(session, advisor, kind))


def file_name(title: str, ending: str) -> str:
    """Return a name for a file from the title of a point."""
    words = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")
    return f"{words[:40].rstrip('-') or 'point'}.{ending}"


def beside(path: Path | None, title: str, kind: str) -> Path:
    """Return where a report is proposed: beside the site file."""
    ending = kind.split(" ")[0]
    if path is None:
        return Path(file_name(f"{title} requirement", ending))
    stem = path.parent.name if path.stem == "site" else path.stem
    return path.with_name(f"{stem}-requirement.{ending}")
