"""Sensing distances against the tolerances of the product standard."""

from pathlib import Path

import yaml
from pytest import approx

from advisor.physics import sensing

TABLES = Path(__file__).parents[2] / "knowledge" / "tables"
TOLERANCE = yaml.safe_load((TABLES / "sensing_tolerances.yaml").read_text())["rows"]
METALS = yaml.safe_load((TABLES / "target_metals.yaml").read_text())["rows"]
ZONES = yaml.safe_load((TABLES / "mounting_zones.yaml").read_text())["rows"]
LOW = (TOLERANCE["effective"]["low"], TOLERANCE["usable"]["low"])
MM = 1e-3


def test_assured_distance_on_steel() -> None:
    # source: IEC 60947-5-2, 0.9 x 0.9: sn 4 mm assures 3.24 mm, so steel at 3.0 mm is read
    assured = sensing.assured(4 * MM, *LOW, METALS["carbon-steel"]["factor"], 1.0)
    assert assured == approx(3.24 * MM, abs=0.01 * MM)
    assert sensing.reserve(assured, 3 * MM, 0, 0) == approx(0.24 * MM, abs=0.01 * MM)


def test_assured_distance_on_aluminium() -> None:
    # source: IEC 60947-5-2 with the published reduction factor 0.4: 1.30 mm, so aluminium at 3.0 mm is not
    # read
    assured = sensing.assured(4 * MM, *LOW, 0.4, 1.0)
    assert assured == approx(1.30 * MM, abs=0.05 * MM)
    assert sensing.reserve(assured, 3 * MM, 0, 0) < 0
    low = METALS["aluminium"]["factor"][0]
    assert sensing.assured(4 * MM, *LOW, low, 1.0) < assured


def test_sure_off_distance() -> None:
    # source: IEC 60947-5-2 tolerances: 1.1 x (1.1 + 0.2) x 10 mm = 14.3 mm
    off = sensing.surely_off(
        10 * MM, TOLERANCE["effective"]["high"], TOLERANCE["usable"]["high"], TOLERANCE["hysteresis"]["high"]
    )
    assert off == approx(14.3 * MM, abs=0.1 * MM)
    assert sensing.background_clearance(20 * MM, off, 1 * MM) == approx(4.7 * MM, abs=0.1 * MM)


def test_standard_target() -> None:
    # source: IEC 60947-5-2, standard target: face 18 mm with sn 5 mm and 8 mm
    assert sensing.standard_target(18 * MM, 5 * MM, ZONES["target"]["multiple"]) == approx(18 * MM)
    assert sensing.standard_target(18 * MM, 8 * MM, ZONES["target"]["multiple"]) == approx(24 * MM)


def test_rated_distance_needed_inverts_the_reserve() -> None:
    # source: the same tolerances inverted: 5 mm standoff, 1 mm build-up and 0.5 mm play on steel need sn 8.02
    # mm
    rated = sensing.rated_needed(5 * MM, 1 * MM, 0.5 * MM, *LOW, 1.0, 1.0)
    assert rated == approx(6.5 / 0.81 * MM)
    assert sensing.reserve(sensing.assured(rated, *LOW, 1.0, 1.0), 5 * MM, 1 * MM, 0.5 * MM) == approx(
        0, abs=1e-9
    )


def test_free_zones() -> None:
    # source: IEC 60947-5-2, Annex A (front 3 sn, depth 2 sn) and mounting practice (3 d between units not
    # flush)
    assert sensing.zone(8 * MM, ZONES["front"]["multiple"]) == approx(24 * MM)
    assert sensing.zone(8 * MM, ZONES["depth-non-flush"]["multiple"]) == approx(16 * MM)
    assert sensing.zone(18 * MM, ZONES["neighbour-non-flush"]["multiple"]) == approx(54 * MM)
    assert sensing.zone(18 * MM, ZONES["neighbour-flush"]["multiple"]) == approx(36 * MM)
