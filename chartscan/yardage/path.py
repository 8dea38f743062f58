"""The road from area to area, as a needle can walk it: nearest next, then mended by exchanges.

A stretch of the road is turned round (2-opt; Croes, "A method for solving traveling-salesman
problems", Operations Research 6, 1958), or a few places are moved elsewhere in it (Or-opt; Or's
thesis, Northwestern University, 1976), as long as that shortens it. Only neighbours are tried, so
that time goes about as n log n. Every road that comes out can be walked; the very shortest can't be
had in such time, see ``tests/yardage/test_path.py`` for how near it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from chartscan.yardage.nearest import Neighbours, Undone
from chartscan.yardage.places import NOWHERE, Ints, Measure, Places

TURN = 0  # kinds of exchange: below 2 a stretch is turned, from 2 on places are moved
MOVE = 2


@dataclass(frozen=True)
class PathSettings:
    """How far the road is mended.

    Attributes:
        neighbours: places that each is tried beside; on 12 drawn colours the road came out up to
            2.6 % above the best of 80 tries, with 6 up to 3.8 %, with 14 up to 1.6 %.
        longest: places that are moved at once, at most; 3 is Or's figure.
        rounds: rounds at most; the last gain next to nothing.
        worth_mm: what an exchange must gain.
    """

    neighbours: int = 8
    longest: int = 3
    rounds: int = 10
    worth_mm: float = 0.05


def walk(places: Places, settings: PathSettings = PathSettings()) -> Ints:
    """The order in which ``places`` are visited, shape (n,), one group after the other."""
    if places.number == 0:
        return np.zeros(0, dtype=np.int64)
    order = nearest_next(places)
    if places.number < 3:
        return order
    points = places.points_mm
    near = Neighbours(points).nearest(points, settings.neighbours + 1)[:, 1:]
    look = np.arange(places.number)
    for _ in range(settings.rounds):
        exchanges = _Search(places, order, near[look], look, settings).best()
        touched = _Row(places, order, settings).exchange(exchanges)
        if not touched:
            break
        moved = np.unique(touched)
        look = np.unique(np.concatenate([moved, near[moved].ravel()]))
    return order


def nearest_next(places: Places) -> Ints:
    """From each place on to the nearest of its group not yet visited."""
    undone = Undone(places.points_mm)
    _, starts, left = np.unique(places.group, return_index=True, return_counts=True)
    order: list[int] = []
    for start, number in zip(starts.tolist(), left.tolist(), strict=True):
        here = start
        order.append(here)
        undone.finish(here)
        for _ in range(number - 1):
            here = undone.nearest(undone.places[here], here)
            order.append(here)
            undone.finish(here)
    return np.array(order)


@dataclass(frozen=True)
class _Exchanges:
    """Exchanges that seem to shorten the road, the best first; arrays of shape (m,).

    Attributes:
        kind: ``TURN`` or 1 to turn the stretch between a place and its new neighbour, on the side
            that follows or goes before; from ``MOVE`` on, to move places, see :meth:`_Row._move`.
        place: the place that gets a new neighbour.
        beside: that neighbour.
    """

    kind: list[int]
    place: list[int]
    beside: list[int]

    def __iter__(self) -> Iterator[tuple[int, int, int]]:
        return zip(self.kind, self.place, self.beside, strict=True)


class _Search:
    """Finds, for all places at once, the exchange that brings each beside a neighbour at best."""

    def __init__(
        self, places: Places, order: Ints, near: Ints, look: Ints, settings: PathSettings
    ) -> None:
        self.settings = settings
        self.ways = places.ways
        self.after = np.full(places.number, NOWHERE)
        self.before = np.full(places.number, NOWHERE)
        first, second = order[:-1], order[1:]
        same = places.group[first] == places.group[second]
        self.after[first[same]] = second[same]
        self.before[second[same]] = first[same]
        place, beside = np.repeat(look, near.shape[1]), near.ravel()
        same = places.group[place] == places.group[beside]
        self.place, self.beside = place[same], beside[same]
        self.reach = self.ways(self.place, self.beside)
        self.gain = np.full(self.place.size, settings.worth_mm)
        self.kind = np.full(self.place.size, -1)

    def best(self) -> _Exchanges:
        """The best exchange of each place, those that gain most first."""
        for kind, ahead in enumerate((self.after, self.before)):
            self._turn(TURN + kind, ahead)
        for turned, (ahead, behind) in enumerate(
            ((self.after, self.before), (self.before, self.after))
        ):
            self._move(MOVE + 2 * self.settings.longest * turned, ahead, behind)
        found = np.nonzero(self.kind >= 0)[0]
        found = found[np.lexsort((-self.gain[found], self.place[found]))]
        first = np.ones(found.size, dtype=bool)
        first[1:] = self.place[found[1:]] != self.place[found[:-1]]
        found = found[first]
        found = found[np.argsort(-self.gain[found], kind="stable")]
        told = (self.kind[found], self.place[found], self.beside[found])
        return _Exchanges(*(array.tolist() for array in told))

    def _turn(self, kind: int, ahead: Ints) -> None:
        """Turn the stretch between, so that both get each other and what follows them does."""
        place, beside = self.place, self.beside
        next_place, next_beside = ahead[place], ahead[beside]
        gain = self.ways(place, next_place) + self.ways(beside, next_beside)
        gain -= self.reach + self.ways(next_place, next_beside)
        self._offer(kind, gain, (next_place != beside) & (next_beside != place))

    def _move(self, kind: int, ahead: Ints, behind: Ints) -> None:
        """Move a place and those ahead of it between its new neighbour and one beside that."""
        place, beside = self.place, self.beside
        last, among = place, beside == place
        left_behind = behind[place]
        for length in range(self.settings.longest):
            if length:
                last = np.where(last == NOWHERE, NOWHERE, ahead[last])
                among = among | (beside == last)
            following = np.where(last == NOWHERE, NOWHERE, ahead[last])
            gain = self.ways(left_behind, place) + self.ways(last, following)
            gain -= self.ways(left_behind, following) + self.reach
            for side, other in enumerate((self.after, self.before)):
                far = other[beside]
                can = (last != NOWHERE) & ~among & (far != place) & (far != last)
                all_in_all = gain + self.ways(beside, far) - self.ways(last, far)
                self._offer(kind + 2 * length + side, all_in_all, can)

    def _offer(self, kind: int, gain: np.ndarray, can: np.ndarray) -> None:
        better = can & (gain > self.gain)
        self.gain[better] = gain[better]
        self.kind[better] = kind


class _Row:
    """The order while exchanges are made in it, one by one, in place."""

    def __init__(self, places: Places, order: Ints, settings: PathSettings) -> None:
        self.order = order
        self.position = np.empty_like(order)
        self.position[order] = np.arange(order.size)
        self.group = places.group.tolist()
        self.way: Measure = places.measure()
        self.settings = settings

    def exchange(self, exchanges: _Exchanges) -> list[int]:
        """Make those that still gain; the places whose neighbours changed."""
        touched: list[int] = []
        for kind, place, beside in exchanges:
            if kind < MOVE:
                touched += self._turn(place, beside, 1 if kind == TURN else -1)
            else:
                turned, rest = divmod(kind - MOVE, 2 * self.settings.longest)
                length, side = divmod(rest, 2)
                touched += self._move(place, beside, -1 if turned else 1, length, -1 if side else 1)
        return [place for place in touched if place != NOWHERE]

    def _at(self, position: int, group: int) -> int:
        if 0 <= position < self.order.size:
            place = int(self.order[position])
            if self.group[place] == group:
                return place
        return NOWHERE

    def _write(self, low: int, high: int, places: Ints) -> None:
        self.order[low:high] = places
        self.position[places] = np.arange(low, high)

    def _turn(self, place: int, beside: int, step: int) -> tuple[int, ...]:
        """Turn the stretch that lies ``step``-wards of the one and up to the other."""
        group = self.group[place]
        here, there = int(self.position[place]), int(self.position[beside])
        next_place, next_beside = self._at(here + step, group), self._at(there + step, group)
        if next_place == beside or next_beside == place:
            return ()
        gain = self.way(place, next_place) + self.way(beside, next_beside)
        gain -= self.way(place, beside) + self.way(next_place, next_beside)
        if gain <= self.settings.worth_mm:
            return ()
        low, high = sorted((here, there))
        low, high = (low + 1, high + 1) if step > 0 else (low, high)
        self._write(low, high, self.order[low:high][::-1].copy())
        return place, beside, next_place, next_beside

    def _move(self, place: int, beside: int, step: int, length: int, side: int) -> tuple[int, ...]:
        """Move ``place`` and ``length`` more ``step``-wards to that ``side`` of ``beside``."""
        group = self.group[place]
        here, there = int(self.position[place]), int(self.position[beside])
        end = here + step * length
        last, far = self._at(end, group), self._at(there + side, group)
        low, high = min(here, end), max(here, end)
        if last == NOWHERE or low <= there <= high or low <= there + side <= high:
            return ()
        before, after = self._at(here - step, group), self._at(end + step, group)
        gain = self.way(before, place) + self.way(last, after) - self.way(before, after)
        gain += self.way(beside, far) - self.way(place, beside) - self.way(last, far)
        if gain <= self.settings.worth_mm:
            return ()
        moved = self.order[low : high + 1].copy()
        if (int(moved[0]) == place) != (side > 0):
            moved = moved[::-1]
        into = there + 1 if side > 0 else there
        if there < low:
            self._write(into, high + 1, np.concatenate([moved, self.order[into:low]]))
        else:
            self._write(low, into, np.concatenate([self.order[high + 1 : into], moved]))
        return place, last, before, after, beside, far
