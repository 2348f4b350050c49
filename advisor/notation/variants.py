"""Readings that hold for one variant of several: "Variant A: FKM; Variant B: EPDM".

    variant = label { reading } up to the next label or the end of the line

The label is a word of the condition `one variant`. Every reading behind it is limited by it, over commas, semicolons
and full stops, since a sheet names the variant once and then lists what it is made of.
"""

from advisor.notation.drafts import Draft, Page, is_mark, limit_by
from advisor.notation.elements import BREAK, Phrase

ONE_VARIANT = "one variant"


def variants(page: Page) -> None:
    """Limit the readings behind each label of a variant."""
    labels = [e for e in page.elements if isinstance(e, Phrase) and ONE_VARIANT in e.names("condition")]
    if not labels:
        return
    ends = [e.start for e in page.elements if is_mark(e, BREAK) and "\n" in page.text[e.start : e.end]]
    starts = [label.start for label in labels]
    for label in labels:
        label.taken = True
        until = min((place for place in (*ends, *starts, len(page.text)) if place > label.start), default=0)
        for draft in page.drafts:
            if label.end <= draft.start < until or label.start == draft.start:
                _own(page, draft, page.text[label.start : label.end])


def _own(page: Page, draft: Draft, quote: str) -> None:
    draft.conditions = [condition for condition in draft.conditions if condition.name != ONE_VARIANT]
    limit_by(page, draft, ONE_VARIANT, quote)
