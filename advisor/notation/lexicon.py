"""The words of the trade, loaded from `knowledge/notation/*.yaml` and the materials tables, ready for look-up.

`lexicon(folder)` loads once per folder and keeps the result. All spellings go through the same tokeniser as the
texts, so a blank, a hyphen, a capital or an umlaut makes no difference. A file that is missing, has an unknown
key or says the same key twice is a `LexiconError`.
"""

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ValidationError

from advisor.notation import models
from advisor.notation.errors import LexiconError
from advisor.notation.tokens import DASHES, Token, fold, tokenise
from advisor.notation.trie import Trie

KNOWLEDGE = Path(__file__).resolve().parents[2] / "knowledge"
"""Where the knowledge lies if the caller does not say; the only place in this package that knows."""

M = TypeVar("M", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class Entry:
    """What a phrase means. `cls`: part, condition, limit, negation, turn, except, affirm, role, topic, wave, finish,
    aside, target, filler, connector, subject, statement, phenomenon, weld, standard body or enclosure head."""

    cls: str
    name: str
    data: Any = None


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as found on a sheet: base value = value * factor + offset."""

    name: str
    dimension: str
    factor: float
    offset: float
    grouped: bool
    reference: str


@dataclass(frozen=True, slots=True)
class MaterialName:
    """A material's row under one spelling."""

    slug: str
    alias: str
    generic: bool
    sure: bool
    roles: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Lexicon:
    """Everything the grammars look up."""

    phrases: Trie[Entry]
    units_strict: Trie[Unit]
    units_loose: Trie[Unit]
    base_units: dict[str, str]
    materials: Trie[MaterialName]
    codes: models.CodesFile
    conditions: dict[str, models.ConditionModel]
    statements: dict[str, models.StatementModel]
    standards: dict[str, tuple[models.StandardModel, ...]]
    laws: dict[str, models.LawModel]
    bodies: frozenset[str]
    notes: dict[str, str]
    abbreviations: frozenset[str]
    hints: frozenset[str]
    narrowing: frozenset[str]
    unticked: frozenset[str]
    absences: frozenset[str]
    coats: tuple[str, ...]
    """How a name ends that says that the thing is coated."""
    binders: Mapping[str, str]
    """The coat that a binder in brackets behind such a name means."""
    loose_names: frozenset[str]
    """Words for any metal of a kind that a grade right behind them makes precise."""
    inner: tuple[str, ...]
    """Words of a limit that cuts a stretch out of a range said before."""
    harmless: frozenset[str]
    doubts: frozenset[str]
    places: frozenset[str]
    warnings: frozenset[str]
    standard_targets: frozenset[str]
    parts: dict[str, str]
    kin: dict[str, tuple[str, str]]
    """Family and class of each material."""
    vocabulary: frozenset[str]
    longest: int
    """Letters of the longest word of the vocabulary."""

    def measures(self, conditions: Iterable[str]) -> bool:
        """Whether one of these conditions only says how a figure is measured (peak, rms)."""
        return any(self.conditions[name].family == "measure" for name in conditions)

    def halves(self, word: str) -> tuple[int, str]:
        """Where to cut a compound of two words of the lexicon, and its first word; 0 where it is none or one word."""
        return _halves(self, word)

    def tokens(self, text: str) -> list[Token]:
        """The tokens of a text, compounds cut."""
        return tokenise(text, self.halves)


@lru_cache(maxsize=50_000)
def _halves(lexicon: Lexicon, word: str) -> tuple[int, str]:
    if len(word) > 2 * lexicon.longest or fold(word) in lexicon.vocabulary:
        return 0, ""
    for cut in range(len(word) - 4, 2, -1):
        rest = fold(word[cut:])
        if rest not in lexicon.vocabulary:
            continue
        first = fold(word[:cut])
        # German joins compounds with s, n, en, es or nothing.
        for joint in ("", "s", "n", "en", "es"):
            if first.endswith(joint) and (bare := first.removesuffix(joint)) in lexicon.vocabulary:
                return cut, bare
    return 0, ""


_Base: type = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""The parser in C where it is there: it reads the lexicon in a fifth of the time."""


class _Loader(_Base):  # type: ignore[misc]
    """A safe loader that refuses the same key twice."""


def _mapping(loader: _Loader, node: yaml.MappingNode) -> dict[Hashable, Any]:
    seen: dict[Hashable, Any] = {}
    for key_node, value_node in node.value:
        key = loader.construct_object(key_node, deep=True)
        if key in seen:
            raise yaml.YAMLError(f"line {key_node.start_mark.line + 1}: the key {key!r} stands twice")
        seen[key] = loader.construct_object(value_node, deep=True)
    return seen


_Loader.add_constructor(yaml.resolver.BaseResolver.DEFAULT_MAPPING_TAG, _mapping)


def _load(path: Path, model: type[M]) -> M:
    try:
        with path.open(encoding="utf-8") as stream:
            return model.model_validate(yaml.load(stream, Loader=_Loader))  # noqa: S506 - a SafeLoader with one more check
    except OSError as error:
        raise LexiconError(path, error.strerror or "cannot be read") from error
    except yaml.YAMLError as error:
        raise LexiconError(path, " ".join(str(error).split())) from error
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(step) for step in first["loc"])
        raise LexiconError(path, f"{where}: {first['msg']}") from error


@cache
def lexicon(folder: Path | None = None) -> Lexicon:
    """The lexicon of a knowledge folder (the project's own by default), loaded once. Raises `LexiconError`."""
    knowledge = folder or KNOWLEDGE
    home = knowledge / "notation"
    units = _load(home / "units.yaml", models.UnitsFile)
    codes = _load(home / "codes.yaml", models.CodesFile)
    parts = _load(home / "parts.yaml", models.PartsFile)
    conditions = _load(home / "conditions.yaml", models.ConditionsFile)
    labels = _load(home / "labels.yaml", models.LabelsFile)
    statements = _load(home / "statements.yaml", models.StatementsFile)
    standards = _load(home / "standards.yaml", models.StandardsFile)
    notes = _load(home / "notes.yaml", models.NotesFile)

    phrases: Trie[Entry] = Trie()
    vocabulary: set[str] = set()
    for words, entry in _phrases(codes, parts, conditions, labels, statements):
        for word in words:
            _spell(phrases, word, entry, vocabulary)
    strict: Trie[Unit] = Trie(exact=True)
    loose: Trie[Unit] = Trie()
    for row in units.units:
        unit = Unit(row.unit, row.dimension, row.factor, row.offset, row.grouped, row.reference)
        if row.dimension not in units.dimensions:
            raise LexiconError(home / "units.yaml", f"{row.unit}: no such dimension as {row.dimension}")
        for word in row.strict:
            _spell(strict, word, unit, set())
        for word in row.loose:
            _spell(loose, word, unit, set())
    by_number: dict[str, list[models.StandardModel]] = {}
    for standard in standards.standards:
        by_number.setdefault(standard.number.upper(), []).append(standard)
    kin: dict[str, tuple[str, str]] = {}
    names = _materials(knowledge / "tables", labels, vocabulary, kin)
    return Lexicon(
        phrases=phrases,
        units_strict=strict,
        units_loose=loose,
        base_units=units.dimensions,
        materials=names,
        kin=kin,
        codes=codes,
        conditions=conditions.conditions,
        statements=statements.statements,
        standards={number: tuple(rows) for number, rows in by_number.items()},
        laws={law.number: law for law in standards.laws},
        bodies=frozenset(standards.bodies),
        notes=notes.notes,
        abbreviations=frozenset(fold(word) for word in labels.abbreviations),
        hints=frozenset(fold(word) for word in conditions.hints),
        narrowing=frozenset(fold(word) for word in conditions.narrowing),
        standard_targets=frozenset(fold(word) for word in labels.standard_targets),
        unticked=frozenset(conditions.unticked),
        absences=frozenset(fold(word) for word in conditions.absences),
        coats=tuple(fold(word) for word in labels.coats),
        loose_names=frozenset(map(fold, labels.loose_names)),
        binders={fold(word): coat for coat, words in labels.binders.items() for word in words},
        inner=tuple(f"{fold(word)} " for word in conditions.inner),
        harmless=frozenset(fold(word) for word in conditions.harmless),
        doubts=frozenset(fold(word) for word in conditions.doubts),
        places=frozenset(fold(word) for word in conditions.places),
        warnings=frozenset(fold(word) for word in conditions.warnings),
        parts={name: part.words[0] for name, part in parts.parts.items()},
        vocabulary=frozenset(vocabulary),
        longest=max(map(len, vocabulary)),
    )


def _phrases(
    codes: models.CodesFile,
    parts: models.PartsFile,
    conditions: models.ConditionsFile,
    labels: models.LabelsFile,
    statements: models.StatementsFile,
) -> Iterable[tuple[list[str], Entry]]:
    for name, part in parts.parts.items():
        yield part.words, Entry("part", name)
    for name, condition in conditions.conditions.items():
        yield condition.words, Entry("condition", name)
    for cls, table in (
        ("limit", conditions.limits),
        ("role", labels.roles),
        ("topic", labels.topics),
        ("wave", labels.waves),
        ("finish", labels.finishes),
        ("connector", labels.connectors),
        ("phenomenon", statements.phenomena),
    ):
        for name, words in table.items():
            yield words, Entry(cls, name)
    yield conditions.negations, Entry("negation", "not")
    yield conditions.subjects, Entry("subject", "ratings")
    yield conditions.turns, Entry("turn", "but")
    yield conditions.exceptions, Entry("except", "except")
    yield [words for words in conditions.doubts if " " in words], Entry("doubt", "doubt")
    yield conditions.elsewhere, Entry("elsewhere", "elsewhere")
    yield conditions.affirmations, Entry("affirm", "yes")
    yield [*labels.asides, *labels.targets], Entry("aside", "aside")
    yield labels.targets, Entry("target", "target")
    yield labels.fillers, Entry("filler", "filler")
    yield statements.weld_immunity, Entry("weld", "weld immune")
    for name, statement in statements.statements.items():
        yield statement.words, Entry("statement", name)
    for head, standard in codes.enclosure.heads.items():
        yield [head], Entry("head", head, standard)


T = TypeVar("T")


def spellings(words: str) -> Iterator[str]:
    """The spellings that a pattern stands for: each `<a|b|>` is one of its alternatives, the empty one too."""
    before, opened, rest = words.partition("<")
    if not opened:
        yield words
        return
    inner, _, after = rest.partition(">")
    for alternative in inner.split("|"):
        yield from spellings(f"{before}{alternative}{after}" if alternative else f"{before.rstrip()} {after.lstrip()}")


def _spell(trie: Trie[T], words: str, entry: T, vocabulary: set[str]) -> None:
    for spelling in spellings(words):
        _spell_one(trie, spelling.strip(), entry, vocabulary)


def _spell_one(trie: Trie[T], words: str, entry: T, vocabulary: set[str]) -> None:
    tokens = tokenise(words)
    if not tokens:
        return
    trie.add(tokens, entry)
    if len(tokens) > 1 and tokens[-1].text == ".":
        trie.add(tokens[:-1], entry)
    if (len(tokens) == 1 or (len(tokens) == 2 and tokens[1].text == ".")) and len(words) >= 4:
        vocabulary.add(tokens[0].norm)


def _materials(
    folder: Path, labels: models.LabelsFile, vocabulary: set[str], kin: dict[str, tuple[str, str]]
) -> Trie[MaterialName]:
    sure = {fold(name) for name in labels.sure_names}
    unsure = {fold(name) for name in labels.unsure_names}
    trie: Trie[MaterialName] = Trie(skip=DASHES | {",", "("})
    for path in sorted(folder.glob("materials*.yaml")):
        table = _load(path, models.MaterialTable)
        if table.table != "materials":
            continue
        for slug, cells in table.rows.items():
            try:
                row = models.MaterialRow.model_validate(cells)
            except ValidationError as error:
                raise LexiconError(path, f"row {slug}: {error.errors()[0]['msg']}") from error
            kin[str(slug)] = row.family, "rubber" if row.kind == "elastomer" else row.kind
            built = [word.strip() for words in labels.more_names.get(str(slug), ()) for word in spellings(words)]
            for alias in (row.name, *row.aliases, *built):
                key = fold(alias)
                bare = "".join(c for c in key if c.isalnum())
                certain = key in sure or (len(bare) > 3 and not alias.isdigit() and key not in unsure)
                name = MaterialName(str(slug), alias, bool(row.worst_of), certain, tuple(row.roles))
                _spell(trie, alias, name, vocabulary)
    return trie


def note_text(note: str, folder: Path | None = None) -> str:
    """The sentence for a note's short name; the short name itself if it has none."""
    return lexicon(folder).notes.get(note, note)
