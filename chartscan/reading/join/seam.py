"""Where pages of one chart meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Seam:
    """Where two lines of pages meet, and how surely.

    Attributes:
        names: the first two pages along it, in words.
        what: what repeats.
        at: column (or row) of the whole at which the page after begins.
        count: how many repeat.
        share: part of the repeated cells that agree, 0 to 1.
        rival: how many repeat by the next best overlap, in words.
        rival_share: part of its cells that agree.
        told: whether shading or bold lines say how many repeat.
    """

    names: str
    what: Literal["column", "row"]
    at: int
    count: int
    share: float
    rival: str
    rival_share: float
    told: bool
