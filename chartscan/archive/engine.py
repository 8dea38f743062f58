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
    coming = _Coming(leaves)
    suspects: deque[Leaf] = deque()
    under_way: UnderWay = {}
    try:
        while True:
            alone = bool(suspects) and not under_way
            if alone:
                _send(suspects.popleft(), crew, limits, under_way)
            elif not suspects:
                workers = crew.workers
                for leaf in coming.take(workers - len(under_way)):
                    _send(leaf, crew, limits, under_way)
                coming.look_up(settings.ready * workers)
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


class _Coming:
    """Pages that are yet to be handed out, some of them looked up before."""

    def __init__(self, leaves: Iterable[Leaf]) -> None:
        self._fresh = iter(leaves)
        self._ready: deque[Leaf] = deque()

    def take(self, most: int) -> Iterator[Leaf]:
        """So many of them, or all that are left."""
        for _ in range(most):
            leaf = self._ready.popleft() if self._ready else next(self._fresh, None)
            if leaf is None:
                return
            yield leaf

    def look_up(self, most: int) -> None:
        """Have so many ready."""
        self._ready.extend(islice(self._fresh, max(most - len(self._ready), 0)))


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
