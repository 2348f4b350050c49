"""Readings that hold for one variant of several: "Variant A: FKM; Variant B: EPDM", "S-69 = IP69, S-54 = IP54".

    variant = label { reading } up to the next label or the end of the line
    key     = code "=" reading           a letter of an order key, in capitals and figures

The label is a word of a condition that `spans`: a variant, or the accessories. Every reading behind it is limited by
it, over commas, semicolons and full stops, since a sheet names the variant once and then lists what it is made of.
"""

import re
from bisect import bisect_left, bisect_right
from itertools import islice

from advisor.notation.drafts import RATINGS, Draft, Page, is_mark, limit_by
from advisor.notation.elements import BREAK, Phrase

ONE_VARIANT = "one variant"
_KEY = re.compile(
    r"(?:^|[\s,;:(/|])[\"'„]?-?([A-Z0-9]{1,4}(?:-[A-Z0-9]{1,4}){0,2})[\"'“”]?\s?=\s?[^=;,\d\n]{0,25}$"
    r"|(?:\.{2,3}|…)\s?(-[A-Z0-9]{1,4})\s?:\s?$"
)
"""A letter and what it stands for: `S-69 = IP69`, `W = washdown (IP69)`; the end of an order number: `...-W: IP69`."""
_KEY_REACH = 64
"""Signs before a reading in which its key must begin; `_KEY` takes no more."""
_LIST = re.compile(r"\s*(?:[/,&+]|and|und)\s*")
_NO_KEYS = frozenset({"IP", "NEMA", "TYPE", "UL"})
"""Words in capitals that announce a rating and are no letter of a key."""


def variants(page: Page) -> None:
    """Limit the readings behind each label of a variant, and those behind the letters of an order key."""
    ordered = sorted(page.drafts, key=lambda one: one.start)
    for draft in page.drafts:
        near = max(0, draft.start - _KEY_REACH)
        key = _KEY.search(page.text, near, draft.start) if draft.kind in (*RATINGS, "material") else None
        if key is not None and key[1] not in _NO_KEYS:
            for one in _listed(page, ordered, draft):
                _own(page, one, key[1] or key[2])
    spans = {name for name, model in page.lexicon.conditions.items() if model.spans}
    labels = [e for e in page.elements if isinstance(e, Phrase) and spans.intersection(e.names("condition"))]
    if not labels:
        return
    ends = [e.start for e in page.elements if is_mark(e, BREAK) and "\n" in page.text[e.start : e.end]]
    stops = sorted({*ends, *(label.start for label in labels), len(page.text)})
    for label in labels:
        label.taken = True
        until = stops[bisect_right(stops, label.start)]
        at = bisect_left(ordered, label.start, key=lambda one: one.start)
        for draft in islice(ordered, at, None):
            if draft.start >= until:
                break
            if label.end <= draft.start or label.start == draft.start:
                name = next(name for name in label.names("condition") if name in spans)
                _own(page, draft, page.text[label.start : label.end], name)


def _listed(page: Page, ordered: list[Draft], first: Draft) -> list[Draft]:
    """The reading and those of the drafts in order that follow it in one list: "C = IP66/IP69"."""
    found = [first]
    at = bisect_left(ordered, first.start, key=lambda one: one.start)
    for draft in islice(ordered, at, None):
        if draft.kind == first.kind and draft.start >= found[-1].end:
            if not _LIST.fullmatch(page.text[found[-1].end : draft.start]):
                break
            found.append(draft)
    return found


def _own(page: Page, draft: Draft, quote: str, name: str = ONE_VARIANT) -> None:
    draft.conditions = [condition for condition in draft.conditions if condition.name != name]
    limit_by(page, draft, name, quote)
