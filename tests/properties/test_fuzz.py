"""Readers of files take broken input or refuse it with faults; they never fail otherwise, nor think for ever."""

import random

import fuzz
import pytest
from conftest import DEPTH
from hypothesis import given, settings
from hypothesis import strategies as st


@pytest.mark.parametrize("reader", sorted(fuzz.READERS))
@given(seed=st.integers(0, 1_000_000))
@settings(max_examples=25 * DEPTH)
def test_broken_files(reader: str, seed: int) -> None:
    make, read = fuzz.READERS[reader]
    text = fuzz.broken(make(), random.Random(seed))
    assert not fuzz.fault_of(read, text), f"python tests/fuzz.py {reader} 1 {seed}"
