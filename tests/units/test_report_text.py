"""The lines of a text report are those of textwrap, which is slower."""

from hypothesis import given
from hypothesis import strategies as st

from advisor.report.text import _wrap_any, wrap

WORDS = st.text(st.sampled_from("ab-.°"), min_size=1, max_size=30) | st.just("c" * 130)
TEXTS = st.lists(WORDS, max_size=40).map(" ".join) | st.text(st.sampled_from("ab \t\n\xa0"), max_size=300)


@given(TEXTS, st.integers(0, 120), st.sampled_from(["", "- ", "because ", "! "]))
def test_lines_are_those_of_textwrap(text: str, indent: int, first: str) -> None:
    assert wrap(text, indent, first) == _wrap_any(text, " " * indent + first)
