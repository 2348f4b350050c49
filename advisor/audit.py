"""Demands against claims: a finding for each binding demand, and the verdict on the unit.

`meets`: a claim with full credit lies at or above the demand. `unclear`: a claim was read, but a person must decide
(a condition, a missing figure, a rating that the standard does not turn into the one demanded, a sheet that
contradicts itself, a demand that an open answer may still lift). `unstated`: the sheet is silent. `falls short`: the
best claim lies below, or the sheet denies it. A unit is an assembly: a part that has a claim of its own on a topic must
bear the demand itself, and the worst part decides. Silence is never a pass: a unit is fit only if every binding demand
is met, nothing was referred, and no negation on the sheet was left ununderstood.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from operator import itemgetter
from typing import Literal

from advisor.advise import Advice
from advisor.claim_tables import ABSENT, idle_answers
from advisor.claims import Claim
from advisor.materials import MaterialVerdict, judge, maker, roles_of, standing_for
from advisor.outcomes import OUTCOMES, Outcome, figure, limited, meets_code, quotes, rated, shown_warm, with_notes
from advisor.rulebook import Rulebook
from advisor.sheet import UnitSheet
from advisor.tables import Row, Table
from advisor.topics import Demand
from advisor.values import CLOSE, Words
from advisor.vocabulary import Topic

Verdict = Literal["fit", "unproven", "unfit"]
WHOLE = "unit"
_LOW = "temperature.low"
AMPLE = 0.25
"""A figure that goes beyond the demand by more than this part of it counts as surplus."""


@dataclass(frozen=True)
class Finding:
    """How one demand fares: the outcome, the part that decided it, the claims looked at, and why."""

    demand: Demand
    outcome: Outcome
    part: str
    claims: tuple[Claim, ...]
    text: str
    lacking: float | None = None
    """How far a figure falls short, in coherent SI."""
    surplus: bool = False
    """The unit offers clearly more than is demanded."""


@dataclass(frozen=True)
class Audit:
    """A unit held against a site."""

    unit: UnitSheet
    verdict: Verdict
    findings: tuple[Finding, ...]
    held_back: tuple[str, ...] = ()
    """Why a unit that meets everything is not fit all the same."""

    @property
    def rank(self) -> tuple[int, int, int, int]:
        """Fewest shortfalls first, then silences, then what is unclear, then what is more than needed."""
        return rank(self.findings)


def rank(findings: Iterable[Finding]) -> tuple[int, int, int, int]:
    """Return the counts by which units are put in order; the least comes first."""
    found = list(findings)
    outcomes = [finding.outcome for finding in found]
    counts = [outcomes.count(outcome) for outcome in ("falls short", "unstated", "unclear")]
    return counts[0], counts[1], counts[2], sum(finding.surplus for finding in found)


class Auditor:
    """Audits units against one advice; findings are kept by the claims they rest on, for catalogues."""

    def __init__(self, advice: Advice, book: Rulebook) -> None:
        self.advice, self.book = advice, book
        self.parts = book.tables["claim_parts"].rows
        self.cold = str(book.tables["claim_conditions"].rows["tested-at"].cells["text"])
        self.loose = {part for part, row in self.parts.items() if row.cells.get("apart")}
        self.held_back = self._held_back()
        self.demands: dict[str, list[Demand]] = {}
        for demand in advice.demands:
            self.demands.setdefault(demand.topic, []).append(demand)
        self.fitted = self._fitted()
        self.told = self._told()
        self.lowest = min((d.value for d in self.demands.get(_LOW, ()) if d.value is not None), default=0.0)
        self.circumstances = (self.told & idle_answers(book), self.lowest)
        """What besides the demands and the parts decides what a claim is worth here."""
        self._kept: dict[tuple[object, ...], tuple[Finding, ...]] = {}

    def audit(self, unit: UnitSheet) -> Audit:
        """Return the verdict on a unit."""
        by_topic: dict[str, list[Claim]] = {}
        for claim in unit.claims:
            by_topic.setdefault(claim.topic, []).append(claim)
        findings: list[Finding] = []
        for topic in self.demands:
            findings += self.findings(topic, tuple(by_topic.get(topic, ())), unit.parts)
        held = (*self.held_back, *unit.doubts)
        return Audit(unit, verdict({finding.outcome for finding in findings}, bool(held)), tuple(findings), held)

    def findings(self, name: str, claims: tuple[Claim, ...], parts: frozenset[str]) -> tuple[Finding, ...]:
        """Return the findings on all demands of one topic for the claims made on it, by the parts spoken of."""
        topic = self.book.vocabulary.topics[name]
        if all(claim.limit == "mild" or (claim.limit and topic.join == "materials") for claim in claims):
            claims = ()  # "Neutral cleaners only" limits what is named, and names nothing.
        if not claims and topic.audit == "if named" and not self._names(parts | self.fitted, topic):
            return ()
        key = (name, *claims)
        kept = self._kept.get(key)
        if kept is None:
            asked = [demand for demand in self.demands[name] if claims or self._asked(demand, topic)]
            kept = self._kept[key] = tuple(self._judge(demand, topic, claims) for demand in asked)
        return kept

    def _fitted(self) -> frozenset[str]:
        """The parts that the site itself says the unit has: a told choice that names one, as moulded-cable does."""
        found: set[str] = set()
        for instance in self.advice.site.instances:
            for name, answer in instance.answers.items():
                domain = answer.domain
                if instance.template == "unit" and isinstance(domain, Words) and len(domain.options) == 1:
                    found.update(word for option in domain.options for word in option.split("-") if name != "kind")
        return frozenset(found & set(self.parts))

    def _told(self) -> frozenset[str]:
        """The answers of the site that are one word, as `template.slot=word`, of templates that stand once.

        What no rule concludes, not even possibly, stands as `template=absent`.
        """
        found: set[str] = set()
        for instance in self.advice.site.instances:
            for name, answer in instance.answers.items():
                domain = answer.domain
                if isinstance(domain, Words) and domain.point and domain.told and not domain.maybe:
                    found.add(f"{instance.template}.{name}={next(iter(domain.options))}")
        drawn = {fact.template for run in (self.advice.certain, self.advice.possible) for fact in run.facts.values()}
        templates = self.book.vocabulary.templates.values()
        found.update(one.template + ABSENT for one in templates if one.derived and one.template not in drawn)
        return frozenset(found)

    def _held_back(self) -> tuple[str, ...]:
        refer = [note for note in self.advice.notes.get("refer", ()) if note.state == "certain"]
        conflicts = [note for note in self.advice.notes.get("conflict", ()) if note.state == "certain"]
        words = ["The point is referred: no spec sheet answers what is outside this tool."] if refer else []
        if conflicts:
            words.append("The answers clash; settle them first.")
        return tuple(words)

    def _asked(self, demand: Demand, topic: Topic) -> bool:
        """Tell whether a silent sheet is asked: not for codes that every unit meant for plants meets."""
        table = self.book.tables.get(topic.table or "")
        return table is None or not demand.item or table.rows[demand.item].cells.get("asked") is not False

    def _names(self, parts: Iterable[str], topic: Topic) -> bool:
        """Tell whether one of the parts has the topic's role first: a face may be a window, but need not be one."""
        rows = [self.parts[part] for part in parts if part in self.parts]
        return any((topic.role,) == row.cells.get("roles", ())[:1] for row in rows if not row.cells["whole"])

    def _judge(self, demand: Demand, topic: Topic, claims: tuple[Claim, ...]) -> Finding:
        told = self._about(demand, topic, self._relieved(claims))
        if not told:
            return Finding(demand, "unstated", "", (), "The sheet says nothing of it.")
        claims = tuple(c for c in told if not c.denied or self._speaks_against(c, demand, topic))
        if not claims:
            return Finding(demand, "unstated", "", told, "The sheet says only what it does not have.")
        parts: dict[str, list[Claim]] = {}
        for claim in claims:
            row = self.parts.get(claim.part)
            whole = row is None or bool(row.cells["whole"])
            parts.setdefault(WHOLE if whole else claim.part, []).append(claim)
        if topic.join == "materials" and len(parts) > 1 and all(claim.limit for claim in parts.get(WHOLE, ())):
            limits = parts.pop(WHOLE, [])
            parts = {part: [*own, *limits] for part, own in parts.items()}
        # "IP66, plug IP20 when unplugged": a state outside service is none of a part in use.
        used = {part: own for part, own in parts.items() if not all(claim.apart for claim in own)}
        parts = used or parts
        found = [
            _softened(self._of_part(demand, topic, part, tuple(own)), part in self.loose)
            for part, own in parts.items()
        ]
        worst = max(found, key=lambda finding: OUTCOMES.index(finding.outcome))
        if topic.role is None and WHOLE not in parts and worst.outcome == "meets":
            only = ", ".join(parts)
            return Finding(demand, "unclear", worst.part, claims, f"Stated of the {only} only, not of the unit.")
        return worst

    def _relieved(self, claims: tuple[Claim, ...]) -> tuple[Claim, ...]:
        """Lift a limit that does not matter at this site: "for indoor use only" on a unit that stands indoors."""
        claims = tuple(shown_warm(claim, self.lowest, self.cold) for claim in claims)
        if not any(claim.idle for claim in claims):
            return claims
        kept = [claim for claim in claims if not (claim.denied and claim.idle and claim.idle in self.told)]
        return tuple(replace(c, credit="full") if c.idle and c.idle in self.told else c for c in kept)

    def _about(self, demand: Demand, topic: Topic, claims: tuple[Claim, ...]) -> tuple[Claim, ...]:
        """Leave out claims on another phenomenon, where a topic has several: a discharge level is no burst level."""
        table = self.book.tables.get(topic.table or "")
        if table is None or "phenomenon" not in table.rows[demand.item].cells:
            return claims
        wanted = table.rows[demand.item].cells["phenomenon"]
        return tuple(c for c in claims if not c.item or table.rows[c.item].cells["phenomenon"] == wanted)

    def _of_part(self, demand: Demand, topic: Topic, part: str, claims: tuple[Claim, ...]) -> Finding:
        denials = [claim for claim in claims if claim.denied and not claim.apart]
        stated = tuple(claim for claim in claims if not claim.denied)
        made_of = {slug for claim in stated for slug in claim.materials}
        # "Not PVC" says only what the part is not made of, unless the sheet names PVC as well.
        denials = [claim for claim in denials if not claim.materials or made_of.intersection(claim.materials)]
        if not stated:
            if not denials:
                return Finding(demand, "unstated", part, claims, "The sheet says only what it is not made of.")
            plain = [claim for claim in denials if claim.item or claim.value is not None]
            if plain:
                says = "limits" if plain[0].limit else "denies"
                text = with_notes(f"The sheet {says} it: {plain[0].quote}.", plain[0], "falls short")
                return Finding(demand, "falls short", part, claims, text)
            return Finding(demand, "unclear", part, claims, f"The sheet limits it: {quotes(claims)}.")
        if topic.join == "materials":
            found = self._material(demand, topic, part, stated)
        elif topic.join == "codes":
            found = self._codes(demand, topic, part, stated)
        else:
            found = self._figures(demand, topic, part, stated)
        bounds = [claim for claim in denials if claim.limit and claim.parameters]
        if bounds and found.outcome == "unclear":
            return Finding(demand, "falls short", part, claims, f"The sheet limits it: {quotes(bounds)}.")
        if denials and found.outcome == "meets":
            text = f"The sheet contradicts itself: {quotes((*found.claims, *denials))}."
            named = [claim for claim in denials if claim.item or claim.value is not None or claim.materials]
            if all(claim.limit for claim in named):
                text = f"{quotes(found.claims)} is claimed, but the sheet limits it: {quotes(denials)}."
            return Finding(demand, "unclear", part, (*found.claims, *denials), text)
        return found

    def _speaks_against(self, claim: Claim, demand: Demand, topic: Topic) -> bool:
        """Tell whether a denial denies what is demanded: that itself, or something that it would bring with it."""
        if topic.join == "materials":
            return True
        if topic.join != "codes":
            if claim.value is None or demand.value is None:
                return True
            slack = abs(demand.value) * CLOSE
            return (
                claim.value <= demand.value + slack if topic.join == "highest" else claim.value >= demand.value - slack
            )
        if not claim.item:
            return True
        cells = self.book.tables[topic.table or ""].rows[demand.item].cells
        if claim.item == demand.item:
            # "Not IP68 at 10 m" leaves 2 m open.
            return all(claim.parameters.get(n, 0.0) <= need for n, need in demand.parameters.items())
        return claim.item in (*cells.get("covers", ()), *cells.get("often_covers", ()))

    def _codes(self, demand: Demand, topic: Topic, part: str, claims: tuple[Claim, ...]) -> Finding:
        results = [(*self._code(demand, topic, claim), claim) for claim in claims]
        outcome, text, claim = min(results, key=lambda result: OUTCOMES.index(result[0]))
        if outcome != "meets":
            return Finding(demand, outcome, part, claims, text)
        good = [result[2] for result in results if result[0] == "meets"]
        if lower := [c for c in claims if self._contradicts(c, good, demand, topic)]:
            text = f"The sheet contradicts itself: {quotes((claim, *lower))}."
            return Finding(demand, "unclear", part, (claim, *lower), text)
        return Finding(demand, outcome, part, (claim,), text, None, claim.item != demand.item)

    def _contradicts(self, claim: Claim, good: list[Claim], demand: Demand, topic: Topic) -> bool:
        """Tell whether a claim names a lower step of the ladder that the demand stands on, elsewhere on the sheet.

        In one list ("IP65/IP67") codes add up; a first numeral is a single ladder, so that two of them never do. A
        condition beside the lower one may tie it to a part or a way of use of the unit: it counts.
        """
        if claim.credit == "none" or claim.floor or claim.apart or claim in good:
            return False
        if claim.narrow:
            return any(other.item == claim.item and other.place != claim.place for other in good)
        rows = self.book.tables[topic.table or ""].rows
        own = rows[claim.item].cells if claim.item else {}
        if claim.item not in rows[demand.item].cells.get("covers", ()) or any(name in own for name in topic.parameters):
            return False
        return not topic.parameters or all(other.place != claim.place for other in good)

    def _code(self, demand: Demand, topic: Topic, claim: Claim) -> tuple[Outcome, str]:
        table = self.book.tables[topic.table or ""]
        if not claim.item:
            return "unclear", " ".join([f"{claim.quote}: no code is claimed.", *claim.notes])
        outcome, text = meets_code(table, topic, claim.item, claim.parameters, demand.item, demand.parameters)
        if topic.least and claim.floor and outcome == "falls short":
            assured = table.rows[claim.item].name
            outcome, text = "unclear", f"{claim.quote} assures no more than {assured}: ask what was tested."
        return limited(outcome, claim), with_notes(text, claim, outcome)

    def _figures(self, demand: Demand, topic: Topic, part: str, claims: tuple[Claim, ...]) -> Finding:
        figured = [claim for claim in claims if claim.value is not None]  # words say nothing beside a figure
        results = [(*figure(demand, topic, claim), claim) for claim in figured or claims]
        firm = [r for r in results if r[3].credit == "full" and not r[3].floor and not r[3].apart]
        if len({result[3].value for result in firm}) > 1:
            return _contradiction(demand, part, firm)
        # What follows from another statement stands in only where the sheet does not say it itself.
        if firm or any(result[3].own and result[0] == "falls short" for result in results):
            results = [result for result in results if not result[3].floor]
        outcome, text, lacking, claim = min(results, key=lambda result: OUTCOMES.index(result[0]))
        surplus = outcome == "meets" and _beyond(demand, claim)
        return Finding(demand, outcome, part, claims if outcome != "meets" else (claim,), text, lacking, surplus)

    def _material(self, demand: Demand, topic: Topic, part: str, claims: tuple[Claim, ...]) -> Finding:
        table = self.book.tables["materials"]
        role = topic.role or ""
        worst: tuple[int, Outcome, str, Claim] | None = None
        variants: dict[str, int] = {}
        for claim in claims:
            for slug in claim.materials:
                row = table.rows[slug]
                eased = {rule: tested for rule, _, tested in sorted(claim.eased, key=itemgetter(2))}
                judged = judge(row, role, table, self.advice.certain, self.advice.possible, eased)
                outcome, text = rated(row.name, judged.certain, judged.possible)
                if outcome == "meets" and role not in _roles(row, table):
                    # Nothing speaks against it since nobody makes such parts of it: most likely another part is meant.
                    outcome, text = "unclear", f"{row.name} is no material for this part: of which part does it speak?"
                reasons = dict.fromkeys(r.text for r in judged.reasons if r.rating == judged.possible != "resists")
                text += "".join(f" {reason}." for reason in list(reasons)[:2])
                text += "".join(f" The sheet says {quote!r}." for quote in _answers(judged, claim))
                if outcome == "falls short" and (better := self._may_stand_for(row, role)):
                    outcome = "unclear"
                    text += f" The name may also stand for {better}, which is not ruled out: ask for the grade."
                worth = limited(outcome, claim)
                entry = (OUTCOMES.index(worth), worth, with_notes(text, claim, outcome), claim)
                worst = entry if worst is None or entry[0] > worst[0] else worst
                variants[claim.variant] = max(entry[0], variants.get(claim.variant, 0))
        if worst is None:
            return Finding(demand, "unclear", part, claims, "The material was not recognised.")
        sure = variants.get("", 0)
        if worst[1] == "falls short" and sure < worst[0] and min(variants.values()) < worst[0]:
            return Finding(demand, "unclear", part, (worst[3],), f"{worst[2]} Another variant may stand it.")
        return Finding(demand, worst[1], part, (worst[3],), worst[2])

    def _may_stand_for(self, row: Row, role: str) -> str:
        """Return a material that a loose name may stand for and that stands the point, by name; empty if none does."""
        table = self.book.tables["materials"]
        if "worst_of" not in row.cells:
            return ""
        for key in standing_for(row, role, table):
            judged = judge(table.rows[key], role, table, self.advice.certain, self.advice.possible)
            if judged.certain == "resists" or judged.possible == "limited":
                return table.rows[key].name
        better = (table.rows[key] for key in row.cells.get("may_be", ()))
        for other in (entry for entry in better if role in roles_of(entry, table)):
            if judge(other, role, table, self.advice.certain, self.advice.possible).certain in ("resists", "limited"):
                return other.name
        return ""


def verdict(outcomes: set[Outcome], held: bool) -> Verdict:
    """Return the verdict by the outcomes found, and whether something holds the unit back all the same."""
    if "falls short" in outcomes:
        return "unfit"
    return "fit" if outcomes <= {"meets"} and not held else "unproven"


def _softened(finding: Finding, loose: bool) -> Finding:
    """A shortfall on a demand that an open answer may lift, or of a part that may hang elsewhere, is but unclear."""
    if loose and finding.outcome == "falls short":
        return replace(finding, outcome="unclear", text=f"{finding.text} Does this part stand at the point?")
    if finding.outcome != "falls short" or finding.demand.state != "open":
        return finding
    return replace(finding, outcome="unclear", text=f"{finding.text} The demand hangs on an open answer.")


def _roles(row: Row, table: Table) -> set[str]:
    """Return the roles of a material; a loose name has those of all materials that it may stand for."""
    own = set(row.cells.get("roles", ()))
    return own.union(*(table.rows[key].cells.get("roles", ()) for key in row.cells.get("worst_of", ())))


def _answers(judged: MaterialVerdict, claim: Claim) -> list[str]:
    """The words of the sheet that answer a reason against a material."""
    rules = {maker(reason.fact) for reason in judged.reasons}
    return list(dict.fromkeys(quote for rule, quote, _ in claim.eased if rule in rules))


def _beyond(demand: Demand, claim: Claim) -> bool:
    assert demand.value is not None
    assert claim.value is not None
    return abs(claim.value - demand.value) > AMPLE * abs(demand.value)


def _contradiction(demand: Demand, part: str, results: list[tuple[Outcome, str, float | None, Claim]]) -> Finding:
    """Two full claims that differ: the worse one counts, and a person must find out which is right."""
    worst = max(results, key=lambda result: OUTCOMES.index(result[0]))
    claims = tuple(result[3] for result in results)
    said = quotes(claims)
    if all(result[0] == "meets" for result in results):
        return Finding(demand, "meets", part, claims, f"Each of the differing claims reaches it: {said}.")
    if worst[0] == "falls short" and all(result[0] == "falls short" for result in results):
        return Finding(demand, "falls short", part, claims, worst[1], worst[2])
    return Finding(demand, "unclear", part, claims, f"The sheet contradicts itself: {said}.", worst[2])
