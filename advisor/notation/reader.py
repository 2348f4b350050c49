"""The entry of the package: `read` turns a text into a `Reading`.

Tokens become elements, elements become drafts of readings in a fixed order (what needs its own words first: codes,
shock and vibration, EMC, fields; then statements; then bare temperatures and pressures; then materials), qualifiers
are tied to the drafts, and what is left over is reported. Results are kept, since sheets and catalogues repeat
themselves.
"""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from advisor.notation import attach, denial, fields, mechanics, names, ranges, ratings, sayings, variants
from advisor.notation.drafts import RATINGS, Draft, Node, Page
from advisor.notation.elements import (
    CLOSE,
    COLON,
    OPEN,
    WITH,
    BareUnit,
    Element,
    Mark,
    Named,
    Phrase,
    Quantity,
    Unknown,
)
from advisor.notation.errors import MAX_TEXT, TextTooLongError
from advisor.notation.items import Fragment, Item, PartHeading, Reading
from advisor.notation.lexicon import Lexicon, lexicon
from advisor.notation.scan import Scan
from advisor.notation.tokens import fold

NOT_UNDERSTOOD = "not understood"
NO_READING = "no reading"
SET_ASIDE = "set aside"
DOUBTED = (*RATINGS, "magnetic", "impact", "vibration", "shock")
"""Kinds of readings that a word in their clause can take back: "almost IP66", "above 100 mT it is destroyed"."""
_TURNING = frozenset(("negation", "turn", "except"))
"""Classes of words that are never spent silently, whatever else their clause says."""


def read(text: str, heading: str = "", *, folder: Path | None = None) -> Reading:
    """Read a text as a spec sheet writes it.

    `heading` is a label or a column heading under which the text stands; it tells of what the text speaks without
    being part of it, so offsets count in `text` alone. A claim that stands wholly in the heading ("IP69K") counts
    only if the text answers it with yes or no. `folder` is the knowledge folder, the project's own by default.
    Raises `TextTooLongError` above `MAX_TEXT` characters and nothing else.
    """
    if len(text) + len(heading) > MAX_TEXT:
        raise TextTooLongError(len(text) + len(heading))
    return _read(text, heading, lexicon(folder))


@lru_cache(maxsize=65_536)
def _read(text: str, heading: str, words: Lexicon) -> Reading:
    if not heading.strip():
        items, unread, _ = _parse(text, words)
        return Reading(text, items, unread)
    lead = heading.strip().rstrip(":").replace("\n", " ") + ": "
    items, unread, answered = _parse(lead + text, words)
    shift = len(lead)
    kept = [
        _moved(item, shift, text)
        for item in items
        if item.end > shift or (answered and item.kind != "part")
    ]
    rest = tuple(
        Fragment(max(0, f.start - shift), f.end - shift, text[max(0, f.start - shift) : f.end - shift], f.why)
        for f in unread if f.end > shift
    )
    return Reading(text, tuple(kept), rest)


def _moved(item: Item, shift: int, text: str) -> Item:
    """The item with its place counted in the text without the heading."""
    if item.end <= shift:
        notes = (*item.notes, "yes-no-column")
        return replace(item, start=0, end=len(text), quote=f"{item.quote}: {text}", notes=notes)
    start, end = max(0, item.start - shift), item.end - shift
    return replace(item, start=start, end=end, quote=text[start:end])


def _parse(text: str, words: Lexicon) -> tuple[tuple[Item, ...], tuple[Fragment, ...], bool]:
    page = Page(words, text, Scan(words, text).elements)
    if not page.elements:
        return (), (), False
    ratings.ratings(page)
    mechanics.mechanics(page)
    fields.emc(page)
    fields.magnetic(page)
    fields.wave_before(page)
    sayings.sayings(page)
    ranges.ranges(page)
    names.materials(page)
    denial.without(page)
    attach.attach(page)
    variants.variants(page)
    denial.deny(page)
    denial.untick(page)
    sayings.leftover_standards(page)
    ratings.finish_ratings(page)
    _headings(page)
    affirmed = any(isinstance(e, Phrase) and e.named("affirm") for e in page.elements)
    unread = _unread(page)
    items = sorted((draft.freeze(text) for draft in page.drafts), key=lambda item: (item.start, item.end))
    return tuple(items), unread, affirmed or any(item.denied for item in items)


def _headings(page: Page) -> None:
    for element in page.elements:
        if not isinstance(element, Phrase) or element.taken or element.named("aside"):
            continue
        if part := element.named("part"):
            draft = page.add(Draft(PartHeading, element.start, element.end, {}), element)
            draft.parts.append(part)


def _unread(page: Page) -> tuple[Fragment, ...]:
    """What no reading used. Labels and yes are spent where their clause has a reading."""
    found: list[Fragment] = []
    for clause in attach.clauses(page):
        has_reading = any(isinstance(node, Draft) and node.kind != "part" for node in clause)
        aside = False
        run: list[tuple[int, int, str]] = []
        last: Draft | None = None
        told: Draft | None = None
        rated: Draft | None = None
        bracket = doubted = False
        for before, node in zip([None, *clause], clause, strict=False):
            doubted = doubted or _doubts(page, node)
            if isinstance(node, Draft):
                if node.kind in DOUBTED and (doubted or _leads_elsewhere(before)):
                    node.note("unread-beside")
                if _leads_elsewhere(before):
                    node.parts.clear()  # "The mating connector must be IP69": it is asked of another thing
                _close(page, run, found)
                aside, bracket, last = False, False, node
                told = told if node.kind == "part" else node
                rated = node if node.kind in RATINGS else rated
                continue
            why = ""
            if isinstance(node, Phrase):
                labels = {entry.cls for entry in node.entries}
                if "aside" in labels:
                    aside = True
                    why = SET_ASIDE
                elif labels & _TURNING or not (has_reading and labels & {"topic", "affirm", "wave"}):
                    why = SET_ASIDE if aside else NO_READING
                    if labels & {"negation", "except"}:
                        why = NOT_UNDERSTOOD
            elif isinstance(node, (Unknown, Quantity, Named, BareUnit)):
                why = SET_ASIDE if aside else NOT_UNDERSTOOD
            elif isinstance(node, Mark):
                bracket = node.sign == OPEN or (bracket and node.sign != CLOSE)
                if node.sign != COLON and run and not aside and node.text not in ("/", "-", "and", "or", "&", "+"):
                    _close(page, run, found)
                continue
            part = isinstance(before, Draft) and before.kind == "part"
            hint = _hints(page, node) and (node is not clause[-1] or part or (before is not last and not bracket))
            touching = before is last and last is not None and last.kind in RATINGS and node.start >= last.end
            beside = (bracket or (touching and not _hints(page, node))) and not _idle(page, node)
            placed = before is last and _word(page, node) in page.lexicon.places
            if (placed or _doubts(page, node)) and last is not None and last.kind in DOUBTED:
                last.note("unread-beside")
            if _hints(page, node) and rated is not None and rated is not last and _fitted(clause, rated):
                # "IP69 with stainless housing and closed plug only"
                rated.note("unread-beside")
            if why == NOT_UNDERSTOOD and last is not None and last.kind != "thread" and (hint or beside):
                last.note("unread-beside")
                if last.kind in RATINGS and _word(page, node) in page.lexicon.narrowing:
                    last.note("only-beside")
                if part and hint and told is not None:
                    # "IP67, plug excepted" limits the rating before the part.
                    told.note("unread-beside")
            if why:
                run.append((node.start, node.end, why))
        _close(page, run, found)
    return tuple(found)


def _fitted(clause: list[Node], rated: Draft) -> bool:
    """Whether a rating goes on with what it has: "IP69 with ..."."""
    after = next((node for node in clause if node.start >= rated.end), None)
    return isinstance(after, Mark) and after.sign == WITH


def _hints(page: Page, node: Element) -> bool:
    """Whether words that were not understood sound like a condition on what stands before them."""
    excepts = isinstance(node, Phrase) and node.named("except")
    return bool(excepts) or fold(page.text[node.start : node.end]) in page.lexicon.hints


def _doubts(page: Page, node: Node) -> bool:
    """Whether a word takes back the ratings of its clause, before or behind them: "almost IP66", "IP69 withdrawn"."""
    if not isinstance(node, Element):
        return False
    return _word(page, node) in page.lexicon.doubts or (isinstance(node, Phrase) and bool(node.named("doubt")))


def _leads_elsewhere(before: Node | None) -> bool:
    """Whether the words before a rating say that another thing has it: "for use in IP66 cabinets"."""
    return isinstance(before, Phrase) and bool(before.named("elsewhere"))


def _word(page: Page, node: Node) -> str:
    return fold(page.text[node.start : node.end])


def _idle(page: Page, node: Element) -> bool:
    if isinstance(node, Quantity) and (node.only("flow") or node.only("torque")):
        return not node.limit  # "IP66 (100 L/min)" tells its test, "plug tightened to 0.6 Nm" how to mount it
    return fold(page.text[node.start : node.end]) in page.lexicon.harmless


def _close(page: Page, run: list[tuple[int, int, str]], found: list[Fragment]) -> None:
    if run:
        start, end = run[0][0], max(end for _, end, _ in run)
        reasons = {why for _, _, why in run}
        why = next(w for w in (NOT_UNDERSTOOD, SET_ASIDE, NO_READING) if w in reasons)
        if SET_ASIDE in reasons and run[0][2] == SET_ASIDE:
            why = SET_ASIDE
        found.append(Fragment(start, end, page.text[start:end], why))
        run.clear()
