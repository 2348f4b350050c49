"""Random sites for the property tests, drawn from the vocabulary itself, so that they grow with it.

A site is drawn as the plain data of a site file. Figures are drawn from the plausible range and, more often, at and
beside the thresholds that the rules test. Every kind of answer occurs: a value, a range, a bound, several choices,
`unknown`, silence, a preset, `none`, and several instances.
"""

import functools
from collections.abc import Iterable, Mapping
from typing import Any

from hypothesis import strategies as st

from advisor import quantities
from advisor.advise import Advice, gather
from advisor.engine.bounds import evaluate
from advisor.engine.conditions import words_of
from advisor.engine.facts import Run
from advisor.engine.firing import Conclusions
from advisor.loading import Loaded, load
from advisor.materials import MaterialVerdict
from advisor.resistance import RATINGS, Rating
from advisor.rulecheck import example_site
from advisor.site import Instance, Site
from advisor.topics import Demand, covers
from advisor.values import Absent, Span, Words
from advisor.vocabulary import Slot, Template

Told = dict[str, Any]
Draw = st.DrawFn
MOST_TOLD = 4
"""Templates told of in one site; what is left out is silent, `unknown` or `none`."""


@functools.cache
def rulebook() -> Loaded:
    """The shipped rulebook, loaded once."""
    return load()


@functools.cache
def asked() -> dict[str, Template]:
    """The templates that are asked of the user."""
    templates = rulebook().book.vocabulary.templates
    return {name: entry for name, entry in templates.items() if not entry.derived and not entry.claimed}


@functools.cache
def thresholds() -> dict[tuple[str, str], tuple[float, ...]]:
    """Every figure against which a rule holds a slot, in coherent SI."""
    found: dict[tuple[str, str], set[float]] = {}
    for rule in rulebook().rules:
        for pattern in rule.patterns:
            for test in (*pattern.tests, *pattern.refusals):
                if test.op in (">=", ">", "<=", "<", "between"):
                    figures = {figure for figure in (test.low, test.high) if figure == figure}
                    found.setdefault((pattern.template, test.slot), set()).update(figures)
    return {key: tuple(sorted(figures)) for key, figures in found.items()}


def read(told: Mapping[str, Any]) -> Site:
    """Read drawn data as a site file would be read."""
    return example_site(told, rulebook().book, "drawn")


def runs(site: Site, rules: Any = None) -> tuple[Run, Run]:
    """The certain and the possible run of the quick evaluator."""
    loaded = rulebook()
    facts, known = site.facts(), Conclusions(loaded.book)
    sure = [fact for fact in facts if fact.certain]
    certain = evaluate(rules or loaded.rules, sure, loaded.book, certain=True, conclusions=known)
    return certain, evaluate(rules or loaded.rules, facts, loaded.book, certain=False, conclusions=known)


def advise(site: Site) -> Advice:
    """The advice on a site by the quick evaluator."""
    return joined(site, *runs(site))


def joined(site: Site, certain: Run, possible: Run) -> Advice:
    """The advice that two runs come to."""
    loaded = rulebook()
    return gather(site, certain, possible, loaded.book, loaded.rules)


def everything(advice: Advice, state: str = "") -> list[Demand]:
    """All demands and notes of an advice, or those of one state."""
    found = [*advice.demands, *(note for notes in advice.notes.values() for note in notes)]
    return [demand for demand in found if not state or demand.state == state]


def written(value: float, slot: Slot) -> str:
    """A figure in coherent SI as a person would write it for the slot."""
    unit = slot.unit or ""
    return f"{quantities.from_si(value, unit, difference=slot.difference):.12g} {unit}".strip()


def spread(low: float, high: float, slot: Slot) -> str:
    """A range as a person would write it."""
    return f"{written(low, slot).split(' ')[0]} .. {written(high, slot)}"


def figures(low: float, high: float, marks: Iterable[float]) -> st.SearchStrategy[float]:
    """Figures of an interval, every other one at a mark or beside it."""
    beside = {near for mark in marks for near in (mark * 0.999, mark, mark * 1.001) if low <= near <= high}
    grid = st.integers(0, 1000).map(lambda step: low + (high - low) * (step / 1000) ** 3)
    return st.one_of(st.sampled_from(sorted(beside | {low, high})), grid)


def points(template: str, slot: Slot, domain: Span | Words) -> st.SearchStrategy[Any]:
    """Answers that settle a slot within a domain."""
    if isinstance(domain, Words):
        return st.sampled_from(sorted(domain.options))
    marks = thresholds().get((template, slot.slot), ())
    return figures(domain.low, domain.high, marks).map(lambda value: written(value, slot))


def whole(slot: Slot) -> Span | Words:
    """All that a slot may hold."""
    if slot.kind == "words":
        return Words(frozenset(words_of(slot, rulebook().book.tables)))
    return Span(*quantities.parse(slot.plausible or "", slot.unit or "", difference=slot.difference))


def answers(template: str, slot: Slot) -> st.SearchStrategy[Any]:
    """All kinds of answer to a slot."""
    if slot.kind == "text":
        return st.just("some words")
    domain = whole(slot)
    settled = points(template, slot, domain)
    if isinstance(domain, Words):
        several = st.lists(st.sampled_from(sorted(domain.options)), min_size=1, max_size=3, unique=True)
        return st.one_of(settled, settled, several, st.just("unknown"))
    values = figures(domain.low, domain.high, thresholds().get((template, slot.slot), ()))
    ranges = st.tuples(values, values).map(lambda ends: spread(*sorted(ends), slot))
    bounds = st.tuples(st.sampled_from((">=", "<=")), values).map(lambda pair: f"{pair[0]} {written(pair[1], slot)}")
    return st.one_of(settled, settled, settled, ranges, bounds, st.just("unknown"))


@st.composite
def instances(draw: Draw, template: Template) -> Told:
    """One instance of a template."""
    gates = {name for slot in template.slots for name in (slot.relevant or {}).get(template.template, ())}
    names = list(template.by_name)
    chosen = set(draw(st.lists(st.sampled_from(names), unique=True, max_size=8)))
    if draw(st.integers(0, 3)):
        chosen |= gates
    for group in template.alternatives:
        chosen -= set(sorted(chosen & set(group))[1:])
    told: Told = {name: draw(answers(template.template, template.by_name[name])) for name in names if name in chosen}
    if template.presets and draw(st.integers(0, 2)) == 0:
        told["preset"] = draw(st.sampled_from(sorted(rulebook().book.tables[template.presets].rows)))
    return told


@st.composite
def sites(draw: Draw, most: int = MOST_TOLD, *, settled: bool = False) -> Told:
    """A whole site over all templates, as the data of a site file; `settled` leaves as little open as may be."""
    names = sorted(asked())
    chosen = draw(st.lists(st.sampled_from(names), unique=True, min_size=1, max_size=most))
    told: Told = {}
    for name in names:
        template = asked()[name]
        if name in chosen:
            count = draw(st.sampled_from((1, 1, 1, 2))) if template.many else 1
            entries = [draw(instances(template)) for _ in range(count)]
            told[name] = entries if template.many else entries[0]
        else:
            nothing = ["none"] if template.many or template.none else []
            words = nothing if settled and nothing else ["", "", "unknown", *(nothing * 6)]
            word = draw(st.sampled_from(words))
            if word:
                told[name] = word
    return told


@st.composite
def completions(draw: Draw, told: Told) -> Told:
    """A site in which more is settled than in the one given, and nothing is told that it did not allow."""
    site = read(told)
    done = dict(told)
    for name, template in asked().items():
        own = [entry for entry in site.instances if entry.template == name]
        raw = told.get(name)
        if raw == "none" or (raw in (None, "unknown") and denied(template, told)):
            continue
        if raw in (None, "unknown"):
            options = ["told", "told"] + (["none"] if template.many or _allows_none(template, own[0]) else [])
            if draw(st.sampled_from(options)) == "none":
                done[name] = "none"
            else:
                count = draw(st.sampled_from((1, 1, 2))) if template.many else 1
                entries = [draw(_settled(own[0], {})) for _ in range(count)]
                done[name] = entries if template.many else entries[0]
            continue
        entries = raw if isinstance(raw, list) else [raw]
        settled = [draw(_settled(entry, old)) for entry, old in zip(own, entries, strict=True)]
        done[name] = settled if isinstance(raw, list) else settled[0]
    return done


def denied(template: Template, told: Told) -> bool:
    """Whether a gate before the template is told as `none`; telling of what is behind it would contradict that."""
    return any(told.get(other) == "none" for slot in template.slots for other in slot.relevant or {})


def _allows_none(template: Template, instance: Instance) -> bool:
    """Whether that there is nothing of the kind is among what is allowed."""
    allowed = [(word, instance.answers[name].domain) for name, word in (template.none or {}).items()]
    return bool(allowed) and all(isinstance(domain, Words) and word in domain.options for word, domain in allowed)


@st.composite
def _settled(draw: Draw, instance: Instance, told: Told) -> Told:
    template = asked()[instance.template]
    done = dict(told)
    for name, answer in instance.answers.items():
        domain = answer.domain
        if name not in told and answer.origin == "assumed" and isinstance(domain, Words):
            # Taken for open since something behind it is told; a template that is told of opens nothing by itself.
            done[name] = sorted(domain.options)
        if not isinstance(domain, Absent) and not domain.point and draw(st.integers(0, 4)):
            done[name] = draw(points(template.template, template.by_name[name], domain))
    return done


@st.composite
def with_completion(draw: Draw) -> tuple[Told, Told]:
    """A site and one of its completions."""
    told = draw(sites())
    return told, draw(completions(told))


def unnamed_agents(site: Site) -> bool:
    """Whether an agent is left unnamed; it then rules no material out until it is named, and is asked for."""
    return any(
        asked()[entry.template].by_name[name].row == "agents" and not answer.domain.told
        for entry in site.instances
        for name, answer in entry.answers.items()
        if not isinstance(answer.domain, Absent)
    )


def uncovered(asked_for: Iterable[Demand], held: Iterable[Demand], *, certain: bool) -> list[str]:
    """Name every demand that no demand held covers.

    Notes are known by the rule that made them, whatever they word. Materials are held against each other by their
    verdicts in the given reading.
    """
    held = list(held)
    found = []
    for demand in asked_for:
        others = [other for other in held if other.topic == demand.topic]
        if demand.materials:
            found += _milder(demand, others, certain=certain)
        elif not any(_covered(demand, other) for other in others):
            found.append(f"{demand.topic}: {demand.item or demand.value} {dict(demand.parameters)}")
    return found


def _milder(demand: Demand, others: list[Demand], *, certain: bool) -> list[str]:
    """Name every material that has a milder verdict among the others.

    In the possible reading `unknown` says that the verdict hangs on what is not told, so it allows the worst.
    """

    def rating(verdict: MaterialVerdict) -> Rating:
        return verdict.certain if certain else verdict.possible

    held = {verdict.material: rating(verdict) for other in others for verdict in other.materials}
    worst: Rating = "attacked"
    allowed = {name: worst if found == "unknown" and not certain else found for name, found in held.items()}
    return [
        f"{demand.topic}: {verdict.material} {rating(verdict)}"
        for verdict in demand.materials
        if RATINGS.index(rating(verdict)) > RATINGS.index(allowed.get(verdict.material, "resists"))
    ]


def _covered(demand: Demand, other: Demand) -> bool:
    book = rulebook().book
    topic = book.vocabulary.topics[demand.topic]
    if topic.join == "codes":
        table = book.tables[topic.table or ""]
        return covers(table, topic, other.item, other.parameters, demand.item, demand.parameters)
    if topic.join == "notes":
        return other.item == demand.item or bool(makers(demand) & makers(other))
    assert demand.value is not None
    assert other.value is not None
    slack = 1e-9 * abs(demand.value)
    return other.value >= demand.value - slack if topic.join == "highest" else other.value <= demand.value + slack


def makers(demand: Demand) -> set[str]:
    """The rules, each with the number of its conclusion, that made a note."""
    return {fact.split("|")[1] for fact in demand.facts}
