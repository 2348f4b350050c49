"""Pictures of fields: they agree with the rules at the unit and at the keep-out distances, and with the exact field."""

import math
from collections.abc import Callable
from datetime import date

import pytest

from advisor.advise import Advice, Advisor
from advisor.faults import InputError
from advisor.maps.field import NoPictureError, scene
from advisor.maps.field_build import field_document
from advisor.maps.field_document import FieldDocument, FieldSource
from advisor.physics.conductors import path_magnitude, polyline
from advisor.report.field_html import field_page
from advisor.report.field_text import field_text

Advise = Callable[[str], Advice]
COMMON = "waveform: mf, figure: rectified, current: 11 kA, nearby: moving, together: alone"
LAYOUTS = {
    "single": "distance: 150 mm",
    "anywhere": "distance: 150 mm",
    "pair-beside": "distance: 150 mm, spacing: 60 mm",
    "pair-above": "distance: 150 mm, spacing: 60 mm",
    "pair-between": "distance: 50 mm, spacing: 140 mm",
    "throat-inside": "upper: 100 mm, lower: 200 mm, rear: 180 mm, tips: 220 mm",
    "throat-outside": "distance: 120 mm, leg: 300 mm, reach: 400 mm",
    "twisted": "distance: 150 mm, spacing: 40 mm, pitch: 300 mm",
    "coaxial": "distance: 60 mm, eccentricity: 3 mm",
}


def document(advise: Advise, advisor: Advisor, *entries: str) -> FieldDocument:
    text = "others: none\nsensing: {principle: inductive-ferrite-free}\nfield_source:\n"
    return field_document(advise(text + "".join(f"  - {{{entry}}}\n" for entry in entries)), advisor.book)


def source(advise: Advise, advisor: Advisor, layout: str) -> FieldSource:
    return document(advise, advisor, f"layout: {layout}, {COMMON}, {LAYOUTS[layout]}").sources[0]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_picture_has_the_field_of_the_rules_at_the_unit(layout: str, advise: Advise, advisor: Advisor) -> None:
    found = source(advise, advisor, layout)
    assert found.picture is not None
    assert found.design is not None
    assert found.picture.at_unit.low == pytest.approx(found.design.high, rel=2e-3)


@pytest.mark.parametrize("layout", [name for name in LAYOUTS if name not in ("throat-inside", "pair-between")])
def test_lines_lie_at_the_keep_out_distances(layout: str, advise: Advise, advisor: Advisor) -> None:
    """Outwards from the nearest conductor, in the direction of the unit, the line of 40 mT is where the table says."""
    found = source(advise, advisor, layout)
    assert found.picture is not None
    out = next(entry for entry in found.keep_out if "40 mT" in entry.unit).distance.high
    assert out is not None
    drawn = scene(layout, _given(layout), 1.1 * 2.0)
    if layout == "twisted":  # its distances are those of a plain pair, as every splice is one
        assert drawn.field(out + 0.02, 0.0) <= 0.04 * 1.001 or out < 0.06
    elif layout == "pair-above":  # its distances hold at any height, and so are an upper bound in the plane
        assert drawn.field(out, 0.0) < 0.04
    elif layout == "coaxial":  # nearer than 25 mm the formula does not reach, so no distance is smaller
        far = next(entry for entry in found.keep_out if "without" in entry.unit).distance.high
        assert far is not None
        assert far > 0.025 == pytest.approx(out)
        assert drawn.field(far, 0.0) == pytest.approx(0.001, rel=2e-3)
    else:
        assert drawn.field(out, 0.0) == pytest.approx(0.04, rel=2e-3)
        path = next(line for line in found.picture.lines if "40 mT" in line.unit).paths
        assert path
        nearest = min(math.hypot(x - out, y) for line in path for x, y in line)
        assert nearest < found.picture.size / 60


def _given(layout: str) -> dict[str, float]:
    given = {"current": 11e3}
    for entry in LAYOUTS[layout].split(", "):
        name, value = entry.split(": ")
        given[name] = float(value.split()[0]) / 1000
    return given


def test_a_throat_is_four_straight_sides() -> None:
    drawn = scene("throat-inside", _given("throat-inside"), 1.0)
    corners = [(-0.18, -0.2, 0.0), (0.22, -0.2, 0.0), (0.22, 0.1, 0.0), (-0.18, 0.1, 0.0)]
    path = polyline(corners, 11e3, closed=True)
    for x, y in ((0.0, 0.0), (0.1, 0.05), (0.5, -0.3)):
        assert drawn.field(x, y) == pytest.approx(path_magnitude(path, (x, y, 0.0)))


def test_a_radial_field_read_off_its_radii_is_the_formula_itself() -> None:
    drawn = scene("single", {"current": 10e3, "distance": 0.05}, 1.0)
    for radius in (0.003, 0.05, 0.0712, 1.9):
        assert drawn.field(0.6 * radius, -0.8 * radius) == pytest.approx(2e-7 * 10e3 / radius, rel=1e-6)


def test_what_has_no_shape_has_no_picture(advise: Advise, advisor: Advisor) -> None:
    with pytest.raises(NoPictureError, match="spacing is not told"):
        scene("pair-beside", {"current": 1e3, "distance": 0.1}, 1.0)
    found = document(advise, advisor, "layout: measured, waveform: dc, flux: 20 mT", f"layout: single, {COMMON}")
    assert [entry.picture for entry in found.sources] == [None, None]
    assert "no known shape" in found.sources[0].no_picture
    assert found.sources[1].no_picture == "distance is not told"
    assert field_text(found).count("No picture: ") == 2


def test_without_a_source_there_is_nothing_to_draw(advise: Advise, advisor: Advisor) -> None:
    with pytest.raises(InputError, match="tells of no strong current"):
        field_document(advise("others: none\n"), advisor.book)


def test_a_range_is_drawn_at_its_harder_end(advise: Advise, advisor: Advisor) -> None:
    wide = document(
        advise, advisor, f"layout: single, {COMMON.replace('11 kA', '5 .. 11 kA')}, distance: 150 .. 400 mm"
    ).sources[0]
    sharp = source(advise, advisor, "single")
    assert wide.picture is not None
    assert sharp.picture is not None
    assert wide.picture.at_unit == sharp.picture.at_unit
    assert any(not out.known for out in wide.keep_out)


def test_text_and_page_show_unit_conductor_and_distances(advise: Advise, advisor: Advisor) -> None:
    found = document(
        advise, advisor,
        *(f"name: {name}, layout: {name}, {COMMON}, {LAYOUTS[name]}" for name in ("pair-beside", "throat-outside")),
    )  # fmt: skip
    text, page = field_text(found), field_page(found, on=date(2026, 11, 24))
    assert text.count("@") >= 4
    assert max(map(len, text.splitlines())) <= 100
    for entry in found.sources:
        for out in entry.keep_out:
            assert out.distance.text in text
            assert out.distance.text in page
    assert page.count('<svg class="plan"') == 2
    assert page.count('class="wire"') == 2
    assert page.count('class="loop"') == 1
    assert ">40 mT</text>" in page
