"""The HTML report: nothing is left out, no text in it acts, nothing is fetched, all of it can be read aloud."""

import itertools
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report_samples import HOSTILE, ON, Page, audit, explanation, requirement, with_text

from advisor.advise import Advisor
from advisor.document import AuditDocument, Explanation, Figure, FindingEntry, Part, Proof, Requirement, UnitEntry
from advisor.report import common, html, matrix, pictures
from advisor.report.requirement import DocumentBuilder
from advisor.report.text import CAVEAT
from advisor.topics import Demand


@pytest.fixture(scope="module")
def documents(advisor: Advisor) -> dict[str, Part]:
    return {
        "requirement": requirement(advisor),
        "why": explanation(advisor, "ingress.water", "IPX9"),
        "why not": explanation(advisor, "ingress.water", "IPX7"),
        "audit": audit(advisor),
    }


KINDS = ["requirement", "why", "why not", "audit"]


def render(document: Part, *, proofs: bool = False) -> str:
    if isinstance(document, Requirement):
        return html.requirement(document, on=ON, proofs=proofs)
    if isinstance(document, Explanation):
        return html.explanation(document, on=ON)
    assert isinstance(document, AuditDocument)
    return html.audit(document, on=ON, proofs=proofs)


@pytest.fixture(scope="module")
def outlines(documents: dict[str, Part]) -> dict[str, list[str]]:
    """The elements of every page with a harmless word in every place."""
    return {kind: Page(render(with_text(documents[kind], "word"), proofs=True)).outline for kind in KINDS}


def joined(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_fetches_nothing_and_runs_nothing(documents: dict[str, Part], kind: str) -> None:
    text = render(documents[kind])
    page = Page(text)
    tags = {entry.strip("</>").split()[0] for entry in page.outline}
    assert not tags & {"script", "link", "img", "iframe", "object", "embed", "form", "base", "foreignobject", "image"}
    assert not [name for _, name, _ in page.attributes if name.startswith("on") or name in ("src", "srcset", "style")]
    assert all(target.startswith("#") for target in page.values("href"))
    assert all(target.startswith("#") for target in re.findall(r"url\(([^)]*)\)", text))
    assert "@import" not in text
    assert any("default-src 'none'" in value for value in page.values("content", "meta"))


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_is_whole_and_can_be_read_aloud(documents: dict[str, Part], kind: str) -> None:
    page = Page(render(documents[kind]))
    assert not page.open
    ids = page.values("id")
    assert len(ids) == len(set(ids))
    assert {target[1:] for target in page.values("href")} <= set(ids)
    assert page.values("lang", "html") == ["en"]
    levels = [int(entry[2]) for entry in page.outline if re.match(r"<h[1-6] ", entry)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(second <= first + 1 for first, second in itertools.pairwise(levels))
    assert all("scope" in entry for entry in page.outline if entry.startswith("<th "))
    pictured = [entry for entry in page.outline if entry.startswith("<svg")]
    assert all("aria-label" in entry or "aria-hidden" in entry for entry in pictured)


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_is_stamped(documents: dict[str, Part], kind: str) -> None:
    document = documents[kind]
    words = Page(render(document)).text
    stamp = (document.version, document.rulebook.digest, "2026-11-25", "2026-11-24", "R 12", CAVEAT)  # type: ignore[attr-defined]
    assert [text for text in stamp if text not in words] == []
    assert "85 bar" in words
    assert "caustic soda" in words


def test_nothing_of_a_requirement_is_left_out(documents: dict[str, Part]) -> None:
    data = documents["requirement"].model_copy(
        update={"unused_answers": ["air.high is not used"], "rulebook": _waived(documents["requirement"])}
    )
    assert isinstance(data, Requirement)
    words = Page(render(data)).text
    said = [entry.proof.conclusion for entry in data.demands]
    said += [n.text for ns in (data.refer, data.conflicts, data.beyond, data.evidence) for n in ns]
    said += [n.text for ns in (data.practice, data.cautions, data.not_needed) for n in ns]
    said += [question.ask for question in data.open_questions] + ["air.high is not used", "is lifted", "rope test"]
    said += [reason.source for entry in data.demands for reason in entry.proof.reasons]
    assert len(said) > 100
    assert [text for text in said if joined(text) not in words] == []
    assert words.index("To be referred") < words.index("The unit must have")


def _waived(document: Part) -> object:
    return document.rulebook.model_copy(update={"waived": {"some-rule": "rope test"}})  # type: ignore[attr-defined]


def test_nothing_of_an_audit_is_left_out(documents: dict[str, Part]) -> None:
    data = documents["audit"]
    assert isinstance(data, AuditDocument)
    words = Page(render(data)).text
    said = [text for unit in data.units for text in (unit.unit, *unit.held_back, *unit.not_understood)]
    said += [note.text for unit in data.units for note in unit.claim_notes]
    said += [finding.text for unit in data.units for finding in unit.findings]
    said += [claim.quote for unit in data.units for finding in unit.findings for claim in finding.claimed]
    said += [n.text for ns in (data.refer, data.beyond, data.evidence, data.cautions) for n in ns]
    said += [r.title for unit in data.units for finding in unit.findings for r in finding.proof.reasons]
    assert [text for text in said if joined(text) not in words] == []
    assert all(f"{unit.verdict.upper()}: " in words for unit in data.units)


def test_an_explanation_says_what_failed(documents: dict[str, Part]) -> None:
    data = documents["why not"]
    assert isinstance(data, Explanation)
    words = Page(render(data)).text
    assert all(joined(miss.failed) in words for miss in data.why_not)


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_is_more_than_text(documents: dict[str, Part], outlines: dict[str, list[str]], text: str) -> None:
    for kind in KINDS:
        page = render(with_text(documents[kind], text), proofs=True)
        assert Page(page).outline == outlines[kind]
        assert all(letter.isprintable() or letter in "\n\u200b" for letter in page)
        assert joined(common.visible(text)) in Page(page).text


@settings(max_examples=20)
@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1).filter(lambda text: common.visible(text).strip()))
def test_no_drawn_text_is_more_than_text(documents: dict[str, Part], outlines: dict[str, list[str]], text: str) -> None:
    page = render(with_text(documents["audit"], text), proofs=True)
    assert Page(page).outline == outlines["audit"]


@given(st.text(st.characters()))
def test_visible_text_can_always_be_written(text: str) -> None:
    assert common.visible(text).encode() or not text
    assert all(letter.isprintable() or letter == "\u200b" or ord(letter) > 0xAC for letter in common.visible(text))


def test_the_reasons_are_folded_unless_they_are_asked_for(documents: dict[str, Part]) -> None:
    folded, opened = render(documents["requirement"]), render(documents["requirement"], proofs=True)
    assert "<details open>" not in folded
    assert '<details class="why">' in folded
    assert '<details class="why">' not in opened


# Pictures.


def finding(demanded: str, outcome: str = "unstated", claims: tuple[tuple[str, float], ...] = (), **more: object):
    return FindingEntry.model_validate(
        {
            "topic": "temperature.high", "title": "Highest temperature", "part": "", "finding": outcome,
            "demanded": demanded, "state": "certain", "text": "", "proof": Proof(conclusion="", state="certain"),
            "claimed": [{"quote": q, "part": "unit", "value": v, "unit": "K", "credit": "full"} for q, v in claims],
        } | more
    )  # fmt: skip


def unit(*findings: FindingEntry, name: str = "A") -> UnitEntry:
    return UnitEntry(unit=name, verdict="unproven", findings=list(findings))


def test_bars_are_as_long_as_their_figures() -> None:
    (chart,) = pictures.charts([unit(finding("at least 80 °C", "meets", (("up to 100 °C", 373.15),)))])
    demanded, claimed = chart.bars
    assert demanded.x == claimed.x == pictures.MARGIN
    assert claimed.width / demanded.width == pytest.approx(100 / 80, rel=0.005)
    assert chart.goal == pytest.approx(demanded.x + demanded.width, abs=0.1)
    assert "at least 80 °C" in demanded.label
    assert "100 °C" in claimed.label
    assert "meets" in claimed.label
    assert chart.unit == "°C"


def test_bars_of_a_lowest_figure_grow_to_the_left() -> None:
    (chart,) = pictures.charts([unit(finding("down to -30 °C", "falls short", (("-20 °C", 253.15),)))])
    demanded, claimed = chart.bars
    assert not chart.up
    assert demanded.x < claimed.x
    assert demanded.x + demanded.width == pytest.approx(claimed.x + claimed.width, abs=0.2)


def test_a_silent_sheet_and_a_plausible_figure_are_drawn_as_such() -> None:
    known = finding("at least 80 °C")
    open_one = finding("not known yet (1700 °C is the hardest that is plausible)", state="open")
    (chart,) = pictures.charts([unit(known, open_one)])
    assert [bar.kind for bar in chart.bars] == ["demanded", "pending", "unstated"]
    assert [bar.cut for bar in chart.bars] == [False, True, False]
    assert pictures.charts([unit(open_one)]) == []


def test_codes_and_texts_make_no_picture() -> None:
    assert pictures.charts([unit(finding("IPX8 (depth 2 m)"), finding("at least as good as that"))]) == []


@pytest.mark.parametrize("value", [-60.0, -1e-6, 0.0, 1e-6, 0.4, 12.0, 1000.0, 3e5])
@pytest.mark.parametrize("words", ["at least", "down to"])
def test_every_bar_stays_in_the_picture(words: str, value: float) -> None:
    kelvin = value + 273.15
    (chart,) = pictures.charts([unit(finding(f"{words} {value:.3g} °C", "unclear", (("q", kelvin), ("r", 300.0))))])
    for bar in chart.bars:
        assert bar.width >= 2
        assert bar.x >= pictures.MARGIN - 2.1
        assert bar.x + bar.width <= pictures.WIDTH - pictures.MARGIN + 2.1
    assert 2 <= len(chart.ticks) <= 9


def test_every_topic_of_figures_can_be_drawn(advisor: Advisor) -> None:
    """What the sheet words as a demand is read back to the figure, within the three digits that are printed."""
    builder = DocumentBuilder(advisor.advise(_empty(advisor)), advisor)
    numeric = [topic for topic in advisor.book.vocabulary.topics.values() if topic.join in ("highest", "lowest")]
    assert len(numeric) > 10
    for topic in numeric:
        for value, unknown in ((1.2345, ()), (312.3, ()), (312.3, ("value",))):
            words = builder.headline(Demand(topic.topic, "certain", value=value, unknown=unknown))
            goal = pictures.goal_of(finding(words))
            assert goal is not None, words
            # Three digits in the unit of the topic; on a scale with a zero of its own they are of that scale.
            assert goal.value == pytest.approx(value, rel=0.006, abs=0.6 if topic.unit == "degC" else 0)
            if not unknown:
                assert goal.up == (topic.join == "highest")


def _empty(advisor: Advisor):
    from advisor import yamlfile
    from advisor.site import read_site

    return read_site(yamlfile.parse("site: nothing told", "site.yaml"), advisor.book)


# The matrix.


def test_the_matrix_counts_the_worst_of_two_parts_and_keeps_what_does_not_concern() -> None:
    first = unit(finding("IPX9", "meets"), finding("IPX9", "falls short"), name="A")
    second = unit(finding("IPX6", "meets", state="open"), name="B")
    found = matrix.matrix([first, second])
    assert [column.label for column in found.demands] == [
        "Highest temperature: IPX9",
        "Highest temperature: IPX6 (open)",
    ]
    assert [row.findings for row in found.rows] == [("falls short", ""), ("", "meets")]
    assert found.units_across


def test_a_catalogue_is_cut_aloud() -> None:
    many = [unit(*(finding(f"code {n}") for n in range(20)), name=f"unit {n}") for n in range(matrix.MOST_ROWS + 3)]
    document = AuditDocument(
        version="0", rulebook={"digest": "d", "rules": 1}, site={"name": "s", "about": ""}, units=many
    )  # type: ignore[arg-type]
    page = Page(html.audit(document, on=ON))
    assert "3 more units, all behind these" in page.text
    assert f"The best {matrix.MOST_DETAILED} are shown" in page.text
    assert f"unit {matrix.MOST_ROWS - 1}" in page.text
    assert f"unit {matrix.MOST_ROWS} " not in page.text
    assert "demands 11 to 20 of 20" in page.text


def test_a_shortfall_says_by_how_much() -> None:
    short = finding("at least 80 °C", "falls short", (("60 °C", 333.15),), lacking=Figure(text="20 K"))
    document = AuditDocument(
        version="0", rulebook={"digest": "d", "rules": 1}, site={"name": "s", "about": ""}, units=[unit(short)]
    )  # type: ignore[arg-type]
    assert "falls short by 20 K" in Page(html.audit(document, on=ON)).text
