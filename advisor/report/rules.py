"""The rulebook for readers: one line a rule, a rule in full, and the result of a check."""

from typing import Any

from advisor.casebook import Casebook
from advisor.report.text import wrap
from advisor.rulebook import Conclusion, Rule, Rulebook
from advisor.rulecheck import CheckResult


def search(book: Rulebook, word: str) -> list[Rule]:
    """Return the rules whose text holds the word, in the order of their files; all of them for an empty word."""
    wanted = word.lower()
    return [rule for rule in book.rules.values() if wanted in rule.model_dump_json(by_alias=True).lower()]


def as_json(book: Rulebook, rule: Rule, exercised: Casebook | None = None) -> dict[str, Any]:
    """Return the rule as plain data with its place, and the cases that exercise it where they are at hand."""
    data: dict[str, Any] = rule.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    held = {"cases": [list(case) for case in cases(rule, exercised)]} if exercised else {}
    return {**data, "place": str(book.places.get(rule.rule, "")), **held}


def listing(book: Rulebook, rules: list[Rule]) -> str:
    """Return one line for each rule: name, title, kind and basis."""
    width = max((len(rule.rule) for rule in rules), default=0)
    lines = [f"{rule.rule:<{width}}  {rule.title} ({rule.kind}, {rule.basis})" for rule in rules]
    return "\n".join([*lines, f"{len(rules)} of {len(book.rules)} rules, rulebook {book.digest}"]) + "\n"


def full(book: Rulebook, rule: Rule, exercised: Casebook | None = None) -> str:
    """Return a rule in full, as a person of the trade reads it."""
    lines = [*wrap(f"{rule.title} [{rule.rule}]"), f"{book.places.get(rule.rule, '')}", ""]
    lines += wrap(rule.because, 0)
    source = f"{rule.source} ({rule.basis}; {rule.kind}; checked {rule.checked})"
    said = parts(rule)
    after = [part for part in said if part[0] == LIMIT] + examples(rule) + cases(rule, exercised)
    ordered = [*(part for part in said if part[0] != LIMIT), ("source:", source), *after]
    for label, text in ordered:
        lines += wrap(text, 2, f"{label} ")
    return "\n".join(lines) + "\n"


LIMIT = "asks too much when:"


def parts(rule: Rule) -> list[tuple[str, str]]:
    """Return what a rule says as (label, text): its conditions, its conclusions and where it asks too much."""
    found = [("when", _words(entry)) for entry in rule.when]
    for number, alternative in enumerate(rule.any_of):
        found.append(("either" if number == 0 else "or", " and ".join(_words(entry) for entry in alternative)))
    found += [("unless", _words(entry)) for entry in rule.unless]
    found += [("works out", f"{template}: {', '.join(slots)}") for template, slots in rule.derive.items()]
    found += [_conclusion(entry) for entry in rule.then]
    return [*found, *([(LIMIT, rule.not_when)] if rule.not_when else [])]


def examples(rule: Rule) -> list[tuple[str, str]]:
    """Return the examples as (label, text)."""
    fires = [("fires with", _words(example)) for example in rule.fires]
    return fires + [("silent with", _words(example)) for example in rule.silent]


_EDGES = {"fires": "at its edge fires with", "silent": "at its edge silent with", "given": "its figures are held with"}


def cases(rule: Rule, book: Casebook | None) -> list[tuple[str, str]]:
    """Return the cases that exercise a rule as (label, text)."""
    if book is None:
        return []
    edges = [(_EDGES[kind], f"{_words(told)} ({why})") for kind, told, why in book.edges.get(rule.rule, ())]
    sites = book.sites.get(rule.rule, [])
    return edges + [(f"fires for certain in {len(sites)} of the sites:", ", ".join(sites))] * bool(sites)


def _conclusion(entry: Conclusion) -> tuple[str, str]:
    if entry.note is not None:
        topic, text = entry.note
        return f"{topic}:", text
    if entry.spare is not None:
        spare = entry.spare
        return "not needed unless demanded:", f"{', '.join(spare.item)} on {spare.topic}: {spare.text}"
    if entry.exclude is not None:
        out = entry.exclude.model_dump(by_alias=True, exclude_defaults=True)
        text = out.pop("text", "")
        listed = ", ".join(f"{key} {_value(value)}" for key, value in out.items())
        return "rules materials out:", f"{listed}. {text}".rstrip()
    assert entry.demand is not None
    demand = entry.demand.model_dump(by_alias=True, exclude_defaults=True)
    text = demand.pop("text", "")
    listed = ", ".join(f"{key} {_value(value)}" for key, value in demand.items() if key != "topic")
    return "demands", f"{demand['topic']}: {listed}. {text}"


def _words(entry: Any) -> str:
    if isinstance(entry, dict):
        return ", ".join(
            f"{key} {_words(value)}"
            if not isinstance(value, dict)
            else f"{key}: {_words(value)}"
            if value
            else str(key)
            for key, value in entry.items()
        )
    if isinstance(entry, list):
        return " or ".join(_words(value) for value in entry)
    return str(entry)


def _value(value: Any) -> str:
    if isinstance(value, dict) and "by" in value:
        inputs = ", ".join(f"{name} {_value(inner)}" for name, inner in value["with"].items())
        return f"{value['by']} of {inputs}"
    return f"({_words(value)})" if isinstance(value, dict) else _words(value)


def checked(result: CheckResult) -> str:
    """Return the result of a check: findings first, one line each, then the counts."""
    lines = [f"{finding.place or 'rulebook'}: {finding.subject}: {finding.what}" for finding in result.findings]
    lines.append(", ".join(f"{count} {name}" for name, count in result.counts.items()))
    for title, counts in (
        ("rules by basis", result.rules_by_basis),
        ("rules by kind", result.rules_by_kind),
        ("table rows by basis", result.rows_by_basis),
        ("resistance statements by basis", result.statements_by_basis),
    ):
        total = sum(counts.values()) or 1
        lines.append(
            f"{title}: " + ", ".join(f"{name} {count} ({100 * count / total:.0f} %)" for name, count in counts.items())
        )
    if result.known_by_role:
        shares = ", ".join(f"{role} {100 * share:.0f} %" for role, share in result.known_by_role.items())
        lines += wrap(f"resistance cells known: {shares}")
    lines.append("nothing to mend" if not result.findings else f"{len(result.findings)} to mend")
    return "\n".join(lines) + "\n"
