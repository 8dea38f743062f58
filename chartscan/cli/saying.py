"""Saying something on the terminal: whatever a name holds, it can't steer the screen."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from chartscan.plaintext import harmless

if TYPE_CHECKING:
    from chartscan.report.listing import Cell, Column


def say(text: str = "", *, err: bool = False) -> None:
    """Print ``text``, line by line, without control characters and marks of direction.

    In a window a longer line goes on below, from a whole word or number; a file gets it as it is. A
    path stays whole, to be copied.
    """
    width = _window(err=err)
    for line in text.split("\n"):
        told = harmless(line)
        click.echo(told if width is None or len(told) <= width else _folded(told, width), err=err)


def _window(*, err: bool) -> int | None:
    """Columns of the window that is printed to, or that ``COLUMNS`` tells; None where none is."""
    stream = sys.stderr if err else sys.stdout
    if not os.environ.get("COLUMNS", "").isdecimal() and not stream.isatty():
        return None
    from chartscan.report.window import window_width

    return window_width()


def _folded(line: str, width: int) -> str:
    from chartscan.report.listing import fold

    words = line.lstrip()
    begin = " " * (len(line) - len(words))
    first, *rest = fold(words, width - len(begin) - len(FURTHER), cut=False)
    return "\n".join([begin + first, *(begin + FURTHER + more for more in rest)])


FURTHER = "  "  # before what goes on in a further line


def say_list(columns: Sequence[Column], rows: Sequence[Sequence[Cell]]) -> None:
    """Print a list as wide as the terminal is (:mod:`chartscan.report.listing`)."""
    from chartscan.report.listing import list_lines
    from chartscan.report.window import window_width

    if rows:
        click.echo("\n".join(list_lines(columns, rows, window_width())))


def somebody_there() -> bool:
    """Whether a person sits at both ends and can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()
