"""The engine, with workers that fail as they are told: nothing is lost or tried for ever."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Executor, Future

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.archive.engine import LOST, EngineSettings, examine_all
from chartscan.archive.values import Leaf, Outcome
from chartscan.errors import ArchiveError


class Broken(BrokenExecutor):
    """As a pool says it."""


class Pool(Executor):
    """Fulfils nothing until asked to; the page called ``poison`` breaks all that is under way."""

    def __init__(self, crew: Workers) -> None:
        self.crew = crew
        self.broken = False

    def submit(  # type: ignore[override]  # all that is ever submitted here
        self, examine: object, leaf: Leaf, limits: object
    ) -> Future[Outcome]:
        """Let it wait with others, or be done with them."""
        if self.broken:
            raise Broken
        self.crew.tries[leaf.path] += 1
        future: Future[Outcome] = Future()
        self.crew.waiting.append((leaf, future))
        self.crew.most = max(self.crew.most, len(self.crew.waiting))
        if len(self.crew.waiting) >= self.crew.hold or self.crew.alone(leaf):
            self.crew.work()
        return future


class Workers:
    """A crew whose pool breaks over poisoned pages; slow ones run out of time so many times."""

    workers = 2

    def __init__(self, poison: set[str], slow: dict[str, int], hold: int = 4) -> None:
        self.poison, self.slow, self.hold = poison, slow, hold
        self.tries: Counter[str] = Counter()
        self.waiting: list[tuple[Leaf, Future[Outcome]]] = []
        self.most = 0
        self.executor = Pool(self)

    def alone(self, leaf: Leaf) -> bool:
        """Whether it is tried again, and so by itself."""
        return self.tries[leaf.path] > 1

    def work(self) -> None:
        """Do, or break over, all that waits."""
        waiting, self.waiting = self.waiting, []
        if any(leaf.path in self.poison for leaf, _ in waiting):
            self.executor.broken = True
            for _, future in waiting:
                future.set_exception(Broken())
            return
        for leaf, future in waiting:
            late = self.slow.get(leaf.path, 0) >= self.tries[leaf.path]
            done = Outcome(leaf, "aside", "slow", again=True) if late else Outcome(leaf, "other")
            future.set_result(done)

    def lost(self, error: BaseException) -> bool:
        """Whether the pool broke."""
        return isinstance(error, Broken)

    def renew(self) -> None:
        """Begin a new pool."""
        self.executor = Pool(self)

    def check(self) -> None:
        """Let what waits be done."""
        self.work()


QUICK = EngineSettings(pulse_s=0.001)


@given(
    number=st.integers(0, 30),
    poison=st.sets(st.integers(0, 29)),
    slow=st.dictionaries(st.integers(0, 29), st.integers(1, 3)),
    hold=st.integers(1, 5),
)
def test_each_page_comes_back_once_and_only_the_guilty_are_set_aside(
    number: int, poison: set[int], slow: dict[int, int], hold: int
) -> None:
    crew = Workers({str(n) for n in poison}, {str(n): times for n, times in slow.items()}, hold)
    leaves = [Leaf(str(n), f"{n:064x}") for n in range(number)]
    found = {o.leaf.path: o for o in examine_all(leaves, crew, settings=QUICK)}
    assert sorted(found, key=int) == [leaf.path for leaf in leaves]
    for name, outcome in found.items():
        if int(name) in poison:
            assert (outcome.state, outcome.reason) == ("aside", LOST)
        elif slow.get(int(name), 0) > 1:
            assert (outcome.state, outcome.reason) == ("aside", "slow")
        else:
            assert outcome.state == "other"
        assert crew.tries[name] <= 2
    assert crew.most <= crew.workers


def test_pages_are_asked_for_only_as_workers_have_room() -> None:
    crew = Workers(set(), {})
    asked = 0

    def endless() -> Iterator[Leaf]:
        nonlocal asked
        while True:
            asked += 1
            yield Leaf(str(asked), f"{asked:064x}")

    outcomes = examine_all(endless(), crew, settings=QUICK)
    for done in range(1, 200):
        next(outcomes)
        assert asked <= done + (1 + QUICK.ready) * crew.workers


def test_a_fault_that_is_no_lost_worker_ends_the_run() -> None:
    class Blind(Workers):
        def work(self) -> None:
            """Fail otherwise."""
            for _, future in self.waiting:
                future.set_exception(ArchiveError("no such folder there"))
            self.waiting = []

    with pytest.raises(ArchiveError, match="no such folder there"):
        list(examine_all([Leaf("a", "0" * 64)], Blind(set(), {}), settings=QUICK))
