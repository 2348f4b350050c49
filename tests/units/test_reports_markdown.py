"""The Markdown report: nothing is left out, and no text is more than text to a viewer of GitHub-flavoured Markdown.

Pages are read by markdown-it-py with its rules for tables, strike-through and links in running text.
"""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from report_samples import HOSTILE, ON, Page, audit, explanation, requirement, with_text

from advisor.advise import Advisor
from advisor.document import AuditDocument, Explanation, Part, Requirement
from advisor.report import common, markdown
from advisor.report.markdown_text import code, escape, table
from advisor.report.text import CAVEAT

VIEWER = MarkdownIt("gfm-like", {"maxNesting": 100})
"""The default of 20 is a guard for servers; deep proofs nest lists further."""
KINDS = ["requirement", "why", "why not", "audit"]
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1)
MARKS = st.text("<>[]()`*_~|\\#+-=.!:/@&;$1 ax\n", min_size=1, max_size=40)


@pytest.fixture(scope="module")
def documents(advisor: Advisor) -> dict[str, Part]:
    return {
        "requirement": requirement(advisor),
        "why": explanation(advisor, "ingress.water", "IPX9"),
        "why not": explanation(advisor, "ingress.water", "IPX7"),
        "audit": audit(advisor),
    }


def render(document: Part, *, proofs: bool = False) -> str:
    if isinstance(document, Requirement):
        return markdown.requirement(document, on=ON, proofs=proofs)
    if isinstance(document, Explanation):
        return markdown.explanation(document, on=ON)
    assert isinstance(document, AuditDocument)
    return markdown.audit(document, on=ON, proofs=proofs)


def viewed(text: str) -> Page:
    return Page(VIEWER.render(text))


@pytest.fixture(scope="module")
def outlines(documents: dict[str, Part]) -> dict[str, list[str]]:
    """The elements of every page with a harmless word in every place."""
    return {kind: viewed(render(with_text(documents[kind], "word"), proofs=True)).outline for kind in KINDS}


def words(text: str) -> str:
    return " ".join(text.replace("\u200b", "").split())


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_is_stamped(documents: dict[str, Part], kind: str) -> None:
    document = documents[kind]
    said = words(viewed(render(document)).text)
    stamp = (document.version, document.rulebook.digest, "2026-11-25", "2026-11-24", "R 12", CAVEAT)  # type: ignore[attr-defined]
    assert [text for text in stamp if text not in said] == []
    assert "85 bar" in said
    assert "caustic soda" in said


def test_nothing_of_a_requirement_is_left_out(documents: dict[str, Part]) -> None:
    data = documents["requirement"]
    assert isinstance(data, Requirement)
    waived = data.rulebook.model_copy(update={"waived": {"some-rule": "rope test"}})
    data = data.model_copy(update={"unused_answers": ["air.high is not used"], "rulebook": waived})
    said = words(viewed(render(data)).text)
    wanted = [entry.proof.conclusion for entry in data.demands]
    wanted += [n.text for ns in (data.refer, data.conflicts, data.beyond, data.evidence) for n in ns]
    wanted += [n.text for ns in (data.practice, data.cautions, data.not_needed) for n in ns]
    wanted += [question.ask for question in data.open_questions] + ["air.high is not used", "is lifted", "rope test"]
    assert len(wanted) > 100
    assert [text for text in wanted if words(text) not in said] == []
    assert said.index("To be referred") < said.index("The unit must have")


def test_nothing_of_an_audit_is_left_out(documents: dict[str, Part]) -> None:
    data = documents["audit"]
    assert isinstance(data, AuditDocument)
    said = words(viewed(render(data)).text)
    wanted = [text for unit in data.units for text in (unit.unit, *unit.held_back, *unit.not_understood)]
    wanted += [note.text for unit in data.units for note in unit.claim_notes]
    wanted += [finding.text for unit in data.units for finding in unit.findings]
    wanted += [claim.quote for unit in data.units for finding in unit.findings for claim in finding.claimed]
    wanted += [n.text for ns in (data.refer, data.beyond, data.evidence, data.cautions) for n in ns]
    assert [text for text in wanted if words(text) not in said] == []


def test_the_proof_says_rule_source_and_margin(documents: dict[str, Part]) -> None:
    data = documents["why"]
    assert isinstance(data, Explanation)
    said = words(viewed(render(data)).text)
    reasons = [reason for entry in data.demands for reason in entry.proof.reasons]
    wanted = [text for reason in reasons for text in (reason.rule, reason.title, reason.because, reason.source)]
    wanted += [c.margin_text for reason in reasons for c in reason.conditions]
    assert wanted
    assert [text for text in wanted if words(text) not in said] == []


def test_proofs_nest_as_lists_inside_what_is_folded(documents: dict[str, Part]) -> None:
    page = viewed(render(documents["requirement"], proofs=True))
    assert not page.open
    assert page.outline.count("<details >") == page.outline.count("</details>") > 50
    assert "<pre >" not in page.outline


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_is_more_than_text(documents: dict[str, Part], outlines: dict[str, list[str]], text: str) -> None:
    for kind in KINDS:
        page = viewed(render(with_text(documents[kind], text), proofs=True))
        assert page.outline == outlines[kind]
        assert words(common.visible(text)) in words(page.text)
        assert "<a href>" not in page.outline


@settings(max_examples=20)
@given(TEXTS.filter(lambda text: common.visible(text).strip()) | MARKS.filter(str.strip))
def test_no_drawn_text_is_more_than_text(documents: dict[str, Part], outlines: dict[str, list[str]], text: str) -> None:
    page = viewed(render(with_text(documents["audit"], text), proofs=True))
    assert page.outline == outlines["audit"]


@given(MARKS | TEXTS)
def test_escaped_text_reads_as_it_was(text: str) -> None:
    for line in (escape(text), f"- {escape(text)}", f"# {escape(text)}", *table(["a"], [[escape(text)]])[2:3]):
        source = "\n".join(table(["a"], [[escape(text)]])) if line.startswith("| ") else line
        said = words(viewed(source).text)
        assert said.removeprefix("a ") == words(common.visible(text)) or not words(common.visible(text))


@given(MARKS | TEXTS)
def test_code_reads_as_it_was(text: str) -> None:
    page = viewed(f"x {code(text)}")
    assert words(page.text) == f"x {words(common.visible(text))}".strip()
    assert page.outline in (["<p >", "<code >", "</code>", "</p>"], ["<p >", "</p>"])


def test_no_line_of_a_page_is_longer_than_its_text_needs(documents: dict[str, Part]) -> None:
    """Escaping stays out of the way of plain text."""
    assert escape("At 25 bar (85 °C), IPX9: -25...+85 °C.") == "At 25 bar (85 °C), IPX9: -25...+85 °C."
    assert not re.search(r"\\[(),.:]", render(documents["requirement"]))
