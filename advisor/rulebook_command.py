"""The commands `form`, `rulebook` and `schema`: what can be said of a site, what rules and tables say, and the JSON.

`add` puts them into the command line; how results are written out is handed in.
"""

import argparse
import importlib
import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.faults import Fault, InputError, Place, nearest

if TYPE_CHECKING:
    from advisor.casebook import Casebook
    from advisor.document import Part
    from advisor.rulebook import Rulebook

DONE, FOUND = 0, 1
_DOCUMENTS = {
    "require": ("advisor.document", "Requirement"),
    "explain": ("advisor.document", "Explanation"),
    "relax": ("advisor.whatif.document", "RelaxDocument"),
    "diff": ("advisor.whatif.document", "DiffDocument"),
    "audit": ("advisor.document", "AuditDocument"),
    "catalogue": ("advisor.catalogue.document", "CatalogueDocument"),
    "map": ("advisor.maps.document", "MapDocument"),
    "field": ("advisor.maps.field_document", "FieldDocument"),
    "register": ("advisor.register.document", "RegisterDocument"),
}
"""Where the models of the documents stand; each is imported when it is asked for."""
Emit = Callable[[argparse.Namespace, str], int]


def add(commands: Any, common: Callable[..., None], emit: Emit) -> None:
    """Add the commands to those of the command line."""
    form = commands.add_parser("form", help="an empty site file with every question, to fill in")
    form.add_argument("subjects", nargs="*", metavar="SUBJECT", help="only these, such as wash, weld or exposure")
    form.add_argument("-o", "--output", type=Path, metavar="FILE")
    form.set_defaults(run=partial(_form, emit=emit), rules=[])

    rulebook = commands.add_parser("rulebook", help="list, show or check the rules; list the tables")
    actions = rulebook.add_subparsers(dest="action", required=True, metavar="ACTION")
    listing = actions.add_parser("list", help="one line for each rule")
    listing.add_argument("word", nargs="?", default="", help="only rules that contain this word")
    common(listing)
    listing.set_defaults(run=partial(_rulebook_list, emit=emit))
    show = actions.add_parser("show", help="a rule in full, or all of them as one page")
    show.add_argument("rule", nargs="?", default="", metavar="RULE", help="the rule's name")
    show.add_argument("--all", action="store_true", help="all rules by subject, and the tables (md, html, json)")
    show.add_argument(
        "--cases", type=Path, metavar="DIR", help="list with each rule the cases of this folder that exercise it"
    )
    common(show, ("text", "md", "html", "json"))
    show.set_defaults(run=partial(_rulebook_show, emit=emit))
    table = actions.add_parser("table", help="the rows of a table with their names, or the list of the tables")
    table.add_argument("table", nargs="?", default="", metavar="TABLE", help="the table's name")
    common(table)
    table.set_defaults(run=partial(_rulebook_table, emit=emit))
    check = actions.add_parser("check", help="hold the rules against themselves and run their examples")
    check.add_argument("--strict", action="store_true", help="what is unsourced or untested counts too")
    common(check)
    check.set_defaults(run=partial(_rulebook_check, emit=emit))

    schema = commands.add_parser("schema", help="the JSON schema of a document")
    schema.add_argument("document", choices=list(_DOCUMENTS))
    schema.add_argument("-o", "--output", type=Path, metavar="FILE")
    schema.set_defaults(run=partial(_schema, emit=emit))


def _form(options: argparse.Namespace, *, emit: Emit) -> int:
    from advisor.loading import load
    from advisor.report import form

    return emit(options, form.form(load(options.rules).book, options.subjects))


def _rulebook_list(options: argparse.Namespace, *, emit: Emit) -> int:
    from advisor.loading import load
    from advisor.report import rules

    book = load(options.rules).book
    found = rules.search(book, options.word)
    if options.format == "json":
        return emit(options, json.dumps([rules.as_json(book, rule) for rule in found], indent=1) + "\n")
    return emit(options, rules.listing(book, found))


def _rulebook_show(options: argparse.Namespace, *, emit: Emit) -> int:
    from advisor.loading import load
    from advisor.report import rules

    loaded = load(options.rules)
    book = loaded.book
    exercised = None
    if options.cases is not None:
        from advisor.casebook import Casebook

        exercised = Casebook(options.cases, loaded)
    if options.all:
        return _show_all(options, book, exercised, emit)
    if options.format in ("md", "html"):
        raise InputError(
            [Fault(Place("rulebook show"), f"{options.format} is for all rules", "--all, or text or json")]
        )
    if options.rule not in book.rules:
        raise InputError(
            [
                Fault(
                    Place("rulebook show"),
                    f"there is no rule {options.rule!r}",
                    nearest(options.rule, book.rules),
                )
            ]
        )
    rule = book.rules[options.rule]
    if options.format == "json":
        return emit(options, json.dumps(rules.as_json(book, rule, exercised), indent=1) + "\n")
    return emit(options, rules.full(book, rule, exercised))


def _show_all(
    options: argparse.Namespace, book: "Rulebook", exercised: "Casebook | None", emit: Emit
) -> int:
    from advisor.report import rule_page, rules

    if options.rule:
        raise InputError([Fault(Place("rulebook show"), "a rule's name and --all", "one of them")])
    if options.format == "json":
        listed = [rules.as_json(book, rule, exercised) for rule in book.rules.values()]
        return emit(options, json.dumps(listed, indent=1) + "\n")
    if options.format == "text":
        return emit(options, "\n".join(rules.full(book, rule, exercised) for rule in book.rules.values()))
    page = rule_page.html if options.format == "html" else rule_page.markdown
    return emit(options, page(book, exercised))


def _rulebook_table(options: argparse.Namespace, *, emit: Emit) -> int:
    from advisor.loading import load
    from advisor.report import form

    book = load(options.rules).book
    if not options.table:
        names = json.dumps(sorted(book.tables), indent=1) + "\n"
        return emit(options, names if options.format == "json" else form.tables(book))
    show = form.table_json if options.format == "json" else form.table
    return emit(options, show(book, options.table))


def _rulebook_check(options: argparse.Namespace, *, emit: Emit) -> int:
    from advisor.loading import load
    from advisor.report import rules
    from advisor.rulecheck import check

    loaded = load(options.rules)
    result = check(loaded)
    if options.strict:
        from advisor.strictcheck import strict_findings

        result.findings += strict_findings(loaded)
    if options.format == "json":
        emit(options, json.dumps(result.as_json(), indent=1) + "\n")
    else:
        emit(options, rules.checked(result))
    return FOUND if result.findings else DONE


def _schema(options: argparse.Namespace, *, emit: Emit) -> int:
    module, name = _DOCUMENTS[options.document]
    model: type[Part] = getattr(importlib.import_module(module), name)
    return emit(options, json.dumps(model.model_json_schema(by_alias=True), indent=1) + "\n")
