"""Makes an invented register of points for the benchmark: seeded, so that two runs give the same file. For load only.

Ten kinds of points, each with answers drawn from the figures that such points have; no row stands for a real plant.

    python tests/benchmarks/make_register.py 5000 points.csv
"""

import csv
import random
import sys
from collections.abc import Callable
from pathlib import Path

SEED = 20261125
Row = dict[str, str]
Draw = random.Random

CAUSTIC = ("1 %", "2 %", "3 %")
HOT = ("50 degC", "60 degC", "65 degC", "70 degC", "80 degC")


def _common(draw: Draw, low: str, high: str) -> Row:
    return {
        "others": "none",
        "place.setting": "indoor",
        "unit.kind": "sensor",
        "unit.inside": draw.choice(("filled", "closed")),
        "unit.largest_size": draw.choice(("40 mm", "65 mm", "80 mm")),
        "unit.connection": draw.choice(("connector", "moulded-cable")),
        "air.low": low,
        "air.high": high,
        "air.humidity": draw.choice(("60 %", "80 %", "95 %")),
    }


def washed(draw: Draw) -> Row:
    return _common(draw, "4 degC", draw.choice(("25 degC", "30 degC", "35 degC"))) | {
        "wash.method": draw.choice(("hose", "hose", "lance")),
        "wash.nozzle": draw.choice(("fan", "full", "rose")),
        "wash.pressure": draw.choice(("4 bar", "6 bar", "15 bar", "25 bar", "40 bar", "80 bar")),
        "wash.flow": draw.choice(("15 L/min", "20 L/min", "30 L/min")),
        "wash.distance": draw.choice(("150 mm", "200 mm", "300 mm", "500 mm", "1 m")),
        "wash.temperature": draw.choice(HOT),
        "wash.detergent": draw.choice(("no", "yes")),
        "exposure.agent": "caustic soda",
        "exposure.strength": draw.choice(CAUSTIC),
        "exposure.temperature": draw.choice(HOT),
        "exposure.duration": draw.choice(("20 min", "30 min", "1 h")),
    }


def splashed(draw: Draw) -> Row:
    return _common(draw, "10 degC", draw.choice(("35 degC", "40 degC"))) | {
        "wash.method": draw.choice(("wipe", "splash", "spray")),
        "wash.temperature": draw.choice(("15 degC", "20 degC", "40 degC")),
        "wash.detergent": draw.choice(("no", "yes")),
    }


def drowned(draw: Draw) -> Row:
    return _common(draw, draw.choice(("0 degC", "5 degC")), "30 degC") | {
        "immersion.kind": draw.choice(("temporary", "repeated", "permanent")),
        "immersion.depth": draw.choice(("0.5 m", "1 m", "2 m", "3 m", "5 m", "8 m")),
        "immersion.liquid": draw.choice(("fresh-water", "sea-water")),
        "immersion.temperature": draw.choice(("10 degC", "20 degC")),
        "immersion.service_interval": draw.choice(("1 year", "2 years")),
    }


def dusty(draw: Draw) -> Row:
    return _common(draw, "5 degC", draw.choice(("40 degC", "45 degC", "55 degC"))) | {
        "dust.kind": draw.choice(("cement", "sand", "paper")),
        "dust.amount": draw.choice(("trace", "settling", "circulating")),
    }


def welded(draw: Draw) -> Row:
    return _common(draw, "5 degC", draw.choice(("40 degC", "45 degC", "50 degC"))) | {
        "weld.process": draw.choice(("mag-co2", "spot-zinc", "stud-capacitor")),
        "weld.distance": draw.choice(("150 mm", "250 mm", "400 mm", "800 mm")),
        "weld.sight": draw.choice(("direct", "guarded")),
        "weld.agent": "none",
        "weld.painted": draw.choice(("no", "yes")),
        "field_source.preset": draw.choice(("mag", "spot-inverter")),
        "field_source.layout": draw.choice(("single", "anywhere")),
        "field_source.current": draw.choice(("200 A", "280 A", "8 kA", "11 kA")),
        "field_source.distance": draw.choice(("60 mm", "100 mm", "200 mm", "350 mm", "600 mm")),
        "field_source.nearby": draw.choice(("usual", "moving")),
        "field_source.together": "alone",
        "sensing.principle": draw.choice(("inductive-ferrite", "inductive-ferrite-free", "photoelectric")),
    }


def cold(draw: Draw) -> Row:
    return _common(draw, draw.choice(("-18 degC", "-25 degC", "-30 degC", "-40 degC")), "20 degC")


def hot(draw: Draw) -> Row:
    return _common(draw, "10 degC", draw.choice(("60 degC", "70 degC", "85 degC", "110 degC", "150 degC")))


def oiled(draw: Draw) -> Row:
    return _common(draw, "10 degC", draw.choice(("40 degC", "50 degC"))) | {
        "wash.method": "splash",
        "wash.temperature": "30 degC",
        "exposure.agent": draw.choice(("mineral oil", "cutting-emulsion", "animal fat")),
        "exposure.temperature": draw.choice(("30 degC", "40 degC", "60 degC")),
        "exposure.duration": draw.choice(("8 h", "24 h")),
    }


def dipped(draw: Draw) -> Row:
    return _common(draw, "15 degC", "40 degC") | {
        "exposure.agent": draw.choice(("sulfuric-acid", "nitric-acid", "caustic soda")),
        "exposure.strength": draw.choice(("1 %", "5 %", "10 %", "20 %")),
        "exposure.temperature": draw.choice(("20 degC", "40 degC", "60 degC")),
        "exposure.duration": draw.choice(("1 h", "8 h", "24 h")),
        "wash.method": "splash",
        "wash.temperature": "20 degC",
    }


def dry(draw: Draw) -> Row:
    return _common(draw, draw.choice(("5 degC", "10 degC", "15 degC")), draw.choice(("30 degC", "35 degC", "40 degC")))


KINDS: tuple[Callable[[Draw], Row], ...] = (
    washed, washed, washed, splashed, drowned, dusty, welded, welded, cold, hot, oiled, dipped, dry,
)  # fmt: skip


def rows(count: int) -> list[Row]:
    """Return so many points."""
    draw = Draw(SEED)
    found = []
    for number in range(count):
        kind = draw.choice(KINDS)
        found.append({"site": f"Invented {kind.__name__} point {number:05d}"} | kind(draw))
    return found


def make(count: int, path: Path) -> None:
    """Write the register."""
    made = rows(count)
    heads = list(dict.fromkeys(head for row in made for head in row))
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, heads)
        writer.writeheader()
        writer.writerows(made)


if __name__ == "__main__":
    make(int(sys.argv[1]), Path(sys.argv[2]))
