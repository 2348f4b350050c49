"""What is left of the materials for one role, and which few conditions clash where nothing is left.

Every firing that rules materials out is a fact; a material's rating for a role is the worst of all of them. The
certain rating holds whatever the open answers are, the possible one is the worst that they allow. A material without
a figure for an agent is unknown: it is not ruled out, but it is not proposed either.
"""

import itertools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from advisor.engine.compiled import MATERIAL, demand_template
from advisor.engine.exclusion import candidates
from advisor.engine.facts import Fact, Run
from advisor.resistance import RATINGS, Rating
from advisor.tables import Row, Table
from advisor.values import Words

MOST_IN_A_CLASH = 3
NOTHING: Mapping[str, bool] = {}
Placed = tuple[str, str]
"""A role and a material."""
EXCLUSIONS = "exclusions"
"""Under this name a run keeps what it rules out."""


@dataclass(frozen=True)
class MaterialReason:
    """One reason against a material: the fact that holds it, the rating it gives, and its words."""

    fact: str
    rating: Rating
    text: str


@dataclass(frozen=True)
class MaterialVerdict:
    """How a material stands for a role, for certain and at worst, with the reasons, the worst first."""

    material: str
    certain: Rating
    possible: Rating
    reasons: tuple[MaterialReason, ...] = ()


def exclusion_facts(run: Run) -> list[Fact]:
    """Return the facts of a run that rule materials out."""
    return run.of(demand_template(MATERIAL))


class Exclusions:
    """What a run rules out, laid out by material for quick look-up."""

    def __init__(self, run: Run) -> None:
        self._by: dict[str, list[tuple[frozenset[str], MaterialReason]]] = {}
        # The facts in their order put the reasons against each material into it too.
        for fact in sorted(exclusion_facts(run), key=lambda fact: (-RATINGS.index(_level(fact)), fact.id)):
            roles, level = fact.slots["roles"], _level(fact)
            assert isinstance(roles, Words)
            for material, text in fact.reasons.items():
                self._by.setdefault(material, []).append((roles.options, MaterialReason(fact.id, level, text)))

    def against(self, keys: Iterable[str], role: str) -> tuple[MaterialReason, ...]:
        """Return every reason against the materials in the role, the worst first."""
        keys = list(keys)
        found = [reason for key in keys for roles, reason in self._by.get(key, ()) if role in roles]
        return tuple(found if len(keys) == 1 else sorted(found, key=_worst_first))


def _level(fact: Fact) -> Rating:
    rating = fact.slots["rating"]
    assert isinstance(rating, Words)
    return next(known for known in RATINGS if known in rating.options)


def _worst_first(reason: MaterialReason) -> tuple[int, str, str]:
    return -RATINGS.index(reason.rating), reason.fact, reason.text


def exclusions(run: Run) -> Exclusions:
    """Return what a finished run rules out; laid out once."""
    if EXCLUSIONS not in run.kept:
        run.kept[EXCLUSIONS] = Exclusions(run)
    laid_out: Exclusions = run.kept[EXCLUSIONS]
    return laid_out


def judge(
    row: Row, role: str, table: Table, certain: Run, possible: Run, eased: Mapping[str, bool] = NOTHING
) -> MaterialVerdict:
    """Return the verdict on one material; a loose name is as bad as the worst material it may stand for.

    What is known of this very material answers the reasons of `eased` rules: by test (true), so that they count no
    more, or by a word (false), so that they do not rule it out.
    """
    keys = standing_for(row, role, table)
    known, reasons = exclusions(certain).against(keys, role), exclusions(possible).against(keys, role)
    if eased:
        known, reasons = _eased(known, eased), _eased(reasons, eased)
        sure, most = worst(known), worst(reasons)
    else:
        # The worst stands first.
        sure, most = (told[0].rating if told else RATINGS[0] for told in (known, reasons))
    most = max(sure, most, key=RATINGS.index)
    if known and sure == most and known != reasons:
        # What holds for certain is given for it, not what open answers might bring besides; a rule that says nothing
        # while answers are open is no part of the possible reading at all.
        reasons = (*_of(known, sure), *(reason for reason in reasons if reason.rating != sure))
    return MaterialVerdict(row.key, sure, most, reasons)


def _of(reasons: Iterable[MaterialReason], rating: Rating) -> Iterable[MaterialReason]:
    return (reason for reason in reasons if reason.rating == rating)


def maker(fact: str) -> str:
    """Return the rule that concluded a fact, by the fact's name."""
    return fact.partition("|")[2].partition(".")[0]


def _eased(reasons: Iterable[MaterialReason], eased: Mapping[str, bool]) -> tuple[MaterialReason, ...]:
    return tuple(replace(reason, rating=_milder(reason.rating, eased.get(maker(reason.fact)))) for reason in reasons)


def _milder(rating: Rating, tested: bool | None) -> Rating:
    if tested is None or rating == "unknown":
        return rating
    return "resists" if tested else min(rating, "limited", key=RATINGS.index)


def roles_of(row: Row, table: Table) -> set[str]:
    """Return the parts made of a material; of a loose name those of the materials it may stand for."""
    named = [table.rows[key] for key in row.cells.get("worst_of", ()) if key in table.rows]
    return {role for entry in (row, *named) for role in entry.cells.get("roles", ())}


def standing_for(row: Row, role: str, table: Table) -> list[str]:
    """Return the materials that a row stands for in a role: itself, or those that a loose name may mean."""
    named = row.cells.get("worst_of")
    if not named:
        return [row.key]
    return [key for key in named if role in table.rows[key].cells.get("roles", ())] or list(named)


def worst(reasons: Iterable[MaterialReason]) -> Rating:
    """Return the worst rating among reasons; `resists` if there is none."""
    return max((reason.rating for reason in reasons), key=RATINGS.index, default="resists")


def verdicts(role: str, table: Table, certain: Run, possible: Run) -> list[MaterialVerdict]:
    """Return the verdict on every material that parts of the role are made of, in order of preference.

    The best rating stands first; of those that are not ruled out, what fewest things speak against; then the row's
    `preference`.
    """
    found = [judge(row, role, table, certain, possible) for row in proposed(role, table)]

    def order(verdict: MaterialVerdict) -> tuple[int, int, float, str]:
        against = {reason.text for reason in verdict.reasons if reason.rating == verdict.possible}
        counted = 0 if verdict.possible == "attacked" else len(against)
        liked = table.rows[verdict.material].cells.get("preference", (9.0, 9.0))[0]
        return RATINGS.index(verdict.possible), counted, liked, verdict.material

    return sorted(found, key=order)


def proposed(role: str, table: Table) -> list[Row]:
    """Return the materials that parts of the role are made of, in order of preference."""
    rows = [row for row in candidates(table).values() if role in row.cells.get("roles", ())]
    return sorted(rows, key=lambda row: (row.cells.get("preference", (9.0, 9.0))[0], row.key))


class Ratings:
    """The worst rating of each material in each role by the facts of one reading, without the reasons.

    What the rules in `apart` say is kept by rule, since a spec sheet may answer it.
    """

    def __init__(
        self, rest: Mapping[Placed, int], told: Mapping[Placed, Mapping[str, int]], apart: frozenset[str]
    ) -> None:
        self._rest, self._told, self._apart = rest, told, apart
        self._by_role: dict[str, frozenset[tuple[str, str, int]]] | None = None

    @classmethod
    def of(cls, facts: Iterable[Fact], apart: frozenset[str] = frozenset()) -> "Ratings":
        return cls({}, {}, apart).joined(facts)

    def joined(self, facts: Iterable[Fact]) -> "Ratings":
        """Return the ratings with further facts."""
        rest, told = dict(self._rest), {key: dict(ranks) for key, ranks in self._told.items()}
        for fact in facts:
            roles, rating = fact.slots["roles"], fact.slots["rating"]
            assert isinstance(roles, Words)
            assert isinstance(rating, Words)
            rank = next(number for number, known in enumerate(RATINGS) if known in rating.options)
            rule = maker(fact.id) if self._apart else ""
            for role in roles.options:
                for material in fact.reasons:
                    key = (role, material)
                    if rule in self._apart:
                        ranks = told.setdefault(key, {})
                        ranks[rule] = max(rank, ranks.get(rule, 0))
                    elif rank > rest.get(key, 0):
                        rest[key] = rank
        return Ratings(rest, told, self._apart)

    def rank(self, role: str, material: str) -> int:
        key = (role, material)
        rest = self._rest.get(key, 0)
        return max(rest, *self._told[key].values()) if key in self._told else rest

    def ranks(self, role: str, material: str) -> dict[str, int]:
        """Return the ranks of a material in a role by the rules kept apart, and under no name by all others."""
        key = (role, material)
        return {"": self._rest.get(key, 0), **self._told.get(key, {})}

    def of_role(self, role: str) -> frozenset[tuple[str, str, int]]:
        """Return how all materials stand in a role that do not plainly resist, by rule where it is kept apart."""
        if self._by_role is None:
            found: dict[str, set[tuple[str, str, int]]] = {}
            for (of, material), rank in self._rest.items():
                found.setdefault(of, set()).add((material, "", rank))
            for (of, material), ranks in self._told.items():
                found.setdefault(of, set()).update((material, rule, rank) for rule, rank in ranks.items())
            self._by_role = {of: frozenset(ranks) for of, ranks in found.items()}
        return self._by_role.get(role, frozenset())


def bare_verdicts(role: str, rows: Iterable[Row], certain: Ratings, possible: Ratings) -> list[MaterialVerdict]:
    """Return the verdicts of `verdicts` without their reasons, for materials in their order of preference."""
    found = []
    for row in rows:
        sure = certain.rank(role, row.key)
        found.append(MaterialVerdict(row.key, RATINGS[sure], RATINGS[max(sure, possible.rank(role, row.key))]))
    return found


def clash(role: str, found: Iterable[MaterialVerdict], certain: Run) -> tuple[Fact, ...]:
    """Return the smallest set of facts that together attack every material of a role; empty if some are left."""
    keys = {verdict.material for verdict in found}
    if not keys or any(verdict.certain != "attacked" for verdict in found):
        return ()
    attacking: Mapping[Fact, set[str]] = {
        fact: keys & set(fact.reasons)
        for fact in exclusion_facts(certain)
        if fact.slots["rating"] == Words(frozenset(["attacked"])) and role in fact.slots["roles"].options  # type: ignore[union-attr]
    }
    facts = sorted(attacking, key=lambda fact: (-len(attacking[fact]), fact.id))
    for size in range(1, MOST_IN_A_CLASH + 1):
        for chosen in itertools.combinations(facts, size):
            if set().union(*(attacking[fact] for fact in chosen)) >= keys:
                return chosen
    return tuple(facts)
