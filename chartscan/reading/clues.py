"""What a reading left in doubt, kept until it is asked about."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.located import Located, SizeOdds

if TYPE_CHECKING:
    from chartscan.reading.classes.classify import Classes
    from chartscan.reading.classes.ground import GroundOdds
    from chartscan.reading.classes.heaps import Heap
    from chartscan.reading.classes.sorting import Unsure
    from chartscan.reading.marks.marks import Marks


@dataclass(frozen=True, eq=False)
class Clues:
    """What one page left in doubt, by the numbers its cells were sorted into.

    Attributes:
        size: how sure the size of its grid is.
        labels: number per cell, shape (rows, columns); None where cells were read from paths.
        ground: how likely each number is bare fabric.
        paper: sRGB of the paper around the grid; None where none is seen.
        unsure: cells that might as well be of another number; None where none were looked for.
        alike: (one, other, chance) of numbers that may be one class.
        heaps: parts of numbers that may be a class of their own.
        over: (row, column) of cells with something over them that was read as nothing.
        plain: whether every cell was seen to be one colour and every grid line to run on unchanged.
    """

    size: SizeOdds = field(default_factory=SizeOdds)
    labels: NDArray[np.intp] | None = None
    ground: GroundOdds | None = None
    paper: NDArray[np.float64] | None = None
    unsure: Unsure | None = None
    alike: tuple[tuple[int, int, float], ...] = ()
    heaps: tuple[Heap, ...] = ()
    over: tuple[tuple[int, int], ...] = ()
    plain: bool = False


def clues_of(located: Located, classes: Classes, marks: Marks) -> Clues:
    """What is in doubt once a grid is found, its cells are sorted and marks are read."""
    last = classes if marks.anew is None else marks.anew
    found = last.found
    split = {(part.row, part.column) for part in marks.parts}
    return Clues(
        located.odds,
        found.labels,
        last.ground,
        last.paper,
        found.unsure,
        found.alike,
        found.heaps,
        tuple(cell for cell in marks.doubtful if cell not in split),
        marks.plain,
    )
