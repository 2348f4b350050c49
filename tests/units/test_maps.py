"""Maps: every cell is what a single run says, figures go the right way, pictures and letters say the same."""

import io
import itertools
import json
import math
import random
import re
from datetime import date
from typing import Any

import pytest
from conftest import ROOT

from advisor import quantities
from advisor.advise import Advisor
from advisor.engine.steps import ResistanceSteps
from advisor.faults import InputError
from advisor.loading import Loaded
from advisor.maps.axis import Axis, axis
from advisor.maps.build import map_document
from advisor.maps.contours import contours, length, middle
from advisor.maps.document import MapDocument
from advisor.maps.grid import Grid, grid, told
from advisor.maps.regions import OTHERS, mapped_topics, regions
from advisor.overview import colours
from advisor.report.map_html import map_page
from advisor.report.map_text import map_text
from advisor.resistance import rate
from advisor.rulebook import NOTE_TOPICS
from advisor.site import Site, load_site, read_site
from advisor.topics import Demand
from advisor.yamlfile import parse

PAIRS = [
    ("ready-meals-washdown", "wash:hot rinse.pressure", "wash:hot rinse.distance"),
    ("ready-meals-washdown", "wash:2.temperature", "exposure:1.strength"),
    ("robot-mag-torch-side", "field_source.current", "field_source.distance"),
    ("dairy-cip-skid", "air.high", "air.humidity"),
    ("seawater-sump-probe", "immersion.depth", "immersion.temperature"),
]


def scenario(name: str, loaded: Loaded) -> Site:
    return load_site(ROOT / "scenarios" / name / "site.yaml", loaded.book)


def axes(site: Site, loaded: Loaded, x: str, y: str, columns: int, rows: int) -> tuple[Axis, Axis]:
    return axis(x, site, loaded.book, cells=columns), axis(y, site, loaded.book, cells=rows)


def said(demands: tuple[Demand, ...]) -> list[Any]:
    """All that a map shows of demands, figures to nine digits."""
    return sorted(
        (
            demand.topic,
            demand.state,
            demand.item,
            "" if demand.value is None else f"{demand.value:.9g}",
            sorted((name, f"{value:.9g}") for name, value in demand.parameters.items()),
            demand.unknown,
            sorted((verdict.material, verdict.certain, verdict.possible) for verdict in demand.materials),
        )
        for demand in demands
    )


def alone(site: Site, loaded: Loaded, advisor: Advisor, at: list[tuple[Axis, float]]) -> Any:
    """The advice by the engine of record with two answers told."""
    texts = [
        f"{quantities.from_si(value, own.unit, difference=own.slot.difference)!r} {own.unit}".strip()
        for own, value in at
    ]
    return advisor.advise(told(site, [own for own, _ in at], texts, loaded))


@pytest.mark.parametrize(("name", "x", "y"), PAIRS)
def test_cells_are_what_single_runs_say(name: str, x: str, y: str, loaded: Loaded, advisor: Advisor) -> None:
    site = scenario(name, loaded)
    across, up = axes(site, loaded, x, y, 17, 11)
    topics = mapped_topics(loaded.book)
    found = grid(site, across, up, loaded, topics, lambda share: None)
    draw = random.Random(name + x)
    for _ in range(5):
        column, row = draw.randrange(17), draw.randrange(11)
        advice = alone(site, loaded, advisor, [(across, across.middles()[column]), (up, up.middles()[row])])
        cell = found.cells[row][column]
        assert said(tuple(d for d in cell if d.topic not in NOTE_TOPICS)) == said(advice.demands), (column, row)
        for topic in ("refer", "conflict", "beyond"):
            rules = {fact.split("|")[1].rpartition(".")[0] for d in advice.notes[topic] for fact in d.facts}
            assert {demand.item for demand in cell if demand.topic == topic} == rules, (topic, column, row)


def field_grid(loaded: Loaded) -> Grid:
    site = scenario("robot-mag-torch-side", loaded)
    across, up = axes(site, loaded, "field_source.current", "field_source.distance", 20, 14)
    return grid(site, across, up, loaded, mapped_topics(loaded.book, ["immunity"]), lambda share: None)


def test_more_current_and_less_distance_never_ask_less(loaded: Loaded) -> None:
    found = field_grid(loaded)
    asked = [[max((d.value or 0.0 for d in cell), default=0.0) for cell in row] for row in found.cells]
    assert max(map(max, asked)) > 10 * min(value for row in asked for value in row if value)
    for row in asked:
        assert row == sorted(row)
    for column in zip(*asked, strict=True):
        assert list(column) == sorted(column, reverse=True)


def test_a_nearer_lance_never_drops_a_code(loaded: Loaded) -> None:
    site = scenario("ready-meals-washdown", loaded)
    across, up = axes(site, loaded, "wash:2.pressure", "wash:2.distance", 9, 12)
    found = grid(site, across, up, loaded, mapped_topics(loaded.book, ["ingress.water"]), lambda share: None)
    codes = [[{demand.item for demand in cell} for cell in row] for row in found.cells]
    assert any("IPX9" in cell for cell in codes[0])
    assert not all("IPX9" in cell for cell in codes[-1])
    for column in zip(*codes, strict=True):
        assert all("IPX9" in near or "IPX9" not in far for near, far in itertools.pairwise(column))


def test_regions_part_cells_that_differ(loaded: Loaded) -> None:
    laid = regions(found := field_grid(loaded), loaded.book)
    key = ("immunity.magnetic.dc", "", "value")
    assert [round(level * 1000) for level in laid.levels[key]] == [40, 100, 200]
    for row, letters in enumerate(laid.letters):
        for column, letter in enumerate(letters):
            value = laid.values[key][row][column]
            region = next(entry for entry in laid.regions if entry.letter == letter)
            assert bool(region.apart) == (value is not None)
            if value is not None:
                bands = ((0.04, "up to 40"), (0.1, "40 mT to"), (0.2, "100 mT to"), (9.0, "above 200"))
                band = next(words for end, words in bands if value <= end)
                assert any(band in text for text in region.apart), (value, region)
    assert sum(region.cells for region in laid.regions) == found.x.cells * found.y.cells
    assert [region.own for region in laid.regions].count(True) == 1


def test_too_many_regions_share_one_sign(loaded: Loaded) -> None:
    site = scenario("ready-meals-washdown", loaded)
    document = map_document(site, ("exposure:1.temperature", "exposure:1.strength"), loaded, cells=(50, 20))
    letters = set("".join(document.rows))
    assert letters == {region.letter for region in document.regions}
    if OTHERS in letters:
        assert "--topic" in document.regions[-1].demands[0]


@pytest.mark.parametrize(
    ("x", "low", "high", "log"),
    [
        ("wash:2.pressure", 2.5e5, 2.5e7, True),
        ("wash:2.temperature", 273.15, 453.15, False),
        ("exposure:1.strength", 0.0, 0.08, False),
        ("air.humidity", 0.0, 1.0, False),
    ],
)
def test_usual_ranges(x: str, low: float, high: float, log: bool, loaded: Loaded) -> None:
    found = axis(x, scenario("ready-meals-washdown", loaded), loaded.book, cells=10)
    assert (found.low, found.high, found.log) == (pytest.approx(low), pytest.approx(high), log)
    assert found.own is not None
    assert 0 <= found.share(found.own.low) <= 1
    assert 3 <= len(found.ticks()) <= 12


def test_a_given_range_is_kept_and_held_against_what_is_plausible(loaded: Loaded) -> None:
    site = scenario("ready-meals-washdown", loaded)
    found = axis("wash:2.pressure", site, loaded.book, given="5 .. 40 bar", cells=10)
    assert (found.low, found.high, found.log) == (5e5, 4e6, False)
    with pytest.raises(InputError, match="not plausible; within"):
        axis("wash:2.pressure", site, loaded.book, given="5 .. 40000 bar", cells=10)
    with pytest.raises(InputError, match="has no two ends"):
        axis("wash:2.pressure", site, loaded.book, given="> 5 bar", cells=10)


@pytest.mark.parametrize(
    ("spec", "what"),
    [
        ("wash.pressure", "may mean 2 entries; one of wash:2.pressure"),
        ("wash:1.pressure", "does not apply to this site; it is asked where wash.method hose or lance"),
        ("wash:cold.pressure", "there is no wash 'cold'"),
        ("wash.presure", "did you mean pressure"),
        ("wash.method", "wash.method is no figure"),
        ("wahs.pressure", "did you mean wash"),
        ("weld.distance", "the site has no weld"),
        ("pressure", "names no slot"),
    ],
)
def test_a_slot_that_cannot_be_mapped_is_said(spec: str, what: str, loaded: Loaded) -> None:
    with pytest.raises(InputError) as caught:
        axis(spec, scenario("ready-meals-washdown", loaded), loaded.book, cells=4)
    assert what in str(caught.value)
    assert "\n" not in str(caught.value)


def test_no_slot_that_is_a_figure_decides_what_is_asked(loaded: Loaded) -> None:
    """Else a cell's site would have other questions than the site that was read."""
    for template in loaded.book.vocabulary.templates.values():
        for slot in template.slots:
            for other, conditions in (slot.relevant or {}).items():
                for inner in conditions:
                    assert loaded.book.vocabulary.templates[other].by_name[inner].kind == "words"


def small(loaded: Loaded) -> MapDocument:
    site = scenario("robot-mag-torch-side", loaded)
    return map_document(site, ("field_source.current", "field_source.distance"), loaded, cells=(24, 12))


def test_letters_say_all_that_colours_say(loaded: Loaded) -> None:
    document = small(loaded)
    plain, coloured = map_text(document), map_text(document, colour=True)
    assert "\x1b" not in plain
    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain
    rows = [line.partition("|")[2] or line.partition("+")[2] for line in plain.splitlines()]
    for row in document.rows:
        assert any(found.replace("@", "B") == row.replace("@", "B") or found == row for found in rows)
    assert plain.count("@") == 2
    assert max(map(len, plain.splitlines())) <= 100


def test_the_own_point_is_judged_by_itself(loaded: Loaded, advisor: Advisor) -> None:
    """The cell of a point on a threshold may lie beyond it; the region named is that of the point."""
    site = scenario("ready-meals-washdown", loaded)
    across, up = axes(site, loaded, "wash:2.temperature", "exposure:1.strength", 60, 40)
    found = grid(site, across, up, loaded, mapped_topics(loaded.book, ["material"]), lambda share: None)
    assert found.own is not None
    assert said(found.own) == said(tuple(d for d in advisor.advise(site).demands if d.materials))
    assert said(found.own) != said(found.cells[10][21])


def test_a_site_without_the_answer_is_mapped_but_not_marked(loaded: Loaded) -> None:
    site = read_site(
        parse("site: x\nothers: none\nwash: {method: hose, pressure: 4 .. 9 bar}\n", "x.yaml"), loaded.book
    )
    document = map_document(site, ("wash.pressure", "wash.distance"), loaded, cells=(6, 6))
    assert document.own_cell is None
    assert "not marked" in map_text(document)
    assert not any(region.own for region in document.regions)


def test_the_page_needs_nothing_else_and_shows_every_region(loaded: Loaded) -> None:
    document = small(loaded)
    page = map_page(document, on=date(2026, 11, 24))
    assert "http" not in page.replace("http-equiv", "")
    assert "<script" not in page
    for region in document.regions:
        assert f'class="region">{region.letter}</text>' in page
    assert "40 mT" in page
    hostile = document.model_copy(update={"site": {**document.site, "name": "<b>x</b>"}})
    assert "<b>x</b>" not in map_page(hostile, on=date(2026, 11, 24))


def test_the_json_is_whole(loaded: Loaded) -> None:
    document = small(loaded)
    again = json.loads(document.model_dump_json(by_alias=True))
    assert again["schema"] == "siteworthy.map/1"
    assert [len(row) for row in again["rows"]] == [24] * 12
    figure = next(entry for entry in again["figures"] if entry["topic"].startswith("immunity"))
    assert len(figure["values"]) == 12
    assert MapDocument.model_validate(again) == document


def test_a_contour_of_a_cone_is_a_circle() -> None:
    values = [[math.hypot(x - 10, y - 10) for x in range(21)] for y in range(21)]
    lines = contours(values, 6.0)
    assert len(lines) == 1
    assert lines[0][0] == pytest.approx(lines[0][-1])
    assert all(math.hypot(x - 10, y - 10) == pytest.approx(6.0, abs=0.03) for x, y in lines[0])
    assert length(lines[0]) == pytest.approx(2 * math.pi * 6, rel=0.01)


def test_contours_stop_where_nothing_is_known() -> None:
    values: list[list[float | None]] = [[float(x) - 2 for x in range(5)] for _ in range(4)]
    assert contours(values, -0.5) == [[(1.5, 0.0), (1.5, 1.0), (1.5, 2.0), (1.5, 3.0)]]
    values[1][1] = None
    assert contours(values, -0.5) == [[(1.5, 2.0), (1.5, 3.0)]]
    assert middle([(0.0, 0.0), (4.0, 0.0), (4.0, 2.0)]) == (3.0, 0.0)


def test_a_saddle_has_two_lines() -> None:
    assert len(contours([[1.0, 0.0], [0.0, 1.0]], 0.5)) == 2


def test_points_between_the_same_figures_are_rated_alike(loaded: Loaded) -> None:
    """The steps of the resistance matrix hide no difference between ratings."""
    matrix = loaded.book.matrix()
    steps = ResistanceSteps(loaded.book.matrix)
    draw, parted = random.Random(7), 0
    for agent in matrix.agents[::9]:
        cells = matrix.of(agent)
        bounds = steps._of(frozenset([agent]))
        seen: dict[object, list[str]] = {}
        figures = []
        for _ in range(300):
            strength = draw.choice((0.0, 0.005, 0.02, 0.1, draw.random()))
            temperature = 273.15 + draw.choice((20, 60, 85, 200 * draw.random()))
            figures.append((strength, temperature, 3600 * draw.choice((0.5, 2, 8, 24))))
        for figure in figures:
            ratings = [rate(envelopes, *figure)[0] for envelopes in cells.values()]
            assert seen.setdefault(bounds.place(*figure, other=figure[0]), ratings) == ratings
        parted += len(seen)
    assert parted > 30


def test_sites_stay_as_they_were(loaded: Loaded) -> None:
    site = scenario("robot-mag-torch-side", loaded)
    before = json.dumps(dict(site.told), sort_keys=True, default=str)
    small(loaded)
    assert json.dumps(dict(site.told), sort_keys=True, default=str) == before


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("environment", "wanted"),
    [
        ({"TERM": "xterm-256color"}, True),
        ({"TERM": "xterm-256color", "NO_COLOR": "1"}, False),
        ({"TERM": "dumb"}, False),
        ({}, False),
    ],
)
def test_colours_are_for_terminals_that_want_them(
    environment: dict[str, str], wanted: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("TERM", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert colours(Terminal()) is wanted
    assert not colours(io.StringIO())
