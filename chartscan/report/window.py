"""The window that lists are printed to: how wide it is, and whether it shows colours truly.

What ``rich`` would say, without loading it where there is no window or no colour in it: that takes
longer than most looks into the stash.
"""

from __future__ import annotations

import contextlib
import os
import sys

from chartscan.report.terminal import MIN_WIDTH

USUAL_WIDTH = 80  # columns of what is no window
TRUE = ("truecolor", "24bit")  # what COLORTERM says where 24 bits of colour are shown


def window_width() -> int:
    """Columns of the window, or as ``COLUMNS`` tells; 80 where there is none; 40 at least."""
    told = os.environ.get("COLUMNS", "")
    if told.isdecimal() and int(told):
        return max(int(told), MIN_WIDTH)
    for stream in (sys.stdout, sys.stderr, sys.stdin):
        with contextlib.suppress(OSError, ValueError):
            columns = os.get_terminal_size(stream.fileno()).columns
            return max(columns or USUAL_WIDTH, MIN_WIDTH)
    return USUAL_WIDTH


def shows_true_colour() -> bool:
    """Whether what is printed is seen in exact colours."""
    forced = os.environ.get("FORCE_COLOR")
    if not forced and not sys.stdout.isatty():
        return False
    told = os.environ.get("COLORTERM", "").strip().lower() in TRUE
    if os.environ.get("NO_COLOR") or (os.name != "nt" and not told):
        return False
    from chartscan.report.terminal import console, true_colour

    return true_colour(console())
