"""A real scheduler and two real workers on this machine, and what may become of them."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path

import pytest

from chartscan.archive.cluster import cluster
from chartscan.archive.engine import LOST
from chartscan.archive.processes import processes
from chartscan.errors import ArchiveError
from chartscan.tasks.archive import ArchiveSettings, read_archive
from chartscan.tasks.catalogue import count_charts, list_charts, list_missed
from tests.archive.conftest import draw_page

pytest.importorskip("distributed")
pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")

PAGES = 8


@contextmanager
def _process(*arguments: str, folder: Path) -> Iterator[subprocess.Popen[bytes]]:
    """A command of Dask, in a process group of its own, ended with the block."""
    running = subprocess.Popen(
        [sys.executable, "-m", "distributed.cli." + arguments[0], *arguments[1:]],
        cwd=folder,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        yield running
    finally:
        with suppress(ProcessLookupError):
            os.killpg(running.pid, signal.SIGKILL)
        running.wait()


@contextmanager
def _scheduler(folder: Path) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    plain = ("--no-dashboard", "--no-show", "--host", "127.0.0.1", "--port", str(port))
    with _process("dask_scheduler", *plain, folder=folder) as running:
        yield f"tcp://127.0.0.1:{port}", running


@contextmanager
def _worker(
    address: str, folder: Path, *more: str, nanny: bool = False
) -> Iterator[subprocess.Popen[bytes]]:
    """A worker; with a nanny, a lost one is begun again."""
    plain = ("--nthreads", "1", "--no-dashboard", "--host", "127.0.0.1")
    kind = "--nanny" if nanny else "--no-nanny"
    folder.mkdir(parents=True, exist_ok=True)
    with _process("dask_worker", address, *plain, kind, *more, folder=folder) as running:
        yield running


Cluster = tuple[str, subprocess.Popen[bytes], list[subprocess.Popen[bytes]]]


@pytest.fixture
def workers(tmp_path: Path) -> Iterator[Cluster]:
    """The address of a scheduler that has two workers, its process, and theirs."""
    with (
        _scheduler(tmp_path) as (address, scheduler),
        _worker(address, tmp_path / "first") as first,
        _worker(address, tmp_path / "second") as second,
    ):
        from distributed import Client

        with Client(address, timeout=60) as client:
            client.wait_for_workers(2, timeout=60)
        yield address, scheduler, [first, second]


@pytest.fixture
def pages(tmp_path: Path) -> Path:
    folder = tmp_path / "shelf"
    for number in range(PAGES):
        draw_page(folder / f"page-{number}.png", seed=number)
    return folder


def _charts(into: Path) -> dict[str, bytes]:
    """The chart files of a catalogue, by the name of their page."""
    return {Path(e.path).name: e.chart_file.read_bytes() for e in list_charts(into)}


def test_a_cluster_reads_what_one_process_reads_from_files_and_from_bytes(
    workers: Cluster, pages: Path, tmp_path: Path
) -> None:
    address, _, _ = workers
    read_archive([pages], tmp_path / "one", partial(processes, 1))
    read_archive([pages], tmp_path / "many", partial(cluster, address))
    read_archive([pages], tmp_path / "sent", partial(cluster, address), ArchiveSettings(send=True))
    one = _charts(tmp_path / "one")
    assert len(one) == PAGES
    assert _charts(tmp_path / "many") == one
    assert _charts(tmp_path / "sent") == one
    moved = tmp_path / "elsewhere"
    moved.symlink_to(pages)
    seen = ArchiveSettings(seen_as=moved)
    assert read_archive([pages], tmp_path / "seen", partial(cluster, address), seen).pages == {
        "chart": PAGES
    }
    unseen = ArchiveSettings(seen_as=tmp_path / "nowhere")
    with pytest.raises(ArchiveError, match="where a worker looks for it"):
        read_archive([pages], tmp_path / "unseen", partial(cluster, address), unseen)


def test_a_worker_killed_midway_costs_no_page(
    workers: Cluster, pages: Path, tmp_path: Path
) -> None:
    address, _, (first, _) = workers

    def kill_one(step: str, done: float) -> None:
        if done > 0.3 and first.poll() is None:
            os.killpg(first.pid, signal.SIGKILL)
            first.wait()

    run = read_archive([pages], tmp_path / "c", partial(cluster, address), progress=kill_one)
    assert first.poll() is not None
    assert run.pages == {"chart": PAGES}


POISON = """
import os
from chartscan.archive import examine

def deadly(leaf, seen=examine._seen):
    if leaf.path.endswith("page-3.png"):
        with open(os.environ["CHARTSCAN_TRIES"], "a") as tries:
            tries.write("x")
        os._exit(9)
    return seen(leaf)

examine._seen = deadly
"""


def _allowed_failures(address: str) -> int:
    from distributed import Client

    with Client(address, timeout=60) as client:
        return int(client.run_on_scheduler(lambda dask_scheduler: dask_scheduler.allowed_failures))


def test_a_page_that_takes_its_worker_down_is_set_aside_after_two_tries(
    pages: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    poison, tries = tmp_path / "poison.py", tmp_path / "tries"
    poison.write_text(POISON, encoding="utf-8")
    monkeypatch.setenv("CHARTSCAN_TRIES", str(tries))
    preload = ("--preload", str(poison))
    with (
        _scheduler(tmp_path) as (address, _),
        _worker(address, tmp_path / "first", *preload, nanny=True),
        _worker(address, tmp_path / "second", *preload, nanny=True),
    ):
        before = _allowed_failures(address)
        run = read_archive([pages], tmp_path / "c", partial(cluster, address))
        assert _allowed_failures(address) == before > 0, "the scheduler is left as it was"
    assert run.pages == {"chart": PAGES - 1, "aside": 1}
    (page,) = list_missed(tmp_path / "c", "aside")
    assert (Path(page.path).name, page.reason) == ("page-3.png", LOST)
    assert tries.read_text(encoding="utf-8") == "xx"


def test_a_scheduler_that_loses_all_its_workers_is_told(
    workers: Cluster, pages: Path, tmp_path: Path
) -> None:
    address, _, both = workers

    def kill_both(step: str, done: float) -> None:
        for worker in both:
            if done > 0.3 and worker.poll() is None:
                os.killpg(worker.pid, signal.SIGKILL)
                worker.wait()

    crew = partial(cluster, address, alone_s=1.0)
    with pytest.raises(ArchiveError, match="all its workers are gone for 1 seconds"):
        read_archive([pages], tmp_path / "c", crew, progress=kill_both)
    before = count_charts(tmp_path / "c")
    run = read_archive([pages], tmp_path / "c", partial(processes, 1))
    assert run.pages == {"chart": PAGES - before}


def test_a_scheduler_that_goes_is_told_in_one_line_and_the_run_goes_on_later(
    workers: Cluster, pages: Path, tmp_path: Path
) -> None:
    address, scheduler, _ = workers

    def kill_it(step: str, done: float) -> None:
        if done > 0.3 and scheduler.poll() is None:
            os.killpg(scheduler.pid, signal.SIGKILL)
            scheduler.wait()

    began = time.monotonic()
    with pytest.raises(ArchiveError, match="the scheduler is gone; what was read so far is kept"):
        read_archive([pages], tmp_path / "c", partial(cluster, address), progress=kill_it)
    assert time.monotonic() - began < 60
    before = count_charts(tmp_path / "c")
    assert 0 < before < PAGES
    run = read_archive([pages], tmp_path / "c", partial(processes, 1))
    assert run.pages == {"chart": PAGES - before}


def test_an_address_without_a_scheduler_is_told(pages: Path, tmp_path: Path) -> None:
    with pytest.raises(ArchiveError, match="no scheduler answers there"):
        read_archive([pages], tmp_path / "c", partial(cluster, "tcp://127.0.0.1:9"))
