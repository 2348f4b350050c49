"""Compiles rules as written into the one compiled form; what is wrong with a rule carries its place."""

from collections.abc import Iterable, Iterator, Mapping

from advisor.engine.compiled import (
    DEMAND,
    FIELD,
    MATERIAL,
    CompiledDemand,
    CompiledPattern,
    CompiledRule,
    demand_template,
    expressions_of,
)
from advisor.engine.conditions import ConditionError, compile_test
from advisor.engine.exclusion import ByLimit, ByResistance, ByRow, Exclusion, candidates, roles
from advisor.engine.expressions import Expression, compile_expression, references
from advisor.engine.facts import Fact
from advisor.engine.layers import layered, produced
from advisor.faults import Collector, Place, nearest
from advisor.rulebook import Conclusion, ExcludeEntry, Pattern, Rule, Rulebook
from advisor.values import Test, holds
from advisor.vocabulary import Slot, Template, Topic


class RuleCompiler:
    """Compiles the rules of one rulebook; what is wrong with a rule goes to the collector with its place."""

    def __init__(self, book: Rulebook, faults: Collector) -> None:
        self.book, self.faults = book, faults
        self._known: dict[tuple[str, int], CompiledRule | None] = {}
        self._tests: dict[tuple[int, str], Test] = {}

    def compile(self) -> tuple[CompiledRule, ...]:
        """Compile every rule."""
        compiled = [self._compiled(rule, number) for rule, number, _ in self._alternatives()]
        return layered([rule for rule in compiled if rule is not None], self.book, self.faults)

    def compile_for(self, facts: Iterable[Fact]) -> tuple[CompiledRule, ...]:
        """Compile only the rules that these facts could set off, which of a large rulebook are few.

        A rule is left out if a template it binds has no fact and is concluded by no rule taken in, or if no fact of
        an answered template possibly meets its tests.
        """
        by_template: dict[str, list[Fact]] = {}
        for fact in facts:
            by_template.setdefault(fact.template, []).append(fact)
        available = set(by_template)
        waiting = list(self._alternatives())
        taken: list[CompiledRule] = []
        grown = True
        while grown:
            grown = False
            left = []
            for rule, number, entries in waiting:
                if not all(_template_of(entry) in available for entry in entries):
                    left.append((rule, number, entries))
                    continue
                compiled = self._compiled(rule, number) if self._possible(entries, by_template) else None
                if compiled is not None:
                    taken.append(compiled)
                    grown = grown or not produced(compiled) <= available
                    available |= produced(compiled)
            waiting = left
        return layered(taken, self.book, self.faults)

    def _alternatives(self) -> Iterator[tuple[Rule, int, list[Pattern]]]:
        for rule in self.book.rules.values():
            for number, extra in enumerate(rule.any_of or [[]]):
                yield rule, number, [*rule.when, *extra]

    def _possible(self, entries: list[Pattern], by_template: Mapping[str, list[Fact]]) -> bool:
        """Tell whether every answered template has a fact that possibly meets the tests on it."""
        for entry in entries:
            key, conditions = next(iter(entry.items()))
            name = key.partition(" as ")[0]
            if name not in by_template:
                continue
            slots = self.template(name).by_name
            tests = [self._test(slots, slot, raw, name) for slot, raw in conditions.items()]
            if not any(all(holds(t, fact.slots.get(t.slot), False) for t in tests) for fact in by_template[name]):
                return False
        return True

    def _compiled(self, rule: Rule, number: int) -> CompiledRule | None:
        """Compile one alternative of a rule, once; None, and a fault, if it cannot be understood."""
        key = (rule.rule, number)
        if key not in self._known:
            self._known[key] = None
            try:
                extra = rule.any_of[number] if rule.any_of else []
                self._known[key] = self._variant(rule, number, [*rule.when, *extra])
            except ConditionError as problem:
                place = self.book.places.get(rule.rule, Place("rules"))
                self.faults.add(place, f"rule {rule.rule}: {problem.what}", problem.accepted)
        return self._known[key]

    def _variant(self, rule: Rule, number: int, entries: list[Pattern]) -> CompiledRule:
        patterns: dict[str, tuple[str, list[Test], list[Test]]] = {}
        scope: dict[str, Mapping[str, Slot]] = {}
        for entry in entries:
            alias, template, slots, conditions = self._resolve(entry)
            if alias in patterns:
                raise ConditionError(f"{alias} is bound twice", f"name the second, as in '{template} as other'")
            tests = [self._test(slots, name, raw, alias) for name, raw in conditions.items()]
            patterns[alias] = (template, tests, [])
            scope[alias] = slots
        for entry in rule.unless:
            self._refuse(entry, patterns, scope)
        for alias in rule.apart:
            if alias not in patterns:
                raise ConditionError(f"'apart' names {alias!r}, which is not bound", nearest(alias, patterns))
        derives = tuple(self._derive(name, values, scope) for name, values in rule.derive.items())
        demands = tuple(self._demand(conclusion, scope) for conclusion in rule.then)
        used = [expression for _, slots in derives for _, expression in slots]
        for demand in demands:
            used += expressions_of(demand)
        for ref in {ref for expression in used for ref in references(expression)}:
            patterns[ref.alias][1].append(Test(ref.slot, "present", text="present"))
        for demand in demands:
            for alias, slot_name in FIELD.findall(demand.text):
                if alias not in scope or slot_name not in scope[alias]:
                    near = nearest(slot_name, scope[alias]) if alias in scope else nearest(alias, scope)
                    raise ConditionError(f"the text names {{{alias}.{slot_name}}}, which is not bound", near)
        frozen = tuple(
            CompiledPattern(alias, template, tuple(tests), tuple(refusals))
            for alias, (template, tests, refusals) in patterns.items()
        )
        return CompiledRule(rule, number, frozen, derives, demands)

    def _resolve(self, entry: Pattern) -> tuple[str, str, Mapping[str, Slot], dict[str, object]]:
        if len(entry) != 1:
            raise ConditionError(f"one template an entry, not {', '.join(entry)}", "TEMPLATE: {slot: condition}")
        key, conditions = next(iter(entry.items()))
        name, _, alias = key.partition(" as ")
        if not isinstance(conditions, dict):
            raise ConditionError(f"{name} needs its conditions", "{slot: condition}")
        if name == DEMAND:
            topic = self.topic(str(conditions.get("topic", "")))
            own = {slot: condition for slot, condition in conditions.items() if slot != "topic"}
            return alias or DEMAND, demand_template(topic.topic), topic.slots, own
        template = self.template(name)
        return alias or name, name, template.by_name, dict(conditions)

    def template(self, name: str) -> Template:
        known = self.book.vocabulary.templates
        if name not in known:
            raise ConditionError(f"there is no template {name!r}", nearest(name, [*known, DEMAND]))
        return known[name]

    def topic(self, name: str) -> Topic:
        known = self.book.vocabulary.topics
        if name not in known:
            raise ConditionError(f"there is no topic {name!r}", nearest(name, known))
        return known[name]

    def _test(self, slots: Mapping[str, Slot], name: str, raw: object, where: str) -> Test:
        if name not in slots:
            raise ConditionError(f"{where} has no slot {name!r}", nearest(name, slots))
        key = (id(slots[name]), repr(raw))
        if key not in self._tests:
            self._tests[key] = compile_test(slots[name], raw, self.book.tables)
        return self._tests[key]

    def _refuse(
        self,
        entry: Pattern,
        patterns: dict[str, tuple[str, list[Test], list[Test]]],
        scope: dict[str, Mapping[str, Slot]],
    ) -> None:
        if len(entry) != 1 or not all(isinstance(value, dict) and len(value) == 1 for value in entry.values()):
            raise ConditionError("an entry of 'unless' tests one slot of one template", "TEMPLATE: {slot: condition}")
        name, conditions = next(iter(entry.items()))
        if name not in patterns:
            template = self.template(name)
            if template.many or template.derived or template.claimed:
                raise ConditionError(
                    f"'unless' may test {name} only if it is bound under 'when'", "an answer of one instance"
                )
            patterns[name] = (name, [], [])
            scope[name] = template.by_name
        elif patterns[name][0] not in self.book.vocabulary.templates or self.template(patterns[name][0]).derived:
            raise ConditionError(f"'unless' may test answers only, and {name} is concluded")
        slot, raw = next(iter(conditions.items()))
        patterns[name][2].append(self._test(scope[name], slot, raw, name))

    def _derive(
        self, name: str, values: Mapping[str, object], scope: Mapping[str, Mapping[str, Slot]]
    ) -> tuple[str, tuple[tuple[str, Expression], ...]]:
        template = self.template(name)
        if not template.derived:
            raise ConditionError(f"{name} is asked of the user and cannot be concluded", "a derived template")
        done = []
        for slot_name, raw in values.items():
            slot = template.by_name.get(slot_name)
            if slot is None:
                raise ConditionError(f"{name} has no slot {slot_name!r}", nearest(slot_name, template.by_name))
            done.append((slot_name, compile_expression(raw, slot, slot.unit or "", scope, self.book.tables)))
        return name, tuple(done)

    def _demand(self, conclusion: Conclusion, scope: Mapping[str, Mapping[str, Slot]]) -> CompiledDemand:
        if conclusion.note is not None:
            name, text = conclusion.note
            return CompiledDemand(self.topic(name).topic, text=text)
        if conclusion.spare is not None:
            entry = conclusion.spare
            topic = self.topic(entry.topic)
            return CompiledDemand(topic.topic, self._items(topic, entry.item), text=entry.text, spare=True)
        if conclusion.exclude is not None:
            return CompiledDemand(
                MATERIAL, text=conclusion.exclude.text, exclusion=self._exclusion(conclusion.exclude, scope)
            )
        assert conclusion.demand is not None
        demand = conclusion.demand
        topic = self.topic(demand.topic)
        if demand.item is not None:
            parameters = []
            for name, raw in demand.parameters.items():
                if name not in topic.parameters:
                    raise ConditionError(f"{topic.topic} carries no {name!r}", nearest(name, topic.parameters))
                slot = topic.slots[name]
                parameters.append(
                    (name, compile_expression(raw, slot, topic.parameters[name], scope, self.book.tables))
                )
            return CompiledDemand(topic.topic, self._items(topic, demand.item), None, tuple(parameters), demand.text)
        wanted = {"highest": demand.at_least, "lowest": demand.at_most}.get(topic.join)
        if wanted is None:
            raise ConditionError(
                f"{topic.topic} ({topic.join}) is not demanded in this way",
                "'item', or 'at least' / 'at most'",
            )
        value = compile_expression(wanted, topic.slots["value"], topic.unit or "", scope, self.book.tables)
        return CompiledDemand(topic.topic, (), value, (), demand.text)

    def _exclusion(self, entry: ExcludeEntry, scope: Mapping[str, Mapping[str, Slot]]) -> Exclusion:
        table = self.book.tables["materials"]
        known = roles(table)
        for role in entry.roles:
            if role not in known:
                raise ConditionError(f"no material has the role {role!r}", nearest(role, sorted(known)))
        rows = Slot(slot="material", row="materials")
        single = frozenset(candidates(table))

        def compiled(raw: object, unit: str) -> Expression:
            return compile_expression(raw, None, unit, scope, self.book.tables)

        means: ByResistance | ByLimit | ByRow
        if entry.by is not None:
            agent = compile_expression(entry.agent, Slot(slot="agent", row="agents"), "", scope, self.book.tables)
            figures = (
                compiled(entry.strength, "percent"),
                compiled(entry.temperature, "K"),
                compiled(entry.duration, "s"),
            )
            means = ByResistance(agent, *figures)
        elif entry.rows is not None:
            test = compile_test(rows, entry.rows, self.book.tables)
            means = ByRow(test.words & single, test.doubtful & single)
        else:
            column = table.columns.get(entry.column or "")
            if column is None or column.kind not in ("quantity", "number"):
                raise ConditionError(
                    f"materials have no figure {entry.column!r}", nearest(str(entry.column), table.columns)
                )
            raw = entry.below if entry.below is not None else entry.above
            within = single
            if entry.of is not None:
                within &= compile_test(rows, entry.of, self.book.tables).words
            means = ByLimit(
                entry.column or "", entry.below is not None, compiled(raw, column.unit or ""), entry.missing, within
            )
        return Exclusion(means, frozenset(entry.roles) or known, entry.rating, entry.text)

    def _items(self, topic: Topic, items: list[str]) -> tuple[str, ...]:
        if topic.join != "codes" or not topic.table:
            raise ConditionError(f"{topic.topic} has no codes", "a topic with a table of codes")
        rows = self.book.tables[topic.table].rows
        for item in items:
            if item not in rows:
                raise ConditionError(f"{item!r} is no code of {topic.topic}", nearest(item, rows))
        return tuple(items)


def _template_of(entry: Pattern) -> str:
    """Return the name of the template that a pattern binds, as its facts have it."""
    key, conditions = next(iter(entry.items()))
    name = key.partition(" as ")[0]
    return demand_template(str(conditions.get("topic"))) if name == DEMAND else name
