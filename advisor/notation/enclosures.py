"""The enclosure type and the IK code, read from tokens.

    types = head [ noise ] type { joint type }      NEMA 4X/6P; UL Type 3R, 12; Enclosure Type 4X
    ik    = "IK" [ noise ] two digits

The heads and the types that exist are data. Bare digits after "UL", "CSA" and the German "Typ" are not taken, since
they mean too many other things. A range of types (NEMA 1 to 13) is returned without credit.
"""

from collections.abc import Sequence

from advisor.notation.codes import NOISE, RANGE_WORDS, is_number
from advisor.notation.elements import ImpactCode, TypeCode
from advisor.notation.figures import unit_at
from advisor.notation.lexicon import Lexicon
from advisor.notation.tokens import NUMBER, WORD, Token


def enclosure(
    lexicon: Lexicon, tokens: Sequence[Token], index: int, name: str, standard: str
) -> tuple[list[TypeCode], int] | None:
    """The list of enclosure types from `index` on, after the words of head `name`."""
    rules = lexicon.codes.enclosure
    letters_only = name in rules.letter_only
    found: list[TypeCode] = []
    if index < len(tokens) and tokens[index].text in NOISE:
        index += 1
    while (one := _type(rules.types, tokens, index, letters_only)) is not None:
        kind, after = one
        if after < len(tokens) and tokens[after].norm in RANGE_WORDS and is_number(tokens, after + 1):
            text = f"{kind} to {tokens[after + 1].text}"
            span = tokens[index].start, tokens[after + 1].end
            return [TypeCode(*span, text, standard or None, ("range-of-types",), credit=False)], after + 2
        if unit_at(lexicon, tokens, after)[0]:
            break
        found.append(TypeCode(tokens[index].start, tokens[after - 1].end, kind, standard or None))
        index = after
        joint = index
        while joint < len(tokens) and (tokens[joint].text in "/,&+" or tokens[joint].norm in ("and", "und", "type")):
            joint += 1
        if joint == index or _type(rules.types, tokens, joint, letters_only) is None:
            break
        index = joint
    return (found, index) if found else None


def _type(types: list[str], tokens: Sequence[Token], index: int, letters_only: bool) -> tuple[str, int] | None:
    if not is_number(tokens, index):
        return None
    text, after = tokens[index].text, index + 1
    if after < len(tokens) and not tokens[after].gap and tokens[after].kind == WORD:
        text += tokens[after].text.upper()
        after += 1
    if text not in types or (letters_only and text.isdigit()):
        return None
    if after < len(tokens) and not tokens[after].gap:
        follows = tokens[after]
        dotted = follows.text in "-." and is_number(tokens, after + 1) and not tokens[after + 1].gap
        if follows.kind in (WORD, NUMBER) or dotted:
            return None
    return text, after


def impact(lexicon: Lexicon, tokens: Sequence[Token], index: int) -> tuple[ImpactCode, int] | None:
    """The IK code at `index`, and the index after it."""
    if tokens[index].norm != "ik":
        return None
    after = index + 1
    if after < len(tokens) and tokens[after].text in NOISE:
        after += 1
    if not is_number(tokens, after) or len(tokens[after].text) > 2:
        return None
    code = f"IK{int(tokens[after].text):02d}" if tokens[after].text.isdigit() else f"IK{tokens[after].text}"
    known = code in lexicon.codes.impact.codes
    notes = () if known else ("ik-unknown",)
    return ImpactCode(tokens[index].start, tokens[after].end, code, notes, known), after + 1
