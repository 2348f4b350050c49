"""Holds a loaded rulebook against itself: examples, reach, use, and the share of each basis.

Loading already refuses unknown names, missing sources, doubled names and circles. What is found here does not stop
the work, but a rule that never fires or a slot that nobody reads is a mistake of somebody's.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from advisor.engine.bounds import evaluate
from advisor.engine.compiled import FIELD, CompiledRule, demand_template, expressions_of
from advisor.engine.exclusion import candidates
from advisor.engine.expressions import Expression, references
from advisor.engine.facts import Run
from advisor.engine.firing import EngineError
from advisor.engine.layers import produced
from advisor.faults import InputError
from advisor.loading import Loaded
from advisor.rulebook import NOTE_TOPICS, Rulebook
from advisor.site import Site, read_site
from advisor.yamlfile import Document

_FIELDS = ("fires", "silent")


@dataclass(frozen=True)
class Finding:
    """One thing to mend: which rule, slot or topic, and what about it."""

    subject: str
    place: str
    what: str


@dataclass
class CheckResult:
    """What a check found, and what it counted."""

    findings: list[Finding] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    rules_by_basis: dict[str, int] = field(default_factory=dict)
    rows_by_basis: dict[str, int] = field(default_factory=dict)
    rules_by_kind: dict[str, int] = field(default_factory=dict)
    statements_by_basis: dict[str, int] = field(default_factory=dict)
    """Statements of the resistance matrix."""
    known_by_role: dict[str, float] = field(default_factory=dict)
    """Share of the cells, agent by material, that the matrix knows, for the materials of each role."""

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


def check(loaded: Loaded) -> CheckResult:
    """Check the rulebook and run the examples of every rule."""
    book, rules = loaded.book, loaded.rules
    result = CheckResult()
    for rule in book.rules.values():
        for what in example_faults(loaded, rule.rule):
            result.findings.append(Finding(rule.rule, str(book.places[rule.rule]), what))
        if not rule.fires and not any(c.spare for c in rule.then):
            result.findings.append(Finding(rule.rule, str(book.places[rule.rule]), "has no example under 'fires'"))
    result.findings += [*_unreachable(rules, book), *_unused_slots(rules, book), *_unused_topics(rules, book)]
    cells = [row for table in book.tables.values() for row in table.rows.values()]
    result.counts = {
        "rules": len(book.rules),
        "examples": sum(len(rule.fires) + len(rule.silent) for rule in book.rules.values()),
        "templates": len(book.vocabulary.templates),
        "slots": sum(len(template.slots) for template in book.vocabulary.templates.values()),
        "topics": len(book.vocabulary.topics),
        "tables": len(book.tables),
        "rows": len(cells),
    }
    _count_matrix(book, result)
    result.rules_by_basis = dict(Counter(rule.basis for rule in book.rules.values()).most_common())
    result.rules_by_kind = dict(Counter(rule.kind for rule in book.rules.values()).most_common())
    result.rows_by_basis = dict(Counter(row.basis for row in cells).most_common())
    return result


def _count_matrix(book: Rulebook, result: CheckResult) -> None:
    matrix = book.matrix()
    if not matrix.agents:
        return
    cells = {agent: matrix.of(agent) for agent in book.tables["agents"].keys}
    statements = {id(s): s for row in cells.values() for listed in row.values() for s in listed}
    result.statements_by_basis = dict(Counter(s.basis for s in statements.values()).most_common())
    materials = candidates(book.tables["materials"])
    for role in sorted({role for row in materials.values() for role in row.cells.get("roles", ())}):
        names = [key for key, row in materials.items() if role in row.cells.get("roles", ())]
        known = sum(name in row for row in cells.values() for name in names)
        result.known_by_role[role] = known / (len(names) * len(cells))


def example_site(example: Mapping[str, Any], book: Rulebook, name: str) -> Site:
    """Return an example as a site in which nothing else is told. Raises InputError."""
    return read_site(Document(name, {"site": name, **example}), book, claims=True)


def example_run(loaded: Loaded, example: Mapping[str, Any], name: str) -> Run:
    """Return the certain run of an example."""
    facts = example_site(example, loaded.book, name).facts()
    return evaluate(loaded.rules, [fact for fact in facts if fact.certain], loaded.book, certain=True)


def fired(run: Run) -> set[str]:
    """Return the names of all rules that fired in a run."""
    return {why.rule for reasons in run.justifications.values() for why in reasons}


def example_faults(loaded: Loaded, name: str) -> list[str]:
    """Run a rule's examples in the certain reading: those under `fires` must fire, those under `silent` must not."""
    rule = loaded.book.rules[name]
    faults = []
    for kind in _FIELDS:
        for number, example in enumerate(getattr(rule, kind)):
            try:
                certain = example_run(loaded, example, f"{name}, {kind} {number + 1}")
            except InputError as problem:
                faults += [f"example {kind} {number + 1}: {fault.what}; {fault.accepted}" for fault in problem.faults]
                continue
            except EngineError as problem:
                faults.append(f"example {kind} {number + 1}: {problem.fault.what}")
                continue
            if (name in fired(certain)) != (kind == "fires"):
                faults.append(
                    f"example {kind} {number + 1}: the rule {'does not fire' if kind == 'fires' else 'fires'}"
                )
    return faults


def _unreachable(rules: Iterable[CompiledRule], book: Rulebook) -> list[Finding]:
    """Rules that rest on something that no rule concludes."""
    rules = tuple(rules)
    made = {name for rule in rules for name in produced(rule)}
    found = []
    for rule in rules:
        for pattern in rule.patterns:
            template = book.vocabulary.templates.get(pattern.template)
            if (template is None or template.derived) and pattern.template not in made:
                what = f"can never fire: no rule concludes {pattern.template}"
                found.append(Finding(rule.rule.rule, str(book.places.get(rule.rule.rule, "")), what))
    return found


def _unused_slots(rules: Iterable[CompiledRule], book: Rulebook) -> list[Finding]:
    used: set[tuple[str, str]] = set()
    for rule in rules:
        names = {pattern.alias: pattern.template for pattern in rule.patterns}
        for pattern in rule.patterns:
            used |= {(pattern.template, test.slot) for test in (*pattern.tests, *pattern.refusals)}
        for expression in _expressions(rule):
            used |= {(names[ref.alias], ref.slot) for ref in references(expression)}
        for demand in rule.demands:
            for alias, slot in _fields(demand.text):
                used.add((names.get(alias, ""), slot))
    for template in book.vocabulary.templates.values():
        for entry in template.slots:
            for other, conditions in (entry.relevant or {}).items():
                used |= {(other, inner) for inner in conditions}
    return [
        Finding(f"{template.template}.{slot.slot}", "knowledge/vocabulary", "no rule reads this slot")
        for template in book.vocabulary.templates.values()
        for slot in template.slots
        if not slot.text and (template.template, slot.slot) not in used
    ]


def _unused_topics(rules: Iterable[CompiledRule], book: Rulebook) -> list[Finding]:
    made = {name for rule in rules for name in produced(rule)}
    return [
        Finding(topic, "knowledge/vocabulary/topics.yaml", "no rule demands anything on this topic")
        for topic in book.vocabulary.topics
        if demand_template(topic) not in made
        and topic not in NOTE_TOPICS
        and book.vocabulary.topics[topic].role is None
    ]


def _expressions(rule: CompiledRule) -> list[Expression]:
    found = [expression for _, slots in rule.derives for _, expression in slots]
    for demand in rule.demands:
        found += expressions_of(demand)
    return found


def _fields(text: str) -> list[tuple[str, str]]:
    return [(match[1], match[2]) for match in FIELD.finditer(text)]
