"""How much smaller a page may be made for a lattice still to be seen on it."""

from __future__ import annotations

from dataclasses import dataclass

from chartscan.reading.lattice.model import Lattice


@dataclass(frozen=True)
class FineSettings:
    """How small the page may be made.

    Attributes:
        pitch: px per cell, at most, of the reduced page that a lattice is refined on; so many tell
            where lines lie to a twentieth of a cell, and more only cost time.
    """

    pitch: float = 14.0


def fine(lattice: Lattice, settings: FineSettings = FineSettings()) -> int:
    """How many times smaller the page may be made for the lattice's lines to stay well apart."""
    factor = 1
    while min(lattice.pitch) / factor > settings.pitch:
        factor *= 2
    return factor
