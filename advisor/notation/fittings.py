"""What a rating has with it: "IP67 with the supplied gasket", "IP69 incl. cable and connector".

    fitting   = rating "with" { words } part          the rating holds only with that part
    inclusion = (rating | material) "incl." { part }  the parts are taken in and limit nothing
"""

from itertools import takewhile

from advisor.notation.drafts import RATINGS, Draft, Node, Page, limit_by
from advisor.notation.elements import AND, INCLUDING, OPEN, OR, SEP, WITH, Mark, Phrase, Quantity, Unknown
from advisor.notation.items import Material
from advisor.notation.spread import list_to, outside
from advisor.notation.tokens import fold

_FITTINGS = frozenset({"seal", "cap", "gland", "cover", "connector", "vent", "nut", "bracket"})
_VENTING = "venting"


def fittings(page: Page, clause: list[Node]) -> None:
    """"IP67 with the supplied gasket": a rating that holds only with a part is a rating on condition."""
    for index, node in enumerate(clause):
        if isinstance(node, Draft) and node.fields.get("topic") == _VENTING:
            for one in _before(clause, index):
                one.note("unread-beside")
        awaited = _awaited(clause, index)
        for one in list_to(clause[: index - 2], awaited) if awaited else ():
            if one.kind == "enclosure":
                one.note("unread-beside")
        if not (isinstance(node, Mark) and node.sign == WITH):
            continue
        earlier = reversed(clause[max(0, index - 4) : index])
        before = next((one for one in earlier if not isinstance(one, (Mark, Phrase)) and not _hint(page, one)), None)
        if not (isinstance(before, Draft) and before.kind in RATINGS):
            continue
        following = clause[index + 1 : index + 6]
        first = following[0] if following else None
        named = any(isinstance(one, Draft) or (isinstance(one, Phrase) and one.named("part")) for one in following)
        if isinstance(first, Unknown) and not named and _foreign(page, first):
            before.note("unread-beside")
        for other in following:
            if isinstance(other, Phrase) and (part := other.named("part")):
                if part in _FITTINGS:
                    name = "with cover" if part == "cover" else "accessory needed"
                    for one in list_to(clause[:index], before):
                        limit_by(page, one, name, page.text[node.start : other.end])
                    for one in outside(clause[:index], before):
                        one.note("unread-beside")
                    before.end = max(before.end, other.end)
                    other.taken = True
                elif part == "cable":
                    # "IP69 with cable moulded on": it may hold for that version alone, but not for the cable alone.
                    before.note("unread-beside")
                    other.taken = True
                break
            if not isinstance(other, (Unknown, Phrase)):
                break


def _awaited(clause: list[Node], index: int) -> Draft | None:
    """ "Type 4 (UL pending)": the Type whose listing is awaited."""
    node = clause[index]
    if index < 3 or not (isinstance(node, Phrase) and node.named("condition") == "pending"):
        return None
    rated, opened, listing = clause[index - 3 : index]
    bracketed = isinstance(opened, Mark) and opened.sign == OPEN
    listed = isinstance(listing, Draft) and listing.kind == "statement"
    return rated if bracketed and listed and isinstance(rated, Draft) and rated.kind == "enclosure" else None


def _before(clause: list[Node], index: int) -> list[Draft]:
    """The ratings before the bracket that a rating and the node behind it share: "IP66 (IP54 with vent)"."""
    last = clause[index - 1] if index else None
    return outside(clause[:index], last) if isinstance(last, Draft) and last.kind in RATINGS else []


def _foreign(page: Page, node: Unknown) -> bool:
    """Whether a rating goes with something that was not understood: "IP67 with Objektivtubus"."""
    return fold(page.text[node.start : node.end]) not in page.lexicon.harmless


def inclusions(page: Page, clause: list[Node]) -> None:
    """Parts that are taken in do not limit what stands before: "IP69 incl. cable and connector", "316L incl. face"."""
    for index, node in enumerate(clause):
        if not (isinstance(node, Mark) and node.sign == INCLUDING):
            continue
        before = next((one for one in reversed(clause[:index]) if not isinstance(one, Mark)), None)
        if not (isinstance(before, Draft) and (before.kind in RATINGS or before.cls is Material)):
            continue
        following = (one for one in clause[index + 1 :] if not (isinstance(one, Quantity) and one.only("length")))
        for other in takewhile(beside_part, following):  # "tested with the 5 m cable"
            if isinstance(other, Phrase) and (part := other.named("part")):
                other.taken = True
                if before.kind in RATINGS and part in _FITTINGS - {"connector"}:
                    # "IP69 incl. accessory cap": it may be no more than a delivery that the rating needs.
                    for one in list_to(clause[:index], before):
                        limit_by(page, one, "accessory needed", page.text[node.start : other.end])
                if before.cls is Material:
                    twin = Draft(Material, before.start, before.end, dict(before.fields), notes=list(before.notes))
                    twin.parts.append(part)
                    page.add(twin)


def _hint(page: Page, node: Node) -> bool:
    return isinstance(node, Unknown) and fold(page.text[node.start : node.end]) in page.lexicon.hints


def beside_part(node: Node) -> bool:
    """What may stand between a part and the word that excepts it: other parts, joining marks, words not understood."""
    if isinstance(node, Phrase):
        return bool(node.named("except") or node.named("part"))
    return isinstance(node, Unknown) or (isinstance(node, Mark) and node.sign in (SEP, AND, OR))
