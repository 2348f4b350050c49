"""The engine of record: the compiled rules as an experta network that fires forward and keeps every justification.

This is the only module that imports experta. experta 1.9.4 asks for `collections.Mapping` through frozendict, which
today's Python no longer has: the name is lent for the import and taken back. Its import also sets up a log handler
on the root logger, which would write over a terminal interface, so the root logger's handlers are put back too.

One network serves both readings: the values in the facts carry the reading, and the predicates obey it. Predicates
cannot raise. An engine in which anything went wrong is thrown away, since experta keeps its leftovers over a reset.
"""

import collections
import collections.abc
import logging
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

_handlers, _level = list(logging.root.handlers), logging.root.level
logging.root.addHandler(logging.NullHandler())
collections.Mapping = collections.abc.Mapping  # type: ignore[attr-defined]
try:
    from experta import Fact as ExpertaFact
    from experta import KnowledgeEngine, Rule
    from experta.fieldconstraint import P
    from experta.matchers import ReteMatcher
    from experta.matchers.rete.check import SameContextCheck
    from experta.matchers.rete.nodes import BusNode, ConflictSetNode, OrdinaryMatchNode
    from experta.matchers.rete.token import Token
finally:
    del collections.Mapping  # type: ignore[attr-defined]
    logging.root.handlers[:] = _handlers
    logging.root.setLevel(_level)

from advisor.engine.compiled import CompiledPattern, CompiledRule  # noqa: E402
from advisor.engine.facts import Fact, Run  # noqa: E402
from advisor.engine.firing import Conclusions, EngineError, count_firing, kept_apart  # noqa: E402
from advisor.engine.pool import Pool  # noqa: E402
from advisor.rulebook import Rulebook  # noqa: E402
from advisor.values import ABSENT, Domain, Test, holds  # noqa: E402


@dataclass(frozen=True, slots=True)
class _Seen:
    """A slot's domain as one reading sees it."""

    domain: Domain
    certain: bool


class Chainer:
    """A network built once from the compiled rules and used again by reset.

    `run` returns all that follows from the facts in one reading; it raises EngineError when a rule's computation
    fails. Not for use from two threads at once.
    """

    def __init__(self, rules: Sequence[CompiledRule], book: Rulebook) -> None:
        self._rules, self._book = tuple(rules), book
        self._engine: Any = None

    def run(self, facts: Iterable[Fact], *, certain: bool, conclusions: Conclusions | None = None) -> Run:
        engine = self._engine or _build(self._rules, self._book)
        self._engine = None  # an engine that raised is never used again
        given = [fact for fact in facts if fact.certain or not certain]
        engine.reset()
        engine.open(certain, given, conclusions or Conclusions(self._book))
        # What the rules conclude goes in wave by wave: experta looks through all rules at every declaration.
        wave = given
        while wave:
            engine.declare(*(engine.wrap(fact) for fact in wave))
            engine.run()
            if engine.problem is not None:
                raise engine.problem
            wave = engine.take()
        self._engine = engine
        run: Run = engine.record
        run.settle()
        return run


class _Bus(BusNode):  # type: ignore[misc]
    """The root of the network, which hands a fact only to the patterns of its own template."""

    def sort(self) -> None:
        """Lay out the children by the class of fact that they take; experta asks every one of them for every fact."""
        self.takers: dict[type, list[Any]] = {}
        for child in self.children:
            self.takers.setdefault(child.node.matcher.fact_type, []).append(child)

    def add(self, fact: Any) -> None:
        token = Token.valid(fact)
        for child in self.takers.get(type(fact), ()):
            child.callback(token)


class _Matcher(ReteMatcher):  # type: ignore[misc]
    """experta's network for rules that are lists of positive patterns: none needs to be brought to a normal form."""

    def build_network(self) -> None:
        self.root_node = _Bus()
        super().build_network()
        self.root_node.sort()

    @staticmethod
    def prepare_ruleset(engine: Any) -> set[Any]:
        return set(engine.get_rules())

    @staticmethod
    def build_beta_part(ruleset: Iterable[Any], alpha_terminals: dict[Any, Any]) -> None:
        for rule in ruleset:
            node = alpha_terminals[rule[0]]
            for pattern in rule[1:]:
                joined = OrdinaryMatchNode(SameContextCheck())
                node.add_child(joined, joined.activate_left)
                alpha_terminals[pattern].add_child(joined, joined.activate_right)
                node = joined
            last = ConflictSetNode(rule)
            node.add_child(last, last.activate)


class _Network(KnowledgeEngine):  # type: ignore[misc]
    """experta's engine with its rules handed in, and the record of the present run."""

    __matcher__ = _Matcher

    def __init__(
        self, rules: list[Any], classes: dict[str, Any], used: dict[str, tuple[str, ...]], book: Rulebook
    ) -> None:
        self._given_rules = rules
        self.classes, self.used, self.book = classes, used, book
        self.record, self.certain = Run(), True
        self.problem: EngineError | None = None
        self.concluded: list[Fact] = []
        self.conclusions = Conclusions(book)
        self.pool = Pool()
        super().__init__()

    def get_rules(self) -> list[Any]:
        """experta looks rules up as class attributes; names of rules could then hide its own methods."""
        return self._given_rules

    def get_activations(self) -> Any:
        """experta asks after every firing; where no fact has changed there is nothing to look for."""
        added, removed = self.facts.changes
        return self.matcher.changes(added, removed) if added or removed else ([], [])

    def open(self, certain: bool, facts: list[Fact], conclusions: Conclusions) -> None:
        self.certain, self.problem, self.conclusions, self.concluded = certain, None, conclusions, []
        self.record, self.pool = Run({fact.id: fact for fact in facts}), Pool()

    def wrap(self, fact: Fact) -> Any:
        """Return the experta fact: only the slots that some rule tests, each as the present reading sees it."""
        made = self.classes.setdefault(fact.template, _fact_class(fact.template))
        slots = {name: _Seen(fact.slots.get(name, ABSENT), self.certain) for name in self.used.get(fact.template, ())}
        return made(fact_id=fact.id, **slots)

    def take(self) -> list[Fact]:
        """Return the facts concluded since the last time."""
        # A pooled rule rests on facts drawn from answers alone, and all of these were declared in one wave.
        new, self.concluded = self.concluded + self.pool.flush(self.record), []
        return new

    def fire(self, rule: CompiledRule, bound: dict[str, Any]) -> None:
        if self.problem is not None:
            return
        try:
            facts = {alias: self.record.facts[fact["fact_id"]] for alias, fact in bound.items()}
            if not kept_apart(rule, facts):
                return
            count_firing(self.record, rule, self.book)
            concluded, why = self.conclusions.of(rule, facts, certain=self.certain)
            if rule.rule.pool:
                self.pool.add(concluded, why)
                return
            self.concluded += [fact for fact in concluded if self.record.record(fact, why)]
        except EngineError as problem:
            # Raised here it would leave experta running for ever; the chainer raises it after the run.
            self.problem = problem


def _fact_class(template: str) -> Any:
    return type(f"Fact_{template.replace(' ', '_').replace('.', '_')}", (ExpertaFact,), {})


def _build(rules: tuple[CompiledRule, ...], book: Rulebook) -> _Network:
    classes: dict[str, Any] = {}
    predicates: dict[tuple[Test, bool], Any] = {}
    used: dict[str, set[str]] = {}

    def predicate(test: Test, refused: bool) -> Any:
        """One object for equal tests, so that the network shares its nodes."""
        key = (test, refused)
        if key not in predicates:
            predicates[key] = P(_refusal(test) if refused else _condition(test))
        return predicates[key]

    def pattern(entry: CompiledPattern) -> Any:
        made = classes.setdefault(entry.template, _fact_class(entry.template))
        fields: dict[str, Any] = {}
        checks = [(test, False) for test in entry.tests] + [(test, True) for test in entry.refusals]
        for slot in sorted({test.slot for test, _ in checks}):
            own = tuple(sorted(((t, r) for t, r in checks if t.slot == slot), key=repr))
            # experta flattens composed constraints wrongly: several tests on one slot become one predicate.
            fields[slot] = predicate(*own[0]) if len(own) == 1 else _together(own, predicates)
        used.setdefault(entry.template, set()).update(fields)
        return made(**fields)

    experta_rules = []
    for number, rule in enumerate(rules):
        patterns = [f"f{index}" << pattern(entry) for index, entry in enumerate(rule.patterns)]
        # Unique saliences: experta loses track of activations that tie.
        experta_rules.append(Rule(*patterns, salience=-number)(_action(rule)))
    return _Network(experta_rules, classes, {name: tuple(slots) for name, slots in used.items()}, book)


def _condition(test: Test) -> Callable[[Any], bool]:
    return lambda seen: holds(test, seen.domain, seen.certain)


def _refusal(test: Test) -> Callable[[Any], bool]:
    return lambda seen: not holds(test, seen.domain, not seen.certain)


def _together(own: tuple[tuple[Test, bool], ...], predicates: dict[Any, Any]) -> Any:
    if own not in predicates:
        parts = [_refusal(test) if refused else _condition(test) for test, refused in own]
        predicates[own] = P(lambda seen: all(part(seen) for part in parts))
    return predicates[own]


def _action(rule: CompiledRule) -> Callable[..., None]:
    def act(engine: Any, **bound: Any) -> None:
        engine.fire(rule, {entry.alias: bound[f"f{index}"] for index, entry in enumerate(rule.patterns)})

    # experta takes two rules with equal conditions and one function for the same rule.
    act.__name__ = f"{rule.rule.rule}.{rule.variant}"
    return act
