"""Real processes: killed ones, poisoned pages, and a run that is killed and called again."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from chartscan.archive.engine import LOST
from chartscan.archive.processes import processes
from chartscan.archive.values import Limits
from chartscan.cores import LIMIT, usable_threads
from chartscan.tasks.archive import ArchiveSettings, read_archive
from chartscan.tasks.catalogue import list_charts, list_missed
from tests.archive.conftest import draw_page

PAGES, WORKERS, KILLS = 30, 2, 3

posix = pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")


def _booked(into: Path) -> int:
    if not into.exists():
        return 0
    with closing(sqlite3.connect(into)) as connection:
        try:
            return int(connection.execute("SELECT count(*) FROM pages").fetchone()[0])
        except sqlite3.OperationalError:  # its tables are just being made
            return 0


@posix
def test_killed_and_called_again_nothing_is_lost_or_read_twice(tmp_path: Path) -> None:
    shelf, into = tmp_path / "shelf", tmp_path / "guild.catalogue"
    for number in range(24):
        draw_page(shelf / f"page-{number:02}.png", seed=number)
    command = [sys.executable, "-m", "chartscan", "archive", "read", str(shelf)]
    command += ["--into", str(into), "--workers", "2"]
    running = subprocess.Popen(command, start_new_session=True)
    end = time.monotonic() + 60
    while _booked(into) < 5:
        assert time.monotonic() < end
        time.sleep(0.01)
    running.kill()
    running.wait()
    before = _booked(into)
    times = {e.path: e.chart_file.stat().st_mtime_ns for e in list_charts(into)}
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert f"{24 - before} pages booked, {before} before; {24 - before} charts" in done.stdout
    entries = list(list_charts(into))
    assert len({entry.path for entry in entries}) == len(entries) == 24
    again = {e.path: e.chart_file.stat().st_mtime_ns for e in entries}
    assert {path: again[path] for path in times} == times, "none of those was written again"
    _wait_for_orphans(running.pid)


@posix
@pytest.mark.parametrize("seed", range(3))
def test_killed_it_reads_one_page_a_worker_again_and_no_more(seed: int, tmp_path: Path) -> None:
    """Three kills, each at any moment of the run: between two of them pages are booked."""
    rng = np.random.default_rng(seed)
    shelf, into, notes = tmp_path / "shelf", tmp_path / "guild.catalogue", tmp_path / "begun.txt"
    for number in range(PAGES):
        draw_page(shelf / f"page-{number:02}.png", seed=number)
    command = [sys.executable, "-m", "tests.archive.noting", str(notes), "archive", "read"]
    command += [str(shelf), "--into", str(into), "--workers", str(WORKERS)]
    for kill in range(1, KILLS + 1):
        running = subprocess.Popen(command, start_new_session=True, stderr=subprocess.DEVNULL)
        end = time.monotonic() + 60
        while _booked(into) < kill * PAGES // (KILLS + 2):
            assert time.monotonic() < end
            time.sleep(0.005)
        time.sleep(rng.uniform(0, 0.1))
        running.kill()
        running.wait()
        _wait_for_orphans(running.pid)
        begun = notes.read_text(encoding="utf-8").splitlines()
        assert len(begun) - _booked(into) <= kill * WORKERS
    subprocess.run(command, capture_output=True, check=True)
    begun = notes.read_text(encoding="utf-8").splitlines()
    assert len({*begun}) == _booked(into) == PAGES
    assert len(begun) - PAGES <= KILLS * WORKERS


def _wait_for_orphans(session: int) -> None:
    """The killed run's workers end by themselves."""
    end = time.monotonic() + 30
    while any(_session(pid) == session for pid in _processes()):
        assert time.monotonic() < end, "a worker outlived its master"
        time.sleep(0.05)


def _processes() -> list[int]:
    return [int(path.name) for path in Path("/proc").glob("[0-9]*")]


def _session(pid: int) -> int:
    try:
        if " Z " in Path(f"/proc/{pid}/stat").read_text(encoding="utf-8"):
            return 0
        return os.getsid(pid)
    except OSError:
        return 0


@posix
def test_a_page_that_takes_too_long_is_set_aside_and_the_rest_goes_on(tmp_path: Path) -> None:
    shelf, into = tmp_path / "shelf", tmp_path / "guild.catalogue"
    draw_page(shelf / "page-0.png", seed=0)
    draw_page(shelf / "page-1.png", columns=980, rows=980, seed=1)  # seconds only to decode it
    draw_page(shelf / "page-2.png", seed=2)
    limits = Limits(seconds=2)
    run = read_archive([shelf], into, partial(processes, 1), ArchiveSettings(limits))
    assert run.pages == {"chart": 2, "aside": 1}
    (page,) = list_missed(into, "aside")
    assert page.path.endswith("page-1.png")
    assert "took over 2 seconds" in page.reason or page.reason == LOST


DEAF = """
import time
from chartscan.archive.limits import limited
from chartscan.archive.values import Limits
from chartscan.cores import LIMIT, usable_threads
with limited(Limits(seconds=0.2, grace=1.5)):
    time.sleep(60)
"""


def test_a_worker_that_looks_at_no_clock_is_ended_from_outside() -> None:
    began = time.monotonic()
    done = subprocess.run([sys.executable, "-c", DEAF], capture_output=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (1, b"", b"")
    assert time.monotonic() - began < 30


@posix
@pytest.mark.skipif(sys.platform != "linux", reason="only Linux limits a process's memory")
def test_a_page_that_takes_too_much_memory_is_set_aside_and_the_rest_goes_on(
    tmp_path: Path,
) -> None:
    shelf, into = tmp_path / "shelf", tmp_path / "guild.catalogue"
    draw_page(shelf / "page-0.png", seed=0)
    draw_page(shelf / "page-1.png", columns=520, rows=520, seed=1)
    draw_page(shelf / "page-2.png", seed=2)
    limits = Limits(memory_bytes=560 * 2**20)
    run = read_archive([shelf], into, partial(processes, 2), ArchiveSettings(limits))
    assert run.pages == {"chart": 2, "aside": 1}
    (page,) = list_missed(into, "aside")
    assert page.path.endswith("page-1.png")


@posix
def test_a_worker_killed_midway_costs_no_page(tmp_path: Path) -> None:
    shelf, into = tmp_path / "shelf", tmp_path / "guild.catalogue"
    for number in range(12):
        draw_page(shelf / f"page-{number:02}.png", seed=number)
    killed: list[int] = []

    def kill_one(step: str, done: float) -> None:
        if done > 0.3 and not killed:
            children = Path(f"/proc/{os.getpid()}/task/{os.getpid()}/children")
            workers = [int(pid) for pid in children.read_text(encoding="utf-8").split()]
            killed.append(workers[-1])
            os.kill(workers[-1], signal.SIGKILL)

    run = read_archive([shelf], into, partial(processes, 2), progress=kill_one)
    assert killed
    assert run.pages == {"chart": 12}


def test_a_worker_shares_no_work_over_cores_that_others_have(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv(LIMIT, raising=False)
    with processes(1) as crew:
        assert crew.executor.submit(usable_threads).result() == 1
