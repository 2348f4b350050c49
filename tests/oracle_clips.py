"""The compiled rulebook as CLIPS text, and a run of it by CLIPS: its matching and its order of firing, not experta's.

The text names facts by template and identity. Whether a slot meets a condition and what a firing computes is asked of
the program through four functions; what is matched with what, and when it fires, is left to CLIPS alone, which draws
the order at random. Pooled rules wait for the lowest salience, when all that they pool has been concluded.
"""

from collections.abc import Iterable, Sequence
from typing import Any

import clips

from advisor.engine.compiled import CompiledPattern, CompiledRule
from advisor.engine.facts import Fact, Run
from advisor.engine.firing import Conclusions, kept_apart, pattern_holds
from advisor.engine.layers import produced
from advisor.engine.pool import Pool
from advisor.rulebook import Rulebook


def name(template: str) -> str:
    """The name of a template in CLIPS."""
    return "t-" + template.replace(" ", "-").replace(".", "-")


def export(rules: Sequence[CompiledRule], templates: Iterable[str]) -> str:
    """Return the rules as the text of a CLIPS program."""
    known = sorted({*templates, *(p.template for rule in rules for p in rule.patterns),
                    *(made for rule in rules for made in produced(rule))})  # fmt: skip
    head = [f"(deftemplate {name(template)} (slot id (type STRING)))" for template in known]
    head += ["(deftemplate pooled (slot rule (type INTEGER)))"]
    flush = "(defrule flush (declare (salience -100)) ?f <- (pooled) => (retract ?f) (empty-pool))"
    return "\n".join([*head, *(_rule(number, rule) for number, rule in enumerate(rules)), flush])


def _rule(number: int, rule: CompiledRule) -> str:
    patterns = "\n  ".join(_pattern(number, index, pattern) for index, pattern in enumerate(rule.patterns))
    names = " ".join(f"?f{index}" for index in range(len(rule.patterns)))
    apart = f"\n  (test (apart {number} {names}))" if rule.rule.apart else ""
    then = f"(conclude {number} {names})" + (f" (assert (pooled (rule {number})))" if rule.rule.pool else "")
    return f"(defrule r{number}-{rule.rule.rule}-{rule.variant}\n  {patterns}{apart}\n  =>\n  {then})"


def _pattern(number: int, index: int, pattern: CompiledPattern) -> str:
    said = [f"{test.slot} {test.text}" for test in pattern.tests] + [f"not {t.slot} {t.text}" for t in pattern.refusals]
    words = " ".join(", ".join(said).split())
    test = f"&:(meets {number} {index} ?f{index})" if said else ""
    return f"({name(pattern.template)} (id ?f{index}{test})) ; {pattern.alias}: {words}"


class ClipsEngine:
    """CLIPS with the rulebook loaded; `run` may be called again and again."""

    def __init__(self, rules: Sequence[CompiledRule], book: Rulebook) -> None:
        self.rules, self.book = tuple(rules), book
        self.problem: Exception | None = None
        self.environment = clips.Environment()
        for function in (self.meets, self.apart, self.conclude):
            self.environment.define_function(function)
        self.environment.define_function(self.flush, "empty-pool")
        text = export(self.rules, book.vocabulary.templates)
        for construct in text.replace("\n(def", "\0(def").split("\0"):
            self.environment.build(construct)
        self.environment.eval("(set-strategy random)")

    def run(self, facts: Iterable[Fact], *, certain: bool) -> Run:
        """Return all that follows from the facts in one reading."""
        given = [fact for fact in facts if fact.certain or not certain]
        self.certain, self.conclusions, self.pool = certain, Conclusions(self.book), Pool()
        self.record = Run({fact.id: fact for fact in given})
        self.environment.reset()
        for fact in given:
            self.put(fact)
        self.environment.run()
        if self.problem is not None:
            raise self.problem
        self.record.settle()
        return self.record

    def put(self, fact: Fact) -> None:
        self.environment.find_template(name(fact.template)).assert_fact(id=fact.id)

    def meets(self, number: int, index: int, identity: str) -> bool:
        return pattern_holds(self.rules[number], index, self.record.facts[identity], self.certain)

    def apart(self, number: int, *identities: str) -> bool:
        return kept_apart(self.rules[number], self.bound(number, identities))

    def bound(self, number: int, identities: Sequence[str]) -> dict[str, Any]:
        pairs = zip(self.rules[number].patterns, identities, strict=True)
        return {pattern.alias: self.record.facts[identity] for pattern, identity in pairs}

    def conclude(self, number: int, *identities: str) -> None:
        rule = self.rules[number]
        try:
            facts, why = self.conclusions.of(rule, self.bound(number, identities), certain=self.certain)
        except Exception as problem:  # noqa: BLE001 - CLIPS would swallow it
            self.problem = problem
            return
        if rule.rule.pool:
            self.pool.add(facts, why)
            return
        for fact in facts:
            if self.record.record(fact, why):
                self.put(fact)

    def flush(self) -> None:
        for fact in self.pool.flush(self.record):
            self.put(fact)
