"""The corrosion resistance factor of stainless steel in air, against the tables of its standard."""

from collections.abc import Callable

import pytest

from advisor.advise import Advice
from advisor.loading import Loaded
from advisor.materials import judge
from advisor.physics import corrosion

KM = 1000.0
RAIN, CLEANED, NEITHER = 0.0, -2.0, -7.0
NO_SALT = 1e8


@pytest.mark.parametrize(
    ("sea", "road", "coast", "score"),
    [
        # source: EN 1993-1-4:2006+A1:2015, table A.1, as reproduced in AZoM article 13687
        (20 * KM, 500, -15, 0),
        (10 * KM, NO_SALT, -15, -3),
        (5 * KM, NO_SALT, -15, -3),
        (1 * KM, NO_SALT, -15, -7),
        (0.5 * KM, NO_SALT, -15, -7),
        (0.25 * KM, NO_SALT, -15, -15),
        (0.1 * KM, NO_SALT, -10, -10),
        (NO_SALT, 100, -15, -3),
        (NO_SALT, 10, -15, -7),
        (NO_SALT, 101, -15, 0),
        (5 * KM, 5, -15, -7),
    ],
)
def test_score_for_salt(sea: float, road: float, coast: float, score: float) -> None:
    assert corrosion.salt_score(sea, road, coast) == score


@pytest.mark.parametrize(("micrograms", "score"), [(5, 0), (20, -5), (89, -5), (120, -10)])
def test_score_for_sulphur_dioxide(micrograms: float, score: float) -> None:
    # source: EN 1993-1-4:2006+A1:2015, table A.1: below 10, 10 to 90, 90 to 250 ug/m3
    assert corrosion.sulphur_score(micrograms * 1e-9) == score


@pytest.mark.parametrize(
    ("salt", "sulphur", "washing", "factor", "lowest"),
    [
        # source: EN 1993-1-4:2006+A1:2015, annex A, cases worked by hand with its scores: the third score falls away
        # where the first two add up to zero or more; classes I to V by table A.2
        (1, 0, NEITHER, 1, 10.5),
        (0, 0, NEITHER, 0, corrosion.PLAIN),
        (-3, 0, RAIN, -3, corrosion.PLAIN),
        (-3, -5, RAIN, -8, corrosion.MOLYBDENUM),
        (-7, 0, RAIN, -7, corrosion.MOLYBDENUM),
        (-7, 0, NEITHER, -14, corrosion.MOLYBDENUM),
        (-15, 0, RAIN, -15, corrosion.DUPLEX),
        (-15, 0, CLEANED, -17, corrosion.DUPLEX),
        (-10, -10, RAIN, -20, corrosion.DUPLEX),
        (-15, 0, NEITHER, -22, corrosion.SUPER),
        (-15, -5, NEITHER, -27, corrosion.SUPER),
    ],
)
def test_factor_and_class(salt: float, sulphur: float, washing: float, factor: float, lowest: float) -> None:
    assert corrosion.resistance_factor(salt, sulphur, washing) == factor
    assert corrosion.class_pren(factor) == lowest


@pytest.mark.parametrize("rank", [2, 3, 4, 5])
def test_the_listed_grades_pass_their_class_and_not_the_next(loaded: Loaded, rank: int) -> None:
    # source: EN 1993-1-4:2006+A1:2015, table A.3, grades of each class
    book = loaded.book
    row = book.tables["crf_classes"].rows[f"crc-{rank}"]
    own = corrosion.class_pren(row.cells["sum"][1])
    following = corrosion.class_pren(row.cells["sum"][0] - 1) if rank < 5 else 99.0
    for grade in row.cells["materials"]:
        floor = book.tables["materials"].rows[grade].cells["pren_min"][0]
        assert own <= floor < following, grade


@pytest.mark.parametrize(
    ("sea", "washing", "fit", "unfit"),
    [
        # source: EN 1993-1-4:2006+A1:2015, tables A.2 and A.3: class II, III, IV and V
        ("50 km", "rain", ["ss-304", "stainless-a2"], ["ss-430"]),
        ("0.5 km", "none", ["ss-316l", "ss-2304", "stainless-a4"], ["ss-304", "ss-303", "stainless-a2"]),
        ("0.1 km", "cleaned", ["ss-2205", "ss-904l"], ["ss-316l", "ss-2101"]),
        ("0.1 km", "none", ["ss-6mo", "ss-2507"], ["ss-2205", "ss-904l"]),
    ],
)
def test_advice_on_screws(
    loaded: Loaded, advise: Callable[[str], Advice], sea: str, washing: str, fit: list[str], unfit: list[str]
) -> None:
    advice = advise(
        "others: none\nplace: {setting: outdoor}\n"
        f"corrosion: {{sea: {sea}, road: 100 km, sulphur_dioxide: 5 ug/m**3, washing: {washing}}}\n"
    )
    table = loaded.book.tables["materials"]
    for grade in (*fit, *unfit):
        reasons = judge(table.rows[grade], "fastener", table, advice.certain, advice.possible)
        assert (reasons.certain == "attacked") == (grade in unfit), (grade, reasons)
