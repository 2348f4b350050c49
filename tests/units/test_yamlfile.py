"""The strict reader: what a person wrote is what is meant, and every value knows its place."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor import yamlfile
from advisor.faults import InputError
from advisor.yamlfile import parse


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("no", "no"), ("on", "on"), ("off", "off"), ("Yes", "Yes"), ("true", True), ("false", False), ("~", None),
        ("null", None), ("", None), ("7.10", 7.1), ('"7.10"', "7.10"), ("010", "010"), ("1:30", "1:30"),
        ("0x1F", "0x1F"), ("1_000", "1_000"), ("12", 12), ("-12", -12), ("+3", 3),
        ("1e3", 1000.0), ("1.5e-3", 0.0015), (".5", ".5"),
        ("5.", "5."), (".inf", ".inf"), (".nan", ".nan"), ("2026-11-24", "2026-11-24"), ("5 bar", "5 bar"), ("=", "="),
        ("<<", "<<"), ("'5'", "5"), ("TRUE", "TRUE"),
    ],
)  # fmt: skip
def test_scalars(text: str, value: object) -> None:
    found = parse(f"key: {text}", "a.yaml").data["key"]
    assert found == value
    assert type(found) is type(value)


def test_every_key_and_item_knows_its_place() -> None:
    document = parse("a:\n  - b: 1\n    c: 2\n  - d\n", "a.yaml")
    assert str(document.place("a", 0, "c")) == "a.yaml:3:5"
    assert str(document.place("a", 1)) == "a.yaml:4:5"
    assert str(document.place("a", 0, "missing", "deeper")) == "a.yaml:2:5"
    assert str(document.place()) == "a.yaml:1:1"


def test_all_faults_of_form_in_one_go() -> None:
    with pytest.raises(InputError) as caught:
        parse("a: 1\na: 2\nb: !!set {}\nc: {d: 1, d: 2}\n", "a.yaml")
    assert [str(fault.place) for fault in caught.value.faults] == ["a.yaml:2:1", "a.yaml:3:4", "a.yaml:4:11"]


def test_a_byte_order_mark_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"\xef\xbb\xbfsite: x\n")
    assert yamlfile.load(path).data == {"site": "x"}


def test_windows_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"site: x\r\nplace:\r\n  setting: indoor\r\n")
    document = yamlfile.load(path, "shown.yaml")
    assert document.data == {"site": "x", "place": {"setting": "indoor"}}
    assert str(document.place("place", "setting")) == "shown.yaml:3:3"


@pytest.mark.parametrize("length", [yamlfile.LARGEST_FILE, yamlfile.LARGEST_FILE + 1])
def test_the_limit_of_size_is_where_it_is_said_to_be(tmp_path: Path, length: int) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"#" * length)
    if length <= yamlfile.LARGEST_FILE:
        assert yamlfile.load(path).data is None
    else:
        with pytest.raises(InputError, match="is too large"):
            yamlfile.load(path)


@given(st.text(max_size=60) | st.binary(max_size=60).map(lambda raw: raw.decode("latin-1")))
@settings(max_examples=300)
def test_any_text_is_read_or_refused(text: str) -> None:
    lines = ["read"]
    try:
        parse(text, "a.yaml")
    except InputError as problem:
        lines = str(problem).splitlines()
    assert lines
    assert all(line.isprintable() for line in lines)


LEAVES = st.integers(-(10**6), 10**6) | st.text("ab é", max_size=5)
KEYS = st.text("xyz", min_size=1, max_size=3)


@given(
    st.recursive(
        LEAVES,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
        max_leaves=8,
    )
)
@settings(max_examples=100)
def test_what_a_dumper_writes_is_read_back(data: object) -> None:
    assert parse(json.dumps({"key": data}), "a.yaml").data == {"key": data}
