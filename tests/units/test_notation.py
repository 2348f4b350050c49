"""Strings as spec sheets write them against their readings, and the errors a caller can meet."""

from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.notation import MAX_TEXT, Item, LexiconError, TextTooLongError, note_text, read
from advisor.notation.lexicon import lexicon

CASES = yaml.safe_load((Path(__file__).parent / "notation_cases.yaml").read_text(encoding="utf-8"))["cases"]
_APART = {"start", "end", "quote", "notes", "conditions", "parts", "denied"}


def described(item: Item) -> dict[str, Any]:
    """An item as the cases write it: kind and every field that differs from its default."""
    found: dict[str, Any] = {"kind": item.kind}
    for field in fields(item):
        value = getattr(item, field.name)
        if field.name in _APART or (item.kind == "material" and field.name == "name"):
            continue
        if field.name == "levels":
            value = [" ".join([f"{level.value:g}", level.unit, level.label]).strip() for level in value]
        unset = value is None or value in ("", (), [], False, "unspecified", "unstated")
        if field.name == "credit":
            unset = value is True
        if unset and not (isinstance(value, float) or (field.name == "credit" and value is False)):
            continue
        found[field.name] = list(value) if isinstance(value, tuple) else value
    if item.conditions:
        found["conditions"] = sorted(condition.name for condition in item.conditions)
    if item.parts:
        found["parts"] = list(item.parts)
    if item.denied:
        found["denied"] = True
    if item.notes:
        found["notes"] = list(item.notes)
    return found


def close(found: list[dict[str, Any]], expected: list[dict[str, Any]]) -> bool:
    """Equal, with floats to nine digits."""

    def rounded(value: Any) -> Any:
        if isinstance(value, float):
            return float(f"{value:.9g}")
        if isinstance(value, dict):
            return {key: rounded(inner) for key, inner in value.items()}
        return [rounded(inner) for inner in value] if isinstance(value, list) else value

    return bool(rounded(found) == rounded(expected))


@pytest.mark.parametrize("case", CASES, ids=[case["text"] for case in CASES])
def test_reads_as_the_trade_writes(case: dict[str, Any]) -> None:
    reading = read(case["text"])
    found = [described(item) for item in reading.items]
    assert close(found, case["read"]), found
    assert [fragment.quote for fragment in reading.unread] == case.get("unread", [])


@pytest.mark.parametrize("case", CASES, ids=[case["text"] for case in CASES])
def test_quotes_are_the_text_at_their_place(case: dict[str, Any]) -> None:
    text = case["text"]
    reading = read(text)
    for part in (*reading.items, *reading.unread):
        assert text[part.start : part.end] == part.quote
        assert part.quote.strip() == part.quote != ""


def test_every_note_has_its_sentence() -> None:
    used = {note for case in CASES for item in read(case["text"]).items for note in item.notes}
    assert used <= set(lexicon().notes)
    assert note_text("hybrid-9k") != "hybrid-9k"


def test_what_is_written_first_is_plain() -> None:
    words = lexicon(None)
    firsts = [model.words[0] for models in (words.statements, words.conditions) for model in models.values()]
    assert not [word for word in (*firsts, *words.parts.values()) if "<" in word]


def test_a_text_that_is_too_long_is_refused() -> None:
    with pytest.raises(TextTooLongError, match=str(MAX_TEXT)):
        read("x" * (MAX_TEXT + 1))


def test_the_longest_text_is_read() -> None:
    assert len(read(("IP67, " * MAX_TEXT)[:MAX_TEXT]).of("ingress")) == MAX_TEXT // 6


@pytest.mark.parametrize(
    ("heading", "text", "expected"),
    [
        (
            "Operating temperature [°C]",
            "-25...70",
            {"kind": "temperature", "low_degc": -25.0, "high_degc": 70.0, "role": "operating"},
        ),
        ("Temp. range (°F)", "-4 to 140", {"kind": "temperature", "low_degc": -20.0, "high_degc": 60.0}),
        ("Housing", "PP", {"kind": "material", "slugs": ["pp"], "parts": ["body"], "notes": ["weak-name"]}),
        ("Front", "IP65", {"kind": "ingress", "first": "6", "second": "5", "conditions": ["front only"]}),
        ("Werkstoff Dichtung", "NBR", {"kind": "material", "slugs": ["nbr"], "parts": ["seal"]}),
        (
            "IP69K",
            "no",
            {"kind": "ingress", "first": "6", "second": "9K", "denied": True, "notes": ["hybrid-9k", "yes-no-column"]},
        ),
        ("weld immune", "ja", {"kind": "magnetic", "notes": ["no-figure", "yes-no-column"]}),
    ],
)
def test_a_heading_tells_of_what_the_text_speaks(heading: str, text: str, expected: dict[str, Any]) -> None:
    reading = read(text, heading)
    assert [described(item) for item in reading.items] == [expected]
    assert all(0 <= item.start <= item.end <= len(text) for item in reading.items)


def test_a_claim_in_the_heading_alone_is_no_claim() -> None:
    assert read("see drawing", "IP69K").items == ()


def test_the_lexicon_names_the_file_and_the_fault(tmp_path: Path) -> None:
    with pytest.raises(LexiconError, match=r"units\.yaml"):
        lexicon(tmp_path)


def test_the_same_key_twice_is_refused(tmp_path: Path) -> None:
    home = tmp_path / "notation"
    home.mkdir()
    (home / "units.yaml").write_text("dimensions: {}\nunits: []\nunits: []\n", encoding="utf-8")
    with pytest.raises(LexiconError, match="stands twice"):
        lexicon(tmp_path)


def test_an_unknown_key_is_refused(tmp_path: Path) -> None:
    home = tmp_path / "notation"
    home.mkdir()
    (home / "units.yaml").write_text("dimensions: {}\nunits: []\nunit: []\n", encoding="utf-8")
    with pytest.raises(LexiconError, match="unit"):
        lexicon(tmp_path)
