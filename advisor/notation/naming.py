"""Which words of the lexicon or which material stands at a token: the longest wins.

Of a phrase and a material name of the same length the material is meant if its name is a sure one or a part word or
the word material announces it, unless the phrase is a statement, or a finish that goes with the material just before.
Short names of letters only (PE, CR, SI) count only as written. A reinforcement may follow a plastic: `PA66-GF30`,
`PA66+GF25`.
"""

from collections.abc import Sequence

from advisor.notation.elements import Named
from advisor.notation.lexicon import Entry, Lexicon, MaterialName
from advisor.notation.tokens import DASHES, NUMBER, SIGN, Token, fold

Name = tuple[list[Entry] | tuple[MaterialName, ...], int]
"""Entries of a phrase, or names of materials, and the index after them."""

_REINFORCEMENTS = frozenset({"gf", "cf", "gk", "mf", "md", "gb"})


def name_at(
    lexicon: Lexicon, text: str, tokens: Sequence[Token], index: int, *, after_material: bool, announced: bool
) -> Name | None:
    """The longer of phrase and material at a token; None if neither stands there."""
    phrase = _phrase(lexicon, text, tokens, index)
    token = tokens[index]
    found = lexicon.materials.longest(tokens, index) if token.kind != SIGN else None
    if found is None:
        return phrase
    written = text[token.start : tokens[found[1] - 1].end]
    names = tuple(name for name in found[0] if name.sure or _as_written(name.alias, written))
    if not names:
        return phrase
    if phrase is None or found[1] > phrase[1]:
        return names, found[1]
    if found[1] == phrase[1] and (announced or any(name.sure for name in names)):
        classes = {entry.cls for entry in phrase[0]}
        if "statement" not in classes and not ("finish" in classes and after_material):
            return names, found[1]
    return phrase


def _phrase(lexicon: Lexicon, text: str, tokens: Sequence[Token], index: int) -> tuple[list[Entry], int] | None:
    found = lexicon.phrases.longest(tokens, index, before_number=True)
    if found is None:
        return None
    stop, after = tokens[found[1] - 1], tokens[found[1] : found[1] + 1]
    if stop.text == "." and found[1] - index == 2 and not (after and after[0].kind == NUMBER):
        # "IP66: no. IP69: no.": a full stop, not the short form of number.
        bare = lexicon.phrases.longest(tokens[index : index + 1], 0)
        if bare is not None and any(entry.cls == "negation" for entry in bare[0]):
            found = bare[0], index + 1
    written = text[tokens[index].start : tokens[found[1] - 1].end]
    entries = [entry for entry in found[0] if _literal(lexicon, entry, written)]
    return (entries, found[1]) if entries else None


def _literal(lexicon: Lexicon, entry: Entry, written: str) -> bool:
    """Whether an entry whose signs must stand as written stands so."""
    if entry.cls != "statement" or not lexicon.statements[entry.name].literal:
        return True
    return any(fold(word) == fold(written) for word in lexicon.statements[entry.name].words)


def material(
    lexicon: Lexicon, text: str, tokens: Sequence[Token], place: tuple[int, int], names: tuple[MaterialName, ...]
) -> tuple[Named, int]:
    """The element of a material name at `place` (first index, index after), and the index after its reinforcement."""
    index, after = place
    parts: list[str] = []
    for inner in range(index, after):
        found = lexicon.phrases.longest(tokens, inner)
        if found is not None and found[1] <= after:
            parts += [entry.name for entry in found[0] if entry.cls == "part" and entry.name not in parts]
    name = text[tokens[index].start : tokens[after - 1].end]
    filler, after = _filler(tokens, after)
    sure = any(one.sure for one in names)
    return Named(tokens[index].start, tokens[after - 1].end, names, name, sure, filler, tuple(parts)), after


def _filler(tokens: Sequence[Token], index: int) -> tuple[str, int]:
    place = index
    if place < len(tokens) and (tokens[place].text in DASHES or tokens[place].text in ("+", "/")):
        place += 1
    if place + 1 >= len(tokens) or tokens[place].norm not in _REINFORCEMENTS or tokens[place + 1].kind != NUMBER:
        return "", index
    return tokens[place].text.upper() + tokens[place + 1].text, place + 2


def _as_written(alias: str, text: str) -> bool:
    bare = "".join(c for c in alias if c.isalnum())
    if len(bare) > 3 or not bare.isalpha():
        return True
    return "".join(c for c in text if c.isalnum()) == bare
