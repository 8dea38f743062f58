"""Ctrl-C in an orderly way: what is half-written is taken back, and the exit status is 130.

Where the system has a clock that raises a signal (SIGALRM: Linux, macOS), that one tries Ctrl-C
again; elsewhere a thread does.
"""

from __future__ import annotations

import _thread  # built in: in the midst of an import nothing else may be loaded
import signal
import time
from types import FrameType

LOADING_S = 0.02  # until Ctrl-C is tried again where a module is being loaded
SWALLOWED_S = 2.0  # until it is tried again where it was raised and led to nothing


class Interrupt(BaseException):
    """Ctrl-C. Not a KeyboardInterrupt, which click answers with an empty line of its own."""


def watch() -> None:
    """Raise :class:`Interrupt` on Ctrl-C from now on."""
    for number in _signals():
        signal.signal(number, _raise)


def ignore() -> None:
    """Let Ctrl-C do nothing from now on: the work is done, or being ended."""
    for number in _signals():
        signal.signal(number, signal.SIG_IGN)


def _signals() -> tuple[int, ...]:
    """Ctrl-C's signal and, where there is one, the clock's."""
    clock = getattr(signal, "SIGALRM", None)
    return (signal.SIGINT,) if clock is None else (signal.SIGINT, clock)


def _raise(_number: int, frame: FrameType | None) -> None:
    """Raise, but not within an import: compiled modules make an ImportError of it there.

    It is tried again later. That also serves where it was raised in a finaliser, which Python
    lets nobody hear of.
    """
    loading = _is_loading(frame)
    _try_again(LOADING_S if loading else SWALLOWED_S)
    if not loading:
        raise Interrupt


def _try_again(after_s: float) -> None:
    clock = getattr(signal, "setitimer", None)
    if clock is None:
        _thread.start_new_thread(_raise_later, (after_s,))
    else:
        clock(signal.ITIMER_REAL, after_s)


def _raise_later(after_s: float) -> None:
    time.sleep(after_s)
    signal.raise_signal(signal.SIGINT)


def _is_loading(frame: FrameType | None) -> bool:
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False
