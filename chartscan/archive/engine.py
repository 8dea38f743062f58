"""Sending pages to workers and taking back what becomes of them, on any ``Executor``.

A worker gets its next page when its last one is booked, so that a run that is killed has to read
again no more than the one page that each worker had in hand. The next ones are looked up meanwhile,
and no more of them than there are workers: memory stays the same over a million pages.
A page that takes its worker down drags innocent ones with it: all that were under way are tried
again one at a time, so that the second time the guilty one is alone.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    wait,
)
from dataclasses import dataclass, replace
from itertools import islice
from typing import Protocol

from chartscan.archive.examine import examine
from chartscan.archive.values import Leaf, Limits, Outcome


class Crew(Protocol):
    """The workers, wherever they are; ``processes`` and ``cluster`` make one."""

    @property
    def workers(self) -> int:
        """How many there are, at least one."""

    @property
    def executor(self) -> Executor:
        """What takes work for them; another one after :meth:`renew`."""

    def lost(self, error: BaseException) -> bool:
        """Whether ``error``, raised instead of an outcome, means that a worker went down."""

    def renew(self) -> None:
        """Take on new workers, after :attr:`executor` refused work because it lost some."""

    def check(self) -> None:
        """Look whether they are still there, after a while in which nothing came back.

        Raises:
            ArchiveError: they are gone.
        """


@dataclass(frozen=True)
class EngineSettings:
    """How pages are handed out.

    Attributes:
        ready: pages for each worker that are looked up before they are handed out, so that none
            waits for the disk.
        pulse_s: seconds without an outcome after which the crew is looked after.
    """

    ready: int = 1
    pulse_s: float = 5.0


UnderWay = dict["Future[Outcome]", Leaf]


def examine_all(
    leaves: Iterable[Leaf],
    crew: Crew,
    limits: Limits = Limits(),
    settings: EngineSettings = EngineSettings(),
) -> Iterator[Outcome]:
    """What becomes of each of ``leaves``, each once, in the order in which workers are done.

    Raises:
        ArchiveError: the crew is gone, or a worker doesn't see the files.
    """
    fresh = iter(leaves)
    ready: deque[Leaf] = deque()
    suspects: deque[Leaf] = deque()
    under_way: UnderWay = {}
    try:
        while True:
            alone = bool(suspects) and not under_way
            if alone:
                _send(suspects.popleft(), crew, limits, under_way)
            elif not suspects:
                _fill(fresh, ready, crew, limits, under_way)
                ready.extend(islice(fresh, max(settings.ready * crew.workers - len(ready), 0)))
            if not under_way:
                return
            for leaf, outcome in _finished(under_way, crew, settings):
                if outcome is not None and not outcome.again:
                    yield outcome
                elif alone:
                    yield outcome or Outcome(replace(leaf, content=None), "aside", LOST)
                else:
                    suspects.append(leaf)
    finally:
        for future in under_way:
            future.cancel()


LOST = "took its worker down twice (out of time or memory, or a fault in a decoder)"


def _fill(
    fresh: Iterator[Leaf], ready: deque[Leaf], crew: Crew, limits: Limits, under_way: UnderWay
) -> None:
    """Hand a page to every worker that has none, those that are ready first."""
    while len(under_way) < crew.workers:
        leaf = ready.popleft() if ready else next(fresh, None)
        if leaf is None:
            return
        _send(leaf, crew, limits, under_way)


def _send(leaf: Leaf, crew: Crew, limits: Limits, under_way: UnderWay) -> None:
    """Hand a page to the crew; one that has broken since is renewed first."""
    try:
        future = crew.executor.submit(examine, leaf, limits)
    except BrokenExecutor:
        crew.renew()
        future = crew.executor.submit(examine, leaf, limits)
    under_way[future] = leaf


def _finished(
    under_way: UnderWay, crew: Crew, settings: EngineSettings
) -> list[tuple[Leaf, Outcome | None]]:
    """The pages done since last time, with None where their worker was lost; waits for one."""
    done: set[Future[Outcome]] = set()
    while not done:
        done, _ = wait(under_way, settings.pulse_s, FIRST_COMPLETED)
        if not done:
            crew.check()
    return [(under_way.pop(future), _outcome(future, crew)) for future in done]


def _outcome(future: Future[Outcome], crew: Crew) -> Outcome | None:
    try:
        error = future.exception()
    except CancelledError:  # whoever had it has given it up: the crew says whether it is gone
        crew.check()
        return None
    if error is None:
        return future.result()
    if crew.lost(error):
        return None
    raise error
