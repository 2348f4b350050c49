"""What a rulebook owes those who build on its word: every rule shown to fire and to stay silent, all of it sourced.

Loading refuses a rule, row or statement that names no source at all. Here a source that says nothing counts as none, a
rule on what a standard obliges must name the standard's number, and every alternative of a rule must fire in one of
its examples. A plant's own rules are held against the same.
"""

import re
from collections.abc import Iterator

from advisor.engine.compiled import CompiledRule
from advisor.engine.firing import EngineError
from advisor.faults import InputError
from advisor.loading import Loaded
from advisor.rulebook import Rule, Rulebook
from advisor.rulecheck import Finding, example_run

_EMPTY = re.compile(r"\W*(?:todo|tbd|tba|fixme|unknown|none|n/?a|source|\?+|x+)?\W*", re.I)
_FEWEST_LETTERS = 2


def says_nothing(source: str) -> bool:
    """Tell whether a source is only a word put in its place."""
    return bool(_EMPTY.fullmatch(source)) or sum(sign.isalpha() for sign in source) < _FEWEST_LETTERS


def strict_findings(loaded: Loaded) -> list[Finding]:
    """Return what is unsourced or untested, rules first."""
    book = loaded.book
    variants: dict[str, list[CompiledRule]] = {}
    for entry in loaded.rules:
        variants.setdefault(entry.rule.rule, []).append(entry)
    found = []
    for name, rule in book.rules.items():
        place = str(book.places.get(name, ""))
        wrong = [*_sources(rule), *_examples(loaded, rule, variants.get(name, []), book)]
        found += [Finding(name, place, what) for what in wrong]
    for table in book.tables.values():
        for key, row in table.rows.items():
            if says_nothing(row.source):
                found.append(
                    Finding(f"{table.name}, row {key}", "knowledge/tables", f"its source says nothing: {row.source!r}")
                )
    matrix = book.matrix()
    for agent in matrix.agents:
        for material, statements in matrix.of(agent).items():
            if any(says_nothing(statement.source) for statement in statements):
                found.append(Finding(f"{agent} on {material}", "knowledge/resistance", "its source says nothing"))
    return found


def _sources(rule: Rule) -> Iterator[str]:
    if says_nothing(rule.source):
        yield f"its source says nothing: {rule.source!r}"
    elif rule.kind == "standard" and not re.search(r"\d", rule.source):
        yield f"is of the kind 'standard', but its source names no number: {rule.source!r}"


def _examples(loaded: Loaded, rule: Rule, variants: list[CompiledRule], book: Rulebook) -> Iterator[str]:
    # What is wrong with an example itself is found by the plain check.
    if not rule.fires:
        if any(conclusion.spare for conclusion in rule.then):
            yield "has no example under 'fires'"
        return
    if not rule.silent and not always(variants, book):
        yield "has no example under 'silent'"
    if len(variants) < 2:
        return
    shown: set[int] = set()
    for number, example in enumerate(rule.fires):
        try:
            run = example_run(loaded, example, f"{rule.rule}, fires {number + 1}")
        except (InputError, EngineError):
            continue
        shown |= {why.variant for reasons in run.justifications.values() for why in reasons if why.rule == rule.rule}
    for entry in variants:
        if entry.variant not in shown:
            yield f"alternative {entry.variant + 1} under 'any' fires in none of its examples"


def always(variants: list[CompiledRule], book: Rulebook) -> bool:
    """Tell whether the rule asks nothing of answers that always stand, so that it cannot be silent."""
    known = book.vocabulary.templates
    return any(
        all(
            pattern.template in known
            and not (known[pattern.template].derived or known[pattern.template].many or known[pattern.template].claimed)
            and not pattern.refusals
            and all(
                test.op == "present" and not known[pattern.template].by_name[test.slot].relevant
                for test in pattern.tests
            )
            for pattern in entry.patterns
        )
        for entry in variants
    )
