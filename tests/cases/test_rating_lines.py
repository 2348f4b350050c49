"""Ingress ratings in the many wordings of the trade, each audited against a hot high-pressure wash.

An honest rating must be taken for what it is, however it is dressed up; a limited one must not pass.
"""

from pathlib import Path

import pytest
from test_sheets import audit

from advisor import yamlfile

LINES = yamlfile.load(Path(__file__).parent / "rating_lines.yaml").data


def outcomes(line: str) -> dict[str, str]:
    """What the line shows of the water codes that a hot wash demands."""
    rest = "\nAmbient -20 ... 90 °C. Housing 1.4404, seal FFKM\n"
    told = {"case": line, "site": "hot-wash", "sheet": "Sensor (invented)\n" + line.replace("|", "\n") + rest}
    return {one.demand.item: one.outcome for one in audit(told).findings if one.demand.topic == "ingress.water"}


@pytest.mark.parametrize("line", LINES["plain"])
def test_a_plain_rating_is_met(line: str) -> None:
    assert outcomes(line) == {"IPX6": "meets", "IPX9": "meets"}


@pytest.mark.parametrize("line", LINES["doubtful"])
def test_a_doubtful_rating_is_not_met(line: str) -> None:
    assert "meets" not in outcomes(line).values()
