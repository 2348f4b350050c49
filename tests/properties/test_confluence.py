"""The order of rules and of facts never changes a run, in either engine."""

import dataclasses
import random

import pytest
import strategies
from conftest import DEPTH
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Told, read
from test_engines import spelled

from advisor.engine.bounds import evaluate
from advisor.engine.chaining import Chainer
from advisor.engine.compiled import CompiledRule
from advisor.engine.compiler import RuleCompiler
from advisor.faults import Collector

ORDERS = 3


def shuffled(seed: int) -> list[CompiledRule]:
    rules = list(strategies.rulebook().rules)
    random.Random(seed).shuffle(rules)
    return rules


@pytest.fixture(scope="module")
def networks() -> list[Chainer]:
    """Networks of the same rules in different orders; the first in their own order."""
    loaded = strategies.rulebook()
    orders = [list(loaded.rules), *(shuffled(seed) for seed in range(ORDERS))]
    return [Chainer(rules, loaded.book) for rules in orders]


@given(told=strategies.sites(), certain=st.booleans(), seed=st.integers(0, 10**6))
@settings(max_examples=5 * DEPTH)
def test_experta_in_any_order(networks: list[Chainer], told: Told, certain: bool, seed: int) -> None:
    facts = read(told).facts()
    expected = spelled(networks[0].run(facts, certain=certain))
    random.Random(seed).shuffle(facts)
    for network in networks[1:]:
        assert spelled(network.run(facts, certain=certain)) == expected


@given(told=strategies.sites(), certain=st.booleans(), seed=st.integers(0, 10**6))
@settings(max_examples=15 * DEPTH)
def test_the_quick_evaluator_in_any_order(told: Told, certain: bool, seed: int) -> None:
    loaded, facts = strategies.rulebook(), read(told).facts()
    given_facts = [fact for fact in facts if fact.certain or not certain]
    expected = spelled(evaluate(loaded.rules, given_facts, loaded.book, certain=certain))
    random.Random(seed).shuffle(given_facts)
    # Layers are what puts rules in order; within a layer any order must do.
    rules = sorted(shuffled(seed), key=lambda rule: rule.layer)
    assert spelled(evaluate(rules, given_facts, loaded.book, certain=certain)) == expected


@pytest.mark.parametrize("seed", range(3))
def test_compiling_does_not_depend_on_the_order_of_the_rules(seed: int) -> None:
    loaded = strategies.rulebook()
    names = list(loaded.book.rules)
    random.Random(seed).shuffle(names)
    book = dataclasses.replace(loaded.book, rules={name: loaded.book.rules[name] for name in names})
    faults = Collector()
    assert RuleCompiler(book, faults).compile() == loaded.rules
    assert not faults.faults
