"""How alike cells look, whatever the noise: their glyphs, also a little aside, and grounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.usual import FEW
from chartscan.reading.filters import squared

Points = NDArray[np.float64]
Flags = NDArray[np.bool_]
Places = NDArray[np.intp]
Sizes = NDArray[np.intp]
Glyphs = tuple[Points, Points, Points]
"""Inks of k glyphs and their slopes down and across, each as rows (k, n · n)."""


@dataclass(frozen=True)
class Looks:
    """Points as they look, not scaled by noise: for clusters too small to show theirs.

    Attributes:
        points: shape (n, d), in one unit.
        inked: how many of the first coordinates are ink, nought where there is none; they are the
            places of a square, row by row.
        near: difference of two looks, as a part of their ink, below which clusters of few cells are
            one glyph.
        equal: difference, in the unit of the points per place along a side, that is none.
        coded: the same for grounds, which the file's coding may have made unlike.
        beside: how far beside each other two like glyphs may sit, as a part of the square.
    """

    points: Points
    inked: int
    near: float = 0.33
    equal: float = 1.0
    coded: float = 0.0
    beside: float = 0.15

    @property
    def side(self) -> int:
        """Places along a side of the square."""
        return round(float(np.sqrt(self.inked)))

    def sloped(self, means: Points) -> Points:
        """Mean looks (k, d) and, after them, the slopes of their inks down and across."""
        _, down, across = _with_slopes(means[:, : self.inked].reshape(-1, self.side, self.side))
        return np.concatenate([means, down, across], axis=1)

    def alike(self, means: Points, ones: Places, others: Places, smaller: Sizes) -> Flags:
        """Which mean looks (m) are the glyph of which others (k), on the same ground: (m, k).

        A glyph moved a little differs by its gradient (the tangent distance of Simard, LeCun and
        Denker, 1993); that much is taken off.

        Args:
            means: mean looks, :meth:`sloped`.
            ones: rows of these.
            others: rows that they are held against.
            smaller: size of the smaller cluster of each pair, shape (m, k).
        """
        inks = means[:, : self.inked]
        amount = np.sqrt(np.vecdot(inks, inks))
        grounds = means[:, self.inked : self.points.shape[1]]
        ink = np.maximum(amount[ones][:, None], amount[others])
        near = np.maximum(self.near * ink * (smaller <= FEW), self.equal * self.side)
        ground = np.sqrt(squared(grounds[others] - grounds[ones][:, None]))
        ground[ground <= self.coded * self.side] = 0.0
        found: Flags = ground <= near
        some, here = np.flatnonzero(found.any(axis=1)), np.flatnonzero(found.any(axis=0))
        if some.size:
            both = np.ix_(some, here)
            found[both] &= self._one_glyph(
                means[ones[some]], means[others[here]], near[both], ground[both]
            )
        return found

    def unlike(self, ink: Points, pairs: NDArray[np.intp]) -> Points:
        """How much the inks (k, places) of each pair differ but for sitting a little aside.

        Args:
            ink: mean inks.
            pairs: two rows of ``ink`` each, shape (n, 2).

        Returns:
            Shape (n,).
        """
        glyphs = ink.reshape(-1, self.side, self.side)
        off = np.zeros(len(pairs))
        for one in np.unique(pairs[:, 0]):
            here = np.flatnonzero(pairs[:, 0] == one)
            other = _with_slopes(glyphs[pairs[here, 1]])
            off[here] = self._beside(_with_slopes(glyphs[one : one + 1]), other)[0]
        return off

    def _one_glyph(self, ones: Points, others: Points, near: Points, ground: Points) -> Flags:
        """Which looks differ by no more than ``near``, their grounds included: (m, k)."""
        off = self._beside(self._glyphs(ones), self._glyphs(others))
        return np.asarray(np.hypot(off, ground) <= near, dtype=np.bool_)

    def _glyphs(self, looks: Points) -> Glyphs:
        """Inks and slopes of looks that are :meth:`sloped`."""
        start = self.points.shape[1]
        ink, down = looks[:, : self.inked], looks[:, start : start + self.inked]
        return ink, down, looks[:, start + self.inked :]

    def _beside(self, ones: Glyphs, others: Glyphs) -> Points:
        """How much m glyphs and k others differ but for sitting a little aside: (m, k).

        By scalar products of glyphs and of their slopes: the slope of a mean is the mean slope.
        """
        (x, x_d, x_a), (y, y_d, y_a) = ones, others
        # Of the difference x − y, and of the slopes of the mean of both, twice as steep.
        whole = _own(x, x)[:, None] + _own(y, y) - 2 * x @ y.T
        dd, da, aa = (
            (_own(p, q)[:, None] + _own(r, s) + p @ s.T + q @ r.T) / 4
            for p, q, r, s in (
                (x_d, x_d, y_d, y_d),
                (x_d, x_a, y_d, y_a),
                (x_a, x_a, y_a, y_a),
            )
        )
        pull_d, pull_a = (
            (_own(p, x)[:, None] - _own(r, y) - p @ y.T + x @ r.T) / 2
            for p, r in ((x_d, y_d), (x_a, y_a))
        )
        # Least squares for two unknowns; along a stripe there is but one.
        size = dd * aa - da * da
        both = size > 1e-12 * (dd + aa) ** 2
        safe = np.where(both, size, 1.0)
        lone = np.maximum(dd + aa, 1e-12)
        by_d = np.where(both, (aa * pull_d - da * pull_a) / safe, pull_d / lone)
        by_a = np.where(both, (dd * pull_a - da * pull_d) / safe, pull_a / lone)
        most = self.beside * self.side
        by_d, by_a = (np.clip(shift, -most, most) for shift in (by_d, by_a))
        left = whole - 2 * (by_d * pull_d + by_a * pull_a)
        left += by_d**2 * dd + 2 * by_d * by_a * da + by_a**2 * aa
        return np.sqrt(np.maximum(left, 0))


def _with_slopes(glyphs: Points) -> Glyphs:
    """Glyphs (k, n, n) and their slopes down and across, each as rows (k, n · n)."""
    flat = (len(glyphs), -1)
    down, across = (np.asarray(np.gradient(glyphs, axis=k)).reshape(flat) for k in (1, 2))
    return glyphs.reshape(flat), down, across


def _own(a: Points, b: Points) -> Points:
    """The scalar product of each row of two arrays (k, d) with the same row of the other."""
    return np.asarray(np.vecdot(a, b))
