"""How the reader goes about it: the settings of its rooms, in one tree from ``read_page`` down."""

from __future__ import annotations

from dataclasses import dataclass

from chartscan.reading.classes.classify import ClassSettings
from chartscan.reading.lattice.locate import LocateSettings
from chartscan.reading.marks.sight import SightSettings


@dataclass(frozen=True)
class Shares:
    """Which part of reading a page is done when a step is, measured on an A4 scan of 35 megapixels.

    Attributes:
        opened: the page is decoded.
        located: its grid is found.
        sorted: its cells are sorted into classes; the rest are marks and pictures of symbols.
    """

    opened: float = 0.04
    located: float = 0.38
    sorted: float = 0.95


@dataclass(frozen=True)
class ReaderSettings:
    """The reader's own numbers; what the stitcher tells is ``ReadSettings``.

    What only hard pages need, ``GrownSettings`` and ``NoisySettings``, is loaded with its stage:
    the tree holds None for the usual numbers.

    Attributes:
        lattice: when a lattice is believed, and how straight ones are found.
        classes: how cells are sorted.
        marks: where marks can be seen.
        shares: how far reading is when a step is done.
    """

    lattice: LocateSettings = LocateSettings()
    classes: ClassSettings = ClassSettings()
    marks: SightSettings = SightSettings()
    shares: Shares = Shares()
