"""Conditions as rule authors write them."""

from typing import Any

import pytest

from advisor import yamlfile
from advisor.engine.conditions import ConditionError, compile_test, words_of
from advisor.faults import Collector
from advisor.tables import read_tables
from advisor.vocabulary import Slot

PRESSURE = Slot(slot="pressure", unit="bar", plausible="0 .. 3000 bar")
STEP = Slot(slot="step", unit="K", difference=True, plausible="-500 .. 500 K")
COUNT = Slot(slot="count", number=True, plausible="0 .. 10")
METHOD = Slot(slot="method", choices={"wipe": "", "splash": "", "hose": "", "lance": ""})
LIQUID = Slot(slot="liquid", row="liquids")
NOTE = Slot(slot="note", text=True)
TABLES = read_tables(
    [
        yamlfile.parse(
            """
table: liquids
source: invented
basis: recalled
columns:
  density: {kind: quantity, unit: kg/m**3}
  kind: {kind: choice, choices: [water, oil]}
  hygroscopic: {kind: flag}
  uses: {kind: list}
rows:
  fresh: {density: 998, kind: water, hygroscopic: false}
  sea: {density: [1020, 1030], kind: water, uses: [a, b]}
  oil: {kind: oil, hygroscopic: true, uses: [b]}
""",
            "liquids.yaml",
        )
    ],
    Collector(),
    trusted=False,
)


@pytest.mark.parametrize(
    ("slot", "raw", "op", "low", "high"),
    [
        (PRESSURE, ">= 5 bar", ">=", 5e5, 0.0),
        (PRESSURE, "> 5 bar", ">", 5e5, 0.0),
        (PRESSURE, "<= 5 bar", "<=", 5e5, 0.0),
        (PRESSURE, "< 0.5 MPa", "<", 5e5, 0.0),
        (PRESSURE, "≥ 5 bar", ">=", 5e5, 0.0),
        (PRESSURE, "5 .. 10 bar", "between", 5e5, 10e5),
        (PRESSURE, "5 bar", "between", 5e5, 5e5),
        (STEP, "> 5 K", ">", 5, 0.0),
        (STEP, "< 9 degF", "<", 5, 0.0),
        (COUNT, 3, "between", 3, 3),
        (COUNT, "> 2", ">", 2, 0.0),
    ],
)
def test_figures(slot: Slot, raw: Any, op: str, low: float, high: float) -> None:
    test = compile_test(slot, raw, TABLES)
    assert (test.op, test.low, test.high) == (op, pytest.approx(low), pytest.approx(high, nan_ok=True))


@pytest.mark.parametrize(
    ("slot", "raw", "words", "doubtful"),
    [
        (METHOD, "hose", {"hose"}, set()),
        (METHOD, ["hose", "wipe"], {"hose", "wipe"}, set()),
        (METHOD, ">= hose", {"hose", "lance"}, set()),
        (METHOD, "<= splash", {"wipe", "splash"}, set()),
        (LIQUID, "sea", {"sea"}, set()),
        (LIQUID, {"kind": "water"}, {"fresh", "sea"}, set()),
        (LIQUID, {"kind": ["water", "oil"]}, {"fresh", "sea", "oil"}, set()),
        (LIQUID, {"density": "> 1000 kg/m3"}, {"sea"}, {"oil"}),
        (LIQUID, {"density": "> 1025 kg/m3"}, set(), {"sea", "oil"}),
        (LIQUID, {"density": "< 1000 kg/m3", "kind": "water"}, {"fresh"}, set()),
        (LIQUID, {"hygroscopic": True}, {"oil"}, {"sea"}),
        (LIQUID, {"uses": "b"}, {"sea", "oil"}, {"fresh"}),
    ],
)
def test_words(slot: Slot, raw: Any, words: set[str], doubtful: set[str]) -> None:
    test = compile_test(slot, raw, TABLES)
    assert (test.op, set(test.words), set(test.doubtful)) == ("in", words, doubtful)


@pytest.mark.parametrize("slot", [PRESSURE, METHOD, LIQUID, NOTE])
def test_present_and_absent_go_with_any_slot(slot: Slot) -> None:
    assert compile_test(slot, "present", TABLES).op == "present"
    assert compile_test(slot, "absent", TABLES).op == "absent"


@pytest.mark.parametrize(
    ("slot", "raw"),
    [
        (PRESSURE, "> 5"), (PRESSURE, "> 5 m"), (PRESSURE, True), (PRESSURE, ["5 bar"]), (PRESSURE, "high"),
        (COUNT, "> 5 bar"), (METHOD, "hoose"), (METHOD, ">= hoose"), (METHOD, ["hose", 5]), (METHOD, {"a": 1}),
        (METHOD, 5), (LIQUID, {"colour": "red"}), (LIQUID, {"kind": "wine"}),
        (LIQUID, {"density": "> 9000 kg/m3", "kind": "water"}),
        (LIQUID, {"hygroscopic": "yes"}), (NOTE, "word"), (Slot(slot="x", row="nothing"), "y"),
    ],
)  # fmt: skip
def test_refused(slot: Slot, raw: Any) -> None:
    with pytest.raises(ConditionError) as caught:
        compile_test(slot, raw, TABLES)
    assert caught.value.what


def test_words_stand_in_their_order() -> None:
    assert words_of(METHOD, TABLES) == ("wipe", "splash", "hose", "lance")
    assert words_of(LIQUID, TABLES) == ("fresh", "sea", "oil")
    assert words_of(PRESSURE, TABLES) == ()
