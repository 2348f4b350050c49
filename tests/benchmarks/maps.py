"""What maps of 60 x 40 cells cost: seconds of the processor within a process that is loaded, and of the clock.

Run: python tests/benchmarks/maps.py. Every cell is worked out, none is guessed from its neighbours. The last column is
what a cell would cost by `advise`, the engine of record, measured at three cells.
"""

import time
from pathlib import Path

from advisor import quantities
from advisor.advise import Advisor
from advisor.loading import load
from advisor.maps.axis import axis
from advisor.maps.build import COLUMNS, ROWS, map_document
from advisor.maps.grid import told
from advisor.site import load_site

ROOT = Path(__file__).resolve().parents[2]
MAPS = (
    ("ready-meals-washdown", "wash:2.pressure", "wash:2.distance"),
    ("ready-meals-washdown", "wash:2.temperature", "exposure:1.strength"),
    ("robot-mag-torch-side", "field_source.current", "field_source.distance"),
    ("dairy-cip-skid", "air.high", "air.humidity"),
    ("seawater-sump-probe", "immersion.depth", "immersion.temperature"),
)


def main() -> None:
    """Print the table."""
    loaded = load()
    advisor = Advisor(loaded)
    print(f"{'processor':>10} {'clock':>7} {'ms a cell':>10} {'advise, ms':>11}  map")
    for name, x, y in MAPS:
        site = load_site(ROOT / "scenarios" / name / "site.yaml", loaded.book)
        clock, start = time.perf_counter(), time.process_time()
        map_document(site, (x, y), loaded)
        spent, clock = time.process_time() - start, time.perf_counter() - clock
        axes = [axis(spec, site, loaded.book, cells=5) for spec in (x, y)]
        start = time.process_time()
        for number in (1, 2, 3):
            texts = [quantities.show(own.middles()[number], own.unit, digits=8).replace("°C", "degC") for own in axes]
            advisor.advise(told(site, axes, texts, loaded))
        each = (time.process_time() - start) / 3
        cell = 1e3 * spent / (COLUMNS * ROWS)
        print(f"{spent:10.2f} {clock:7.2f} {cell:10.2f} {1e3 * each:11.0f}  {name}: {x} x {y}")


if __name__ == "__main__":
    main()
