"""Loads the rulebook: vocabulary, tables and rules from `knowledge`, with a plant's own rules on top.

All faults of all files are found in one go. Files that loaded without a fault are taken from the cache next time; a
fault is always found in the files themselves, so that it carries its place.
"""

import contextlib
import functools
import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import Field

from advisor import cache, units, yamlfile
from advisor.engine.compiled import CompiledRule
from advisor.engine.compiler import RuleCompiler
from advisor.engine.facts import Fact
from advisor.faults import Collector, Fault, InputError, Place, nearest
from advisor.resistance import MatrixFiles
from advisor.resources import KNOWLEDGE
from advisor.rulebook import Rule, Rulebook
from advisor.schema import Entry, validate
from advisor.tables import read_tables
from advisor.vocabulary import Template, Topic, Vocabulary
from advisor.vocabulary_check import check_vocabulary
from advisor.yamlfile import Document

_FOLDERS = ("vocabulary", "tables", "rules", "resistance")
_LATER = "resistance"
"""The largest folder is read only when a site names an agent, or when nothing is cached and all is checked."""
_NOT_TEMPLATES = ("units.yaml",)


class Waiver(Entry):
    """A plant's own decision to lift a named rule, with the reason that every report prints."""

    lift: str
    reason: str = Field(min_length=10)


@dataclass(frozen=True)
class Loaded:
    """A rulebook ready for use. Rules are compiled when they are asked for: one site needs a small part of them."""

    book: Rulebook
    compiler: RuleCompiler

    @functools.cached_property
    def rules(self) -> tuple[CompiledRule, ...]:
        """All rules."""
        return self.compiler.compile()

    def rules_for(self, facts: Iterable[Fact]) -> tuple[CompiledRule, ...]:
        """The rules that the facts of a site could set off; no other can fire."""
        return self.compiler.compile_for(facts)


def load(extra: Sequence[Path] = (), *, knowledge: Path = KNOWLEDGE) -> Loaded:
    """Load and compile the rulebook with the rule folders in `extra`. Raises InputError with all faults found."""
    files = _files(knowledge, extra)
    digest = hashlib.sha256()
    for shown, path, _ in files:
        digest.update(f"{shown}\0".encode())
        try:
            digest.update(path.read_bytes())
        except OSError as problem:
            raise InputError([Fault(Place(shown), f"cannot be read ({problem.strerror})")]) from None
    name = cache.name(digest.hexdigest())
    now = [entry for entry in files if entry[2] != _LATER]
    later = [entry for entry in files if entry[2] == _LATER]
    cached = cache.read(name)
    if cached is not None and [document.path for document in cached] == [shown for shown, _, _ in now]:
        with contextlib.suppress(InputError):  # read again without the cache, so that the faults carry their places
            loaded = _assemble(cached, [kind for _, _, kind in now], digest.hexdigest(), trusted=True)
            loaded.book.matrix = functools.cache(lambda: _matrix(name, later))
            return loaded
    faults = Collector()
    documents = _parse(now, faults)
    matrix_documents = _parse(later, faults)
    faults.raise_any()
    loaded = _assemble(documents, [kind for _, _, kind in now], digest.hexdigest(), trusted=False)
    matrix = MatrixFiles(matrix_documents, faults)
    matrix.check(loaded.book.tables)
    faults.raise_any()
    loaded.book.matrix = lambda: matrix
    cache.write(name, documents)
    cache.write(f"{name}-{_LATER}", matrix_documents)
    units.keep()
    return loaded


def _parse(files: Sequence[tuple[str, Path, str]], faults: Collector) -> list[Document]:
    documents = []
    for shown, path, _ in files:
        try:
            documents.append(yamlfile.load(path, shown))
        except InputError as problem:
            faults.faults += problem.faults
    return documents


def _matrix(name: str, files: Sequence[tuple[str, Path, str]]) -> MatrixFiles:
    """Read the resistance matrix of a rulebook that came from the cache and so is known to be without a fault."""
    faults = Collector()
    documents = cache.read(f"{name}-{_LATER}") or _parse(files, faults)
    faults.raise_any()
    return MatrixFiles(documents, faults)


def _files(knowledge: Path, extra: Sequence[Path]) -> list[tuple[str, Path, str]]:
    """Return (name shown, path, kind) of every file; kind is the folder's name, or `own` for a plant's rules."""
    found = []
    for folder in _FOLDERS:
        for path in sorted((knowledge / folder).rglob("*.yaml")):
            if path.name not in _NOT_TEMPLATES:
                found.append((f"knowledge/{path.relative_to(knowledge).as_posix()}", path, folder))
    for folder_path in extra:
        if not folder_path.is_dir():
            raise InputError(
                [Fault(Place(str(folder_path)), "is no folder", "a folder with the plant's own *.yaml rules")]
            )
        own = sorted(folder_path.rglob("*.yaml"))
        if not own:
            raise InputError(
                [Fault(Place(str(folder_path)), "holds no *.yaml file", "a folder with the plant's own rules")]
            )
        found += [(str(path), path, "own") for path in own]
    return found


def _assemble(documents: Sequence[Document], kinds: Sequence[str], digest: str, *, trusted: bool) -> Loaded:
    faults = Collector()
    by_kind: dict[str, list[Document]] = {kind: [] for kind in (*_FOLDERS, "own")}
    for document, kind in zip(documents, kinds, strict=True):
        by_kind[kind].append(document)
    templates: dict[str, Template] = {}
    topics: dict[str, Topic] = {}
    for document in by_kind["vocabulary"]:
        _vocabulary(document, templates, topics, faults)
    tables = read_tables(by_kind["tables"], faults, trusted=trusted)
    book = Rulebook(Vocabulary(templates=templates, topics=topics), tables, {}, {}, digest[:12])
    if not trusted:
        check_vocabulary(book, faults)
    waivers: list[tuple[Place, Waiver]] = []
    for document in by_kind["rules"]:
        _rules(document, book, None, faults)
    for document in by_kind["own"]:
        _rules(document, book, waivers, faults)
    for place, waiver in waivers:
        if waiver.lift not in book.rules:
            faults.add(place, f"there is no rule {waiver.lift!r} to lift", nearest(waiver.lift, book.rules))
            continue
        del book.rules[waiver.lift]
        book.waived[waiver.lift] = waiver.reason
    compiler = RuleCompiler(book, faults)
    if not trusted:
        compiler.compile()
    faults.raise_any()
    return Loaded(book, compiler)


def _entries(document: Document, faults: Collector) -> list[tuple[int, dict[str, object]]]:
    if not isinstance(document.data, list):
        faults.add(document.place(), "is no list of entries", "a list, each entry beginning with '- '")
        return []
    good = []
    for index, entry in enumerate(document.data):
        if isinstance(entry, dict):
            good.append((index, entry))
        else:
            faults.add(document.place(index), "is no entry", "'- key: value' lines")
    return good


def _vocabulary(
    document: Document, templates: dict[str, Template], topics: dict[str, Topic], faults: Collector
) -> None:
    for index, entry in _entries(document, faults):
        if "topic" in entry:
            topic = validate(Topic, document, (index,), entry, faults)
            if topic is not None and topics.setdefault(topic.topic, topic) is not topic:
                faults.add(document.place(index), f"the topic {topic.topic!r} stands twice")
            continue
        template = validate(Template, document, (index,), entry, faults)
        if template is not None and templates.setdefault(template.template, template) is not template:
            faults.add(document.place(index), f"the template {template.template!r} stands twice")


def _rules(document: Document, book: Rulebook, waivers: list[tuple[Place, Waiver]] | None, faults: Collector) -> None:
    for index, entry in _entries(document, faults):
        if "lift" in entry and waivers is not None:
            waiver = validate(Waiver, document, (index,), entry, faults)
            if waiver is not None:
                waivers.append((document.place(index), waiver))
            continue
        rule = validate(Rule, document, (index,), entry, faults)
        if rule is None:
            continue
        if rule.rule in book.rules:
            faults.add(
                document.place(index),
                f"the rule {rule.rule!r} stands twice",
                f"the other: {book.places[rule.rule]}",
            )
            continue
        book.rules[rule.rule] = rule
        book.places[rule.rule] = document.place(index)
