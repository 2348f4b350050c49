"""The reports of an audit as files: the same documents that the command line writes, by the ending of the name."""

from datetime import date
from pathlib import Path

from advisor.catalogue import report, writer
from advisor.catalogue.command import IN_FULL
from advisor.faults import Fault, InputError, Place, listing
from advisor.report import audit_text, html, markdown
from tui.audit_bench import Bench
from tui.files import write_whole

KINDS = {
    ".html": "a page with pictures", ".md": "Markdown", ".txt": "plain text", ".json": "for programs",
    ".csv": "a table",
}  # fmt: skip
TOP = 3
"""Of many units, so many are shown in full in text and JSON."""


def render(bench: Bench, kind: str) -> str:
    """Return the report of everything on the bench, of the kind that a file ending stands for. Raises InputError."""
    run, many = bench.gathered.run, bench.gathered.many
    if kind == ".csv":
        return "".join(writer.csv_results(run.ranking, report.demand_titles(run, bench.builder)))
    if many and kind in (".txt", ".json"):
        units = bench.best(TOP)
        run.ranking.best = [((number,), unit) for number, unit in enumerate(units)]
        faults = bench.gathered.faults
        found = report.document(run, bench.builder, bench.gathered.columns, bench.gathered.notes, faults)
        run.ranking.best = []
        return found.model_dump_json(by_alias=True, indent=1) + "\n" if kind == ".json" else report.text(found)
    document = bench.builder.document(bench.auditor.audit(unit) for unit in bench.best(IN_FULL))
    if kind == ".json":
        return document.model_dump_json(by_alias=True, indent=1) + "\n"
    if kind == ".txt":
        return audit_text.audit(document)
    if kind == ".html":
        return html.audit(document, on=date.today())
    return markdown.audit(document, on=date.today())


def export(bench: Bench, path: Path, *, overwrite: bool = False) -> None:
    """Write the report. Raises InputError, also where a file is there already and `overwrite` is not said."""
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise InputError([Fault(Place(str(path)), "says no kind of report", f"an ending: {listing(KINDS)}")])
    if path.exists() and not overwrite:
        raise InputError(
            [Fault(Place(str(path)), "is there already", "say it again to write over it, or another name")]
        )
    if not bench.results:
        raise InputError([Fault(Place(str(path)), "there is nothing to report", "open a spec sheet first")])
    write_whole(path, render(bench, kind))
