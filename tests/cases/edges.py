"""Cases at the edges of single rules: just inside and just outside a condition, and what a rule is to conclude.

A file under `edges/` belongs to a file of `knowledge/rules`:

    about: Wash-down at its edges.
    rules:
      fan-harder-than-x9:
        source: "IEC 60529:1989+A1:1999+A2:2013, 14.2.9"
        basis: published
        cases:
          - fires: {wash: {method: lance, nozzle: fan, pressure: 150 bar, flow: 20 L/min, distance: 100 mm}}
            because: "57 N over a fan 44 mm wide is more than 111 kPa"
          - silent: {wash: {method: lance, nozzle: fan, pressure: 100 bar, flow: 16 L/min, distance: 500 mm}}
            because: "37 N spread over 222 mm"
      jet-force:
        source: momentum
        basis: published
        cases:
          - given: {wash: {method: hose, pressure: 5 bar, flow: 20 L/min}}
            gives: {push: {force: 10.5 N}}
            because: "20 L/min at 31.6 m/s"
            within: 1 %

All is read for certain, and only the rule itself and what it rests on are run. `gives` names, by template or topic,
what the rule concludes: slots with figures or words; of a demand its codes, its figure, or parameters beside `item`;
of a note some of its words; of `material` names by verdict (attacked, limited, unknown; `not attacked` and so on for
names that must not stand there).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor import quantities, yamlfile
from advisor.engine.compiled import MATERIAL, demand_template, spare_template
from advisor.engine.facts import Fact, Run
from advisor.rulebook import Rulebook
from advisor.tables import BASES
from advisor.values import Domain, Span, Words
from advisor.vocabulary import Slot

FOLDER = Path(__file__).parent / "edges"
WITHIN = "1 %"
KINDS = ("fires", "silent", "given")


@dataclass(frozen=True)
class Edge:
    """One case: what is told, and that the rule fires, is silent, or concludes something."""

    rule: str
    number: int
    kind: str
    told: Mapping[str, Any]
    gives: Mapping[str, Any]
    within: str
    because: str

    @property
    def name(self) -> str:
        return f"{self.rule}, case {self.number}"


def files() -> list[Path]:
    return sorted(FOLDER.glob("*.yaml"))


def edges(path: Path) -> Iterator[Edge]:
    """Every case of a file, in its order."""
    for rule, entry in yamlfile.load(path).data["rules"].items():
        for number, case in enumerate(entry["cases"], 1):
            kind = next(kind for kind in KINDS if kind in case)
            gives, within = case.get("gives", {}), case.get("within", WITHIN)
            yield Edge(rule, number, kind, case[kind], gives, within, case.get("because", ""))


def complaints(path: Path) -> list[str]:
    """What is wrong with the form of a file."""
    found = []
    for rule, entry in yamlfile.load(path).data["rules"].items():
        found += [] if entry.get("source") else [f"{rule}: no source"]
        found += [] if entry.get("basis") in BASES else [f"{rule}: no basis {entry.get('basis')}"]
        for number, case in enumerate(entry["cases"], 1):
            kinds = [kind for kind in KINDS if kind in case]
            found += [] if len(kinds) == 1 else [f"{rule}, case {number}: one of {KINDS}"]
            found += [] if ("given" in case) == ("gives" in case) else [f"{rule}, case {number}: given without gives"]
            found += [] if case.get("because") else [f"{rule}, case {number}: no because"]
            unknown = set(case) - {*KINDS, "gives", "because", "within"}
            found += [f"{rule}, case {number}: unknown {key}" for key in unknown]
    return found


def faults(edge: Edge, run: Run, book: Rulebook) -> list[str]:
    """In what the run is not as the case says."""
    made = [f for f in run.facts.values() if any(why.rule == edge.rule for why in run.justifications.get(f.id, ()))]
    if edge.kind != "given":
        return [] if bool(made) == (edge.kind == "fires") else ["the rule fires" if made else "the rule does not fire"]
    texts = [text for (_, why), text in run.texts.items() if why[0] == edge.rule]
    return [fault for name, wanted in edge.gives.items() for fault in _given(edge, name, wanted, made, texts, book)]


def _given(
    edge: Edge, name: str, wanted: Any, made: Sequence[Fact], texts: Sequence[str], book: Rulebook
) -> Iterator[str]:
    if name == MATERIAL:
        own = [fact for fact in made if fact.template == demand_template(MATERIAL)]
        for verdict, materials in wanted.items():
            rating = verdict.removeprefix("not ")
            listed = set().union(*(_words(f.slots["item"]) for f in own if rating in _words(f.slots["rating"])))
            wrong = set(materials) & listed if verdict != rating else set(materials) - listed
            if wrong:
                yield f"{'' if verdict != rating else 'not '}{rating}: {sorted(wrong)}"
        return
    topic = book.vocabulary.topics.get(name.removeprefix("spare "))
    if topic is None:
        slots = book.vocabulary.templates[name].by_name
        own = [fact for fact in made if fact.template == name]
        if not any(_fits(edge, wanted, fact.slots, slots) for fact in own):
            yield f"{name}: {[_shown(fact.slots, slots, wanted) for fact in own]}, not {wanted}"
        return
    template = spare_template(topic.topic) if name.startswith("spare ") else demand_template(topic.topic)
    own = [fact for fact in made if fact.template == template]
    if topic.table is None and topic.unit is None:
        for words in wanted if isinstance(wanted, list) else [wanted]:
            if not own or not any(words.lower() in text.lower() for text in texts):
                yield f"{name}: no note says {words!r}: {texts}"
        return
    slots = topic.slots
    for entry in wanted if isinstance(wanted, list) else [wanted]:
        asked = entry if isinstance(entry, Mapping) else {("item" if topic.table else "value"): entry}
        if not any(_fits(edge, asked, fact.slots, slots) for fact in own):
            yield f"{name}: {[_shown(fact.slots, slots, asked) for fact in own]}, not {asked}"


def _words(domain: Domain) -> set[str]:
    return set(domain.options) if isinstance(domain, Words) else set()


def _fits(edge: Edge, wanted: Mapping[str, Any], have: Mapping[str, Domain], slots: Mapping[str, Slot]) -> bool:
    return all(name in have and _same(edge, value, have[name], slots[name]) for name, value in wanted.items())


def _same(edge: Edge, wanted: Any, have: Domain, slot: Slot) -> bool:
    if isinstance(have, Span):
        low, high = quantities.parse(str(wanted), slot.unit or "", difference=slot.difference)
        share = quantities.parse(edge.within, "percent")[0]
        return abs(have.low - low) <= share * abs(low) and abs(have.high - high) <= share * abs(high)
    if isinstance(wanted, bool):
        wanted = "yes" if wanted else "no"
    return _words(have) == set(wanted if isinstance(wanted, list) else [str(wanted)])


def _shown(have: Mapping[str, Domain], slots: Mapping[str, Slot], wanted: Mapping[str, Any]) -> dict[str, Any]:
    shown: dict[str, Any] = {}
    for name in wanted:
        domain = have.get(name)
        if isinstance(domain, Span):
            unit, difference = slots[name].unit or "", slots[name].difference
            ends = [quantities.from_si(end, unit, difference=difference) for end in (domain.low, domain.high)]
            shown[name] = f"{ends[0]:.5g} {unit}" if ends[0] == ends[1] else f"{ends[0]:.5g} to {ends[1]:.5g} {unit}"
        elif domain is not None:
            shown[name] = sorted(_words(domain))
    return shown
