"""Going to the nearest that isn't done yet, in time n log n."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

FEW = 300  # points up to which all distances are taken; a tree would take longer to load
AT_ONCE = 12  # nearest ones that are looked up for all points together
OFTEN = 0.5  # share of the points that is done when the others are looked up anew


class Neighbours:
    """Looks up the nearest of ``points``, shape (n, d)."""

    def __init__(self, points: Floats) -> None:
        self.points = points
        self._tree: cKDTree | None = None
        if len(points) > FEW:
            from scipy.spatial import cKDTree

            self._tree = cKDTree(points)

    def nearest(self, some: Floats, number: int) -> Ints:
        """The ``number`` nearest to each of ``some``, nearest first: indices, shape (m, number).

        Fewer where there aren't as many points.
        """
        number = min(number, len(self.points))
        if self._tree is None:
            away = np.linalg.norm(some[:, None, :] - self.points[None, :, :], axis=-1)
            order: Ints = np.argsort(away, axis=1, kind="stable")
            return order[:, :number]
        _, found = self._tree.query(some, k=number)
        return np.asarray(found, dtype=np.int64).reshape(len(some), number)


class Undone:
    """Points, shape (n, d), that are still to be gone to, and which of them is nearest."""

    def __init__(self, points: Floats) -> None:
        self.points = points
        self.places = [tuple(point) for point in points.tolist()]
        self.done = bytearray(len(points))
        self._left, self._gone = np.arange(len(points)), 0
        self._look_up()

    def finish(self, point: int) -> None:
        """Tick ``point`` off."""
        self._gone += not self.done[point]
        self.done[point] = 1

    def nearest(self, place: tuple[float, ...], beside: int) -> int:
        """The point nearest to ``place`` that isn't done, or −1 where all are.

        A point at the very place is taken only where there is no other, since a thread that comes
        up through the hole it went down by undoes its stitch.

        Args:
            place: where the needle is.
            beside: a point at that place, whose neighbours are tried first.
        """
        for point in self._near.get(beside, ()):
            if not self.done[point] and self.places[point] != place:
                return point
        if self._gone >= OFTEN * len(self._left):
            self._look_up()
        if not self._left.size:
            return -1
        number, here = AT_ONCE, np.array([place])
        while True:
            found = self._left[self._neighbours.nearest(here, number)[0]].tolist()
            undone = [point for point in found if not self.done[point]]
            elsewhere = [point for point in undone if self.places[point] != place]
            if elsewhere:
                return int(elsewhere[0])
            if number >= len(self._left):
                return int(undone[0]) if undone else -1
            number *= 4

    def _look_up(self) -> None:
        """Find the neighbours of all points that aren't done, among themselves."""
        done = np.frombuffer(bytes(self.done), dtype=np.uint8)
        self._left, self._gone = np.nonzero(done == 0)[0], 0
        self._near: dict[int, list[int]] = {}
        if self._left.size:
            some = self.points[self._left]
            self._neighbours = Neighbours(some)
            found = self._left[self._neighbours.nearest(some, AT_ONCE)]
            self._near = dict(zip(self._left.tolist(), found.tolist(), strict=True))
