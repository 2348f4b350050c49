"""Every example of every rule is a test: under `fires` the rule fires for certain, under `silent` it does not."""

import pytest
import strategies

from advisor.engine.bounds import evaluate
from advisor.loading import Loaded
from advisor.rulecheck import example_site

BOOK = strategies.rulebook().book
EXAMPLES = [
    (name, kind, number)
    for name, rule in BOOK.rules.items()
    for kind in ("fires", "silent")
    for number in range(len(getattr(rule, kind)))
]


@pytest.mark.parametrize(
    ("name", "kind", "number"),
    EXAMPLES,
    ids=[f"{name}-{kind}-{number + 1}" for name, kind, number in EXAMPLES],
)
def test_example(loaded: Loaded, name: str, kind: str, number: int) -> None:
    example = getattr(loaded.book.rules[name], kind)[number]
    facts = [fact for fact in example_site(example, loaded.book, name).facts() if fact.certain]
    run = evaluate(loaded.rules, facts, loaded.book, certain=True)
    fired = {why.rule for reasons in run.justifications.values() for why in reasons}
    assert (name in fired) == (kind == "fires"), (
        f"{BOOK.places[name]}: the rule {'is silent' if kind == 'fires' else 'fires'} with {example}"
    )


def test_every_rule_has_an_example_that_fires() -> None:
    bare = [name for name, rule in BOOK.rules.items() if not rule.fires and not any(entry.spare for entry in rule.then)]
    assert not bare
