"""What can go wrong, as one small family.

::

    ChartscanError            exit 1: what, where and what to do, in one line
    ├── PageError             a picture or PDF can't be opened or is too large
    ├── GridError             no stitch grid was found, or not a believable one
    ├── ChartError            a chart file is broken, or a chart isn't what was expected
    ├── TableError            rows of a CSV, palette or key file are wrong (all of them named)
    ├── MatchError            no thread can be found or assigned
    ├── YardageError          fabric, strands or stitches make no sense
    ├── StashError            the ledger refuses a move, or can't be opened
    ├── ArchiveError          an archive can't be read on, or its catalogue can't be opened
    └── OutputError           a result can't be written

Lower floors raise these; only ``chartscan.cli.main`` turns them into text and exit status. What can
be done about one may come as values (:class:`~chartscan.remedies.Remedy`); each face has the words.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from chartscan.remedies import Remedy

INTERRUPTED = 130
"""Exit status after Ctrl-C: 128 + SIGINT, as shells report it."""

STOPPED = "stopped; nothing is half-written"


class ChartscanError(Exception):
    """Base of the family; ``str(error)`` is one line: what is wrong, and where.

    Attributes:
        remedies: what can be done about it, where that differs between the faces.
        named: what the words of the remedies speak of, by its place in them (``name``).
    """

    exit_status = 1

    def __init__(self, reason: str = "", *remedies: Remedy, **named: str) -> None:
        super().__init__(reason)
        self.remedies = remedies
        self.named = named

    def of(self, place: object) -> Self:
        """The same, with where it is before it."""
        return type(self)(f"{place}: {self}", *self.remedies, **self.named)


class PageError(ChartscanError):
    """A picture or PDF can't be opened, is damaged, or is larger than allowed."""


class GridError(ChartscanError):
    """No stitch grid was found on a page, or none that can be believed."""


class ChartError(ChartscanError):
    """A chart file is broken, or a chart doesn't hold what was expected of it."""


class TableError(ChartscanError):
    """Rows of a CSV, palette or key file are wrong; the message names them all."""


class TableWarning(UserWarning):
    """A table was read on an assumption that whoever gave it should hear of."""


class MatchError(ChartscanError):
    """No thread can be found or assigned under the conditions given."""


class YardageError(ChartscanError):
    """Fabric, strands, margins or stitches make no sense together."""


class StashError(ChartscanError):
    """The ledger refuses a move, or can't be opened."""


class ArchiveError(ChartscanError):
    """An archive can't be read on, or its catalogue can't be opened or written."""


class OutputError(ChartscanError):
    """A result can't be written where it was asked for."""
