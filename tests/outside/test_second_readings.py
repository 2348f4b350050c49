"""The tables against a second reading: each file under `readings/` names the sources that it was read from."""

from pathlib import Path

import pytest
from readings_compare import complaints, difference, files, readings

from advisor.loading import Loaded


@pytest.mark.parametrize("path", files(), ids=lambda path: path.stem)
def test_the_table_is_as_it_was_read_again(path: Path, loaded: Loaded) -> None:
    found = [difference(reading, loaded.book.tables[reading.table]) for reading in readings(path)]
    assert found
    assert not any(found), "\n".join(filter(None, found))


@pytest.mark.parametrize("path", files(), ids=lambda path: path.stem)
def test_every_row_names_its_source(path: Path) -> None:
    assert not complaints(path)
