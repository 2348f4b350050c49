"""Tables: slices of one table in several files, sources and bases, and cells in the form kept."""

from typing import Any

import pytest

from advisor import yamlfile
from advisor.faults import Collector
from advisor.loading import Loaded
from advisor.tables import BASES, Column, Table, cell, read_tables

HEAD = "table: t\nsource: S\nbasis: recalled\ncolumns:\n  name: {kind: text}\n  p: {kind: quantity, unit: bar}\n"


def read(*texts: str) -> tuple[dict[str, Table], list[str]]:
    faults = Collector()
    tables = read_tables(
        [yamlfile.parse(text, f"{number}.yaml") for number, text in enumerate(texts)], faults, trusted=False
    )
    return tables, [str(fault) for fault in faults.faults]


def test_slices_of_one_table() -> None:
    second = (
        "table: t\nsources: {L: a long name}\nbasis: published\nrows:\n  b: {name: second, source: L, aliases: [two]}\n"
    )
    tables, faults = read(HEAD + "rows:\n  a: {p: [1, 2]}\n", second)
    assert not faults
    first, other = tables["t"].rows.values()
    assert (first.cells["p"], first.source, first.basis, first.name) == ((1e5, 2e5), "S", "recalled", "a")
    assert (other.source, other.basis, other.name, other.aliases) == (
        "a long name",
        "published",
        "second",
        ("two",),
    )


@pytest.mark.parametrize(
    ("texts", "word"),
    [
        ((HEAD + "rows:\n  a: {p: 1}\n", HEAD + "rows:\n  b: {p: 1}\n"), "declared twice"),
        (
            (HEAD + "rows:\n  a: {p: 1}\n", "table: t\nsource: S\nbasis: recalled\nrows:\n  a: {p: 1}\n"),
            "stands twice",
        ),
        (("table: t\nsource: S\nbasis: recalled\nrows:\n  a: {p: 1}\n",), "no file declares"),
        ((HEAD.replace("source: S\n", "") + "rows:\n  a: {p: 1}\n",), "has no source"),
        (
            (HEAD.replace("recalled", "published").replace("basis: published\n", "") + "rows:\n  a: {p: 1}\n",),
            "no known basis",
        ),
        ((HEAD + "rows:\n  a: {q: 1}\n",), "has no column 'q'"),
        ((HEAD + "rows:\n  a: {p: 5 m}\n",), "does not fit"),
        ((HEAD + "rows:\n  a: {p: [2, 1]}\n",), "does not fit"),
        ((HEAD + "rows:\n  a: {p: true}\n",), "does not fit"),
        ((HEAD + "rows:\n  a: {name: 7}\n",), "does not fit"),
        ((HEAD + "rows:\n  a: {p: 1, aliases: one}\n",), "aliases"),
        ((HEAD + "rows:\n  a: {p: 1, basis: hearsay}\n",), "no known basis"),
        ((HEAD + "rows: []\n",), "rows"),
        ((HEAD + "row: {}\n",), "not known here"),
    ],
)
def test_faults(texts: tuple[str, ...], word: str) -> None:
    assert any(word in fault for fault in read(*texts)[1])


@pytest.mark.parametrize(
    ("column", "value", "kept"),
    [
        (Column(kind="quantity", unit="bar"), 5, (5e5, 5e5)),
        (Column(kind="quantity", unit="bar"), "5 .. 6 bar", (5e5, 6e5)),
        (Column(kind="quantity", unit="degC"), [0, 10], (273.15, 283.15)),
        (Column(kind="quantity", unit="K", difference=True), 5, (5, 5)),
        (Column(kind="number"), [1, 2], (1, 2)),
        (Column(kind="flag"), True, True),
        (Column(kind="list"), ["a", 5], ("a", "5")),
        (Column(kind="choice", choices=["a", "b"]), "a", "a"),
        (Column(kind="row", of="other"), "key", "key"),
    ],
)
def test_cells(column: Column, value: Any, kept: Any) -> None:
    found = cell(column, value)
    assert found == (pytest.approx(kept) if isinstance(kept, tuple) and isinstance(kept[0], float | int) else kept)


def test_a_missing_cell_stays_missing() -> None:
    tables, faults = read(HEAD + "rows:\n  a: {p: null}\n")
    assert not faults
    assert "p" not in tables["t"].rows["a"].cells


def test_every_shipped_row_has_source_and_basis(loaded: Loaded) -> None:
    for table in loaded.book.tables.values():
        for row in table.rows.values():
            assert row.source.strip(), f"{table.name} {row.key}"
            assert row.basis in BASES, f"{table.name} {row.key}"


def test_covered_codes_stand_in_their_table_and_covering_is_transitive(loaded: Loaded) -> None:
    for topic in loaded.book.vocabulary.topics.values():
        rows = loaded.book.tables[topic.table].rows if topic.table else {}
        for key, row in rows.items():
            for other in row.cells.get("covers", ()):
                assert other in rows, f"{topic.topic}: {key} covers {other}"
                assert other != key
                assert set(rows[other].cells.get("covers", ())) <= set(row.cells["covers"]), f"{key} over {other}"
