"""Negations: which readings a "not", "nicht", "without", "no" turns into the contrary.

A negation holds for the readings after it up to the end of the clause or a "but"; a comma ends it unless the same
kind of reading goes on. With no reading and no unknown word after it, it holds for the one right before it
(`IP69K: no`, `Hochdruckreinigung nicht zulässig`). A negation that finds nothing is left and gets reported.
"""

from advisor.notation.attach import clauses
from advisor.notation.drafts import Draft, Node, Page, is_mark
from advisor.notation.elements import AND, CLOSE, COLON, OPEN, SEP, Element, Mark, Phrase, Unknown
from advisor.notation.items import Temperature
from advisor.notation.tokens import fold

_REACH = 200
"""How many nodes a negation looks at; a clause of a real sheet has far fewer."""


def deny(page: Page) -> None:
    """Mark the drafts that the text denies."""
    for clause in clauses(page):
        for index, node in enumerate(clause):
            negation = isinstance(node, Phrase) and node.named("negation") and not node.taken
            if isinstance(node, Phrase) and negation and (_forward(clause, index) or _backward(clause, index)):
                node.taken = True
                _stretch(clause, index)
    for draft in page.drafts:
        if draft.denied and draft.cls is Temperature:
            _turn(draft)


def _turn(draft: Draft) -> None:
    """A bound that is denied bounds the other side: "do not operate below 0 °C" denies the cold, not the heat."""
    ends = [end for end in ("low_degc", "high_degc") if end in draft.fields]
    if len(ends) == 1 and not {"single-as-upper", "single-as-lower"}.intersection(draft.notes):
        other = "high_degc" if ends[0] == "low_degc" else "low_degc"
        draft.fields[other] = draft.fields.pop(ends[0])


def without(page: Page) -> None:
    """Deny a material that the text says is not there: "TPU-free", "PVC: free"."""
    drafts = {draft.end: draft for draft in page.drafts if draft.kind == "material"}
    for index, element in enumerate(page.elements):
        if (
            not isinstance(element, Unknown)
            or fold(page.text[element.start : element.end]) not in page.lexicon.absences
        ):
            continue
        place = index - 1
        if place > 0 and is_mark(page.elements[place], COLON):
            place -= 1
        draft = drafts.get(page.elements[place].end) if place >= 0 else None
        if draft is not None:
            draft.denied = element.taken = True
            draft.end = element.end


def untick(page: Page) -> None:
    """Take away the readings behind an empty box of an order form, up to the next box; they are not chosen.

    What stood there is left as not understood, so that it is listed.
    """
    gone: list[Draft] = []
    for clause in clauses(page):
        empty: Element | None = None
        for index, node in enumerate(clause):
            if isinstance(node, Unknown):
                sign = page.text[node.start : node.end]
                empty = node if sign in page.lexicon.unticked else None if not sign.isalnum() else empty
            elif isinstance(node, Mark) and node.sign == CLOSE:
                before = clause[index - 1] if index else None
                hollow = before is not None and not page.text[before.end : node.start].strip()
                empty = before if hollow and isinstance(before, Mark) and before.sign == OPEN else empty
            elif isinstance(node, Draft) and empty is not None:
                gone.append(node)
                page.elements.append(Unknown(node.start, node.end))
    page.drafts = [draft for draft in page.drafts if draft not in gone]
    page.elements.sort(key=lambda element: element.start)


def _forward(clause: list[Node], index: int) -> bool:
    kind = ""
    unknown = False
    for place in range(index + 1, min(len(clause), index + _REACH)):
        node = clause[place]
        if isinstance(node, Draft):
            if kind and (node.kind != kind or _figured(node)):
                break
            kind = node.kind
            node.denied = True
        elif isinstance(node, Phrase) and node.named("turn"):
            break
        elif isinstance(node, Unknown):
            unknown = True
        elif isinstance(node, Mark) and (
            node.sign in (OPEN, CLOSE, COLON) or (not kind and (unknown or node.text in (",", "-")))
        ):
            break
    return bool(kind)


def _figured(draft: Draft) -> bool:
    """Whether a statement has a figure of its own: "non-flush, Sn 20 mm" denies no distance."""
    return draft.kind == "statement" and draft.fields.get("value") is not None


def _backward(clause: list[Node], index: int) -> bool:
    for node in clause[index + 1 : index + _REACH]:
        if isinstance(node, Mark) and node.sign == CLOSE:
            continue
        if isinstance(node, Mark) or (isinstance(node, Phrase) and node.named("affirm")):
            break
        return False
    place = index - 1
    while place >= 0:
        node = clause[place]
        if isinstance(node, Draft):
            node.denied = True
            _share(clause[:place], node.kind)
            return True
        if not isinstance(node, Mark) or node.text in (",", "/", "|"):
            return False
        place -= 1
    return False


def _share(before: list[Node], kind: str) -> None:
    """ "IP66/IP69 not tested": whether the others of the list are denied too is left open."""
    for node in reversed(before):
        if isinstance(node, Draft) and node.kind == kind:
            node.note("unread-beside")
        elif not (isinstance(node, Mark) and node.sign in (SEP, AND)):
            return


def _stretch(clause: list[Node], place: int) -> None:
    """Let the quote of a denied reading next to the negation include it."""
    negation = clause[place]
    for other in (clause[place + 1 : place + 2] or []) + (clause[place - 1 : place] if place else []):
        if isinstance(other, Draft) and other.denied:
            other.start, other.end = min(other.start, negation.start), max(other.end, negation.end)
            return
