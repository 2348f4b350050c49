"""The page of the whole rulebook: every rule and row with its source, in HTML and Markdown, safe to open."""

import re
from collections.abc import Callable

import pytest

from advisor import cli
from advisor.loading import Loaded
from advisor.report import rule_page

Small = Callable[[str], Loaded]
EVIL = """
- rule: evil
  title: "<script>alert(1)</script> & more"
  when: [{wash: {method: hose}}]
  then: [{caution: "<img src=x onerror=alert(1)> [x](javascript:1)"}]
  because: "</style><b>B</b>"
  source: "<a href='//x'>invented</a>"
  basis: recalled
  kind: physics
  checked: "2026-11"
  fires: [{wash: {method: hose}}]
"""


def test_every_rule_and_row_is_on_the_page(loaded: Loaded) -> None:
    page = rule_page.html(loaded.book)
    assert set(re.findall(r'<article id="([a-z0-9-]+)">', page)) >= set(loaded.book.rules)
    rows = sum(len(table.rows) for table in loaded.book.tables.values())
    assert page.count('<tr><th scope="row">') == rows
    assert page.count('<p class="source">Source: ') == len(loaded.book.rules)


def test_every_rule_is_in_the_markdown(loaded: Loaded) -> None:
    page = rule_page.markdown(loaded.book)
    assert set(re.findall(r"^### .* `([a-z0-9-]+)`$", page, re.M)) >= set(loaded.book.rules)


def test_subjects_carry_the_head_of_their_file(loaded: Loaded) -> None:
    wash = next(subject for subject in rule_page.subjects(loaded.book) if subject.title == "Wash")
    assert wash.about.startswith("Cleaning water")
    assert "close-hose" in [rule.name for rule in wash.rules]


def test_what_an_author_wrote_is_text_and_nothing_else(small: Small) -> None:
    book = small(EVIL).book
    page = rule_page.html(book)
    assert not re.search(r"<(script|img|a href='|b>)", page)
    assert "&lt;script&gt;" in page
    assert "<script" not in rule_page.markdown(book)
    assert "[x](" not in rule_page.markdown(book)


@pytest.mark.parametrize(
    ("call", "fault"), [(["close-hose", "--format", "html"], "--all"), (["close-hose", "--all"], "one of them")]
)
def test_calls_that_contradict_themselves(call: list[str], fault: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["rulebook", "show", *call]) == 2
    assert fault in capsys.readouterr().err
