"""Works a register out: points with equal answers once, in several processes where it pays, and a journal of it."""

import multiprocessing
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass

from advisor.engine.firing import EngineError
from advisor.faults import Fault, InputError
from advisor.loading import Loaded
from advisor.register.demands import Quick
from advisor.register.journal import Journal
from advisor.register.judge import Fare, Judge
from advisor.register.points import Point
from advisor.register.units import Units
from advisor.site import read_site

AT_ONCE = 50
"""Points in one piece of work."""
ALONE = 200
"""Up to so many different points are worked out in one process; starting others takes longer than it spares."""


@dataclass
class Worker:
    """What works points out; kept in each process, as what it learns at one point helps at the next."""

    loaded: Loaded
    quick: Quick
    judge: Judge

    @classmethod
    def of(cls, loaded: Loaded, units: Units) -> "Worker":
        return cls(loaded, Quick(loaded), Judge(units.types, loaded.book))

    def work(self, points: Sequence[Point]) -> tuple[dict[str, Fare], list[Fault]]:
        """Return how the types fare at each point by its key, and what is wrong with the points."""
        found: dict[str, Fare] = {}
        faults: list[Fault] = []
        for point in points:
            try:
                found[point.key] = self.judge.fare(self.quick.demands(read_site(point.document, self.loaded.book)))
            except InputError as problem:
                faults += problem.faults
            except EngineError as problem:
                faults.append(problem.fault)
        return found, faults


_worker: Worker | None = None


def _work(points: Sequence[Point]) -> tuple[dict[str, Fare], list[Fault]]:
    assert _worker is not None
    return _worker.work(points)


def fares(
    points: Sequence[Point],
    units: Units,
    loaded: Loaded,
    journal: Journal,
    *,
    jobs: int = 1,
    notice: Callable[[float], None] = lambda share: None,
) -> dict[str, Fare]:
    """Return how the types fare by the key of the points. Raises InputError with the faults of all points."""
    first = {point.key: point for point in reversed(points)}
    found = {key: fare for key, fare in journal.known.items() if key in first}
    left = [point for key, point in reversed(first.items()) if key not in found]
    pieces = [left[start : start + AT_ONCE] for start in range(0, len(left), AT_ONCE)]
    faults: list[Fault] = []
    for fare, wrong in _run(pieces, Worker.of(loaded, units), jobs if len(left) > ALONE else 1):
        found |= fare
        faults += wrong
        journal.add(fare)
        notice(len(found) / len(first))
    if faults:
        raise InputError(faults)
    return found


def _run(pieces: Sequence[Sequence[Point]], worker: Worker, jobs: int) -> Iterator[tuple[dict[str, Fare], list[Fault]]]:
    """Yield the results of the pieces as they come."""
    global _worker
    if jobs <= 1 or "fork" not in multiprocessing.get_all_start_methods():
        for piece in pieces:
            yield worker.work(piece)
        return
    # What is loaded is handed to the others by forking: it would take longer to load it again than to share it.
    _worker = worker
    try:
        with ProcessPoolExecutor(jobs, mp_context=multiprocessing.get_context("fork")) as pool:
            waiting: set[Future[tuple[dict[str, Fare], list[Fault]]]] = {pool.submit(_work, piece) for piece in pieces}
            try:
                while waiting:
                    done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
                    for future in done:
                        yield future.result()
            finally:
                pool.shutdown(cancel_futures=True)
    finally:
        _worker = None
