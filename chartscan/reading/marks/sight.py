"""Where marks can be seen, and how far samples of one colour stray, for all that look for them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SightSettings:
    """Where marks can be seen.

    Attributes:
        pitch: least pixels per cell; over smaller cells a thin line is no more than an edge.
        same: difference (0..255) up to which two samples of a lossless page are one colour.
        lossy: the same on a page that was stored with loss (noise of a JPEG of quality 80).
        per_side, inset: places along each side of a cell, and the part left out along each, where
            its fill is looked at.
        fill: difference (0..255) up to which places have one colour, noise included.
        filled: part of the places of a class that must have, for it to be a fill.
    """

    pitch: float = 7.0
    same: float = 5.0
    lossy: float = 14.0
    per_side: int = 5
    inset: float = 0.2
    fill: int = 40
    filled: float = 0.9

    def tolerance(self, *, lossless: bool) -> float:
        """Difference (0..255) up to which two samples of a page are one colour."""
        return self.same if lossless else self.lossy
