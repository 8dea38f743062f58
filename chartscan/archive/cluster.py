"""Workers of a Dask scheduler, wherever they run."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from typing import TYPE_CHECKING

from chartscan.errors import ArchiveError

if TYPE_CHECKING:
    from distributed import Client

PATIENCE_S = 10.0  # until a scheduler answers, and the first worker has come


class Cluster:
    """A crew of Dask workers. The scheduler itself finds another one where one was lost."""

    def __init__(self, client: Client, address: str) -> None:
        self._client = client
        self._address = address
        self._executor: Executor = client.get_executor(pure=False)

    @property
    def workers(self) -> int:
        """How many workers there are now; at least one, so that work waits for them."""
        return max(1, len(self._client.scheduler_info(n_workers=-1)["workers"]))

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

    def check(self) -> None:
        """Raise ArchiveError where the scheduler is gone; without workers, wait for some."""
        if self._client.status != "running":
            raise _gone(self._address)


def _gone(address: str) -> ArchiveError:
    return ArchiveError(
        f"{address}: the scheduler is gone; what was read so far is kept: start it again and call "
        "the same command, it goes on from there"
    )


@contextmanager
def cluster(address: str) -> Iterator[Cluster]:
    """A crew of the workers that the scheduler at ``address`` has.

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
            yield Cluster(client, address)
        finally:
            client.close(timeout=PATIENCE_S)


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
