"""Workers of a Dask scheduler, wherever they run."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from typing import TYPE_CHECKING

from chartscan.errors import ArchiveError

if TYPE_CHECKING:
    from distributed import Client, Scheduler

PATIENCE_S = 10.0  # until a scheduler answers, and the first worker has come
ALONE_S = 60.0  # without any worker: a nanny has one back in a few seconds


class Cluster:
    """A crew of Dask workers; where one is lost, the engine tries its pages again on others."""

    def __init__(self, client: Client, address: str, alone_s: float = ALONE_S) -> None:
        self._client = client
        self._address = address
        self._alone_s = alone_s
        self._alone_since: float | None = None
        self._executor: Executor = client.get_executor(pure=False)

    @property
    def workers(self) -> int:
        """How many workers there are now; at least one, so that work waits for them."""
        return max(1, self._there())

    @property
    def executor(self) -> Executor:
        """Sends work to the scheduler."""
        return self._executor

    def lost(self, error: BaseException) -> bool:
        """Whether the workers that had this page went down over it."""
        from distributed import KilledWorker

        return isinstance(error, KilledWorker)

    def renew(self) -> None:
        """Nothing to renew: workers come and go."""

    def _there(self) -> int:
        """How many workers there are; none where the scheduler is just going."""
        return len(self._client.scheduler_info(n_workers=-1).get("workers", ()))

    def check(self) -> None:
        """Raise ArchiveError where the scheduler is gone, or has had no workers for a time."""
        if self._client.status != "running":
            raise _gone(self._address)
        if self._there():
            self._alone_since = None
            return
        now = time.monotonic()
        self._alone_since = now if self._alone_since is None else self._alone_since
        if now - self._alone_since >= self._alone_s:
            raise ArchiveError(
                f"{self._address}: all its workers are gone for {self._alone_s:.0f} seconds; what "
                "was read so far is kept: start some with `dask worker` and call the same command,"
                " it goes on from there"
            )


def _gone(address: str) -> ArchiveError:
    return ArchiveError(
        f"{address}: the scheduler is gone; what was read so far is kept: start it again and call "
        "the same command, it goes on from there"
    )


@contextmanager
def cluster(address: str, alone_s: float = ALONE_S) -> Iterator[Cluster]:
    """A crew of the workers that the scheduler at ``address`` has.

    Where it has none for ``alone_s`` seconds, the run ends.

    Raises:
        ArchiveError: the extra isn't installed; no scheduler answers, it has no workers, or they
            take several pages at once, which limits of time and memory don't allow.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise ArchiveError(
            "a scheduler needs the archive extra; run: pip install 'chartscan[archive]'"
        ) from error
    with _quiet():
        try:
            client = Client(address, timeout=PATIENCE_S)
        except (OSError, ValueError, TimeoutError) as error:
            raise ArchiveError(
                f"{address}: no scheduler answers there; start one with `dask scheduler`, and "
                "workers with `dask worker --nthreads 1`"
            ) from error
        try:
            _check_workers(client, address)
            with _losses_told(client):
                yield Cluster(client, address, alone_s)
        finally:
            client.close(timeout=PATIENCE_S)


@contextmanager
def _losses_told(client: Client) -> Iterator[None]:
    """Let the scheduler tell at once that a page has lost its worker, as a pool does.

    By itself it would try the page on three workers more, and each of the engine's two tries
    would take four of them down.
    """
    before = client.run_on_scheduler(_allow_failures, number=0)
    try:
        yield
    finally:
        if client.status == "running":
            client.run_on_scheduler(_allow_failures, number=before)


def _allow_failures(number: int, dask_scheduler: Scheduler) -> int:
    """Let pages lose so many workers before that is told; how many it was (on the scheduler)."""
    before, dask_scheduler.allowed_failures = dask_scheduler.allowed_failures, number
    return int(before)


@contextmanager
def _quiet() -> Iterator[None]:
    """Let Dask log nothing meanwhile: what matters of it is told in one line."""
    before = logging.root.manager.disable
    logging.disable(logging.ERROR)
    try:
        yield
    finally:
        logging.disable(before)


def _check_workers(client: Client, address: str) -> None:
    from distributed import TimeoutError as NoneCame

    try:
        client.wait_for_workers(1, timeout=PATIENCE_S)
    except (NoneCame, TimeoutError) as error:
        raise ArchiveError(
            f"{address}: the scheduler has no workers; start some with `dask worker {address}"
            " --nthreads 1`"
        ) from error
    if any(threads > 1 for threads in client.nthreads().values()):
        raise ArchiveError(
            f"{address}: a worker takes several pages at once, so that none could be held to its "
            "time and memory; start workers with --nthreads 1"
        )
