"""What is listed as not to be told apart must be a mutant that there is; whether it goes unnoticed says `run.py`."""

import mutants
import run
import strategies


def test_every_listed_mutant_exists() -> None:
    loaded = strategies.rulebook()
    made = set()
    for rule in loaded.book.rules.values():
        variants = sorted((e for e in loaded.rules if e.rule.rule == rule.rule), key=lambda entry: entry.variant)
        made |= {(mutant.subject, mutant.what) for mutant in mutants.of_rule(rule, variants, loaded.book)}
    assert not run.equivalent() - made
