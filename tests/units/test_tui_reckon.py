"""The sheet that follows answer by answer is the sheet of the site, whatever way led there."""

from pathlib import Path

import pytest
from conftest import ROOT

from advisor.advise import Advisor
from advisor.loading import Loaded
from tui import live
from tui.reckon import Reckoner
from tui.session import Session

CHANGES = [
    ("wash", 1, "pressure", "3 bar"), ("wash", 1, "distance", "unknown"), ("immersion", 0, "kind", "puddle"),
    ("exposure", 0, "agent", "nitric-acid"), ("exposure", 0, "strength", None), ("air", 0, "high", "90 .. 120 degC"),
    ("wash", 2, "method", "steam"), ("food", 0, "zone", "splash"), ("unit", 0, "kind", "junction-box"),
]  # fmt: skip


@pytest.mark.parametrize("often", [1, 3, 99], ids=["each settled", "every third settled", "never settled again"])
def test_a_changed_site_gives_the_sheet_of_a_new_one(loaded: Loaded, tmp_path: Path, often: int) -> None:
    session = Session.open(loaded, ROOT / "scenarios" / "ready-meals-washdown", tmp_path)
    advisor = Advisor(loaded)
    kept = Reckoner(advisor)
    kept.settle(session.site())
    for number, (template, index, slot, text) in enumerate(CHANGES, 1):
        session.answer(template, index, slot, text)
        site = session.site()
        follows, anew = live.sheet(kept, site), live.sheet(Reckoner(advisor), site)
        assert follows.rows == anew.rows, (template, slot)
        assert [q.slot.name for q in follows.questions] == [q.slot.name for q in anew.questions]
        if number % often == 0:
            kept.settle(site)
    session.remove("wash", 0)
    session.deny("exposure")
    follows, anew = live.sheet(kept, session.site()), live.sheet(Reckoner(advisor), session.site())
    assert follows.rows == anew.rows


def test_the_sheet_is_that_of_the_engine_of_record(loaded: Loaded, tmp_path: Path) -> None:
    session = Session.open(loaded, ROOT / "scenarios" / "spot-gun-throat-mfdc", tmp_path)
    shown = live.sheet(Reckoner(Advisor(loaded)), session.site())
    record = session.advice()
    assert tuple(row.demand for row in shown.rows if row.section in (live.SURE, live.OPEN)) == tuple(
        sorted(record.demands, key=lambda demand: demand.state)
    )
