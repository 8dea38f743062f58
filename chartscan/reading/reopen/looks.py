"""What cells look like against each other: candidates for a cell, likeness and split of classes.

Cells are points in a space in which the cells of one class scatter alike in all directions, by one
unit: the page's own noise.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.chart.kinds import RGB
from chartscan.colour import ciede2000, lab_to_srgb, round_rgb
from chartscan.reading.cells.sampling import rim_places
from chartscan.reading.classes.appearance import AppearanceSettings, looks_of
from chartscan.reading.classes.cluster import means_of, principal_axes
from chartscan.reading.classes.spread import USUAL
from chartscan.reading.reopen.reopened import Reopened

Points = NDArray[np.float64]
Labels = NDArray[np.intp]


@dataclass(frozen=True)
class LookSettings:
    """How cells are compared.

    Attributes:
        appearance: how they are looked at, as in reading.
        dimensions: principal components kept.
        rounds: rounds of dividing a class in two; it settles in a few.
    """

    appearance: AppearanceSettings = AppearanceSettings()
    dimensions: int = 24
    rounds: int = 12


@dataclass(frozen=True)
class Candidate:
    """A class that a cell may be of, and how likely it is, 0 to 1."""

    class_index: int
    chance: float


@dataclass(frozen=True)
class Likeness:
    """How alike two classes look.

    Attributes:
        separation: distance of their means in units of the page's noise; from some 8 on, two
            classes share no cell.
        delta_e: CIEDE2000 of the grounds of their cells.
        astray: share of the cells of both that look more like the other.
    """

    separation: float
    delta_e: float
    astray: float


@dataclass(frozen=True)
class Halves:
    """A class divided in two by what its cells look like.

    Attributes:
        cells: (row, column) of the smaller half.
        separation: distance of the two means in units of the noise within them.
        colours: sRGB of the ground of the larger and of the smaller half.
    """

    cells: tuple[tuple[int, int], ...]
    separation: float
    colours: tuple[RGB, RGB]


class Looks:
    """Every cell of a reopened chart as a point, and the mean of every class."""

    def __init__(self, opened: Reopened, settings: LookSettings = LookSettings()) -> None:
        self._opened = opened
        self._settings = settings
        self.chart: Chart = opened.chart
        self.labels: Labels = opened.chart.cells.ravel().astype(np.intp)

    @cached_property
    def _space(self) -> tuple[Points, Points]:
        """Points of all cells, noise scaled to one, and the CIELAB of their grounds."""
        settings, lab = self._settings, self._opened.patches
        points = looks_of(lab, settings.appearance.blur).points
        axes = principal_axes(points, settings.dimensions)
        points = (points - points.mean(axis=0)) @ axes
        off = points - means_of(points, _dense(self.labels))[_dense(self.labels)]
        size = np.linalg.norm(off, axis=1)
        near = off[size <= np.quantile(size, USUAL)]
        values, turn = np.linalg.eigh(near.T @ near / max(1, len(near) - 1))
        white = points @ (turn / np.sqrt(np.maximum(values, settings.appearance.quiet**2)))
        ground = np.median(lab[:, :, rim_places(lab.shape[2])], axis=2).reshape(-1, 3)
        return np.asarray(white), ground.astype(np.float64)

    def candidates(self, row: int, column: int, most: int = 5) -> tuple[Candidate, ...]:
        """Classes that a cell may be of, the likeliest first; it has no say in its own class.

        Noise is taken to be normal and the same in all directions, as they are scaled; a larger
        class is the likelier by its size.
        """
        points, _ = self._space
        cell = row * self.chart.columns + column
        own = self.labels[cell]
        used, dense = np.unique(self.labels, return_inverse=True)
        number = np.bincount(dense).astype(np.float64)
        means = means_of(points, dense)
        place = int(np.searchsorted(used, own))
        if number[place] > 1:
            means[place] += (means[place] - points[cell]) / (number[place] - 1)
        number[place] -= 1
        apart = ((means - points[cell]) ** 2).sum(axis=1)
        usual = max(float(np.median(self._own_squares)), 1e-9)
        says = -apart / usual * points.shape[1] / 2 + np.log(number + 1)
        chance = np.exp(says - says.max())
        chance /= chance.sum()
        order = np.argsort(-chance, kind="stable")[:most]
        return tuple(Candidate(int(used[i]), float(chance[i])) for i in order)

    @cached_property
    def _own_squares(self) -> Points:
        points, _ = self._space
        dense = _dense(self.labels)
        return np.asarray(((points - means_of(points, dense)[dense]) ** 2).sum(axis=1))

    def likeness(self, first: int, second: int) -> Likeness:
        """How alike two classes that fill cells look; ValueError where one fills none."""
        points, ground = self._space
        a, b = (points[self._of(index)] for index in (first, second))
        apart = b.mean(axis=0) - a.mean(axis=0)
        separation = float(np.linalg.norm(apart))
        middle = (a.mean(axis=0) + b.mean(axis=0)) / 2
        astray = ((a - middle) @ apart > 0).sum() + ((b - middle) @ apart < 0).sum()
        one, other = (np.median(ground[self._of(index)], axis=0) for index in (first, second))
        return Likeness(separation, float(ciede2000(one, other)), float(astray / (len(a) + len(b))))

    def halves(self, index: int) -> Halves:
        """A class divided in two where its cells differ most; ValueError where it has one cell."""
        points, ground = self._space
        cells = self._of(index)
        mine = points[cells]
        if len(mine) < 2:
            raise ValueError(f"class {index} has no two cells")
        inside = mine - mine.mean(axis=0)
        side = inside @ np.linalg.svd(inside, full_matrices=False)[2][0] > 0
        for _ in range(self._settings.rounds):
            if side.all() or not side.any():
                break
            ends = mine[side].mean(axis=0), mine[~side].mean(axis=0)
            nearer = (mine - (ends[0] + ends[1]) / 2) @ (ends[0] - ends[1]) > 0
            if np.array_equal(nearer, side):
                break
            side = nearer
        if side.sum() * 2 > len(side):
            side = ~side
        if not side.any():
            raise ValueError(f"the cells of class {index} all look the same")
        return self._halves(cells, mine, side, ground)

    def _halves(
        self, cells: Labels, mine: Points, side: NDArray[np.bool_], ground: Points
    ) -> Halves:
        larger, smaller = mine[~side], mine[side]
        apart = smaller.mean(axis=0) - larger.mean(axis=0)
        distance = float(np.linalg.norm(apart))
        along = [part @ apart / max(distance, 1e-9) for part in (larger, smaller)]
        scatter = float(np.sqrt(np.mean(np.concatenate([x - x.mean() for x in along]) ** 2)))
        colours = [
            round_rgb(np.clip(lab_to_srgb(np.median(ground[cells[part]], axis=0)), 0, 255))
            for part in (~side, side)
        ]
        places = np.stack(np.divmod(cells[side], self.chart.columns), axis=-1)
        return Halves(
            tuple((int(r), int(c)) for r, c in places),
            distance / max(scatter, 1e-9),
            (colours[0], colours[1]),
        )

    def _of(self, index: int) -> Labels:
        """Numbers of the cells of a class, row by row."""
        cells = np.flatnonzero(self.labels == index)
        if not cells.size:
            raise ValueError(f"class {index} fills no cell")
        return cells


def _dense(labels: Labels) -> Labels:
    """Labels without gaps."""
    return np.unique(labels, return_inverse=True)[1]
