"""Renders documents as one HTML file that needs nothing else: no network, no script, no font, no image file.

It is read on a screen, light or dark, and on paper, black on white; every meaning that a colour has stands in a word,
a letter and a pattern as well. Whatever came from a site file, a sheet or a rulebook goes through `visible` and
through the escaping of the templates, and a policy in the head lets the page load nothing even if both should fail.
The date is given by the caller.
"""

import functools
from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Protocol

import jinja2
from markupsafe import Markup

from advisor.document import AuditDocument, DemandEntry, Explanation, Requirement, RulebookStamp
from advisor.report import common, matrix, pictures
from advisor.report.text import CAVEAT

if TYPE_CHECKING:
    from advisor.report.page import Page

COMPARED = 12
"""Up to so many units, the best, stand in one picture."""


class Dated(Protocol):
    """A document as the head of a page needs it."""

    @property
    def version(self) -> str: ...
    @property
    def rulebook(self) -> RulebookStamp: ...
    @property
    def site(self) -> Mapping[str, object]: ...


@functools.cache
def _templates() -> jinja2.Environment:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("advisor.report", "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_seen,
    )
    environment.globals.update(
        caveat=CAVEAT,
        folded_in_print=common.FOLDED_IN_PRINT,
        verdicts=common.VERDICTS,
        finding_titles=common.FINDINGS,
        letters=common.LETTERS,
        answers=common.answers,
        certain=common.certain,
        pending=common.pending,
        why_text=why_text,
        bar_height=pictures.BAR,
        block_height=pictures.BLOCK,
    )
    return environment


def _seen(value: object) -> object:
    if isinstance(value, Markup | jinja2.Undefined | int | float):
        return value
    return common.visible(value)


def why_text(entry: DemandEntry) -> str:
    """Return what a demand's text says beside the demand itself."""
    return entry.text.removeprefix(entry.proof.conclusion).removeprefix(":").strip()


def requirement(document: Requirement, *, on: date, proofs: bool = False) -> str:
    """Return the requirement sheet dated `on`; `proofs` opens every reason."""
    return page(
        "requirement.html.j2", document, on, proofs,
        sure=[entry for entry in document.demands if entry.state == "certain"],
        hanging=[entry for entry in document.demands if entry.state == "open"],
    )  # fmt: skip


def explanation(document: Explanation, *, on: date) -> str:
    """Return why a topic is demanded, or why not, dated `on`, with every reason open."""
    return page("explanation.html.j2", document, on, True, what=f"{document.topic} {document.value}".strip())


def audit(document: AuditDocument, *, on: date, proofs: bool = False) -> str:
    """Return the audit dated `on`. Beyond `matrix.MOST_DETAILED` units only the matrix tells of the rest."""
    found = matrix.matrix(document.units)
    detailed = document.units[: matrix.MOST_DETAILED]
    columns = matrix.columns(document.units)
    return page(
        "audit.html.j2", document, on, proofs,
        matrix=found,
        demands=columns,
        number={column.key: number for number, column in enumerate(columns, 1)},
        key=matrix.key,
        units=[(number, unit, pictures.charts([unit])) for number, unit in enumerate(detailed, 1)],
        compared=pictures.charts(document.units[:COMPARED], named=True) if len(document.units) > 1 else [],
        compared_at_most=COMPARED,
        counts=[sum(unit.verdict == verdict for unit in document.units) for verdict in common.VERDICTS],
    )  # fmt: skip


def rulebook(**parts: object) -> str:
    """Return the page of a whole rulebook, of the parts that `rule_page` makes."""
    return _templates().get_template("rulebook.html.j2").render(**parts)


def plain(document: "Page", *, on: date) -> str:
    """Return a report of sections, points and tables dated `on`."""
    return page("page.html.j2", document, on, False)


def page(name: str, document: Dated, on: date, opened: bool, **more: object) -> str:
    """Return a page by its template, dated `on`; `opened` opens every reason."""
    template = _templates().get_template(name)
    stamp = common.stamp(document.version, document.rulebook, document.site, on.isoformat())
    return template.render(document=document, site=document.site, stamp=stamp, opened=opened, **more) + "\n"
