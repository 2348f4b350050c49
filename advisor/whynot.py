"""Why something is not demanded: the rules that could have concluded it, and the first condition that failed in each.

The nearest rule, that with the fewest failed conditions, comes first.
"""

from dataclasses import dataclass

from advisor.engine.compiled import CompiledPattern, CompiledRule, demand_template
from advisor.engine.facts import Fact, Run
from advisor.engine.wording import say, slot_of
from advisor.rulebook import Rulebook
from advisor.values import ABSENT, holds

DEEPEST = 4


@dataclass(frozen=True)
class Miss:
    """A rule that did not fire: what failed first, and how many patterns failed in all."""

    rule: CompiledRule
    failed: str
    count: int


def near_misses(topic: str, item: str, run: Run, rules: tuple[CompiledRule, ...], book: Rulebook) -> list[Miss]:
    """Return a miss for every silent rule that concludes the topic (and the item, or a code covering it)."""
    entry = book.vocabulary.topics[topic]
    wanted = {item} if item else set()
    if item and entry.table:
        rows = book.tables[entry.table].rows
        wanted |= {key for key, row in rows.items() if item in row.cells.get("covers", ())}
    fired = {(why.rule, why.variant) for reasons in run.justifications.values() for why in reasons}
    best: dict[str, Miss] = {}
    for rule in rules:
        if (rule.rule.rule, rule.variant) in fired:
            continue
        demands = [d for d in rule.demands if d.topic == topic and not d.spare]
        if item:
            demands = [d for d in demands if wanted & set(d.items)]
        if demands:
            miss = _miss(rule, run, rules, book, 0)
            if rule.rule.rule not in best or miss.count < best[rule.rule.rule].count:
                best[rule.rule.rule] = miss
    return sorted(best.values(), key=lambda miss: (miss.count, miss.rule.rule.rule))


def _miss(rule: CompiledRule, run: Run, rules: tuple[CompiledRule, ...], book: Rulebook, depth: int) -> Miss:
    failures = []
    for pattern in rule.patterns:
        facts = run.of(pattern.template)
        texts = [_failures(pattern, fact, book) for fact in facts]
        if not facts:
            failures.append(_nothing(pattern, run, rules, book, depth))
        elif all(texts):
            nearest = min(texts, key=len)
            failures += nearest
    return Miss(rule, failures[0] if failures else "its conditions hold for no common set of facts", len(failures))


def _failures(pattern: CompiledPattern, fact: Fact, book: Rulebook) -> list[str]:
    """Return a sentence for each test that does not even possibly hold."""
    found = []
    where = pattern.template.replace("_", " ") + (f" ({fact.label})" if fact.label else "")
    for test in pattern.tests:
        domain = fact.slots.get(test.slot, ABSENT)
        if not holds(test, domain, False):
            value = say(domain, slot_of(pattern.template, test.slot, book), book)
            wanted = "apply" if test.op == "present" else f"be {test.text}"
            found.append(f"{where}: {test.slot.replace('_', ' ')} ({value}) would have to {wanted}")
    for test in pattern.refusals:
        domain = fact.slots.get(test.slot, ABSENT)
        if holds(test, domain, True):
            value = say(domain, slot_of(pattern.template, test.slot, book), book)
            found.append(f"{where}: {test.slot.replace('_', ' ')} is {value}, which excludes the rule")
    return found


def _nothing(pattern: CompiledPattern, run: Run, rules: tuple[CompiledRule, ...], book: Rulebook, depth: int) -> str:
    """Say why there is no fact of a template at all: nothing told, or no rule concluded it."""
    kind, _, topic = pattern.template.partition(" ")
    makers = [
        rule
        for rule in rules
        if any(name == pattern.template for name, _ in rule.derives)
        or any(demand_template(d.topic) == pattern.template for d in rule.demands)
    ]
    what = f"a demand on {topic}" if topic else f"{kind.replace('_', ' ')}"
    if not makers or depth >= DEEPEST:
        return f"there is no {what} at this point"
    nearest = min((_miss(rule, run, rules, book, depth + 1) for rule in makers), key=lambda miss: miss.count)
    return f"there is no {what} at this point, since {nearest.failed}"
