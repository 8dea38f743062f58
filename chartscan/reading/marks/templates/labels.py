"""Each cell by the template it is least off; under lines by what they leave to be seen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.templates.crossing import blended
from chartscan.reading.marks.templates.flat import Cells, Flat
from chartscan.reading.marks.templates.template import Template, inside_of, off_samples, off_share


@dataclass(frozen=True)
class LabelSettings:
    """When a cell might as well be another class.

    Attributes:
        close: how much less of the cell must be off the first template than off the next: this
            times what alike cells are off, and a share beside.
    """

    close: tuple[float, float] = (0.5, 0.003)


@dataclass(frozen=True, eq=False)
class Labels:
    """Which template each cell shows.

    Attributes:
        which: number of the template, shape (n,).
        off: part of the cell's inner samples off it, shape (n,).
        ahead: how much more is off the next template, shape (n,).
    """

    which: Cells
    off: NDArray[np.float64]
    ahead: NDArray[np.float64]

    def tied(self, flat: Flat, settings: LabelSettings = LabelSettings()) -> Mask:
        """Cells that might as well be of another class, shape (n,)."""
        share, more = settings.close
        return np.asarray(self.ahead <= share * flat.alike + more, dtype=np.bool_)


def label_cells(flat: Flat, templates: list[Template]) -> Labels:
    """The template that each cell is least off."""
    every = inside_of(flat, np.arange(len(flat.cells)))
    return _least(np.stack([off_share(flat, every, t) for t in templates], axis=1))


def _least(off: NDArray[np.float64]) -> Labels:
    """Labels from the share of each cell (n, templates) that is off each template."""
    which = off.argmin(axis=1)
    least = off[np.arange(len(off)), which]
    ahead = np.ones(len(off))
    if off.shape[1] > 1:
        ahead = np.partition(off, 1, axis=1)[:, 1] - least
    return Labels(which, least, ahead)


def label_under(
    flat: Flat,
    templates: list[Template],
    plain: Labels,
    over: Mask,
    inks: NDArray[np.float64],
    settings: LabelSettings = LabelSettings(),
) -> Labels:
    """The same where marks lie ``over`` samples (n, side, side), drawn in ``inks`` (m, 3).

    A sample under a mark counts as off only where it is no blend of the template with an ink:
    leaving it out would hide whole cells under wide lines, and ties would go to bare ground.
    """
    touched = np.flatnonzero(over[:, flat.inner].any(axis=1))
    if not len(touched):
        return plain
    off = np.stack(
        [_off_under(flat, touched, template, over, inks) for template in templates], axis=1
    )
    some = _least(off)
    which, least, ahead = plain.which.copy(), plain.off.copy(), plain.ahead.copy()
    which[touched], least[touched], ahead[touched] = some.which, some.off, some.ahead
    result = Labels(which, least, ahead)
    share, more = settings.close
    tied = off <= some.off[:, None] + share * flat.alike + more
    return _by_neighbours(flat, result, touched, tied, settings)


def _off_under(
    flat: Flat, cells: Cells, template: Template, over: Mask, inks: NDArray[np.float64]
) -> NDArray[np.float64]:
    inner = flat.inner
    seen, below = flat.cells[cells][:, inner], template.picture[inner]
    off = off_samples(flat, cells, template)
    cell, sample = np.nonzero(off & over[cells][:, inner])
    good = blended(flat, below[sample], seen[cell, sample], inks)
    off[cell[good], sample[good]] = False
    result: NDArray[np.float64] = off.mean(axis=1)
    return result


def _by_neighbours(
    flat: Flat, labels: Labels, touched: Cells, tied: Mask, settings: LabelSettings
) -> Labels:
    """A cell that shows nothing of itself is what most of its eight neighbours are."""
    rows, columns = flat.shape
    unsure = labels.tied(flat, settings)
    which = labels.which.copy()
    sure = ~unsure.reshape(rows, columns)
    grid = labels.which.reshape(rows, columns)
    for place in np.flatnonzero(unsure[touched]):
        row, column = divmod(int(touched[place]), columns)
        around = np.s_[max(0, row - 1) : row + 2, max(0, column - 1) : column + 2]
        votes = grid[around][sure[around]]
        votes = votes[tied[place][votes]]
        if len(votes):
            which[touched[place]] = np.bincount(votes).argmax()
    return Labels(which, labels.off, labels.ahead)
