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

from itertools import takewhile

from advisor.notation.drafts import RATINGS, Draft, Node, Page, is_mark, limit_by
from advisor.notation.elements import (
    AND,
    BREAK,
    CLOSE,
    COLON,
    OPEN,
    OR,
    Cited,
    Element,
    Mark,
    Phrase,
    Quantity,
    Unknown,
)
from advisor.notation.fittings import beside_part, fittings, inclusions
from advisor.notation.items import IngressRating, Material, Pressure, Temperature
from advisor.notation.spread import Link, alternatives, backwards, spread
from advisor.notation.tokens import DASHES, fold

_LOOK = 14
_STORED = ("storage", "transport")
_UNRATED = frozenset({"seal", "contact", "conductor", "bracket", "nut", "fastener"})
"""Parts that have no rating of their own, unless they label one."""
_PERMISSIBLE = "maximum"
_MOTION = "motion"
_FITTING = "accessory"
_FIGURES = frozenset({"temperature", "pressure"})


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
    before: list[Node] = []
    for clause in clauses(page):
        links: list[Link] = []
        first_draft = next((i for i, node in enumerate(clause) if isinstance(node, Draft)), None)
        if first_draft is None:
            backwards(page, before, clause)
            continue
        before = clause
        fittings(page, clause)
        inclusions(page, clause)
        manner = _manner(clause, first_draft)
        for index, node in enumerate(clause):
            if isinstance(node, (Phrase, Cited)) and not node.taken and not _apart(clause, index):
                link = _link(page, clause, index, node, manner)
                if link is not None and not _second_part(page, links, link):
                    links.append(link)
        links = [link for link in links if not _stored(page, links, link)]
        own = {(id(link.draft), link.cls) for link in links if not link.label}
        for link in links:
            # "Anschluss: 2 m PUR-Kabel", "Ambient: -40 °C (storage)": the word beside the reading outranks the label.
            if link.cls in ("part", "role") and link.label and (id(link.draft), link.cls) in own:
                link.node.taken = True
                continue
            _apply(page, link)
        spread(page, clause, links)
        alternatives(clause)


def _stored(page: Page, links: list[Link], link: Link) -> bool:
    """Whether a role gives way to storage behind it: "Ambient temperature, storage", not "operating/storage".

    That a figure is permissible says nothing of the state of use beside another word that does.
    """
    if link.cls != "role" or link.name in _STORED:
        return False
    others = [other for other in links if other.cls == "role" and other.draft is link.draft and other is not link]
    if link.name == _PERMISSIBLE and others and link.draft.cls is Temperature:
        link.node.taken = True
        return True
    for other in others:
        if other.name in _STORED:
            between = page.text[link.node.end : other.node.start]
            joined = any(link.node.end <= e.start < other.node.start for e in page.elements if is_mark(e, AND, OR))
            if other.node.start > link.node.start and not joined and "/" not in between:
                link.node.taken = True
                return True
    return False


def _second_part(page: Page, links: list[Link], link: Link) -> bool:
    """Whether a part would go back over a comma to a reading that has one: "seal PU, breather fitted"."""
    if link.cls != "part" or not link.leftward or "," not in page.text[link.draft.end : link.node.start]:
        return False
    return any(other.cls == "part" and other.draft is link.draft for other in links)


def _apart(clause: list[Node], index: int) -> bool:
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
        if entry.cls == "condition" and not _designation(page, node, entry.name):
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


def _designation(page: Page, node: Phrase, name: str) -> bool:
    """Whether "Typ" names the model rather than a typical value: written large and without its full stop."""
    stretch = page.text[node.start : node.end + 1]
    return name == "typical" and stretch[:3] == "Typ" and not stretch.endswith(".") and len(stretch.strip()) == 3


def _link(page: Page, clause: list[Node], index: int, node: Phrase | Cited, manner: frozenset[str]) -> Link | None:
    left, left_marks, left_at = _nearest(page, clause, index, node, -1)
    right, right_marks, right_at = _nearest(page, clause, index, node, 1)
    if left is not None and _forward(page, clause[index + 1 :], node, left):
        left = None
    following = clause[index + 1] if index + 1 < len(clause) else None
    if right is None and isinstance(following, Mark) and following.sign == COLON:
        # A label whose value gave no reading says nothing about what stood before it.
        return None
    if left is None and right is None:
        return None
    label = right is not None and _colon(clause, index, right_at)
    bracket = left is not None and (
        _alone_in_bracket(clause, index, left_at) or _pending_in_bracket(clause, index, left_at)
    )
    if label:
        leftward = False
    elif bracket:
        leftward = True
    elif left is None or right is None:
        leftward = right is None
        if not leftward and _own_value_unread(clause, index, right, right_marks):
            return None
    elif left.kind == "material" and left_at == index - 1 and right_at > index + 1 and _names_part(node):
        # "TPE cable flexible to -40 °C": a part stands closest to its material.
        leftward = True
    elif (left_marks == 0) != (right_marks == 0):
        leftward = left_marks == 0
    else:
        leftward = isinstance(node, Cited) or not any(entry.cls in manner for entry in node.entries)
    draft = left if leftward else right
    if draft is None:
        return None
    fit = _fits(page, node, draft)
    negation = _negation(clause, index)
    if fit is not None and fit[0] == "condition" and negation is not None:
        draft.note("unread-beside")
        node.taken = negation.taken = True
        return None
    if fit is None or (fit[0] == "part" and leftward and _excepted(page, clause, index)):
        return None
    if fit[0] == "part" and fit[1] in _UNRATED and draft.kind in RATINGS and not label:
        return None
    behind = fit[0] == "condition" and leftward and left_marks and _behind_part(clause, index)
    if behind and page.lexicon.conditions[fit[1]].family not in (_MOTION, _FITTING if draft.kind in RATINGS else ""):
        return None  # but "-40 ... 70 °C, cable not moved" limits the range, "IP69, seal fitted by the user" the rating
    if fit[0] == "part" and leftward and left_marks and isinstance(following, Phrase) and following.named("condition"):
        # "IP67, connector on request"
        return None
    if fit[0] == "part" and not label and not leftward and right_marks and _followed_by_part(clause, right_at):
        return None
    if fit[0] == "part" and not label and not bracket and (left_marks if leftward else right_marks) > 1:
        return None
    return Link(node, fit[0], fit[1], draft, leftward, label)


def _names_part(node: Phrase | Cited) -> bool:
    return isinstance(node, Phrase) and bool(node.named("part"))


def _own_value_unread(clause: list[Node], index: int, right: Draft | None, marks: int) -> bool:
    """"Special foam gasket, IP65": a part with words of its own, not understood, does not speak of the next rating."""
    node, before = clause[index], clause[index - 1] if index else None
    rating = right is not None and right.kind in RATINGS
    return rating and marks > 0 and isinstance(node, Phrase) and _names_part(node) and isinstance(before, Unknown)


def _forward(page: Page, after: list[Node], node: Phrase | Cited, draft: Draft) -> bool:
    """Whether a condition is one of those that speak only of what follows them: "IP66, designed for daily cleaning".

    A figure behind it may widen the rating ("IP68, suitable for 100 m") and then belongs to it.
    """
    if page.text[draft.end : node.start] in DASHES:
        return False  # "316-like"
    fit = _fits(page, node, draft)
    if fit is None or fit[0] != "condition":
        return False
    if fold(page.text[node.start : node.end]) not in map(fold, page.lexicon.conditions[fit[1]].forward):
        return False
    return not any(isinstance(one, Quantity) or (isinstance(one, Draft) and one.kind in _FIGURES) for one in after)


def _followed_by_part(clause: list[Node], place: int) -> bool:
    """"Lid with 4 screws, PUR foam seal": the material behind the comma has its own part."""
    after = clause[place + 1] if place + 1 < len(clause) else None
    return isinstance(after, Phrase) and bool(after.named("part"))


def _behind_part(clause: list[Node], index: int) -> bool:
    """"316L, seals on request": the condition speaks of the part before it, of which nothing else is told."""
    before = clause[index - 1] if index else None
    return isinstance(before, Phrase) and bool(before.named("part")) and not before.taken


def _negation(clause: list[Node], index: int) -> Phrase | None:
    """What denies a condition: "not for permanent immersion" limits the rating, it does not extend it."""
    before = clause[index - 1] if index else None
    return before if isinstance(before, Phrase) and before.named("negation") and not before.taken else None


def _excepted(page: Page, clause: list[Node], index: int) -> bool:
    """Whether the word is what a reading before it does not hold for: "IP67 except cable", "IP67, cable excepted".

    "For the lens only" after the word is no exception: it names the part that the reading speaks of.
    """
    before = list(takewhile(beside_part, reversed(clause[:index])))
    after = takewhile(beside_part, clause[index + 1 :])
    unknown = [fold(page.text[node.start : node.end]) for node in before if isinstance(node, Unknown)]
    if page.lexicon.hints.intersection(unknown):
        return True
    return any(isinstance(node, Phrase) and node.named("except") for node in (*before, *after))


def _nearest(
    page: Page, clause: list[Node], index: int, node: Phrase | Cited, step: int
) -> tuple[Draft | None, int, int]:
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
        elif isinstance(other, Unknown) or (isinstance(other, Phrase) and other.named("except")):
            unknown = True
        elif isinstance(other, Phrase):
            worded = marks > 0 and index > 0 and isinstance(clause[index - 1], Unknown)  # "screwed lid, seal EPDM"
            next_label = step > 0 and (labelled or worded) and names_part and other.named("part")
            if next_label or other.named("turn"):
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


def _pending_in_bracket(clause: list[Node], index: int, left_at: int) -> bool:
    """ "IP69 (pending for the PVC cable)": what is pending is the rating."""
    node, between = clause[index], clause[left_at + 1 : index]
    opened = any(isinstance(n, Mark) and n.sign == OPEN for n in between)
    closed = any(isinstance(n, Draft) or (isinstance(n, Mark) and n.sign == CLOSE) for n in between)
    return opened and not closed and isinstance(node, Phrase) and node.named("condition") == "pending"


def _manner(clause: list[Node], first_draft: int) -> frozenset[str]:
    """The classes of qualifiers that this clause puts before its readings; the others stand behind them."""
    return frozenset(
        entry.cls
        for node in clause[:first_draft]
        if isinstance(node, Phrase)
        for entry in node.entries
        if entry.cls in ("condition", "part", "role")
    )


def _apply(page: Page, link: Link) -> None:
    draft, node, name = link.draft, link.node, link.name
    node.taken = True
    draft.given.add(link.cls)
    if link.cls == "condition":
        limit_by(page, draft, name, page.text[node.start : node.end])
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
