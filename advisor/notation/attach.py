"""Which reading a condition, a part word, a role, a finish, a standard belongs to.

A clause ends at a line end, a semicolon or a full stop; within it, marks part segments. A qualifier goes

1. to what follows, if a colon follows it (a label): `Front: IP65`;
2. to what stands before its bracket, if it is alone in one: `IP67 (mated)`;
3. to the only reading in its own segment: `IP65 front / IP20 rear`;
4. else by the manner of the clause: if the clause begins with a reading, to the one before, otherwise to the one
   after: `316L housing PEEK face`, `housing 316L face PEEK`.

Only readings that the qualifier fits are looked at. Then qualifiers spread: conditions over the list of ratings
they stand at (the stricter reading of `IP67, IP69K when mated`), a labelled part over its clause, a role forwards
to figures without one. A word that can be a condition or a part is a condition beside a rating.
"""

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from advisor.notation.drafts import Draft, Page
from advisor.notation.elements import BREAK, CLOSE, COLON, OPEN, OR, SEP, WITH, Cited, Element, Mark, Phrase, Unknown
from advisor.notation.items import Condition, IngressRating, Material, Pressure, Statement, Temperature

Node = Draft | Element
_LOOK = 14
_SPREAD = ("ingress", "enclosure")
_FITTINGS = frozenset({"seal", "cap", "gland", "cover", "connector", "vent", "nut", "bracket"})
_BEARERS = frozenset({"cable", "connector", "gland", "cord set"})


@dataclass(slots=True)
class _Link:
    """One qualifier tied to one draft."""

    node: Phrase | Cited
    cls: str
    name: str
    draft: Draft
    leftward: bool
    label: bool


def clauses(page: Page) -> list[list[Node]]:
    """The drafts and untaken elements in order, cut at the ends of clauses."""
    nodes: list[Node] = [element for element in page.elements if not element.taken]
    nodes += page.drafts
    nodes.sort(key=lambda node: (node.start, isinstance(node, Element)))
    result: list[list[Node]] = [[]]
    for node in nodes:
        if isinstance(node, Mark) and node.sign == BREAK:
            result.append([])
        else:
            result[-1].append(node)
    return [clause for clause in result if clause]


def attach(page: Page) -> None:
    """Tie every qualifier on the page to its reading."""
    for clause in clauses(page):
        links: list[_Link] = []
        first_draft = next((i for i, node in enumerate(clause) if isinstance(node, Draft)), None)
        if first_draft is None:
            continue
        _fittings(page, clause)
        manner = _manner(clause, first_draft)
        for index, node in enumerate(clause):
            if isinstance(node, (Phrase, Cited)) and not _after_negation(clause, index):
                link = _link(page, clause, index, node, manner)
                if link is not None:
                    links.append(link)
        for link in links:
            _apply(page, link)
        _spread(page, clause, links)
        _alternatives(clause)


def _fittings(page: Page, clause: list[Node]) -> None:
    """"IP67 with the supplied gasket": a rating that holds only with a part is a rating on condition."""
    for index, node in enumerate(clause):
        if not (isinstance(node, Mark) and node.sign == WITH):
            continue
        before = next((n for n in reversed(clause[max(0, index - 4) : index]) if not isinstance(n, (Mark, Phrase))), None)
        if not (isinstance(before, Draft) and before.kind in _SPREAD):
            continue
        for other in clause[index + 1 : index + 6]:
            if isinstance(other, Phrase) and (part := other.named("part")):
                if part in _FITTINGS:
                    name = "with cover" if part == "cover" else "accessory needed"
                    _condition(page, before, name, page.text[node.start : other.end])
                    before.end = max(before.end, other.end)
                    other.taken = True
                break
            if not isinstance(other, (Unknown, Phrase)):
                break


def _after_negation(clause: list[Node], index: int) -> bool:
    """Whether a part word stands alone after a negation, as in "ohne Stecker": it then belongs to no reading."""
    before = clause[index - 1] if index else None
    node, after = clause[index], clause[index + 1] if index + 1 < len(clause) else None
    if not (isinstance(before, Phrase) and before.named("negation") and isinstance(node, Phrase)):
        return False
    return bool(node.named("part")) and not isinstance(after, Draft)


def _fits(page: Page, node: Phrase | Cited, draft: Draft) -> tuple[str, str] | None:
    """As what a qualifier fits a draft: class and name; None if it does not."""
    if isinstance(node, Cited):
        topic = node.known.topic if node.known else ""
        return ("standard", node.key) if topic == draft.kind and "standard" not in draft.given else None
    numeric = draft.cls in (Temperature, Pressure)
    for entry in node.entries:
        if entry.cls == "limit" and numeric and not draft.fields.get("limited"):
            return "limit", entry.name
    for entry in node.entries:
        if entry.cls == "condition":
            kinds = page.lexicon.conditions[entry.name].kinds
            if draft.kind in kinds or ("any" in kinds and draft.kind not in ("thread", "part")):
                return "condition", entry.name
    for entry in node.entries:
        if entry.cls == "role" and numeric:
            return "role", entry.name
        if entry.cls == "finish" and draft.cls is Material:
            return "finish", entry.name
        if entry.cls == "part":
            return "part", entry.name
    return None


def _link(page: Page, clause: list[Node], index: int, node: Phrase | Cited, manner: frozenset[str]) -> _Link | None:
    left, left_marks, left_at = _nearest(page, clause, index, node, -1)
    right, right_marks, right_at = _nearest(page, clause, index, node, 1)
    following = clause[index + 1] if index + 1 < len(clause) else None
    if right is None and isinstance(following, Mark) and following.sign == COLON:
        # A label whose value gave no reading says nothing about what stood before it.
        return None
    if left is None and right is None:
        return None
    label = right is not None and _colon(clause, index, right_at)
    bracket = left is not None and _alone_in_bracket(clause, index, left_at)
    if label:
        leftward = False
    elif bracket:
        leftward = True
    elif left is None or right is None:
        leftward = right is None
    elif (left_marks == 0) != (right_marks == 0):
        leftward = left_marks == 0
    else:
        leftward = isinstance(node, Cited) or not any(entry.cls in manner for entry in node.entries)
    draft = left if leftward else right
    if draft is None:
        return None
    fit = _fits(page, node, draft)
    if fit is None:
        return None
    if fit[0] == "part" and not label and not bracket and (left_marks if leftward else right_marks) > 1:
        return None
    return _Link(node, fit[0], fit[1], draft, leftward, label)


def _nearest(page: Page, clause: list[Node], index: int, node: Phrase | Cited, step: int) -> tuple[Draft | None, int, int]:
    """The nearest draft the qualifier fits on one side, the marks on the way to it, and where it stands."""
    marks = 0
    place = index + step
    labelled = unknown = False
    names_part = isinstance(node, Phrase) and bool(node.named("part") or node.named("role"))
    while 0 <= place < len(clause) and abs(place - index) <= _LOOK:
        other = clause[place]
        if isinstance(other, Mark):
            marks += 1
            labelled = labelled or other.sign == COLON
            if step > 0 and names_part and unknown and other.sign not in (OPEN, CLOSE):
                # "Housing: see drawing, seal: FKM": the value of the label was not understood.
                break
        elif isinstance(other, Unknown):
            unknown = True
        elif step > 0 and labelled and names_part and isinstance(other, Phrase) and other.named("part"):
            break
        elif isinstance(other, Phrase) and other.named("turn"):
            break
        elif isinstance(other, Draft) and _fits(page, node, other) is not None:
            return other, marks, place
        place += step
    return None, marks, -1


def _colon(clause: list[Node], index: int, right_at: int) -> bool:
    """Whether a colon comes after the qualifier before any draft, with only labels, units and brackets between."""
    for place in range(index + 1, right_at):
        node = clause[place]
        if isinstance(node, Mark) and node.sign == COLON:
            return True
        if isinstance(node, (Draft, Unknown)):
            return False
    return False


def _alone_in_bracket(clause: list[Node], index: int, left_at: int) -> bool:
    opened = any(isinstance(n, Mark) and n.sign == OPEN for n in clause[left_at + 1 : index])
    closed = any(isinstance(n, Mark) and n.sign == CLOSE for n in clause[left_at + 1 : index])
    if not opened or closed:
        return False
    for node in clause[index + 1 : index + _LOOK]:
        if isinstance(node, Mark) and node.sign == CLOSE:
            return True
        if isinstance(node, Draft):
            return False
    return True


def _manner(clause: list[Node], first_draft: int) -> frozenset[str]:
    """The classes of qualifiers that this clause puts before its readings; the others stand behind them."""
    return frozenset(
        entry.cls
        for node in clause[:first_draft]
        if isinstance(node, Phrase)
        for entry in node.entries
        if entry.cls in ("condition", "part", "role")
    )


def _apply(page: Page, link: _Link) -> None:
    draft, node, name = link.draft, link.node, link.name
    node.taken = True
    draft.given.add(link.cls)
    if link.cls == "condition":
        _condition(page, draft, name, page.text[node.start : node.end])
    elif link.cls == "part":
        if name not in draft.parts:
            draft.parts.append(name)
    elif link.cls == "role":
        if draft.fields.get("role", "unspecified") == "unspecified" or name in ("burst", "proof", "short"):
            draft.fields["role"] = name
    elif link.cls == "finish":
        draft.fields["finishes"] = (*draft.fields.get("finishes", ()), name)
    elif link.cls == "standard":
        draft.fields["standard"] = link.name
        if isinstance(node, Cited):
            if draft.cls is IngressRating and node.edition:
                draft.fields["edition"] = node.edition
            if node.known is not None and node.known.withdrawn:
                draft.note("standard-withdrawn")
    elif link.cls == "limit":
        _limit(draft, name)
    if link.cls in ("condition", "standard", "finish"):
        draft.start, draft.end = min(draft.start, node.start), max(draft.end, node.end)


def _condition(page: Page, draft: Draft, name: str, quote: str) -> None:
    if not any(condition.name == name for condition in draft.conditions):
        draft.conditions.append(Condition(name, quote))
        draft.families.add(page.lexicon.conditions[name].family)


def _limit(draft: Draft, name: str) -> None:
    """A limit word apart from its figure: "70 °C max.", "Max. temperature: 70 °C"."""
    fields = draft.fields
    suffix = "degc" if draft.cls is Temperature else "pa"
    low, high = f"low_{suffix}", f"high_{suffix}"
    fields_set = [key for key in (low, high) if key in fields]
    if len(fields_set) == 1:
        number = fields.pop(fields_set[0])
        fields[high if name == "max" else low] = number
        draft.notes = [note for note in draft.notes if not note.startswith("single-as")]


def _spread(page: Page, clause: list[Node], links: list[_Link]) -> None:
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
        at = where[id(link.draft)]
        if link.cls == "condition" and link.draft.kind in _SPREAD:
            family = page.lexicon.conditions[link.name].family
            quote = page.text[link.node.start : link.node.end]
            for other in _group(clause, order, at, -1 if link.leftward else 1):
                if family in other.families or (link.leftward and "condition" in other.given):
                    break
                _condition(page, other, link.name, quote)
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
        elif link.cls == "part" and not link.leftward:
            _spread_part(clause, order, at, link, labels <= 1)
        elif link.cls == "part" and link.name in _BEARERS and link.draft.cls is Material:
            for other in _after(order, at):
                if other.cls is not Temperature or "part" in other.given:
                    break
                if link.name not in other.parts:
                    other.parts.append(link.name)


def _spread_part(clause: list[Node], order: list[tuple[int, Draft]], at: int, link: _Link, only: bool) -> None:
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


def _group(clause: list[Node], order: list[tuple[int, Draft]], at: int, step: int) -> Iterator[Draft]:
    """The drafts of the same kind that follow each other in one list, from the one at `at` on, without it."""
    here = at
    while 0 <= here + step < len(order):
        one, other = order[here], order[here + step]
        if other[1].kind != one[1].kind:
            break
        low, high = sorted((one[0], other[0]))
        if any(isinstance(node, Mark) and node.sign in (COLON, OPEN, CLOSE) for node in clause[low + 1 : high]):
            if not any(isinstance(node, Mark) and node.sign == SEP for node in clause[low + 1 : high]):
                break
        yield other[1]
        here += step


def _alternatives(clause: list[Node]) -> None:
    """Two ratings joined by "or": which one holds depends on the version."""
    for index, node in enumerate(clause):
        if isinstance(node, Mark) and node.sign == OR and 0 < index < len(clause) - 1:
            left, right = clause[index - 1], clause[index + 1]
            if isinstance(left, Draft) and isinstance(right, Draft) and left.kind == right.kind:
                for draft in (left, right):
                    if not any(condition.name == "variant dependent" for condition in draft.conditions):
                        draft.conditions.append(Condition("variant dependent", node.text))
