"""The invented units of the scenarios, each audited at its own site for the finding that it was invented for."""

from pathlib import Path

import pytest
import strategies

from advisor import yamlfile
from advisor.audit import Auditor
from advisor.sheet import SheetReader
from advisor.site import read_site

BOOK = strategies.rulebook().book
READER = SheetReader(BOOK)
SCENARIOS = Path(__file__).parents[2] / "scenarios"
EXPECTED = {
    "ready-meals-washdown/inductive-m18-steel.yaml": ("", "meets", "ingress.water IPX9"),
    "ready-meals-washdown/photoelectric-words.txt": ("unfit", "unclear", "ingress.water IPX9"),
    "ready-meals-washdown/photoelectric-hot-jet-only.txt": ("unfit", "falls short", "ingress.water IPX6"),
    "ready-meals-washdown/cord-set-m12.yaml": ("unfit", "falls short", "ingress.water IPX6"),
    "seawater-sump-probe/level-probe-titanium.yaml": ("unproven", "unclear", "ingress.water IPX8"),
    "seawater-sump-probe/pressure-transmitter-316l.txt": ("unfit", "unclear", "ingress.water IPX8"),
    "seawater-sump-probe/float-switch.txt": ("unfit", "falls short", "ingress.water IPX8"),
    "cold-store-door/limit-switch-cold.yaml": ("unproven", "unclear", "ingress.water IPX6"),
    "cold-store-door/inductive-m12-plastic.txt": ("unfit", "falls short", "temperature.low"),
    "cold-store-door/camera-housing.txt": ("unfit", "falls short", "ingress.water IPX6"),
    "outdoor-junction-box/junction-box-grp.yaml": ("unfit", "falls short", "ingress.water IPX5"),
    "outdoor-junction-box/junction-box-steel.txt": ("", "unclear", "ingress.water IPX5"),
    "outdoor-junction-box/cable-gland.yaml": ("unproven", "unstated", "enclosure.type 3"),
}
"""Verdict ('' where other findings may decide it), and the finding that the unit was invented for."""


@pytest.mark.parametrize("name", EXPECTED)
def test_units_of_the_scenarios(name: str) -> None:
    scenario, _, unit = name.partition("/")
    path = SCENARIOS / scenario / "units" / unit
    site = read_site(yamlfile.load(SCENARIOS / scenario / "site.yaml"), BOOK)
    audit = Auditor(strategies.advise(site), BOOK).audit(READER.load(path))
    verdict, outcome, wanted = EXPECTED[name]
    assert verdict in ("", audit.verdict)
    found = {
        f"{f.demand.topic} {f.demand.item}".strip(): f.outcome for f in audit.findings if f.demand.state == "certain"
    }
    assert found[wanted] == outcome
    assert "nvented" in path.read_text("utf-8") or "erfunden" in path.read_text("utf-8")
