"""The ledger at the size of a lifetime's stash: each look as a multiple of counting its entries.

Processor time, so that other work on the machine doesn't count; everything is in memory by then.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable, Iterator

import pytest

from chartscan.stash.allotment import needed_length
from chartscan.stash.entries import acting
from chartscan.stash.fabrics import Piece, add_piece
from chartscan.stash.ledger import Ledger, open_ledger, utc_now
from chartscan.stash.lookback import as_of, history
from chartscan.stash.plan import make_plan
from chartscan.stash.projects import Project, new_project
from chartscan.stash.shopping import make_list
from chartscan.stash.threads import ThreadInfo, add_thread
from chartscan.stash.today import what_today

pytestmark = pytest.mark.benchmark

THREADS, PIECES = 8_000, 2_000
PROJECTS, ENTRIES = 1_000, 200_000
THREADS_OF_A_PROJECT = (1, 30)  # from a band sampler in one colour to a picture with 30
ROUNDS = 25

PLAN_LIMIT, SHOP_LIMIT, TODAY_LIMIT = 25, 25, 100  # multiples of counting the entries


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ledger]:
    """A ledger of that size, drawn from a fixed seed."""
    dice = random.Random(5)
    path = tmp_path_factory.mktemp("large") / "stash.db"
    with open_ledger(path, create=True) as ledger:
        with ledger.atomic():
            _fill(ledger, dice)
        yield ledger


def _fill(ledger: Ledger, dice: random.Random) -> None:
    with acting(ledger, "bought") as act:
        for number in range(THREADS):
            info = ThreadInfo(f"T{number}", "Line", putup_mm=8000, strands=6, price=120)
            parts = (dice.randrange(300, 8000),) if number % 4 == 0 else ()
            add_thread(act, info, skeins=dice.randrange(1, 5), parts_mm=parts)
        for _ in range(PIECES):
            width, height = dice.randrange(100, 900), dice.randrange(100, 900)
            count = dice.choice((14, 16, 18, 28, 32))
            add_piece(act, Piece(count, width, height, colour=dice.choice(("ivory", "snow"))))
    for number in range(PROJECTS):
        project = new_project(ledger, Project(f"P{number}", deadline="2027-01-01"))
        with acting(ledger, "worked out", project=project.id):
            _need(ledger, project.id, dice)
    there = ledger.value("SELECT count(*) FROM entries")
    for start in range(there, ENTRIES, 50):
        with acting(ledger, "counted") as act:
            for _ in range(min(50, ENTRIES - start)):
                act.put(dice.randrange(1, THREADS), "counted", owned=0)


def _need(ledger: Ledger, project: int, dice: random.Random) -> None:
    for thread in dice.sample(range(1, THREADS + 1), dice.randint(*THREADS_OF_A_PROJECT)):
        high = dice.randrange(2000, 150_000)
        skeins = -(-high // 48_000)
        ledger.execute(
            "INSERT INTO thread_needs (project, source, thread, called, strands, low_mm,"
            " likely_mm, high_mm, skeins, putup_length_mm)"
            " VALUES (?, 'chart', ?, ?, '2', ?, ?, ?, ?, ?)",
            (
                project, thread, thread, high // 2, high * 3 // 4, high, skeins,
                needed_length(high, 6, skeins, 8000),
            ),
        )  # fmt: skip
    ledger.execute(
        "INSERT INTO fabric_needs (project, source, count, colour, width_mm, height_mm, pieces)"
        " VALUES (?, 'chart', ?, 'ivory', ?, ?, ?)",
        (
            project, dice.choice((14, 28, 32)), dice.randrange(150, 600), dice.randrange(150, 600),
            dice.choice((1, 1, 1, 4)),
        ),
    )  # fmt: skip


def _measure(ledger: Ledger, name: str, work: Callable[[], object], limit: float = 0) -> float:
    """Median processor time of ``work`` as a multiple of counting the entries, in turns with it."""
    unit, times = [], []
    work()
    for _ in range(ROUNDS):
        unit.append(_time(lambda: ledger.value("SELECT count(*) FROM entries")))
        times.append(_time(work))
    seconds, ratio = statistics.median(times), statistics.median(times) / statistics.median(unit)
    bound = f" (at most {limit})" if limit else ""
    print(f"\n{name}: {1000 * seconds:.2f} ms, {ratio:.1f} x counting the entries{bound}")  # noqa: T201 - figures
    return ratio


def _time(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def test_the_ledger_is_as_large_as_it_says(large: Ledger) -> None:
    assert large.value("SELECT count(*) FROM entries") == ENTRIES
    assert large.value("SELECT count(*) FROM projects") == PROJECTS
    assert large.value("SELECT count(*) FROM stock") >= THREADS + PIECES


def test_the_plan_of_one_project(large: Ledger) -> None:
    widest = large.value(
        "SELECT p.name FROM projects p JOIN thread_needs n ON n.project = p.id GROUP BY p.id"
        " ORDER BY count(*) DESC LIMIT 1"
    )
    name = "Plan of a project of 30 threads"
    assert _measure(large, name, lambda: make_plan(large, widest), PLAN_LIMIT) <= PLAN_LIMIT


def test_the_shopping_list_over_fifty_projects(large: Ledger) -> None:
    names = [f"P{number}" for number in range(50)]
    name = "Shopping list over 50 projects"
    assert _measure(large, name, lambda: make_list(large, names), SHOP_LIMIT) <= SHOP_LIMIT


def test_what_can_be_started_today(large: Ledger) -> None:
    name = "What can I start today, 1000 projects"
    assert _measure(large, name, lambda: what_today(large), TODAY_LIMIT) < TODAY_LIMIT


def test_looking_back(large: Ledger) -> None:
    """No limits are set to these; for the record."""
    last = _measure(large, "The last 50 entries", lambda: history(large))
    then = _measure(large, "As of now", lambda: as_of(large, utc_now()))
    assert last < then


def test_no_look_reads_the_entries_once_per_thread(large: Ledger) -> None:
    """Plan, list and today don't touch the table of entries at all."""
    seen: list[str] = []
    large.connection.set_trace_callback(seen.append)
    make_plan(large, "P0")
    make_list(large, [f"P{number}" for number in range(50)])
    what_today(large)
    large.connection.set_trace_callback(None)
    assert seen
    assert not [sql for sql in seen if "entries" in sql]
