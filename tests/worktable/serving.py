"""The table as its own process, as a person starts it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

PATIENCE_S = 180.0  # machines are shared


@dataclass(frozen=True)
class Served:
    """A table that runs.

    Attributes:
        address: with the key in its fragment, to be used once.
        folder: its data folder.
        process: of it.
    """

    address: str
    folder: Path
    process: subprocess.Popen[str]

    @property
    def host(self) -> str:
        """Address and port."""
        return self.address.removeprefix("http://").partition("/")[0]

    @property
    def key(self) -> str:
        """The key in the address."""
        return self.address.partition("#key=")[2]


def start(folder: Path, *arguments: str, environment: Mapping[str, str] | None = None) -> Served:
    """Start ``chartscan worktable`` and wait for its address."""
    process = subprocess.Popen(
        [sys.executable, "-m", "chartscan", "worktable", "--no-browser", *arguments],
        stderr=subprocess.PIPE,
        text=True,
        env={
            **os.environ,
            "CHARTSCAN_WORKTABLE": str(folder),
            "CHARTSCAN_STASH": str(folder / "stash.db"),
            "CHARTSCAN_USAGE": str(folder / "usage.json"),
            **(environment or {}),
        },
    )
    assert process.stderr is not None
    for line in process.stderr:
        found = re.search(r"http://\S+", line)
        if found:
            return Served(found[0], folder, process)
    raise AssertionError(f"it ended with {process.wait()} and said no address")


def end(served: Served) -> int:
    """End it as Ctrl-C does; its exit status."""
    if served.process.poll() is None:
        served.process.send_signal(signal.SIGINT)
    status = served.process.wait(PATIENCE_S)
    if served.process.stderr is not None:
        served.process.stderr.close()
    return status


@contextmanager
def serving(
    folder: Path, *arguments: str, environment: Mapping[str, str] | None = None
) -> Iterator[Served]:
    """A table for the block."""
    served = start(folder, *arguments, environment=environment)
    try:
        yield served
    finally:
        end(served)


def ends_by_itself(process: subprocess.Popen[str]) -> bool:
    """Whether ``process`` ends while one waits."""
    ends = time.monotonic() + PATIENCE_S
    while time.monotonic() < ends:
        if process.poll() is not None:
            return True
        time.sleep(0.05)
    return False
