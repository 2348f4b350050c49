"""Rules in layers: what a rule rests on lies below it, and a circle of conclusions is refused."""

from advisor.engine.compiled import CompiledRule, demand_template, spare_template
from advisor.faults import Collector, Place
from advisor.rulebook import Rulebook


def consumed(rule: CompiledRule, book: Rulebook) -> set[str]:
    """Return the concluded templates on which a rule rests."""
    templates = book.vocabulary.templates
    return {p.template for p in rule.patterns if p.template not in templates or templates[p.template].derived}


def produced(rule: CompiledRule) -> set[str]:
    """Return the templates that a rule concludes."""
    return {name for name, _ in rule.derives} | {
        (spare_template if d.spare else demand_template)(d.topic) for d in rule.demands
    }


def layered(rules: list[CompiledRule], book: Rulebook, faults: Collector) -> tuple[CompiledRule, ...]:
    """Put rules in layers, so that what a rule rests on lies below it; a circle is a fault that names its rules."""
    makers: dict[str, list[CompiledRule]] = {}
    for rule in rules:
        for name in produced(rule):
            makers.setdefault(name, []).append(rule)
    layers: dict[str, int] = {}

    def layer_of(name: str, trail: tuple[str, ...]) -> int:
        if name in trail:
            circle = trail[trail.index(name) :]
            on_it = sorted({m.rule.rule for n in circle for m in makers.get(n, []) if consumed(m, book) & set(circle)})
            places = ", ".join(f"{rule} ({book.places.get(rule, '?')})" for rule in on_it)
            faults.add(
                book.places.get(on_it[0], Place("rules")) if on_it else Place("rules"),
                f"conclusions run in a circle: {places}",
            )
            return 0
        if name not in layers:
            below = [
                layer_of(inner, (*trail, name)) for maker in makers.get(name, []) for inner in consumed(maker, book)
            ]
            layers[name] = 1 + max(below, default=0)
        return layers[name]

    done = []
    for rule in rules:
        layer = max((layer_of(name, ()) for name in consumed(rule, book)), default=0)
        done.append(CompiledRule(rule.rule, rule.variant, rule.patterns, rule.derives, rule.demands, layer))
        if rule.rule.pool and layer != 1:
            where = book.places.get(rule.rule.rule, Place("rules"))
            faults.add(where, f"rule {rule.rule.rule} pools what is not drawn from answers alone", "a lower template")
        if consumed(rule, book) & produced(rule):
            layer_of(next(iter(consumed(rule, book) & produced(rule))), ())
    return tuple(sorted(done, key=lambda rule: (rule.layer, rule.rule.rule, rule.variant)))
