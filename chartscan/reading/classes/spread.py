"""How looks scatter: along the directions in which they differ most, in units of the noise."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.appearance import AppearanceSettings
from chartscan.reading.classes.cluster import means_of, principal_axes
from chartscan.reading.classes.looks import Looks

USUAL = 0.9  # part of the cells that differ by noise alone; the rest may be of another class

Labels = NDArray[np.intp]
Points = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Spread:
    """Looks of cells, and as points of a few coordinates.

    Attributes:
        looks: what the cells look like.
        settings: how cells are looked at.
        axes: the directions in which they differ most, shape (d, k).
        points: the looks along those, from their mean, shape (n, k).
    """

    looks: Looks
    settings: AppearanceSettings
    axes: Points
    points: Points

    @staticmethod
    def of(looks: Looks, settings: AppearanceSettings) -> Spread:
        """How ``looks`` scatter."""
        axes = principal_axes(looks.points, settings.dimensions)
        points = (looks.points - looks.points.mean(axis=0)) @ axes
        return Spread(looks, settings, axes, points)

    @cached_property
    def noise(self) -> Points:
        """A first idea of the noise: how each point differs from the one most like it."""
        settings = self.settings
        some = np.random.default_rng(0).permutation(len(self.points))[: settings.looked_at]
        part = self.points[some]
        squares = (part**2).sum(axis=1)
        distance = (-2 * part).astype(np.float32) @ part.T.astype(np.float32)
        distance += squares.astype(np.float32)  # but for what is the same along each row
        np.fill_diagonal(distance, np.inf)
        step = part - part[distance.argmin(axis=1)]
        size = np.linalg.norm(step, axis=1)
        step = step[size <= np.quantile(size, USUAL)]
        return np.asarray(step.T @ step * (settings.nearer / (2 * len(step))), dtype=np.float64)

    def within(self, labels: Labels) -> Points:
        """The noise as cells of one group differ, their lattice's lying aside included."""
        off = self.points - means_of(self.points, labels)[labels]
        size = np.linalg.norm(off, axis=1)
        near = off[size <= np.quantile(size, USUAL)]
        degrees = max(1, len(near) - int(labels.max()) - 1)
        return np.asarray(near.T @ near / degrees + self._shaken(labels), dtype=np.float64)

    def apart(self, labels: Labels) -> Points:
        """The same where groups might be two classes: as cells most like each other differ."""
        return self.noise + self._shaken(labels)

    def whitened(self, scatter: Points) -> Points:
        """The cells as points that noise of that covariance scatters by one unit each way."""
        return np.asarray(self.points @ self.scaling(scatter), dtype=np.float64)

    def scaling(self, scatter: Points) -> Points:
        """What points are multiplied by for that, shape (k, k)."""
        values, axes = np.linalg.eigh(scatter)
        return np.asarray(axes / np.sqrt(np.maximum(values, self.settings.quiet**2)))

    def slopes(self, labels: Labels, beside: float) -> Points:
        """How the mean of each group changes as it lies so far beside, in cells: (groups, k, 2)."""
        looks = self.looks
        means = means_of(looks.points, labels)[:, : looks.inked]
        ink = means.reshape(-1, looks.side, looks.side)
        step = beside * looks.side / (1 - 2 * self.settings.inset)
        slopes = np.stack([np.gradient(ink, axis=axis) for axis in (1, 2)], axis=1) * step
        change = slopes.reshape(len(means), 2, -1) @ self.axes[: looks.inked]
        return np.asarray(change.swapaxes(1, 2), dtype=np.float64)

    def _shaken(self, labels: Labels) -> Points:
        """What a lattice adds that lies a little beside the cells, for what each group holds."""
        number = np.bincount(labels)
        change = self.slopes(labels, self.settings.shaken)
        change = change * np.sqrt(number / number.sum())[:, None, None]
        change = change.swapaxes(1, 2).reshape(-1, change.shape[1])
        return np.asarray(change.T @ change, dtype=np.float64)
