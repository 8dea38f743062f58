"""The table's side of the reader's process: one job at a time, the others wait their turn.

A process that is killed, by the person or by the system, is followed by a new one; the job says in
plain words what became of it.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import chartscan

LAST_S = 2.0  # that its thread gets to end; the process is killed by then

How = Literal["done", "refused", "cancelled", "killed", "short", "fault"]


@dataclass(frozen=True)
class Outcome:
    """How a job went.

    Attributes:
        how: ``done``; ``refused`` with the reader's sentence; ``cancelled`` by the person;
            ``killed`` from outside; ``short`` of memory; ``fault``, a mistake of the program.
        result: what it came to, where it is done.
        sentence: the reader's own words, where it refused.
        remedies: what the person can do about that (:class:`chartscan.remedies.Remedy`).
    """

    how: How
    result: Mapping[str, Any] = field(default_factory=dict)
    sentence: str = ""
    remedies: tuple[str, ...] = ()


@dataclass(frozen=True)
class Standing:
    """How far a job is: ``ahead`` of it wait so many; 0 once it is under way."""

    step: str = ""
    done: float = 0.0
    ahead: int = 0


@dataclass(eq=False)
class _Job:
    """A job while it waits and runs."""

    about: str
    told: Mapping[str, Any]
    then: Callable[[Outcome], None]
    cancelled: bool = False
    standing: Standing = field(default_factory=Standing)


class Reader:
    """Takes jobs from any thread; does them one after the other in a process of its own."""

    def __init__(self, most_memory: int) -> None:
        self._most_memory = most_memory
        self._waiting: deque[_Job] = deque()
        self._running: _Job | None = None
        self._process: subprocess.Popen[str] | None = None
        self._closed = False
        self._wake = threading.Condition()
        self._thread = threading.Thread(target=self._work, name="reader", daemon=True)
        self._thread.start()

    def want(self, about: str, then: Callable[[Outcome], None], **told: object) -> None:
        """Do a job (``do=`` says which) about the chart of that id, and tell ``then`` how it went.

        ``then`` is called in the reader's own thread, or in that which cancels.
        """
        with self._wake:
            self._waiting.append(_Job(about, told, then))
            self._wake.notify()

    def standing(self, about: str) -> Standing | None:
        """How far the first job about that chart is; None where there is none."""
        with self._wake:
            if self._running is not None and self._running.about == about:
                return self._running.standing
            for place, job in enumerate(self._waiting):
                if job.about == about:
                    return Standing(ahead=place + (self._running is not None))
            return None

    @property
    def busy(self) -> bool:
        """Whether anything is under way or waits."""
        with self._wake:
            return self._running is not None or bool(self._waiting)

    def cancel(self, about: str) -> None:
        """Give up every job about that chart, the one under way too, at once."""
        with self._wake:
            given_up = [job for job in self._waiting if job.about == about]
            for job in given_up:
                self._waiting.remove(job)
            if self._running is not None and self._running.about == about:
                self._running.cancelled = True
                self._kill()
        for job in given_up:
            job.then(Outcome("cancelled"))

    def close(self) -> None:
        """End the process and take no more jobs."""
        with self._wake:
            self._closed = True
            self._kill()
            self._wake.notify()
        self._thread.join(timeout=LAST_S)

    def _kill(self) -> None:
        if self._process is not None:
            self._process.kill()

    # ------------------------------------------------------------- the reader's thread

    def _work(self) -> None:
        while True:
            process = self._alive()
            with self._wake:
                while not self._waiting and not self._closed:
                    self._wake.wait()
                if self._closed:
                    break
                job = self._running = self._waiting.popleft()
            if process.poll() is not None:  # it was killed while it had nothing to do
                process = self._alive()
            outcome = self._run(process, job)
            with self._wake:
                self._running = None
            job.then(outcome)
        _bury(process)

    def _alive(self) -> subprocess.Popen[str]:
        """The process; a new one where it has ended."""
        if self._process is not None and self._process.poll() is None:
            return self._process
        if self._process is not None:
            _bury(self._process)
        with self._wake:
            self._process = _start(self._most_memory)
            if self._closed:
                self._kill()
            return self._process

    def _run(self, process: subprocess.Popen[str], job: _Job) -> Outcome:
        """Send one job and hear it out."""
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            process.stdin.write(json.dumps({"job": id(job), **job.told}) + "\n")
            process.stdin.flush()
            for line in process.stdout:
                told = json.loads(line)
                if told.get("job") != id(job):
                    continue  # the word that it is ready
                if "step" not in told:
                    return _outcome(told)
                job.standing = Standing(told["step"], told["done"])
        except (OSError, ValueError):
            pass  # it went away while it was spoken to
        process.kill()
        process.wait()
        return Outcome("cancelled" if job.cancelled or self._closed else "killed")


def _bury(process: subprocess.Popen[str]) -> None:
    """Wait for a process that is ending, and let its pipes go."""
    process.kill()
    process.wait()
    for stream in (process.stdin, process.stdout):
        if stream is not None:
            with contextlib.suppress(OSError):  # what wasn't sent is lost with it
                stream.close()


def _outcome(told: Mapping[str, Any]) -> Outcome:
    if "result" in told:
        return Outcome("done", told["result"])
    if "error" in told:
        return Outcome("refused", sentence=told["error"], remedies=tuple(told["remedies"]))
    return Outcome("short" if told.get("short") else "fault", sentence=told.get("fault", ""))


def _start(most_memory: int) -> subprocess.Popen[str]:
    """A new process. Nothing in the folder the table was started from is ever imported (-P)."""
    place = str(Path(chartscan.__file__).parent.parent)
    known = os.environ.get("PYTHONPATH")
    return subprocess.Popen(
        [sys.executable, "-P", "-m", "chartscan.worktable.worker", str(most_memory)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": f"{place}{os.pathsep}{known}" if known else place},
        start_new_session=True,  # Ctrl-C goes to the table, which ends it
        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),  # the same for Windows
    )
