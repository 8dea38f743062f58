"""Ctrl-C in an orderly way: what is half-written is taken back, and the exit status is 130."""

from __future__ import annotations

import signal
from types import FrameType

LOADING_S = 0.02  # until Ctrl-C is tried again where a module is being loaded
SWALLOWED_S = 2.0  # until it is tried again where it was raised and led to nothing


class Interrupt(BaseException):
    """Ctrl-C. Not a KeyboardInterrupt, which click answers with an empty line of its own."""


def watch() -> None:
    """Raise :class:`Interrupt` on Ctrl-C from now on."""
    signal.signal(signal.SIGALRM, _raise)
    signal.signal(signal.SIGINT, _raise)


def ignore() -> None:
    """Let Ctrl-C do nothing from now on: the work is done, or being ended."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGALRM, signal.SIG_IGN)


def _raise(_number: int, frame: FrameType | None) -> None:
    """Raise, but not within an import: compiled modules make an ImportError of it there.

    It is tried again later. That also serves where it was raised in a finaliser, which Python
    lets nobody hear of.
    """
    loading = _is_loading(frame)
    signal.setitimer(signal.ITIMER_REAL, LOADING_S if loading else SWALLOWED_S)
    if not loading:
        raise Interrupt


def _is_loading(frame: FrameType | None) -> bool:
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False
