"""Builds the documents of `require` and `explain` out of an advice."""

from collections.abc import Iterable

from advisor import __version__, quantities
from advisor.advise import Advice, Advisor
from advisor.document import (
    RATED,
    DemandEntry,
    Explanation,
    Figure,
    MaterialEntry,
    NearMiss,
    NoteEntry,
    NotNeeded,
    Question,
    Requirement,
    RulebookStamp,
    State,
)
from advisor.faults import listing
from advisor.interview import Interviewer
from advisor.materials import MaterialVerdict, judge, roles_of
from advisor.proof import Prover
from advisor.resistance import RATINGS
from advisor.rulebook import Rulebook
from advisor.site import Site
from advisor.topics import Demand
from advisor.vocabulary import Topic
from advisor.whynot import near_misses


def stamp(book: Rulebook) -> RulebookStamp:
    """Return which knowledge a document rests on."""
    return RulebookStamp(digest=book.digest, rules=len(book.rules), waived=book.waived)


def site_block(site: Site) -> dict[str, object]:
    """Return the site's head and its answers as they were written."""
    return {
        "name": site.name,
        "about": site.about,
        "date": site.date,
        "reference": site.reference,
        "answers": dict(site.told),
    }


class DocumentBuilder:
    """Turns the demands of one advice into document entries with their proofs."""

    def __init__(self, advice: Advice, advisor: Advisor) -> None:
        self.advice, self.advisor, self.book = advice, advisor, advisor.book
        self.provers = {
            "certain": Prover(advice.certain, advice.site, advice.rules, self.book, certain=True),
            "open": Prover(advice.possible, advice.site, advice.rules, self.book, certain=False),
        }

    def requirement(self) -> Requirement:
        """Return the whole document of `require`."""
        notes = {topic: [self.note(entry) for entry in entries] for topic, entries in self.advice.notes.items()}
        return Requirement(
            version=__version__,
            rulebook=stamp(self.book),
            site=site_block(self.advice.site),
            unused_answers=list(self.advice.site.unused),
            demands=[self.demand(entry) for entry in self.advice.demands],
            open_questions=self.questions(),
            conflicts=notes["conflict"],
            beyond=notes["beyond"],
            refer=notes["refer"],
            cautions=notes["caution"],
            practice=notes["practice"],
            evidence=notes["evidence"],
            not_needed=[NotNeeded(topic=s.topic, value=s.item, text=s.text, rule=s.rule) for s in self.advice.spares],
        )

    def explanation(self, topic: Topic, item: str) -> Explanation:
        """Return the document of `explain` for a topic, or for one code of it."""
        found = [d for d in self.advice.on(topic.topic) if not item or d.item == item]
        missed = near_misses(topic.topic, item, self.advice.possible, self.advisor.loaded.rules, self.book)
        return Explanation(
            version=__version__,
            rulebook=stamp(self.book),
            site=site_block(self.advice.site),
            topic=topic.topic,
            value=item,
            demands=[self.demand(entry) for entry in found],
            why_not=[
                NearMiss(
                    rule=miss.rule.rule.rule,
                    title=miss.rule.rule.title,
                    failed=miss.failed,
                    also_failed=max(miss.count - 1, 0),
                    because=miss.rule.rule.because,
                    source=miss.rule.rule.source,
                )
                for miss in missed
            ],
        )

    def material(self, slug: str) -> Explanation:
        """Return the document of `explain` for one material: how it stands in every part that can be made of it."""
        table = self.book.tables["materials"]
        row = table.rows[slug]
        alike: dict[MaterialVerdict, list[Demand]] = {}
        for demand in self.advice.demands:
            role = self.book.vocabulary.topics[demand.topic].role
            if role is not None and role in roles_of(row, table):
                verdict = judge(row, role, table, self.advice.certain, self.advice.possible)
                alike.setdefault(verdict, []).append(demand)
        entries = [self._standing(row.name, verdict, demands) for verdict, demands in alike.items()]
        return Explanation(
            version=__version__,
            rulebook=stamp(self.book),
            site=site_block(self.advice.site),
            topic="material",
            value=row.name,
            demands=entries,
        )

    def _standing(self, name: str, verdict: MaterialVerdict, demands: list[Demand]) -> DemandEntry:
        """One entry for all the parts in which a material stands alike, with the proof of this verdict alone."""
        facts = dict.fromkeys(reason.fact for reason in verdict.reasons if reason.rating == verdict.possible)
        state: State = "certain" if verdict.possible == verdict.certain else "open"
        told = f"{name}: {RATED[verdict.possible]}"
        titles = ", ".join(self.book.vocabulary.topics[demand.topic].title for demand in demands)
        changed = {
            "title": titles,
            "text": f"{titles}: {told}",
            "materials": [self._material(verdict)],
            "state": state,
            "proof": self.provers[state].prove(facts, told),
        }
        return self.demand(demands[0]).model_copy(update=changed)

    def demand(self, demand: Demand) -> DemandEntry:
        topic = self.book.vocabulary.topics[demand.topic]
        headline = self.headline(demand)
        return DemandEntry(
            topic=demand.topic,
            title=topic.title,
            value=demand.value if demand.value is not None else self.code(demand) or headline,
            unit=quantities.si_unit(topic.unit or "") if demand.value is not None else "",
            materials=[self._material(verdict) for verdict in demand.materials],
            parameters={name: _figure(value, topic.parameters[name]) for name, value in demand.parameters.items()},
            state=demand.state,
            text=headline + (f": {demand.texts[0]}" if demand.texts and demand.texts[0] != headline else ""),
            proof=self.provers[demand.state].prove(demand.facts, headline),
        )

    def note(self, demand: Demand) -> NoteEntry:
        prover = self.provers[demand.state]
        return NoteEntry(text=demand.item, state=demand.state, proof=prover.prove(demand.facts, demand.item))

    def code(self, demand: Demand) -> str:
        table = self.book.vocabulary.topics[demand.topic].table
        return self.book.tables[table].rows[demand.item].name if table else demand.item

    def headline(self, demand: Demand) -> str:
        """Return the demand itself in a few words."""
        topic = self.book.vocabulary.topics[demand.topic]
        if demand.materials:
            return self._choice(demand)
        if demand.value is not None:
            figure = quantities.show(demand.value, topic.unit or "", difference=topic.difference)
            if demand.unknown:
                return f"not known yet ({figure} is the hardest that is plausible)"
            return f"{topic.lead or ('at least' if topic.join == 'highest' else 'at most')} {figure}"
        if not topic.table:
            return demand.item
        parts = [
            f"{name} not known yet"
            if name in demand.unknown
            else f"{name} {quantities.show(value, topic.parameters[name])}"
            for name, value in demand.parameters.items()
        ]
        return self.code(demand) + (f" ({', '.join(parts)})" if parts else "")

    def _material(self, verdict: MaterialVerdict) -> MaterialEntry:
        row = self.book.tables["materials"].rows[verdict.material]
        reasons = list(dict.fromkeys(reason.text for reason in verdict.reasons if reason.rating == verdict.possible))
        return MaterialEntry(
            material=verdict.material,
            name=row.name,
            certain=verdict.certain,
            possible=verdict.possible,
            reasons=reasons,
        )

    def _choice(self, demand: Demand) -> str:
        """Say what is left of the materials of a role: the first few of each kind, the rest counted."""
        rows = self.book.tables["materials"].rows
        if all(v.certain == "resists" for v in demand.materials) and demand.state == "open":
            return "not known yet: hangs on what touches and heats the unit"
        groups: dict[str, list[MaterialVerdict]] = {
            rating: [v for v in demand.materials if v.possible == rating] for rating in RATINGS
        }
        words = []
        for rating, lead in list(RATED.items())[:3]:
            names = [rows[v.material].name for v in groups[rating]]
            if names:
                words.append(f"{lead} {listing(names, 6 if rating == 'resists' else 3)}")
        out = [v for v in groups["attacked"] if v.certain == "attacked"]
        if out:
            words.append(f"{RATED['attacked']} {listing([rows[v.material].name for v in out], 5)}")
        if len(groups["attacked"]) > len(out):
            words.append(f"{len(groups['attacked']) - len(out)} more ruled out unless the open answers say otherwise")
        return "; ".join(words)

    def questions(self) -> list[Question]:
        interviewer = Interviewer(self.advice, self.advice.rules, self.book)
        return [
            Question(
                slot=question.slot.name,
                ask=question.ask,
                help=question.help,
                decides=list(dict.fromkeys(self._decided(question.demands))),
            )
            for question in interviewer.questions()
        ]

    def _decided(self, demands: Iterable[Demand]) -> list[str]:
        """Name the demands that hang on a question; notes are counted by their kind, since their texts are long."""
        words = []
        for demand in demands:
            topic = self.book.vocabulary.topics[demand.topic]
            if topic.join in ("notes", "materials") or demand.value is not None:
                words.append(topic.title.lower())
            else:
                words.append(self.code(demand))
        return words


def _figure(value: float, unit: str) -> Figure:
    return Figure(low=value, high=value, unit=quantities.si_unit(unit), text=quantities.show(value, unit))
