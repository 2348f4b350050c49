"""A prefix tree over token forms, for finding the longest entry that starts at a token.

Hyphens between the words of an entry may be there or not, in the entry as in the text; so may blanks. A match
must end at the end of a word or number: `PA` is not found in `PA66`.
"""

from collections.abc import Sequence
from typing import Generic, TypeVar

from advisor.notation.tokens import DASHES, NUMBER, SIGN, WORD, Token

T = TypeVar("T")


class _Node(Generic[T]):
    __slots__ = ("entries", "next")

    def __init__(self) -> None:
        self.next: dict[str, _Node[T]] = {}
        self.entries: list[T] = []


class Trie(Generic[T]):
    """Entries by token sequence. `exact` compares texts as written, otherwise folded forms are compared."""

    def __init__(self, *, exact: bool = False, skip: frozenset[str] = DASHES) -> None:
        self._root: _Node[T] = _Node()
        self._exact = exact
        self._skip = skip

    def form(self, token: Token) -> str:
        """What of a token is compared."""
        if token.kind == NUMBER:
            return token.text.replace(",", ".")
        return token.text if self._exact else token.norm

    def add(self, tokens: Sequence[Token], entry: T) -> None:
        """Put an entry in; several entries may share a spelling."""
        node = self._root
        for token in tokens:
            if token.kind == SIGN and token.text in self._skip:
                continue
            node = node.next.setdefault(self.form(token), _Node())
        if node is not self._root and entry not in node.entries:
            node.entries.append(entry)

    def longest(
        self, tokens: Sequence[Token], start: int, *, before_number: bool = False
    ) -> tuple[list[T], int] | None:
        """The entries of the longest match from `start`, and the index after it.

        With `before_number` a number may follow without a blank, as in `Ra0.8`.
        """
        node = self._root.next.get(self.form(tokens[start]))
        if node is None:
            return None
        found: tuple[list[T], int] | None = None
        index = start + 1
        size = len(tokens)
        while True:
            if node.entries and ends(tokens, index, before_number=before_number):
                found = (node.entries, index)
            if not node.next or index >= size:
                return found
            following = node.next.get(self.form(tokens[index]))
            if following is None:
                token = tokens[index]
                if token.kind != SIGN or token.text not in self._skip or index + 1 >= size:
                    return found
                following = node.next.get(self.form(tokens[index + 1]))
                if following is None:
                    return found
                index += 1
            node = following
            index += 1


def ends(tokens: Sequence[Token], index: int, *, before_number: bool = False) -> bool:
    """Whether a word or number ends before `index`, so that what follows is not a part of it."""
    if index >= len(tokens):
        return True
    after = tokens[index]
    if after.gap or after.kind not in (WORD, NUMBER) or (before_number and after.kind == NUMBER):
        return True
    return tokens[index - 1].kind == SIGN
