"""Makes an invented catalogue for the benchmark: seeded, so that two runs give the same file. For load only.

No row stands for a real product. The cells are spelled in the mixed ways of the trade, and every row has its own name.

    python tests/benchmarks/make_catalogue.py 100000 catalogue.csv
"""

import csv
import random
import sys
from collections.abc import Iterator
from pathlib import Path

SEED = 20261124
HEADS = (
    "Type", "Series", "Protection class", "Ambient temp. min [°C]", "Ambient temp. max [°C]", "Cleaning temperature",
    "Housing material", "Sensing face", "Seal", "Cable", "Connector", "EMC", "Weight", "Remarks",
)  # fmt: skip
RATINGS = (
    "IP67", "IP65", "IP65/IP67", "IP66, IP67", "IP 67", "IP66/67", "IP67 / IP69K", "IP66/IP68 (2 m, 24 h)", "IP69K",
    "IP66/IP67/IP69", "IP68 (1 bar, 7 days), IP66", "IP54", "IP20", "up to IP69K", "IP67 when mated", "IP65 front",
    "IP68", "IP66 and IP67 and IP69", "", "waterproof",
)  # fmt: skip
HOUSINGS = ("1.4404", "316L", "V4A", "1.4301", "V2A", "PBT", "PA66-GF30", "brass, nickel-plated", "die-cast aluminium",
            "stainless steel", "PP", "PPS", "POM", "")  # fmt: skip
FACES = ("PEEK", "PBT", "LCP", "1.4404", "PMMA", "glass", "ceramic", "PTFE", "")
SEALS = ("EPDM", "FKM", "NBR", "VMQ", "EPDM (peroxide cured)", "FKM or EPDM", "HNBR", "")
CABLES = ("PUR, 2 m", "PVC, 5 m", "TPE", "PP", "M12 connector", "PUR halogen-free", "")
CONNECTORS = ("M12, 316L", "M12, PUR", "M8", "M12, brass nickel-plated", "PVDF", "")
EMC = ("EN 60947-5-2", "EN 61000-6-2", "IEC 61000-4-2 4 kV contact, 8 kV air", "")
REMARKS = ("", "", "", "", "", "", "FDA approved", "hygienic design", "not suitable for high-pressure cleaning",
           "indoor use only", "washdown", "salt spray 500 h", "weld immune", "cULus")  # fmt: skip


def rows(count: int) -> Iterator[tuple[str, ...]]:
    """The heads and so many units."""
    draw = random.Random(SEED)
    yield HEADS
    for number in range(count):
        low, high = draw.choice((-40, -30, -25, -20, -10, 0, 5)), draw.choice((50, 55, 60, 70, 80, 85, 100, 120))
        yield (
            f"Invented {draw.choice('ABCDEFGH')}{number:06d}",
            f"series {draw.randrange(40)}",
            draw.choice(RATINGS),
            str(low) if draw.random() > 0.05 else "",
            f"+{high}" if draw.random() > 0.05 else "",
            draw.choice(("", "", "80 °C", "80 °C, 30 min", "up to 100 °C")),
            draw.choice(HOUSINGS),
            draw.choice(FACES),
            draw.choice(SEALS),
            draw.choice(CABLES),
            draw.choice(CONNECTORS),
            draw.choice(EMC),
            f"{draw.randrange(20, 900)} g",
            draw.choice(REMARKS),
        )


def make(count: int, path: Path) -> None:
    """Write the catalogue."""
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows(count))


if __name__ == "__main__":
    make(int(sys.argv[1]), Path(sys.argv[2]))
