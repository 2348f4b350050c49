"""Materials from their names.

A sure name is a material wherever it stands; a short one that can mean other things (PE, 304, A2) only where a
material is expected: beside a part word, after the word material, in a list with another material, or alone in the
text. Two names in a row for the same thing (`1.4404 (316L)`, `Edelstahl V4A`) become one reading with what they have
in common; a family name next to one of its grades adds nothing to it. Finishes go to the material beside them.
"""

from advisor.notation.drafts import Draft, Page, is_mark
from advisor.notation.elements import BREAK, CLOSE, COLON, OPEN, SEP, Element, Mark, Named, Phrase, Quantity
from advisor.notation.figures import value
from advisor.notation.items import Material
from advisor.notation.lexicon import MaterialName
from advisor.notation.tokens import fold

_AFAR = 30
"""How far back a sensing distance holds for the metals after its figures."""
_MOST_FACTOR = 1.5
"""Factors of metals against steel lie between 0.2 and 1.1."""


def materials(page: Page) -> None:
    """Make drafts of all materials on the page."""
    elements = page.elements
    alone = _alone(page)
    before: tuple[int, Named, Draft] | None = None
    aimed = False
    for index, element in enumerate(elements):
        if isinstance(element, Phrase):
            looked_at = bool(element.named("target"))
            aimed = looked_at or (aimed and not element.named("part") and element.named("topic") != "material")
        elif is_mark(element, BREAK):
            aimed = False
        if not isinstance(element, Named) or aimed or _looked_at(page, index):
            continue
        chained = before is not None and index - before[0] <= 2 and is_mark(elements[index - 1], OPEN, SEP, "and", "or")
        if not (element.sure or id(element) in alone or chained or _expected(page, index)):
            continue
        if before is not None and _same(page, before, index, element):
            before = (index, element, before[2])
            continue
        binder = before is not None and _binder(page, before, index, element)
        slugs = (binder,) if binder else _slugs(element.names)
        fields = {
            "slugs": slugs,
            "name": element.text,
            "generic": not binder and all(name.generic for name in element.names),
            "filler": element.filler,
        }
        draft = page.add(Draft(Material, element.start, element.end, fields), element)
        if element.parts:
            draft.parts = list(element.parts[-1:])
        if not element.sure and not binder:
            draft.note("weak-name")
        before = (index, element, draft)
    for draft in page.drafts:
        if draft.cls is Material:
            if len(draft.fields["slugs"]) > 1:
                draft.note("several-materials")
            if draft.fields["generic"]:
                draft.note("grade-not-stated")


def _alone(page: Page) -> set[int]:
    """The names (by identity) in clauses that hold nothing but materials and their finishes."""
    found: set[int] = set()
    clause: list[Element] = []
    for element in (*page.elements, Mark(0, 0, BREAK)):
        if not is_mark(element, BREAK):
            clause.append(element)
            continue
        if all(isinstance(e, (Named, Mark)) or (isinstance(e, Phrase) and e.named("finish")) for e in clause):
            found.update(id(e) for e in clause)
        clause = []
    return found


def _looked_at(page: Page, index: int) -> bool:
    """Whether a name is that of a target: in a list of factors ("V2A 0.7, brass = 0.5") or of a sensing distance."""
    place = index + 1
    if place < len(page.elements) and is_mark(page.elements[place], COLON):
        place += 1
    after = page.elements[place] if place < len(page.elements) else None
    if isinstance(after, Quantity) and after.bare and not after.spread and not after.limit:
        figure = value(after.values[0], False)[0]
        return figure < _MOST_FACTOR and not figure.is_integer()
    bracketed = is_mark(after, CLOSE) and index > 1 and is_mark(page.elements[index - 1], OPEN)
    ahead = page.elements[index - 2] if bracketed else page.elements[index - 1] if index else None
    if isinstance(ahead, Quantity) and ahead.has("length") and _sensed_before(page, index):
        return True  # "5 mm (steel), 2 mm (aluminium)"
    model = page.lexicon.statements.get(ahead.named("statement")) if isinstance(ahead, Phrase) else None
    return model is not None and model.figured and (bracketed or isinstance(after, Quantity))


def _sensed_before(page: Page, index: int) -> bool:
    models = page.lexicon.statements
    phrases = (element for _, element in page.back(index, limit=_AFAR) if isinstance(element, Phrase))
    return any(name in models and models[name].figured for phrase in phrases for name in phrase.names("statement"))


def _slugs(names: tuple[MaterialName, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name.slug for name in names))


def _expected(page: Page, index: int) -> bool:
    """Whether a part word, the word material or another material stands right beside the name."""
    for place, element in page.back(index, limit=3):
        if isinstance(element, Phrase) and (element.named("part") or element.named("topic") == "material"):
            return True
        if not is_mark(element, COLON, OPEN) and not (is_mark(element, SEP) and page.text[element.start] == "\t"):
            break
        if place < index - 2:
            break
    for _, element in page.walk(index, limit=2):
        if isinstance(element, Phrase) and element.named("part"):
            return True
        if isinstance(element, Named) and element.sure:
            return True
        if not is_mark(element, OPEN, SEP, "and", "or"):
            break
    return False


def _same(page: Page, before: tuple[int, Named, Draft], index: int, element: Named) -> bool:
    """Merge a second name for the same material into the draft before it."""
    at, first, draft = before
    between = page.elements[at + 1 : index]
    if between and isinstance(between[0], Phrase) and between[0].named("part"):
        # "stainless steel housing (1.4404)": the part word stands inside the name.
        between = between[1:]
        if not draft.fields["generic"]:
            return False
    bracket = len(between) == 1 and is_mark(between[0], OPEN)
    slashed = len(between) == 1 and is_mark(between[0], SEP) and page.text[between[0].start] in "/,"
    if between and not (bracket or slashed):
        return False
    mine = set(draft.fields["slugs"])
    theirs = _slugs(element.names)
    common = tuple(slug for slug in draft.fields["slugs"] if slug in theirs)
    generic = all(name.generic for name in element.names)
    if common:
        if len(theirs) < len(mine):
            draft.fields["name"] = element.text
        draft.fields["slugs"] = common
    elif slashed:
        return False
    elif bracket and _of_a_part(page, index + 1):
        return False  # "steel (1.4404 front)"
    elif _made_precise(page, first, theirs) or (draft.fields["generic"] and _kin(page, mine, theirs)):
        draft.fields["slugs"], draft.fields["name"] = theirs, element.text
    elif not (generic and _kin(page, set(theirs), tuple(mine))):
        return False
    if element.sure and "weak-name" in draft.notes:
        draft.notes.remove("weak-name")
    draft.fields["generic"] = draft.fields["generic"] and generic
    draft.fields["filler"] = draft.fields["filler"] or element.filler
    element.taken = True
    draft.end = element.end
    alike = page.elements[index + 1] if index + 1 < len(page.elements) else None
    if common and bracket and isinstance(alike, Phrase) and "likeness" in alike.names("condition"):
        alike.taken = True  # "1.4301 (AISI 304 equivalent)" names one material by two standards
        index += 1
    close = page.elements[index + 1] if index + 1 < len(page.elements) else None
    if bracket and is_mark(close, CLOSE):
        between[0].taken = True
        page.elements[index + 1].taken = True
        draft.end = page.elements[index + 1].end
    return True


def _of_a_part(page: Page, place: int) -> bool:
    after = page.elements[place] if place < len(page.elements) else None
    return isinstance(after, Phrase) and bool(after.named("part"))


def _made_precise(page: Page, first: Named, grades: tuple[str, ...]) -> bool:
    """Whether a word for any metal of a kind stands before a grade: "steel 1.4301", "sheet steel (1.4404)"."""
    loose = fold(first.text) in page.lexicon.loose_names
    return loose and all(page.lexicon.kin[grade][1] == "metal" for grade in grades)


def _binder(page: Page, before: tuple[int, Named, Draft], index: int, element: Named) -> str:
    """Return the coat that a binder in brackets names: "aluminium, powder coated (polyester)"; empty if it is none."""
    bracketed = before[0] == index - 2 and is_mark(page.elements[index - 1], OPEN)
    if not bracketed or not fold(before[1].text).endswith(page.lexicon.coats):
        return ""
    return page.lexicon.binders.get(fold(element.text), "")


def _kin(page: Page, family: set[str], grades: tuple[str, ...]) -> bool:
    """Whether a grade belongs to a family: of the same family in the table, or of the class the family leaves open."""
    table = page.lexicon.kin
    for slug in family:
        name = table.get(slug, ("", ""))[0]
        for grade in grades:
            own, kind = table.get(grade, ("", ""))
            if name and (name in own or name == f"unknown {kind}"):
                return True
    return False
