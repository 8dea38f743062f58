"""What the engine and the catalogue cost, and that memory stays as it is over many pages."""

from __future__ import annotations

import hashlib
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pytest

from chartscan.archive import booking
from chartscan.archive.catalogue import begun
from chartscan.archive.engine import examine_all
from chartscan.archive.finding import Found
from chartscan.archive.limits import begin_worker
from chartscan.archive.processes import processes
from chartscan.archive.values import Leaf, Limits, Outcome
from chartscan.reading.page.page import digest_of
from tests.archive.conftest import draw_page

pytestmark = pytest.mark.benchmark

PAGE_S = 0.5  # of work, as the issue of overhead is put
PAGES = 40


def busy(leaf: Leaf, limits: Limits) -> Outcome:
    """A page that takes half a second of waiting: cores shared with others don't change it."""
    time.sleep(PAGE_S)
    return Outcome(leaf, "other")


class Simulated(Executor):
    """Answers at once that a page is no chart."""

    def submit(  # type: ignore[override]  # all that is ever submitted here
        self, examine: Callable[[Leaf, Limits], Outcome], leaf: Leaf, limits: Limits
    ) -> Future[Outcome]:
        """Done."""
        future: Future[Outcome] = Future()
        future.set_result(Outcome(leaf, "other"))
        return future


class SimulatedCrew:
    """Two workers that take no time."""

    workers = 2
    executor = Simulated()

    def lost(self, error: BaseException) -> bool:
        """Never."""
        return False

    def renew(self) -> None:
        """Never needed."""

    def check(self) -> None:
        """All is well."""


def test_engine_over_the_pool(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Less than 10 % at pages of half a second, booking included."""
    from chartscan.archive import engine

    monkeypatch.setattr(engine, "examine", busy)
    leaves = [Leaf(f"/shelf/{n}.png", hashlib.sha256(b"%d" % n).hexdigest()) for n in range(PAGES)]
    spawned = get_context("spawn")
    with ProcessPoolExecutor(2, mp_context=spawned, initializer=begin_worker) as pool:
        list(pool.map(busy, leaves[:2], [Limits()] * 2))
        began = time.perf_counter()
        list(pool.map(busy, leaves, [Limits()] * PAGES))
        bare = time.perf_counter() - began
    with processes(2) as crew, begun(tmp_path / "c") as catalogue:
        booking.begin_run(catalogue)
        for leaf in leaves:
            booking.book_file(catalogue, Found(leaf.path, leaf.sha256, 1, 1))
        list(examine_all(leaves[:2], crew))
        began = time.perf_counter()
        for outcome in examine_all(leaves, crew):
            booking.book(catalogue, outcome, "1")
        ours = time.perf_counter() - began
    print(f"engine and booking to the bare pool: {ours / bare:.3f}")  # noqa: T201 - the figure
    assert ours < 1.1 * bare


def _seconds(workers: int, leaves: list[Leaf]) -> float:
    """Seconds by the clock that ``workers`` take, once they have all begun."""
    with processes(workers) as crew:
        list(examine_all(leaves[:workers], crew))
        began = time.perf_counter()
        list(examine_all(leaves[workers:], crew))
        return (time.perf_counter() - began) / (len(leaves) - workers)


def test_two_processes_to_one_on_real_pages(tmp_path: Path) -> None:
    """At least 1.8 times as much by the clock, on two cores that nobody else uses."""
    shelf = [draw_page(tmp_path / f"{n}.png", 120, 100, seed=n) for n in range(PAGES)]
    leaves = [Leaf(str(path), digest_of(path)) for path in shelf]
    rounds = [(_seconds(1, leaves), _seconds(2, leaves)) for _ in range(3)]  # in turn
    one, two = (statistics.median(times) for times in zip(*rounds, strict=True))
    print(f"two processes to one: {one / two:.2f} (a page takes {one:.3f} s in one)")  # noqa: T201
    assert one >= 1.8 * two


def test_handing_out_keeps_two_busy(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages that wait half a second go twice as fast through two, whoever else uses the cores."""
    from chartscan.archive import engine

    monkeypatch.setattr(engine, "examine", busy)
    leaves = [Leaf(f"/shelf/{n}.png", hashlib.sha256(b"%d" % n).hexdigest()) for n in range(PAGES)]
    ratio = _seconds(1, leaves) / _seconds(2, leaves)
    print(f"two processes to one, on pages that wait: {ratio:.2f}")  # noqa: T201 - the figure
    assert ratio >= 1.9


MEMORY = """
import hashlib, resource, sys
from collections.abc import Iterator
from pathlib import Path
from chartscan.archive import booking
from chartscan.archive.catalogue import begun
from chartscan.archive.engine import examine_all
from chartscan.archive.finding import Found
from chartscan.archive.values import Leaf
from tests.benchmarks.test_archive import SimulatedCrew

number = int(sys.argv[1])
with begun(Path(sys.argv[2])) as catalogue:
    booking.begin_run(catalogue)

    def leaves():
        for n in range(number):
            path, digest = f"/shelf/{n}.png", hashlib.sha256(b"%d" % n).hexdigest()
            file = booking.book_file(catalogue, Found(path, digest, 1, 1))
            yield from booking.unread(catalogue, file, path, "1")

    for outcome in examine_all(leaves(), SimulatedCrew()):
        booking.book(catalogue, outcome, "1")
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss,
          catalogue.value("SELECT count(*) FROM pages"))
"""


def test_memory_of_the_process_that_books(tmp_path: Path) -> None:
    """Ten times as many pages take hardly more of it."""
    peaks = []
    for number in (10_000, 100_000):
        command = [sys.executable, "-c", MEMORY, str(number), str(tmp_path / f"c-{number}")]
        began = time.perf_counter()
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        peak, booked = map(int, done.stdout.split())
        assert booked == number
        peaks.append(peak)
        each = 1000 * (time.perf_counter() - began) / number
        print(f"{number} pages: peak {peak / 1024:.1f} MiB, {each:.2f} ms a page")  # noqa: T201
    assert peaks[1] < 1.1 * peaks[0]
