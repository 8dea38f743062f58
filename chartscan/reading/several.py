"""Several pages of one chart: what is told of one among them, and where their reading ended."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from chartscan.errors import GridError
from chartscan.remedies import Remedy

if TYPE_CHECKING:
    from chartscan.reading.evidence import Evidence

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class PageTold:
    """What is told of one page; None where it is as for all of them.

    Attributes:
        size: columns and rows of the grid on this page.
        corners: its outermost corners in px of the page, upright and turned.
        turn: degrees clockwise by which it is turned before it is read.
    """

    size: tuple[int, int] | None = None
    corners: Corners | None = None
    turn: int | None = None


class PagesRefused(GridError):
    """A page has no grid that can be believed, or the pages don't fit together.

    Attributes:
        place: which page, from 0 in reading order; None where they don't fit together.
        read: the pages that were read before that, in order.
    """

    def __init__(
        self,
        reason: str = "",
        *remedies: Remedy,
        place: int | None = None,
        read: Sequence[Evidence] = (),
    ) -> None:
        super().__init__(reason, *remedies)
        self.place = place
        self.read = tuple(read)


def refused(error: GridError, place: int | None, read: Sequence[Evidence]) -> PagesRefused:
    """A refusal with the page that it is about, and the pages that were read before it."""
    return PagesRefused(str(error), *error.remedies, place=place, read=read)
