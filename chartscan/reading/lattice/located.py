"""What the search for a grid hands on: the lattice, and how sure its size is."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from chartscan.reading.lattice.model import Lattice


@dataclass(frozen=True)
class Rival:
    """Another size that the grid might have.

    Attributes:
        columns, rows: that size.
        log_odds: of its best lattice against "there is no grid here", in nats.
    """

    columns: int
    rows: int
    log_odds: float


@dataclass(frozen=True)
class SizeOdds:
    """How sure the size of a lattice is, and which others it might be.

    Attributes:
        log_odds: of the lattice against "there is no grid here", in nats; None where none were
            worked out.
        rivals: other sizes, likeliest first.
        votes: part of the scores of all lattices grown, 0 to 1, that those of this size have; 1
            where none was grown.
        decided: whether growth ended because that size needed no more proof.
        exact: whether many lines lie on the lattice to the pixel: an export, which tells its size.
    """

    log_odds: float | None = None
    rivals: tuple[Rival, ...] = ()
    votes: float = 1.0
    decided: bool = True
    exact: bool = False

    @property
    def most(self) -> float:
        """Log-odds of the likeliest size, in nats; -inf where none were worked out."""
        own = -math.inf if self.log_odds is None else self.log_odds
        return max([own, *(rival.log_odds for rival in self.rivals)])

    @property
    def margin(self) -> float | None:
        """Nats by which the size leads before the next; None where it has no rival."""
        if self.log_odds is None or not self.rivals:
            return None
        return self.log_odds - self.rivals[0].log_odds


@dataclass(frozen=True)
class NotFound:
    """Why no lattice was found: what was seen and what that lacked, as the end of a sentence."""

    reason: str


@dataclass(frozen=True)
class Located:
    """Where the grid lies on a page, and how sure its size is."""

    lattice: Lattice
    odds: SizeOdds = field(default_factory=SizeOdds)
