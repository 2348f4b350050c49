"""The command line: `siteworthy ask`, `require`, `explain`, `relax`, `diff`, `audit`, `map`, `rulebook` and others.

Exit codes: 0 done; 1 an audit or a check found something; 2 the input or the call is wrong. Results go to standard
output or to the file named with -o, which is written aside and renamed, so that it is whole or not there at all.
Faults go to standard error, one line each.
"""

import argparse
import contextlib
import gc
import os
import re
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, NoReturn

from advisor import __version__, overview, rulebook_command
from advisor.faults import Fault, InputError, Place, nearest
from advisor.output import save
from advisor.whatif import command as whatif

if TYPE_CHECKING:  # the reasoning is imported by the command that needs it, so that --help is quick
    from advisor.advise import Advice, Advisor
    from advisor.rulebook import Rulebook

DONE, FOUND, WRONG = 0, 1, 2
REPORTS = ("text", "md", "html", "json")
RARELY = (300_000, 50, 100)
"""When cycles are looked for (`gc.set_threshold`): a command holds all it makes until its end and makes hardly any
cycles, so that by default it would spend a sixth of its time on finding nothing."""


def program() -> NoReturn:
    """Run the command line as a process of its own; nothing is looked for at its exit either."""
    gc.set_threshold(*RARELY)
    code = main()
    gc.freeze()
    sys.exit(code)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot show a degree sign shows a question mark instead of a traceback.
        getattr(stream, "reconfigure", lambda **_: None)(errors="replace")
    options = _parser().parse_args(arguments)
    try:
        code: int = options.run(options)
    except InputError as problem:
        print(problem, file=sys.stderr)
        return WRONG
    except BrokenPipeError:
        # The reader went away, as `| head` does; what it wanted it has.
        with contextlib.suppress(OSError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        return WRONG
    return code


class _Parser(argparse.ArgumentParser):
    """argparse with one line for a wrong call, naming the nearest command."""

    def error(self, message: str) -> NoReturn:
        wrong = re.match(r"argument \w+: invalid choice: '(.*)' \(choose from (.*)\)", message)
        if wrong:
            message = f"{wrong[1]!r} is not known; {nearest(wrong[1], re.findall(r'[a-z]+', wrong[2]))}"
        print(f"{self.prog}: {message}; see {self.prog} --help", file=sys.stderr)
        raise SystemExit(WRONG)


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="siteworthy",
        description="What a sensing device, junction box or enclosure must be at one point of a plant, and why.",
        epilog="Exit codes: 0 done, 1 something was found wanting, 2 the input or the call is wrong.",
    )
    parser.add_argument("--version", action="version", version=f"siteworthy {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    ask = commands.add_parser("ask", help="the interview on the terminal, with the demands beside it")
    ask.add_argument("site", type=Path, nargs="?", metavar="SITE", help="site file, or a folder with site.yaml")
    ask.add_argument(
        "--plain", action="store_true", help="line by line on standard input and output, as for a screen reader"
    )
    ask.add_argument("--web", action="store_true", help="in a browser on this machine (needs the extra web)")
    ask.add_argument("--port", type=int, default=0, metavar="N", help="port for --web; a free one by default")
    _rules(ask)
    ask.set_defaults(run=_ask)

    require = commands.add_parser("require", help="the requirement sheet of a site")
    require.add_argument("site", type=Path, metavar="SITE", help="site file, or a folder with site.yaml")
    require.add_argument(
        "--proofs", action="store_true", help="print the reasons under every demand; in HTML open them"
    )
    require.add_argument(
        "--open", action="store_true", dest="opened", help="list every note that hangs on open answers (text)"
    )
    _common(require, REPORTS)
    require.set_defaults(run=_require)

    explain = commands.add_parser("explain", help="why something is demanded of a site, or why not")
    explain.add_argument("site", type=Path, metavar="SITE", help="site file, or a folder with site.yaml")
    explain.add_argument(
        "topic",
        metavar="TOPIC",
        help="a topic such as ingress.water, a code such as IPX9, or a material such as 316L",
    )
    _common(explain, REPORTS)
    explain.set_defaults(run=_explain)

    whatif.add(commands, _common, _emit)

    audit = commands.add_parser("audit", help="spec sheets held against a site")
    audit.add_argument("site", type=Path, metavar="SITE", help="site file, or a folder with site.yaml")
    audit.add_argument(
        "sheets",
        type=Path,
        nargs="+",
        metavar="SHEET",
        help="spec sheet as .yaml, .txt or .pdf, catalogue as .csv or .xlsx, a folder of them, or - for text",
    )
    audit.add_argument("--columns", default="", metavar="ROLE=COLUMN,...", help="what columns of a catalogue speak of")
    audit.add_argument(
        "--save-sheet", type=Path, metavar="FILE", help="save what was read from text or PDF as a YAML sheet"
    )
    audit.add_argument("--top", type=int, default=3, metavar="N", help="of many units, show the N best in full (3)")
    audit.add_argument("--proofs", action="store_true", help="print the reasons under every finding; in HTML open them")
    audit.add_argument("--open", action="store_true", dest="opened", help="list findings on open demands too (text)")
    _common(audit, (*REPORTS, "csv"))
    audit.set_defaults(run=_audit)

    overview.add(commands, _common, _emit, _site_path)

    rulebook_command.add(commands, _common, _emit)
    return parser


def _common(parser: argparse.ArgumentParser, formats: Sequence[str] = ("text", "json")) -> None:
    parser.add_argument("--format", choices=formats, default="text")
    parser.add_argument(
        "-o", "--output", type=Path, metavar="FILE", help="write to this file instead of standard output"
    )
    _rules(parser)


def _rules(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--rules",
        type=Path,
        action="append",
        default=[],
        metavar="DIR",
        help="a folder with the plant's own rules; may be given again",
    )


def _site_path(path: Path) -> Path:
    if path.is_dir() and not (path / "site.yaml").is_file():
        raise InputError([Fault(Place(str(path)), "holds no site.yaml", "a site file, or a folder with site.yaml")])
    return path / "site.yaml" if path.is_dir() and (path / "site.yaml").is_file() else path


def _ask(options: argparse.Namespace) -> int:
    from tui.start import ask

    return ask(options)


def _require(options: argparse.Namespace) -> int:
    from advisor.report import text
    from advisor.report.requirement import DocumentBuilder

    advisor, advice = _advice(options)
    document = DocumentBuilder(advice, advisor).requirement()
    if options.format == "json":
        return _emit(options, document.model_dump_json(by_alias=True, indent=1) + "\n")
    if options.format != "text":
        return _emit(options, _page(options).requirement(document, on=date.today(), proofs=options.proofs))
    return _emit(options, text.requirement(document, proofs=options.proofs, opened=options.opened))


def _explain(options: argparse.Namespace) -> int:
    from advisor.report import text
    from advisor.report.requirement import DocumentBuilder

    advisor, advice = _advice(options)
    topics = advisor.book.vocabulary.topics
    topic, item = topics.get(options.topic), ""
    if topic is None:
        wanted = options.topic.upper().replace(" ", "")
        # "IP67" is asked about by its second numeral, which is the one that people mean.
        wanted = re.sub(r"^IP[0-6](\dK?)$", r"IPX\1", wanted)
        for entry in topics.values():
            rows = advisor.book.tables[entry.table].rows if entry.table else {}
            for key, row in rows.items():
                if wanted in (key.upper(), row.name.upper().replace(" ", "")):
                    topic, item = entry, key
    material = _material(options.topic, advisor.book) if topic is None else None
    if topic is None and material is None:
        codes = [key for entry in topics.values() if entry.table for key in advisor.book.tables[entry.table].rows]
        accepted = nearest(options.topic, [*topics, *codes], most=len(topics))
        raise InputError([Fault(Place("explain"), f"{options.topic!r} is no topic, code or material", accepted)])
    builder = DocumentBuilder(advice, advisor)
    document = builder.explanation(topic, item) if topic else builder.material(material or "")
    if options.format == "json":
        return _emit(options, document.model_dump_json(by_alias=True, indent=1) + "\n")
    if options.format != "text":
        return _emit(options, _page(options).explanation(document, on=date.today()))
    return _emit(options, text.explanation(document))


def _material(word: str, book: "Rulebook") -> str | None:
    """Return the key of the material that a word names."""
    wanted = " ".join(word.casefold().replace("-", " ").split())
    for key, row in book.tables["materials"].rows.items():
        names = {" ".join(name.casefold().replace("-", " ").split()) for name in (key, row.name, *row.aliases)}
        if wanted in names:
            return key
    return None


def _page(options: argparse.Namespace) -> ModuleType:
    """Return the renderer of pages; both have the same functions."""
    from advisor.report import html, markdown

    return html if options.format == "html" else markdown


def _audit(options: argparse.Namespace) -> int:
    from advisor.audit import Auditor
    from advisor.catalogue import command, report, writer
    from advisor.report import audit_text
    from advisor.report.audited import AuditBuilder
    from advisor.report.requirement import DocumentBuilder
    from advisor.sheet import SheetReader

    advisor, advice = _advice(options)
    paths = _sheet_paths(options.sheets)
    found = command.gather(
        paths,
        SheetReader(advisor.book),
        Auditor(advice, advisor.book),
        mapping=options.columns,
        save=options.save_sheet,
        top=max(0, options.top),
    )
    builder = AuditBuilder(DocumentBuilder(advice, advisor), advisor)
    code = DONE if found.all_fit else FOUND
    if not (found.many and options.format in ("text", "json")):
        print("".join(f"{line}\n" for line in found.said()), end="", file=sys.stderr)
    if options.format == "csv":
        _emit(options, "".join(writer.csv_results(found.run.ranking, report.demand_titles(found.run, builder))))
        return code
    if found.many and options.format in ("text", "json"):
        many = report.document(found.run, builder, found.columns, found.notes, found.faults)
        if options.format == "json":
            _emit(options, many.model_dump_json(by_alias=True, indent=1) + "\n")
        else:
            _emit(options, report.text(many, proofs=options.proofs, opened=options.opened))
        return code
    document = builder.document(found.audits())
    if options.format == "json":
        _emit(options, document.model_dump_json(by_alias=True, indent=1) + "\n")
    elif options.format != "text":
        _emit(options, _page(options).audit(document, on=date.today(), proofs=options.proofs))
    else:
        _emit(options, audit_text.audit(document, proofs=options.proofs, opened=options.opened))
    return code


def _sheet_paths(given: Sequence[Path]) -> list[Path]:
    """Return the sheets meant: files as they are, and of a folder every sheet in it."""
    from advisor.catalogue.command import KINDS

    paths: list[Path] = []
    for path in given:
        if str(path) != "-" and path.is_dir():
            found = sorted(entry for entry in path.iterdir() if entry.suffix.lower() in KINDS)
            if not found:
                raise InputError([Fault(Place(str(path)), "holds no spec sheet", f"*{', *'.join(KINDS)}")])
            paths += found
        else:
            paths.append(path)
    return paths


def _advice(options: argparse.Namespace) -> tuple["Advisor", "Advice"]:
    from advisor.advise import Advisor
    from advisor.engine.firing import EngineError
    from advisor.loading import load
    from advisor.site import load_site

    advisor = Advisor(load(options.rules))
    site = load_site(_site_path(options.site), advisor.book)
    try:
        return advisor, advisor.advise(site)
    except EngineError as problem:
        raise InputError([problem.fault]) from None


def _emit(options: argparse.Namespace, text: str) -> int:
    """Write the result; a file is written aside and renamed."""
    path: Path | None = options.output
    if path is not None:
        _spare_inputs(options, path)
        save(path, text)
        return DONE
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as problem:
        what = f"cannot be written ({problem.strerror})"
        raise InputError([Fault(Place("standard output"), what, "a file with -o, or another place")]) from None
    return DONE


def _spare_inputs(options: argparse.Namespace, path: Path) -> None:
    """Raise InputError when the result would overwrite what it was made from."""
    if not path.is_file():
        return
    for name in ("site", "other", "sheets", "points", "catalogue", "units"):
        given = getattr(options, name, None)
        for entry in given if isinstance(given, list) else [given]:
            if isinstance(entry, Path) and entry.is_dir():
                entry = entry / "site.yaml"
            if isinstance(entry, Path) and entry.is_file() and os.path.samefile(entry, path):
                raise InputError([Fault(Place(str(path)), "is what was read", "another file for -o")])


if __name__ == "__main__":
    program()
