"""Work shared over the cores: the same results in the same order, and nothing left running."""

from __future__ import annotations

import os
import threading

import numpy as np
import pytest

from chartscan import cores
from chartscan.cores import available_cores, mapped, usable_threads

PARTS = range(40)
SOON_S = 10.0  # that a test waits for another thread before it fails


@pytest.fixture
def workers(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> int:
    """So many threads to share work over, on whatever machine."""
    number = int(request.param)
    monkeypatch.delenv(cores.LIMIT, raising=False)
    monkeypatch.setattr(cores, "available_cores", lambda: number)
    return number


@pytest.mark.parametrize("workers", [1, 2, 3], indirect=True)
def test_results_stand_in_the_order_of_their_parts(workers: int) -> None:
    assert mapped(lambda part: part**2, PARTS) == [part**2 for part in PARTS]
    assert mapped(lambda part: part, []) == []
    assert usable_threads() == workers


@pytest.mark.parametrize("workers", [2, 3], indirect=True)
def test_so_many_parts_are_worked_on_at_a_time(workers: int) -> None:
    together = threading.Barrier(workers, timeout=SOON_S)  # breaks unless all are there at once
    mapped(lambda _: together.wait(), range(workers))


@pytest.mark.parametrize("workers", [1, 2, 3], indirect=True)
def test_the_first_part_that_fails_is_told_and_no_thread_is_left(workers: int) -> None:
    done: list[int] = []

    def fail(part: int) -> None:
        done.append(part)
        if part in (5, 6, 7):
            raise ValueError(part)

    before = threading.active_count()
    with pytest.raises(ValueError, match=r"^5$"):
        mapped(fail, PARTS)
    assert threading.active_count() == before
    assert len(done) <= 5 + workers


@pytest.mark.parametrize("workers", [2], indirect=True)
def test_work_within_shared_work_is_not_shared_again(workers: int) -> None:
    def threads_of(_: int) -> set[int]:
        return set(mapped(lambda _: threading.get_ident(), PARTS))

    assert all(len(threads) == 1 for threads in mapped(threads_of, PARTS))


@pytest.mark.parametrize("workers", [3], indirect=True)
def test_what_numpy_was_told_holds_in_every_part(workers: int) -> None:
    together = threading.Barrier(workers, timeout=SOON_S)

    def divide(_: int) -> float:
        together.wait()
        return float((np.ones(1) / np.zeros(1))[0])

    with np.errstate(divide="ignore"):  # elsewhere a warning, and warnings are errors here
        assert mapped(divide, range(workers)) == [np.inf] * workers


@pytest.mark.parametrize("workers", [3], indirect=True)
def test_where_no_thread_starts_the_caller_does_it_all(
    workers: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(threading.Thread, "start", refuse)
    own = threading.get_ident()
    assert mapped(lambda _: threading.get_ident(), PARTS) == [own] * len(PARTS)


@pytest.mark.parametrize("workers", [3], indirect=True)
@pytest.mark.parametrize(("told", "threads"), [("1", 1), ("2", 2), ("8", 3), ("0", 3), ("all", 3)])
def test_a_process_keeps_to_the_threads_that_it_was_told(
    workers: int, told: str, threads: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(cores.LIMIT, told)
    assert usable_threads() == threads


def test_cores_are_those_that_this_process_may_use() -> None:
    assert 1 <= available_cores() <= (os.cpu_count() or 1)
