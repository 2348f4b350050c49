"""What a folder of cases holds against each rule: the whole sites in which it fires, and its cases at the edge.

Two forms are read, wherever they stand in the folder; other YAML files are passed over. A list of whole sites:

    - {case: lance-at-150-mm, source: "IEC 60529, 14.2.9", site: {wash: [{method: lance, pressure: 80 bar}]}}

and the edges of single rules, of which `fires`, `silent` or `given` with `gives` is told:

    rules:
      lance: {source: "IEC 60529, 14.2.9", cases: [{fires: {wash: {method: lance}}, because: it is one}]}
"""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from advisor import yamlfile
from advisor.engine.bounds import evaluate
from advisor.faults import Fault, InputError, Place
from advisor.loading import Loaded
from advisor.rulecheck import fired
from advisor.site import read_site
from advisor.yamlfile import Document

EDGES = ("fires", "silent", "given")


class Casebook:
    """The cases of a folder by the rules that they exercise."""

    def __init__(self, folder: Path, loaded: Loaded) -> None:
        """Read the folder and run its whole sites for certain. Raises InputError: no cases, or a site with faults."""
        self.sites: dict[str, list[str]] = {}
        """The names of the whole sites in which each rule fires."""
        self.edges: dict[str, list[tuple[str, Any, str]]] = {}
        """(what is expected, what is told, why) of each rule's cases at the edge."""
        files = sorted(folder.rglob("*.yaml")) if folder.is_dir() else []
        for document in map(yamlfile.load, files):
            for name, site in _sites(document):
                facts = [fact for fact in read_site(site, loaded.book).facts() if fact.certain]
                for rule in fired(evaluate(loaded.rules, facts, loaded.book, certain=True)):
                    self.sites.setdefault(rule, []).append(name)
            for rule, kind, told, because in _edges(document):
                self.edges.setdefault(rule, []).append((kind, told, because))
        if not self.sites and not self.edges:
            what = "holds no cases" if folder.is_dir() else "is no folder"
            accepted = "a folder with YAML files of cases, such as tests/cases"
            raise InputError([Fault(Place(str(folder)), what, accepted)])


def _sites(document: Document) -> Iterator[tuple[str, Document]]:
    for entry in document.data if isinstance(document.data, list) else ():
        if isinstance(entry, Mapping) and isinstance(entry.get("site"), Mapping) and entry.get("case"):
            name = str(entry["case"])
            yield name, Document(f"{document.path}, {name}", {"site": name, "others": "none", **entry["site"]})


def _edges(document: Document) -> Iterator[tuple[str, str, Mapping[str, Any], str]]:
    rules = document.data.get("rules") if isinstance(document.data, Mapping) else None
    for rule, entry in rules.items() if isinstance(rules, Mapping) else ():
        for case in entry.get("cases") or () if isinstance(entry, Mapping) else ():
            kind = next((kind for kind in EDGES if isinstance(case, Mapping) and kind in case), "")
            if kind and isinstance(case[kind], Mapping):
                yield str(rule), kind, case[kind], str(case.get("because", ""))
