"""The commands that look over many values of an answer or over many points: `map`, `field`, `register`.

Contract as in `cli`, which hands in what all commands share: the common options, the writing of the result, and where a
site file lies in a folder. What reasons is imported by the command that needs it.
"""

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any, TextIO

Common = Callable[[argparse.ArgumentParser, Sequence[str]], None]
MOST_JOBS = 8
Emit = Callable[[argparse.Namespace, str], int]


def add(commands: Any, common: Common, emit: Emit, site_path: Callable[[Path], Path]) -> None:
    """Add the commands to the parser's."""
    chart = commands.add_parser("map", help="which demands hold where, over two answers that are figures")
    chart.add_argument("site", type=Path, metavar="SITE", help="site file, or a folder with site.yaml")
    chart.add_argument("x", metavar="SLOT_X", help="across, such as wash.pressure, or wash:2.pressure of the second")
    chart.add_argument("y", metavar="SLOT_Y", help="up, such as wash.distance")
    chart.add_argument(
        "--range",
        action="append",
        default=[],
        dest="ranges",
        metavar="SLOT=LOW..HIGH",
        help="the range of an axis, such as 'x=1 .. 100 bar'; for both axes give it twice",
    )
    chart.add_argument("--cells", default="", metavar="COLUMNSxROWS", help="how fine the map is (60x40)")
    chart.add_argument(
        "--topic", action="append", default=[], metavar="TOPIC", help="only demands on this, as ingress or material"
    )
    common(chart, ("text", "html", "json"))
    chart.set_defaults(run=lambda options: _map(options, emit, site_path))

    field = commands.add_parser("field", help="magnetic fields of a site as a picture, with keep-out distances")
    field.add_argument("site", type=Path, metavar="SITE", help="site file, or a folder with site.yaml")
    common(field, ("text", "html", "json"))
    field.set_defaults(run=lambda options: _field(options, emit, site_path))

    register = commands.add_parser("register", help="many points against a catalogue, and the fewest types for all")
    register.add_argument("points", type=Path, metavar="POINTS", help="a folder of site files, or CSV, a row a point")
    register.add_argument("units", type=Path, nargs="+", metavar="CATALOGUE", help="catalogues or spec sheets")
    register.add_argument("--columns", default="", metavar="ROLE=COLUMN,...", help="what columns of a catalogue mean")
    register.add_argument("--jobs", type=int, default=0, metavar="N", help="processes (one for each processor)")
    register.add_argument(
        "--journal", type=Path, metavar="FILE", help="keeps what is worked out, for a later run (OUTPUT.journal)"
    )
    common(register, ("text", "html", "json", "csv"))
    register.set_defaults(run=lambda options: _register(options, emit))


def _register(options: argparse.Namespace, emit: Emit) -> int:
    """Exit code 1 where a point has no fit unit. A journal that was not asked for goes when the result is written."""
    from advisor.loading import load
    from advisor.register.command import csv_matrix, register_document
    from advisor.report.register_text import register_text

    own: Path | None = options.journal
    if own is None and options.output is not None:
        own = options.output.with_name(f"{options.output.name}.journal")
    jobs = options.jobs if options.jobs > 0 else min(MOST_JOBS, os.cpu_count() or 1)
    loaded = load(options.rules)
    document = register_document(options.points, options.units, loaded, columns=options.columns, journal=own, jobs=jobs)
    if options.format == "json":
        emit(options, document.model_dump_json(by_alias=True) + "\n")
    elif options.format == "csv":
        emit(options, "".join(csv_matrix(document)))
    elif options.format == "html":
        from advisor.report.register_html import register_page

        emit(options, register_page(document, on=date.today()))
    else:
        emit(options, register_text(document))
    if own is not None and options.journal is None:
        own.unlink(missing_ok=True)
    if options.format not in ("text", "json"):
        print("".join(f"{note}\n" for note in document.notes), end="", file=sys.stderr)
    return 1 if document.fit.unserved else 0


def _field(options: argparse.Namespace, emit: Emit, site_path: Callable[[Path], Path]) -> int:
    from advisor.advise import Advisor
    from advisor.engine.firing import EngineError
    from advisor.faults import InputError
    from advisor.loading import load
    from advisor.maps.field_build import field_document
    from advisor.site import load_site

    advisor = Advisor(load(options.rules))
    site = load_site(site_path(options.site), advisor.book)
    try:
        document = field_document(advisor.advise(site), advisor.book)
    except EngineError as problem:
        raise InputError([problem.fault]) from None
    if options.format == "json":
        return emit(options, document.model_dump_json(by_alias=True) + "\n")
    if options.format == "html":
        from advisor.report.field_html import field_page

        return emit(options, field_page(document, on=date.today()))
    from advisor.report.field_text import field_text

    return emit(options, field_text(document))


def _map(options: argparse.Namespace, emit: Emit, site_path: Callable[[Path], Path]) -> int:
    from advisor.loading import load
    from advisor.maps.command import cells_of, draw
    from advisor.site import load_site

    cells = cells_of(options.cells)
    loaded = load(options.rules)
    site = load_site(site_path(options.site), loaded.book)
    document = draw(site, (options.x, options.y), loaded, options.ranges, cells, options.topic)
    if options.format == "json":
        return emit(options, document.model_dump_json(by_alias=True) + "\n")
    if options.format == "html":
        from advisor.report.map_html import map_page

        return emit(options, map_page(document, on=date.today()))
    from advisor.report.map_text import map_text

    return emit(options, map_text(document, colour=options.output is None and colours(sys.stdout)))


def colours(stream: TextIO) -> bool:
    """Tell whether a stream is a terminal that shows colours, and colours are wanted."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM", "dumb") != "dumb"
