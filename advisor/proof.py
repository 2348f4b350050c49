"""Derivation trees: why something was concluded, down to answers, thresholds, formulas and clauses.

A proof is built from the record of a run. A certain conclusion is proved from the certain reading; an open one from
the possible reading, where the conditions that are not certain name the answers that would settle it.
"""

from collections.abc import Iterable

from advisor import quantities
from advisor.document import Computation, Condition, Figure, Proof, Reason
from advisor.engine.compiled import CompiledRule
from advisor.engine.expressions import Call, Cell, Constant, Ref, Trace
from advisor.engine.facts import Fact, Justification, Run
from advisor.engine.wording import say, say_span, slot_of
from advisor.rulebook import Rulebook
from advisor.site import Instance, Site
from advisor.values import ABSENT, Domain, Span, Test, holds
from advisor.vocabulary import Slot

MOST_REASONS = 3
"""Firings printed for one rule; further ones, on other instances, are counted."""


class Prover:
    """Builds proofs for the facts of one run."""

    def __init__(self, run: Run, site: Site, rules: Iterable[CompiledRule], book: Rulebook, *, certain: bool) -> None:
        self.run, self.book, self.certain = run, book, certain
        self.instances = site.by_id()
        self.compiled = {(rule.rule.rule, rule.variant): rule for rule in rules}
        self._memo: dict[tuple[str, int], Proof] = {}

    def prove(self, facts: Iterable[str], conclusion: str, most: int = MOST_REASONS) -> Proof:
        """Return the proof of a conclusion that rests on the given facts, the first of them the strongest.

        `most` firings are printed for one rule.
        """
        reasons: list[Reason] = []
        count: dict[str, int] = {}
        more = 0
        for fact in facts:
            for why in self._ranked(self.run.justifications.get(fact, ())):
                count[why.rule] = count.get(why.rule, 0) + 1
                if count[why.rule] > most or (most == 1 and reasons):
                    more += 1
                    continue
                reasons.append(self._reason(why))
        return Proof(
            conclusion=conclusion,
            state="certain" if self.certain else "open",
            reasons=reasons,
            more_reasons=more,
        )

    def _ranked(self, reasons: Iterable[Justification]) -> list[Justification]:
        """The reason with the fewest doubtful conditions first."""
        return sorted(reasons, key=lambda why: (len(self.doubts(why)), why.key))

    def doubts(self, why: Justification) -> list[tuple[str, Test]]:
        """Return (fact id, test) for every condition that does not hold for certain."""
        rule = self.compiled[why.rule, why.variant]
        found = []
        for alias, identity in why.bound:
            fact, pattern = self.run.facts[identity], next(p for p in rule.patterns if p.alias == alias)
            for test in pattern.tests:
                if not fact.certain or not holds(test, fact.slots.get(test.slot), True):
                    found.append((identity, test))
            for test in pattern.refusals:
                if holds(test, fact.slots.get(test.slot), False):
                    found.append((identity, test))
        return found

    def _reason(self, why: Justification) -> Reason:
        compiled = self.compiled[why.rule, why.variant]
        rule = compiled.rule
        conditions: list[Condition] = []
        rests_on: list[Proof] = []
        for pattern in compiled.patterns:
            fact = self.run.facts[dict(why.bound)[pattern.alias]]
            shown = [(test, False) for test in pattern.tests if test.op != "present" or len(pattern.tests) == 1]
            shown += [(test, True) for test in pattern.refusals]
            conditions += [self._condition(fact, test, refused) for test, refused in shown]
            if not shown and fact.id not in self.run.justifications:
                conditions.append(self._there(fact))
            if fact.id in self.run.justifications:
                # A demand has a proof of its own in the document; here its first reason is enough.
                most = 1 if " " in fact.template else MOST_REASONS
                rests_on.append(self._step_of(fact, most))
        return Reason(
            rule=rule.rule,
            title=rule.title,
            because=rule.because,
            source=rule.source,
            basis=rule.basis,
            kind=rule.kind,
            checked=rule.checked,
            not_when=rule.not_when,
            place=str(self.book.places.get(rule.rule, "")),
            conditions=conditions,
            computations=[
                self._computation(name, trace) for name, trace in why.traces if not isinstance(trace.expression, Ref)
            ],
            rests_on=rests_on,
        )

    def _step_of(self, fact: Fact, most: int) -> Proof:
        """The proof of a fact on the way; many demands rest on the same one."""
        if (fact.id, most) not in self._memo:
            self._memo[fact.id, most] = self.prove([fact.id], self._describe(fact), most)
        return self._memo[fact.id, most]

    def _describe(self, fact: Fact) -> str:
        kind, _, topic = fact.template.partition(" ")
        if topic:
            values = [
                say(domain, slot_of(fact.template, name, self.book), self.book) for name, domain in fact.slots.items()
            ]
            return f"demand on {topic}: {', '.join(values) or fact.text}"
        parts = [
            f"{name.replace('_', ' ')} {say(domain, slot_of(fact.template, name, self.book), self.book)}"
            for name, domain in fact.slots.items()
        ]
        label = f" ({fact.label})" if fact.label else ""
        return f"{kind.replace('_', ' ')}{label}: {', '.join(parts)}"

    def _condition(self, fact: Fact, test: Test, refused: bool) -> Condition:
        slot = slot_of(fact.template, test.slot, self.book)
        domain = fact.slots.get(test.slot, ABSENT)
        sure = fact.certain and (holds(test, domain, True) if not refused else not holds(test, domain, False))
        margin, margin_text = _margin(test, domain, slot, self.certain)
        name = f"{fact.template} ({fact.label})" if fact.label and fact.id in self.instances else fact.template
        words = test.text if test.op != "present" else "applies"
        return Condition(
            about=f"{name.replace('_', ' ')}: {test.slot.replace('_', ' ')}",
            value=figure(domain, slot, self.book),
            test=f"not {words}" if refused else words,
            holds="certain" if sure else "open",
            origin=origin(self.instances.get(fact.id), test.slot),
            margin=None if refused else margin,
            margin_text="" if refused else margin_text,
        )

    def _there(self, fact: Fact) -> Condition:
        """A rule that asks nothing of an instance but that it is there is shown what is told of it."""
        told = {
            name: domain for name, domain in fact.slots.items() if domain != ABSENT and getattr(domain, "told", True)
        }
        instance = self.instances.get(fact.id)
        parts = [
            f"{name.replace('_', ' ')} {say(domain, slot_of(fact.template, name, self.book), self.book)}"
            + (" (assumed)" if origin(instance, name) == "assumed" else "")
            for name, domain in told.items()
        ]
        return Condition(
            about=fact.template.replace("_", " ") + (f" ({fact.label})" if fact.label else ""),
            value=Figure(text=", ".join(parts) or "not known"),
            test="applies",
            holds="certain" if fact.certain else "open",
            origin="silent" if not fact.certain else "told" if instance else "concluded",
        )

    def _computation(self, name: str, trace: Trace) -> Computation:
        template, _, slot_name = name.rpartition(".")
        slot = slot_of(template, slot_name, self.book) or slot_of(f"demand {template}", slot_name, self.book)
        return self._step(name.replace("_", " "), trace, slot)

    def _step(self, about: str, trace: Trace, slot: Slot | None) -> Computation:
        expression = trace.expression
        result = figure(trace.result, slot, self.book)
        if isinstance(expression, Call):
            units = expression.formula.units
            if slot is None and isinstance(trace.result, Span):
                result = span_figure(trace.result, units["return"])
            inputs = {}
            for key, inner in trace.inputs:
                own = self._slot_of_ref(inner)
                inputs[key] = figure(inner.result, own, self.book) if own else span_figure(inner.result, units[key])
            steps = [
                self._step(key, inner, None) for key, inner in trace.inputs if isinstance(inner.expression, Call | Cell)
            ]
            formula = expression.formula
            return Computation(
                about=about, formula=formula.text, inputs=inputs, result=result, source=formula.source,
                basis=formula.basis, model=formula.model, notes=list(trace.notes), steps=steps,
            )  # fmt: skip
        if isinstance(expression, Cell):
            rows = sorted(getattr(trace.inputs[0][1].result, "options", ()))
            sources = {expression.table.rows[row].source for row in rows}
            bases = {expression.table.rows[row].basis for row in rows}
            column = expression.table.columns[expression.column]
            if slot is None and isinstance(trace.result, Span):
                result = span_figure(trace.result, column.unit or "", column.difference)
            return Computation(
                about=about, formula=f"{expression.column.replace('_', ' ')} in the table {expression.table.name}",
                inputs={"row": Figure(text=", ".join(expression.table.rows[row].name for row in rows))}, result=result,
                source="; ".join(sorted(sources)), basis="; ".join(sorted(bases)), notes=list(trace.notes),
            )  # fmt: skip
        text = expression.text if isinstance(expression, Constant) else str(expression)
        return Computation(about=about, formula=f"stated by the rule: {text}", result=result)

    def _slot_of_ref(self, trace: Trace) -> Slot | None:
        if not isinstance(trace.expression, Ref):
            return None
        for template in self.book.vocabulary.templates.values():
            if template.template == trace.expression.alias:
                return template.by_name.get(trace.expression.slot)
        return None


def origin(instance: Instance | None, slot: str) -> str:
    """Return where a tested value comes from."""
    if instance is None or slot not in instance.answers:
        return "concluded"
    return instance.answers[slot].origin


def figure(domain: Domain, slot: Slot | None, book: Rulebook) -> Figure:
    """Return a domain as a figure in coherent SI with its text in the slot's unit."""
    if isinstance(domain, Span):
        unit = (slot.unit if slot else None) or ""
        text = say_span(domain, unit, slot.difference if slot else False)
        text = text if domain.told else f"not known ({text} is possible)"
        return Figure(low=domain.low, high=domain.high, unit=quantities.si_unit(unit), text=text)
    return Figure(text=say(domain, slot, book))


def span_figure(domain: Domain, unit: str, difference: bool = False) -> Figure:
    """Return an interval in a formula's unit as a figure; its text is in the unit that a person reads."""
    if not isinstance(domain, Span):
        return Figure(text="does not apply")
    text = say_span(domain, quantities.common_unit(unit), difference)
    text = text if domain.told else f"not known ({text} is possible)"
    return Figure(low=domain.low, high=domain.high, unit=quantities.si_unit(unit), text=text)


def _margin(test: Test, domain: Domain, slot: Slot | None, certain: bool) -> tuple[float | None, str]:
    if not isinstance(domain, Span) or test.op not in (">=", ">", "<=", "<"):
        return None, ""
    up = test.op in (">=", ">")
    worst = (domain.low if certain else domain.high) if up else (domain.high if certain else domain.low)
    margin = worst - test.low if up else test.low - worst
    if not domain.told:
        return None, ""
    unit = (slot.unit if slot else None) or ""
    size = quantities.show(abs(margin), unit, difference=True)
    return margin, f"{size} {'above' if up else 'below'} the threshold" if margin else "at the threshold"
