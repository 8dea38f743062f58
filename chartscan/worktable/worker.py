"""The reader's own process: ``python -m chartscan.worktable.worker``, driven by lines of JSON.

It takes one job at a time on standard input and answers on standard output::

    {"job": 7, "do": "read", "folder": …, …}    ─►
                                                ◄─  {"job": 7, "step": "reading", "done": 0.4}
                                                ◄─  {"job": 7, "result": {…}}
                                              or    {"job": 7, "error": "why", "remedies": […]}

It ends when standard input does, so that it never outlives the table, however that ends. Whatever
a file does to the decoder (its memory is capped), the table itself stays as it is.
"""

from __future__ import annotations

import contextlib
import json
import os
import sys
import threading
import time
from collections.abc import Callable
from queue import SimpleQueue
from typing import Any, TextIO

from chartscan.errors import ChartscanError
from chartscan.tasks.pictures import load_reader
from chartscan.worktable.jobs import JOBS

PROGRESS_S = 0.1  # between two words on how far it is: the page asks no oftener
PATIENCE = 5  # niceness: the page and the person's other programs go first

Send = Callable[[dict[str, Any]], None]


def main(most_memory: int) -> None:
    """Do jobs until standard input ends; never returns."""
    lines: SimpleQueue[str] = SimpleQueue()
    answers = _own_output()
    _cap(most_memory)
    with contextlib.suppress(AttributeError, OSError):
        os.nice(PATIENCE)
    threading.Thread(target=_listen, args=(sys.stdin, lines), daemon=True).start()

    def send(told: dict[str, Any]) -> None:
        answers.write(json.dumps(told) + "\n")
        answers.flush()

    load_reader()  # while nobody waits for it
    send({"ready": True})
    while True:
        _do(json.loads(lines.get()), send)


def _listen(stream: TextIO, lines: SimpleQueue[str]) -> None:
    """Hand lines on; when there are no more, end at once, in the midst of a job too."""
    for line in stream:
        lines.put(line)
    os._exit(0)


def _do(told: dict[str, Any], send: Send) -> None:
    """Do one job and say how it went."""
    job = told.pop("job")
    last = 0.0

    def progress(step: str, done: float) -> None:
        nonlocal last
        if time.monotonic() - last >= PROGRESS_S:
            last = time.monotonic()
            send({"job": job, "step": step, "done": round(done, 3)})

    try:
        send({"job": job, "result": JOBS[told.pop("do")](progress, **told)})
    except ChartscanError as error:
        remedies = list(error.remedies)
        send({"job": job, "error": " ".join(str(error).split()), "remedies": remedies})
    except MemoryError:
        send({"job": job, "short": True})
    except Exception as error:  # noqa: BLE001 - whatever a file does to a decoder
        send({"job": job, "fault": f"{type(error).__name__}: {error}"})


def _own_output() -> TextIO:
    """Standard output for answers alone: what a library prints goes to standard error."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    return answers


def _cap(most_memory: int) -> None:
    """Let a request for more memory than that fail; on Windows there is the limit of pixels."""
    try:
        import resource
    except ImportError:
        return
    # Private memory where the system counts it (Linux), else all that is mapped.
    kind = resource.RLIMIT_DATA if sys.platform == "linux" else resource.RLIMIT_AS
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(kind, (most_memory, most_memory))


if __name__ == "__main__":
    main(int(sys.argv[1]))
