"""A drawer far larger than anybody's: checking, importing, listing, backup, whole commands."""

from __future__ import annotations

import functools
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from chartscan.palette import load_palette
from chartscan.stash.backup import back_up
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.importing import import_table
from chartscan.stash.ledger import Ledger, open_ledger
from chartscan.stash.needs import ThreadNeed, add_thread_need
from chartscan.stash.projects import Project, new_project
from chartscan.stash.threads import ThreadInfo, add_thread

pytestmark = pytest.mark.benchmark

ENTRIES, THREADS = 2_000_000, 8_000
CHECK_LIMIT_S, BACKUP_LIMIT_BYTES = 10, 60_000_000
PALETTE_THREADS, PALETTE_LIMIT_S, PALETTE_LIMIT_MB = 100_000, 10, 300
ROWS, IMPORT_LIMIT_S, LIST_LIMIT_S = 10_000, 2, 1
WHOLE_LIMIT = 8  # times `python -c pass`, beyond what the query itself takes
ROUNDS = 7


def _said(name: str, figure: str) -> None:
    print(f"\n{name}: {figure}")  # noqa: T201 - figures


@pytest.fixture(scope="module")
def enormous(tmp_path_factory: pytest.TempPathFactory) -> Ledger:
    """Two million entries, from a fixed seed."""
    dice = random.Random(17)
    ledger = open_ledger(tmp_path_factory.mktemp("years") / "stash.db", create=True)
    with ledger.atomic():
        with acting(ledger, "bought") as act:
            for number in range(THREADS):
                add_thread(act, ThreadInfo(f"T{number}", putup_mm=8000, strands=6), skeins=3)
        for start in range(THREADS, ENTRIES, 2_000):
            with acting(ledger, "counted") as act:
                for _ in range(min(2_000, ENTRIES - start)):
                    act.put(dice.randrange(1, THREADS), "counted", owned=dice.choice((0, 1)))
    return ledger


def test_two_million_entries_are_checked_and_backed_up(enormous: Ledger, tmp_path: Path) -> None:
    assert enormous.value("SELECT count(*) FROM entries") == ENTRIES
    start = time.process_time()
    assert audit(enormous) == []
    seconds = time.process_time() - start
    back_up(enormous, tmp_path / "stash.backup")
    size = (tmp_path / "stash.backup").stat().st_size
    _said("Two million entries", f"checked in {seconds:.1f} s, backup of {size / 1e6:.0f} MB")
    assert seconds < CHECK_LIMIT_S
    assert size < BACKUP_LIMIT_BYTES


@functools.cache
def _installed() -> dict[str, str]:
    """The environment of an installed program, whose modules were compiled once."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": tempfile.mkdtemp(prefix="compiled-")}


def _measured(arguments: list[str]) -> tuple[float, float]:
    """Seconds and MB (resident at most) of the program, called as a stitcher does."""
    script = (
        "import resource, subprocess, sys;"
        "subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL);"
        "r = resource.getrusage(resource.RUSAGE_CHILDREN);"
        "print(r.ru_utime + r.ru_stime, r.ru_maxrss / 1024)"
    )
    said = subprocess.run(
        [sys.executable, "-c", script, sys.executable, *arguments],
        check=True,
        capture_output=True,
        text=True,
        env=_installed(),
    ).stdout
    seconds, megabytes = map(float, said.split())
    return seconds, megabytes


def test_a_range_of_a_hundred_thousand_threads_is_checked(tmp_path: Path) -> None:
    dice = random.Random(17)
    path = tmp_path / "range.csv"
    rows = (f"C{n},Thread {n},#{dice.randrange(1 << 24):06x}" for n in range(PALETTE_THREADS))
    path.write_text("\n".join(["code,name,hex", *rows]), encoding="utf-8")
    assert len(load_palette(path).threads) == PALETTE_THREADS
    _measured(["-m", "chartscan", "palette", "list"])
    seconds, megabytes = _measured(["-m", "chartscan", "palette", "check", str(path)])
    _said("100,000 threads", f"checked in {seconds:.1f} s and {megabytes:.0f} MB")
    assert seconds < PALETTE_LIMIT_S
    assert megabytes < PALETTE_LIMIT_MB


def test_ten_thousand_rows_come_in_and_are_listed(tmp_path: Path) -> None:
    table = tmp_path / "threads.csv"
    rows = (f"T{n},Line,{n % 4 + 1},{n % 8 or ''},Thread {n}" for n in range(ROWS))
    table.write_text("\n".join(["code,line,skeins,metres_left,name", *rows]), encoding="utf-8")
    stash = tmp_path / "stash.db"
    with open_ledger(stash, create=True) as ledger:
        start = time.process_time()
        import_table(ledger, "threads", table)
        seconds = time.process_time() - start
    _measured(["-m", "chartscan", "stash", "list", "--stash", str(stash)])
    listed, megabytes = _measured(["-m", "chartscan", "stash", "list", "--stash", str(stash)])
    _said(
        "10,000 rows", f"imported in {seconds:.2f} s, listed in {listed:.2f} s, {megabytes:.0f} MB"
    )
    assert seconds < IMPORT_LIMIT_S
    assert listed < LIST_LIMIT_S
    assert megabytes < PALETTE_LIMIT_MB


def _cpu(arguments: list[str]) -> float:
    return statistics.median(_measured(arguments)[0] for _ in range(ROUNDS))


def test_plan_kit_and_undo_are_whole_processes_of_a_moment(tmp_path: Path) -> None:
    stash = tmp_path / "stash.db"
    with open_ledger(stash, create=True) as ledger:
        with acting(ledger, "bought") as act:
            for number in range(30):
                add_thread(act, ThreadInfo(f"T{number}", putup_mm=8000, strands=6), skeins=3)
        new_project(ledger, Project("Robin"))
        for number in range(30):
            need = ThreadNeed(ThreadInfo(f"T{number}"), 2, 84_000, 60_000)
            add_thread_need(ledger, "Robin", need)
    nothing = _cpu(["-c", "pass"])
    told = ["--stash", str(stash)]
    ratios = {}
    ratios["plan"] = _cpu(["-m", "chartscan", "project", "plan", "Robin", *told]) / nothing
    kits, undos = [], []
    for _ in range(ROUNDS):
        kits.append(_measured(["-m", "chartscan", "project", "kit", "Robin", *told])[0])
        undos.append(_measured(["-m", "chartscan", "project", "undo", "Robin", *told])[0])
    ratios["kit"], ratios["undo"] = (statistics.median(t) / nothing for t in (kits, undos))
    figures = ", ".join(f"{name} {ratio:.1f}" for name, ratio in ratios.items())
    _said("Whole processes to `python -c pass`", figures)
    assert all(ratio < WHOLE_LIMIT for ratio in ratios.values())
