"""Every case at the edge of a rule is a test, with the source that draws the edge; see `edges` for their form."""

from pathlib import Path

import edges
import pytest
import strategies

from advisor.loading import Loaded
from advisor.rulecheck import example_run

BOOK = strategies.rulebook().book
CASES = [pytest.param(edge, id=edge.name) for path in edges.files() for edge in edges.edges(path)]


@pytest.mark.parametrize("edge", CASES)
def test_edge(loaded: Loaded, edge: edges.Edge) -> None:
    run = example_run(loaded, edge.told, edge.name)
    found = edges.faults(edge, run, loaded.book)
    assert not found, f"{BOOK.places[edge.rule]}: {edge.told}: {'; '.join(found)} ({edge.because})"


@pytest.mark.parametrize("path", edges.files(), ids=lambda path: path.stem)
def test_every_case_has_its_source_and_reason(path: Path) -> None:
    assert not edges.complaints(path)
