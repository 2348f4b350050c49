"""How far a qualifier reaches beyond the reading it was tied to.

A condition holds for the whole list of ratings it stands at, up to one with a condition of the same family; a standard
for its list; a role for the figures after it without one; a labelled part for its list of readings, and to the end of
the clause if it is the only label there; the cable whose material is named also for the temperatures after it. Two
ratings joined by "or" depend on the version.
"""

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from advisor.notation.drafts import RATINGS, Draft, Node, Page, limit_by
from advisor.notation.elements import AND, CLOSE, COLON, OPEN, OR, SEP, Cited, Mark, Phrase, Quantity, Unknown
from advisor.notation.items import Condition, Material, Pressure, Statement, Temperature, Thread
from advisor.notation.models import UPKEEP

_BEARERS = frozenset({"cable", "connector", "gland"})
_LIKENESS = "likeness"
_RATED = _BEARERS | {"vent", "cap"}


@dataclass(slots=True)
class Link:
    """One qualifier tied to one draft: as what, on which side, and whether as a label."""

    node: Phrase | Cited
    cls: str
    name: str
    draft: Draft
    leftward: bool
    label: bool


def spread(page: Page, clause: list[Node], links: list[Link]) -> None:
    order = [(i, node) for i, node in enumerate(clause) if isinstance(node, Draft)]
    labels = sum(1 for link in links if link.label and link.cls == "part")
    where = {id(node): n for n, (_, node) in enumerate(order)}
    for (_, before), (_, after) in itertools.pairwise(order):
        if after.cls not in (Temperature, Pressure) or "role" in after.given:
            continue
        if "stated role" in before.given:
            after.fields["role"] = before.fields["role"]
            after.given |= {"role", "stated role"}
        elif before.cls is Statement:
            model = page.lexicon.statements.get(before.fields["name"])
            if model is not None and model.role:
                after.fields["role"] = model.role
                after.given |= {"role", "stated role"}
    for link in links:
        if link.cls == "condition" and link.name == _LIKENESS:
            _cross_reference(order, where[id(link.draft)])
    cabled = any("cable" in draft.parts for _, draft in order)
    for _, draft in order:
        if cabled and draft.cls is Temperature and not draft.parts and "motion" in draft.families:
            draft.parts.append("cable")
    for (_, before), (_, after) in itertools.pairwise(order):
        # "Cable PUR fixed -40 … +80 °C"
        moved = before.cls is Material and "motion" in before.families
        if moved and after.cls is Temperature and not after.parts:
            after.parts += before.parts
    for link in links:
        if link.cls == "part" and link.name in _RATED and link.draft.cls is Material:
            _rated(clause, order, where[id(link.draft)], link.name)
    for link in links:
        at = where[id(link.draft)]
        if link.cls == "condition" and link.draft.kind in RATINGS:
            family = page.lexicon.conditions[link.name].family
            quote = page.text[link.node.start : link.node.end]
            for other in _group(clause, order, at, -1 if link.leftward else 1, mixed=True):
                if family in other.families or (link.leftward and "condition" in other.given):
                    break
                limit_by(page, other, link.name, quote)
        elif link.cls == "standard":
            for other in (*_group(clause, order, at, -1), *_group(clause, order, at, 1)):
                if other.fields.get("standard"):
                    break
                if "standard" not in other.given:
                    other.fields["standard"] = link.name
                    if "standard-withdrawn" in link.draft.notes:
                        other.note("standard-withdrawn")
        elif link.cls == "role" and not link.leftward:
            for other in _after(order, at):
                washed = link.name in ("cleaning", "sterilisation") and other.cls in (Temperature, Pressure)
                if other.kind == link.draft.kind or washed:
                    if "role" in other.given:
                        break
                    if other.fields.get("role", "unspecified") == "unspecified":
                        other.fields["role"] = link.name
        elif link.cls == "part" and link.leftward and link.draft.kind in RATINGS and _of_list(page, link):
            for other in _group(clause, order, at, -1):
                if "part" in other.given:
                    break
                other.parts += [part for part in link.draft.parts if part not in other.parts]
        elif link.cls == "part" and link.draft.cls is Thread and not link.label:
            _behind_thread(clause, order, at, link)
        elif link.cls == "part" and not link.leftward:
            _spread_part(clause, order, at, link, labels <= 1)
        elif link.cls == "part" and link.name in _BEARERS and link.draft.cls is Material:
            for other in _after(order, at):
                if other.cls is not Temperature or "part" in other.given:
                    break
                if link.name not in other.parts:
                    other.parts.append(link.name)


def _of_list(page: Page, link: Link) -> bool:
    """Whether a part behind a list has all of it: "IP66, IP69 (housing and connector)", "IP66, IP69 connectors"."""
    between = page.text[link.draft.end : link.node.start]
    return len(link.draft.parts) > 1 or not set(between) & set(",;/()|:")


def _cross_reference(order: list[tuple[int, Draft]], at: int) -> None:
    """ "1.4404 (equivalent to AISI 316L)" names one material by two standards."""
    before, draft = order[at - 1][1] if at else None, order[at][1]
    if before is None or before.cls is not Material or before.fields["generic"]:
        return
    if set(before.fields["slugs"]) & set(draft.fields["slugs"]):
        draft.conditions = [condition for condition in draft.conditions if condition.name != _LIKENESS]


def _rated(clause: list[Node], order: list[tuple[int, Draft]], at: int, part: str) -> None:
    """ "Glands polyamide IP68": a rating right behind the material of a fitting is that of the fitting."""
    for here, other in order[at + 1 : at + 2]:
        marked = any(isinstance(node, Mark) for node in clause[order[at][0] + 1 : here])
        if other.kind in RATINGS and not marked and "part" not in other.given and not other.parts:
            other.parts.append(part)
            other.given.add("part")


def _behind_thread(clause: list[Node], order: list[tuple[int, Draft]], at: int, link: Link) -> None:
    """ "Connector M12 PA66", "M12 connector, brass": what stands right behind the thread of a part is of the part."""
    for here, other in order[at + 1 : at + 2]:
        between = clause[order[at][0] + 1 : here]
        loose = all(node is link.node or (isinstance(node, Mark) and node.sign == SEP) for node in between)
        vented = link.name == "vent"  # "breather M12 fitted, IP66"
        opening = link.name in _BEARERS and order[at][0] == 0 and not any(isinstance(node, Mark) for node in between)
        rated = other.kind in RATINGS and (vented or opening)  # "; M12 plug IP67"
        if (other.cls is Material or rated) and loose and "part" not in other.given and link.name not in other.parts:
            other.parts.append(link.name)
            for more in _group(clause, order, at + 1, 1) if rated else ():
                more.parts.append(link.name)


def _spread_part(clause: list[Node], order: list[tuple[int, Draft]], at: int, link: Link, only: bool) -> None:
    """A labelled part holds for its list of readings, and if it is the only label to the end of its clause."""
    members: Iterable[Draft] = _after(order, at) if link.label and only else _group(clause, order, at, 1)
    for other in members:
        if "part" in other.given:
            break
        if link.name not in other.parts:
            other.parts.append(link.name)


def _after(order: list[tuple[int, Draft]], at: int) -> Iterator[Draft]:
    for place in range(at + 1, len(order)):
        yield order[place][1]


def _group(
    clause: list[Node], order: list[tuple[int, Draft]], at: int, step: int, *, mixed: bool = False
) -> Iterator[Draft]:
    """The drafts of the same kind that follow each other in one list, from the one at `at` on, without it.

    A `mixed` list may go from types to codes: "Type 4X, IP66 when mated".
    """
    here = at
    while 0 <= here + step < len(order):
        one, other = order[here], order[here + step]
        if other[1].kind != one[1].kind and not (mixed and {other[1].kind, one[1].kind} <= set(RATINGS)):
            break
        low, high = sorted((one[0], other[0]))
        if other[1].cls is Material and any(isinstance(node, Unknown) for node in clause[low + 1 : high]):
            break  # "nut 1.4404, grip PVC": the unknown word labels the second
        signs = {node.sign for node in clause[low + 1 : high] if isinstance(node, Mark)}
        same = mixed and other[1].kind != one[1].kind and COLON not in signs  # "Type 4X (IP66) front only"
        if signs & {COLON, OPEN, CLOSE} and SEP not in signs and not same:
            break
        yield other[1]
        here += step


def list_to(clause: list[Node], last: Draft) -> list[Draft]:
    """The ratings of the list that ends with `last`: "IP66/IP69 with O-ring"."""
    found = [last]
    for node in reversed(clause[: next(i for i, node in enumerate(clause) if node is last)]):
        if isinstance(node, Draft) and node.kind in RATINGS:
            found.append(node)
        elif not (isinstance(node, Mark) and node.sign in (SEP, AND)):
            break
    return found


def outside(clause: list[Node], last: Draft) -> list[Draft]:
    """The ratings before the bracket in which `last` stands: "IP66/IP69 (IP54 with vent)" leaves open which holds."""
    opened = next((place for place, node in reversed(list(enumerate(clause))) if isinstance(node, Mark)
                   and node.sign in (OPEN, CLOSE)), -1)  # fmt: skip
    if opened < 0 or clause[opened].start > last.start or not _is(clause[opened], OPEN):
        return []
    before = [node for node in clause[:opened] if isinstance(node, Draft) and node.kind in RATINGS]
    return list_to(clause[:opened], before[-1]) if before else []


def _is(node: Node, sign: str) -> bool:
    return isinstance(node, Mark) and node.sign == sign


def backwards(page: Page, before: list[Node], clause: list[Node]) -> None:
    """ "IP69; tested with cold water": a condition of ratings alone that stands by itself limits the list before it."""
    ratings = [node for node in before if isinstance(node, Draft) and node.kind in RATINGS]
    phrases = [node for node in clause if isinstance(node, Phrase)]
    if not ratings or "\n" in page.text[before[-1].end : clause[0].start]:
        return
    if any(one.named("subject") for one in phrases) and (any(one.named("negation") or one.named("condition")
            for one in phrases) or page.turned(clause)):  # fmt: skip
        # "IP66, IP69. The rating applies with the cap fitted only."
        for draft in list_to(before, ratings[-1]):
            draft.note("unread-beside")
    parted = any(one.named("part") for one in phrases)
    for phrase in phrases:
        name = phrase.named("condition")
        if parted and (not name or page.lexicon.conditions[name].alone != UPKEEP):
            continue
        if name and set(page.lexicon.conditions[name].kinds) <= {*RATINGS, "impact"}:
            phrase.taken = True
            for draft in list_to(before, ratings[-1]):
                limit_by(page, draft, name, page.text[phrase.start : phrase.end])


def alternatives(clause: list[Node]) -> None:
    """Two ratings joined by "or": which one holds depends on the version."""
    for index, node in enumerate(clause):
        if isinstance(node, Mark) and node.sign == OR and 0 < index < len(clause) - 1:
            left, right = clause[index - 1], clause[index + 1]
            if isinstance(right, Quantity) and index + 2 < len(clause):
                right = clause[index + 2]  # "connector 316L or 2 m PVC cable"
            if isinstance(left, Draft) and isinstance(right, Draft) and left.kind == right.kind:
                for draft in (left, right):
                    if not any(condition.name == "variant dependent" for condition in draft.conditions):
                        draft.conditions.append(Condition("variant dependent", node.text))
