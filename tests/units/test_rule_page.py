"""The page of the whole rulebook: every rule and row with its source, in HTML and Markdown, safe to open."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor import cli
from advisor.casebook import Casebook
from advisor.loading import Loaded
from advisor.report import rule_page, rules

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


CASES = """
- case: hose-<i>near
  source: invented
  site: {wash: [{method: hose, pressure: 5 bar, distance: 200 mm}]}
"""
EDGES = """
rules:
  wiped:
    source: invented
    basis: recalled
    cases:
      - silent: {wash: {method: none}}
        because: "nothing is cleaned <b>here"
"""


def test_the_cases_of_a_folder_stand_with_the_rules_they_exercise(tmp_path: Path, loaded: Loaded) -> None:
    (tmp_path / "sites.yaml").write_text(CASES, encoding="utf-8")
    (tmp_path / "edges.yaml").write_text(EDGES, encoding="utf-8")
    (tmp_path / "other.yaml").write_text("rules: [1]\n", encoding="utf-8")
    book = Casebook(tmp_path, loaded)
    named = dict(rules.cases(loaded.book.rules["wiped"], book))
    assert named["at its edge silent with"] == "wash: method none (nothing is cleaned <b>here)"
    assert named["fires for certain in 1 of the sites:"] == "hose-<i>near"
    page = rule_page.html(loaded.book, book)
    assert "nothing is cleaned &lt;b&gt;here" in page
    assert page.count("Cases that exercise it") == len(set(book.sites) | set(book.edges))
    assert "hose-" in rule_page.markdown(loaded.book, book)
    assert rules.as_json(loaded.book, loaded.book.rules["wiped"], book)["cases"]


@pytest.mark.parametrize(("name", "fault"), [("nowhere", "is no folder"), (".", "holds no cases")])
def test_a_folder_without_cases_is_told(
    tmp_path: Path, name: str, fault: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["rulebook", "show", "wiped", "--cases", str(tmp_path / name)]) == 2
    assert fault in capsys.readouterr().err


def test_a_case_that_cannot_be_read_is_told_with_its_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "sites.yaml").write_text("- {case: odd, site: {wash: [{metod: hose}]}}\n", encoding="utf-8")
    assert cli.main(["rulebook", "show", "wiped", "--cases", str(tmp_path)]) == 2
    told = capsys.readouterr().err
    assert "sites.yaml, odd" in told
    assert "metod" in told
