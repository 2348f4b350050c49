"""Whole pasted sheets, invented, against the claims and the unread stretches they must give, and lay-out by itself."""

from pathlib import Path
from typing import Any

import pytest
import yaml
from test_notation import close, described

from advisor.notation import MAX_TEXT, TextTooLongError, read_sheet

FOLDER = Path(__file__).parent / "notation_sheets"
SHEETS = sorted(FOLDER.glob("*.txt"))


def claims_of(text: str) -> list[dict[str, Any]]:
    """The claims of a sheet as the expectations write them."""
    found = []
    for claim in read_sheet(text).claims:
        item = described(claim.item)
        item.pop("parts", None)
        found.append({"line": claim.line, "part": claim.part, **item})
    return found


@pytest.mark.parametrize("path", SHEETS, ids=[path.stem for path in SHEETS])
def test_a_sheet_gives_its_claims(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    expected = yaml.safe_load(path.with_suffix(".yaml").read_text(encoding="utf-8"))
    found = claims_of(text)
    assert close(found, expected["claims"]), found
    missed = [{"line": one.line, "quote": one.quote, "why": one.why} for one in read_sheet(text).missed]
    assert missed == expected["missed"]


@pytest.mark.parametrize("path", SHEETS, ids=[path.stem for path in SHEETS])
def test_every_claim_is_quoted_from_its_line(path: Path) -> None:
    rows = path.read_text(encoding="utf-8").splitlines()
    for claim in read_sheet("\n".join(rows)).claims:
        assert rows[claim.line - 1][claim.column - 1 :].startswith(claim.quote.split()[0])


def test_there_are_fifteen_sheets() -> None:
    assert len(SHEETS) >= 15
    for path in SHEETS:
        text = path.read_text(encoding="utf-8").casefold()
        assert "invented" in text or "erfunden" in text


def test_a_denied_claim_is_kept() -> None:
    claim = read_sheet("Not suitable for high-pressure cleaning").claims[0]
    assert claim.item.denied


def test_a_section_ends_with_its_list() -> None:
    parts = [claim.part for claim in read_sheet("Housing:\n- PBT\n- IP65\nProtection class: IP67").claims]
    assert parts == ["body", "body", "unit"]


def test_a_section_without_list_ends_at_a_blank_line() -> None:
    parts = [claim.part for claim in read_sheet("Connector\nIP67\n\nIP65").claims]
    assert parts == ["connector", "unit"]


def test_a_label_above_holds_for_the_next_line_only() -> None:
    claims = read_sheet("Storage temperature\n-40...85 °C\n-25...70 °C").claims
    roles = [getattr(claim.item, "role", "") for claim in claims]
    assert roles == ["storage", "unspecified"]


def test_a_broken_sentence_is_read_as_one() -> None:
    text = "The sensor may be used at all places of the line where the ambient temperature is\nbetween -20 and +60 °C."
    (claim,) = read_sheet(text).claims
    assert (claim.line, claim.column) == (2, 9)
    assert described(claim.item)["low_degc"] == -20.0


def test_a_figure_under_a_label_of_another_matter_is_no_claim() -> None:
    sheet = read_sheet("Measuring range: -50...200 °C")
    assert sheet.claims == ()
    assert [one.why for one in sheet.missed] == ["set aside"]


def test_a_sheet_that_is_too_long_is_refused() -> None:
    with pytest.raises(TextTooLongError):
        read_sheet("x" * (MAX_TEXT + 1))


def test_a_figure_does_not_go_on_with_that_of_the_next_line() -> None:
    first = "Rated IP65/IP67 for the wet end of the line, immersion 10 min"
    heats = [claim.item for claim in read_sheet(f"{first}\n-10...+60 °C").of("temperature")]
    assert [(item.low_degc, item.high_degc) for item in heats] == [(-10.0, 60.0)]  # type: ignore[attr-defined]
