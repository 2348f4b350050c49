"""What an answer allows, and the three-valued tests on it, held against trying every allowed value."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.values import ABSENT, Absent, Domain, Span, Test, Words, both, holds, perhaps, untold

FIGURES = st.integers(-5, 5).map(float)
SPANS = st.tuples(FIGURES, FIGURES).map(lambda ends: Span(*sorted(ends)))
WORDS = st.frozensets(st.sampled_from("abcd"), min_size=1).map(Words)
DOMAINS = st.one_of(SPANS, WORDS, st.just(ABSENT))
FIGURE_TESTS = st.builds(Test, st.just("s"), st.sampled_from((">=", ">", "<=", "<")), FIGURES)
BETWEEN = st.tuples(FIGURES, FIGURES).map(lambda ends: Test("s", "between", *sorted(ends)))
WORD_TESTS = st.frozensets(st.sampled_from("abcd")).map(lambda words: Test("s", "in", words=words))
PLAIN = st.sampled_from([Test("s", "present"), Test("s", "absent")])
TESTS = st.one_of(FIGURE_TESTS, BETWEEN, WORD_TESTS, PLAIN)


def allowed(domain: Domain) -> list[Domain]:
    """The points of a domain; figures on the grid and between its lines."""
    if isinstance(domain, Span):
        steps = [domain.low + 0.5 * step for step in range(int(2 * (domain.high - domain.low)) + 1)]
        return [Span(step, step) for step in steps]
    return [Words(frozenset([word])) for word in domain.options] if isinstance(domain, Words) else [domain]


@given(TESTS, DOMAINS)
@settings(max_examples=500)
def test_the_readings_are_for_all_and_for_some(test: Test, domain: Domain) -> None:
    each = [holds(test, point, True) for point in allowed(domain)]
    assert holds(test, domain, True) == all(each)
    assert holds(test, domain, False) == any(each)


@given(TESTS, DOMAINS)
def test_perhaps_adds_that_it_may_not_apply(test: Test, domain: Domain) -> None:
    doubtful = perhaps(domain)
    if isinstance(domain, Absent):
        assert doubtful is ABSENT
        return
    assert holds(test, doubtful, True) == (holds(test, domain, True) and holds(test, ABSENT, True))
    assert holds(test, doubtful, False) == (holds(test, domain, False) or holds(test, ABSENT, False))


@given(DOMAINS, DOMAINS, TESTS)
def test_both_allows_what_either_allows(first: Domain, second: Domain, test: Test) -> None:
    kinds = {type(entry) for entry in (first, second)} - {Absent}
    if len(kinds) > 1:
        with pytest.raises(TypeError):
            both(first, second)
        return
    joined = both(first, second)
    assert holds(test, joined, False) or not (holds(test, first, False) or holds(test, second, False))
    assert not holds(test, joined, True) or (holds(test, first, True) and holds(test, second, True))


def test_a_point_on_the_threshold_is_on_it_whatever_the_rounding() -> None:
    edge = 0.1 + 0.2
    assert holds(Test("s", ">=", 0.3), Span(edge, edge), True)
    assert not holds(Test("s", ">", 0.3), Span(edge, edge), False)
    assert holds(Test("s", ">=", edge), Span(0.3, 0.3), True)


def test_doubtful_words_hold_possibly_only() -> None:
    test = Test("s", "in", words=frozenset("a"), doubtful=frozenset("b"))
    assert not holds(test, Words(frozenset("b")), True)
    assert holds(test, Words(frozenset("b")), False)
    assert not holds(test, Words(frozenset("ab")), True)
    assert not holds(test, Words(frozenset("c")), False)


def test_a_slot_that_nobody_filled_is_absent() -> None:
    assert holds(Test("s", "absent"), None, True)
    assert not holds(Test("s", ">=", 1), None, False)


@pytest.mark.parametrize(
    ("domain", "test"),
    [(Span(1, 1), Test("s", "in", words=frozenset("a"))), (Words(frozenset("a")), Test("s", ">", 0))],
)
def test_kinds_are_never_compared(domain: Domain, test: Test) -> None:
    assert not holds(test, domain, True)
    assert not holds(test, domain, False)


def test_points_and_marks() -> None:
    assert Span(1, 1 + 1e-12).point
    assert not Span(0, math.inf).point
    assert Words(frozenset("a")).point
    assert not Words(frozenset("ab")).point
    assert untold(Span(1, 2)) == Span(1, 2, told=False)
    assert untold(ABSENT) is ABSENT
