"""The commands `relax` and `diff`. What they reason with is imported when they run, so that --help stays quick."""

import argparse
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.faults import Fault, InputError, Place, nearest

if TYPE_CHECKING:
    from advisor.advise import Advisor
    from advisor.relax import Relaxer
    from advisor.report.page import Page
    from advisor.rulebook import Rulebook
    from advisor.site import Site
    from advisor.whatif.document import RelaxDocument

Emit = Callable[[argparse.Namespace, str], int]
MOST_UNITS = 10
"""Of a catalogue only so many units, the best, are looked at."""
FORMATS = ("text", "md", "html", "json")


def add(commands: Any, common: Callable[..., None], emit: Emit) -> None:
    """Add the two commands to the parser; `emit` writes a result where the options say."""
    relax = commands.add_parser("relax", help="the smallest changes of a site that drop or lower what it demands")
    relax.add_argument("site", type=Path, metavar="SITE", help="site file, or a folder with site.yaml")
    relax.add_argument(
        "topic",
        nargs="?",
        default="",
        metavar="TOPIC",
        help="a topic such as temperature.wash, or a code such as IPX9; without it every demand",
    )
    relax.add_argument(
        "value", nargs="?", default="", metavar="VALUE", help="the figure to come down to, a code, or a material"
    )
    relax.add_argument("--reasons", action="store_true", help="the smallest sets of answers that force each demand")
    relax.add_argument("--hold", action="store_true", help="instead: how far each figure may move with no change")
    relax.add_argument(
        "--admit",
        type=Path,
        nargs="+",
        metavar="SHEET",
        help="instead: what would let these units in, if they fall short",
    )
    common(relax, FORMATS)
    relax.set_defaults(run=lambda options: _relax(options, emit))

    diff = commands.add_parser("diff", help="what changed between two states of a site, or by the plant's own rules")
    diff.add_argument("site", type=Path, metavar="SITE_A", help="the site before")
    diff.add_argument(
        "other", type=Path, nargs="?", metavar="SITE_B", help="the site now; without it --rules is needed"
    )
    common(diff, FORMATS)
    diff.set_defaults(run=lambda options: _diff(options, emit))


def _relax(options: argparse.Namespace, emit: Emit) -> int:
    from advisor.relax import Relaxer
    from advisor.report import whatif, whatif_page
    from advisor.sensitivity import holds

    advisor, site = _loaded(options.rules, options.site)
    with _Engine():
        relaxer = Relaxer(advisor, site)
        if options.hold:
            document = whatif.held(advisor, relaxer.world().advice, holds(advisor, site))
            return _out(options, emit, document, whatif_page.held(document))
        if options.admit:
            admitted = _admitted(options.admit, relaxer)
            return _out(options, emit, admitted, whatif_page.admitted(admitted))
        topic, value = subject(options.topic, options.value, advisor.book)
        found = relaxer.relaxations(topic, value)
        reasons = options.reasons or bool(topic)
        document = whatif.relaxed(relaxer, found, topic=topic, value=value, reasons=reasons)
    return _out(options, emit, document, whatif_page.relaxed(document))


def _admitted(sheets: list[Path], relaxer: "Relaxer") -> "RelaxDocument":
    from advisor.admit import Admitter
    from advisor.audit import Auditor
    from advisor.catalogue.command import KINDS, gather
    from advisor.report import whatif
    from advisor.sheet import SheetReader

    paths = [
        path
        for given in sheets
        for path in (sorted(p for p in given.iterdir() if p.suffix.lower() in KINDS) if given.is_dir() else [given])
    ]
    auditor = Auditor(relaxer.advisor.advise(relaxer.site), relaxer.book)
    found = gather(paths, SheetReader(relaxer.book), auditor, top=MOST_UNITS)
    return whatif.admitted(relaxer, Admitter(relaxer).rejected(found.audits()))


def _diff(options: argparse.Namespace, emit: Emit) -> int:
    from advisor.report import whatif, whatif_page
    from advisor.revision import revise

    if options.other is None and not options.rules:
        raise InputError([Fault(Place("diff"), "one site alone cannot differ", "a second SITE, or --rules DIR")])
    old, before = _loaded([] if options.other is None else options.rules, options.site)
    new, after = _loaded(options.rules, options.other or options.site)
    with _Engine():
        first, second = old.advise(before), new.advise(after)
        document = whatif.revised(revise(first, second, old, new), first, second, old, new)
    return _out(options, emit, document, whatif_page.revised(document))


def _loaded(rules: list[Path], path: Path) -> "tuple[Advisor, Site]":
    from advisor.advise import Advisor
    from advisor.loading import load
    from advisor.site import load_site

    advisor = Advisor(load(rules))
    return advisor, load_site(path / "site.yaml" if (path / "site.yaml").is_file() else path, advisor.book)


class _Engine:
    """Turns a failed computation into the fault of one line that the command line prints."""

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, problem: BaseException | None, trace: object) -> None:
        from advisor.engine.firing import EngineError

        if isinstance(problem, EngineError):
            raise InputError([problem.fault]) from None


def subject(topic: str, value: str, book: "Rulebook") -> tuple[str, str]:
    """Return the topic and value meant: a code alone names its topic. Raises InputError."""
    topics = book.vocabulary.topics
    if not topic or topic in topics:
        return topic, value
    wanted = topic.upper().replace(" ", "")
    for name, entry in topics.items():
        for key, row in (book.tables[entry.table].rows if entry.table else {}).items():
            if wanted in (key.upper(), row.name.upper().replace(" ", "")):
                return name, key
    codes = [key for entry in topics.values() if entry.table for key in book.tables[entry.table].rows]
    accepted = nearest(topic, [*topics, *codes], most=len(topics))
    raise InputError([Fault(Place("relax"), f"{topic!r} is no topic and no code", accepted)])


def _out(options: argparse.Namespace, emit: Emit, document: Any, page: "Page") -> int:
    from advisor.report import html
    from advisor.report import page as pages

    if options.format == "json":
        return emit(options, document.model_dump_json(by_alias=True, indent=1) + "\n")
    if options.format == "html":
        return emit(options, html.plain(page, on=date.today()))
    if options.format == "md":
        return emit(options, pages.markdown(page, on=date.today()))
    return emit(options, pages.text(page))
