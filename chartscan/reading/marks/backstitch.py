"""Backstitch: straight runs of one ink between crossings, edge middles and cell middles."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.inkfield import Field, Floats, LineSettings, lay_field
from chartscan.reading.marks.inks import Ink
from chartscan.reading.marks.segments import Ends, join, maximal

_PLACES = 31
"""Places along a segment that are looked at beside it; a prime, so out of step with the grid."""

_STEPS, _LEAST, _FEWEST = 1.05, 8, 6
"""Places along a segment for each sample of its length, so that none is stepped over, and at least:
where it is held against the ink, and where it is counted."""

_PARTS = (4, 8)
"""Parts into which segments are cut first, to look where they meet: most fail there, or midway."""

_POWERS = range(3, 15)
"""Powers of two that the places of a segment are rounded up to, so that many are looked at at once:
from eight, to more than the longest run has."""

_ROOM, _BATCH = 250_000, 20_000
"""Places, and segments, looked at in one go: few enough to stay near the cache."""

_FIRST = 8
"""One in so many places is looked at first: most segments show too much bare ground there alone."""

_ROUNDED = 1.01
"""Places that rounding may leave beside the ink, one, whatever share of the segment that is."""

_MEASURED, _ALONG, _ASIDE = 60, (0.15, 0.85, 9), 0.8
"""Segments that the width of the line is measured on, the longest; from where to where along each,
clear of its ends, at how many places; and how far to each side, in cells."""

_SHORT = 0.4
"""Part of its length that a short segment must add."""

_EDGES = (1.25, 0.5)
"""Samples beside a line that its soft edge reaches, and that are it for sure."""


@dataclass(frozen=True, eq=False)
class Runs:
    """The backstitch of one ink.

    Attributes:
        ends: x0, y0, x1, y1 in cells, shape (n, 4).
        width: of the line, in cells.
        body: samples that the runs cover, soft edge included.
    """

    ends: NDArray[np.float64]
    width: float
    body: Mask


def find_runs(ink: Ink, covered: Mask, side: int, settings: LineSettings, common: Floats) -> Runs:
    """Find the fewest straight runs that account for ``ink``; ``covered`` samples are hidden.

    ``common``: where the lines of all inks lie beside the grid, (x, y) in samples.
    """
    none = Runs(np.zeros((0, 4)), 0.0, np.zeros(ink.cover.shape, dtype=np.bool_))
    field = lay_field(ink, covered, side, settings, common)
    nodes = _nodes(field, settings.end)
    if not 2 <= len(nodes) <= settings.nodes:
        return none
    pairs = _inked_pairs(field, nodes, settings)
    if not len(pairs):
        return none
    width = _width(field, maximal(pairs))
    if width > settings.width:
        return none
    pairs = maximal(pairs[_full(field, pairs, width, settings)])
    ends, explained = _fewest(field, pairs, width, settings)
    if not len(ends):
        return none
    ends = join(ends)
    return Runs(ends / 2, width, explained[:-1, :-1] | explained[1:, 1:])


def _nodes(field: Field, reach: float) -> NDArray[np.int32]:
    """Half positions on the ink, (x, y) in half cells, shape (n, 2).

    Ink within ``reach`` cells will do, as a line may be cut off square at its end; so will a hidden
    position with ink within a quarter cell.
    """
    height, width = (2 * (n - 1) // field.side + 1 for n in field.state.shape)
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    every = np.stack([x.ravel(), y.ravel()], axis=-1)
    hidden = field.at(every.astype(np.float64)) == 1
    inked = np.zeros(len(every), dtype=np.bool_)
    for dx in (-1, 0, 1):
        for dy in (-1, 0, 1):
            inked |= field.at(every + 2 * reach * np.array([dx, dy])) == 2
            inked[hidden] |= field.at(every[hidden] + (dx / 2, dy / 2)) == 2
    return every[inked].astype(np.int32)


def _inked_pairs(field: Field, nodes: NDArray[np.int32], settings: LineSettings) -> Ends:
    """Pairs of nodes with ink all the way between them."""
    from scipy.spatial import cKDTree

    pairs = cKDTree(nodes).query_pairs(2 * settings.reach, output_type="ndarray")
    pairs = pairs[_inked_midway(field, nodes, pairs)]
    ends = np.hstack([nodes[pairs[:, 0]], nodes[pairs[:, 1]]])
    for parts in _PARTS:
        for part in np.arange(1, parts, 2) / parts:
            x, y = (ends[:, k] * (1 - part) + ends[:, k + 2] * part for k in (0, 1))
            ends = ends[field.where(x, y) > 0]
    length = np.hypot(*(ends[:, 2:] - ends[:, :2]).T) / 2
    count = np.maximum(_LEAST, np.ceil(length * field.side * _STEPS)).astype(np.intp)
    kept = np.zeros(len(ends), dtype=np.bool_)
    for power in _POWERS:
        low = 2**power
        batch = np.flatnonzero((count > low // 2) & (count <= low))
        for first in range(0, len(batch), max(1, _ROOM // low)):
            some = batch[first : first + max(1, _ROOM // low)]
            kept[some] = _unbroken(field, ends[some], length[some], low, settings)
    return ends[kept]


def _inked_midway(field: Field, nodes: NDArray[np.int32], pairs: NDArray[np.intp]) -> Mask:
    """Whether the ink, or what hides it, lies midway between pairs of nodes: (pairs,).

    Those points lie at quarters of cells; they are seen once, and all pairs looked up.
    """
    right, bottom = 2 * nodes.max(axis=0) + 1
    y, x = np.mgrid[:bottom, :right] / 2
    inked = (field.where(x, y) > 0).ravel()
    number = nodes[:, 1].astype(np.intp) * right + nodes[:, 0]
    midway: Mask = inked.take(number[pairs[:, 0]] + number[pairs[:, 1]])
    return midway


def _unbroken(
    field: Field, ends: Ends, length: NDArray[np.float64], points: int, settings: LineSettings
) -> Mask:
    """Whether ``points`` even steps along each segment are on the ink, but for small gaps."""
    t = (np.arange(points) + 0.5) / points
    most = settings.broken * points + _ROUNDED  # that may be bare
    result: Mask = np.count_nonzero(field.along(ends, t[::_FIRST]) == 0, axis=1) <= most
    left = np.flatnonzero(result)
    state = field.along(ends[left], t)
    bare = state == 0
    allowed = np.maximum(settings.gap / length[left] * points, _ROUNDED).astype(np.intp)
    good = np.count_nonzero(bare, axis=1) <= most
    good &= np.count_nonzero(state == 2, axis=1) >= settings.seen * points
    total = np.pad(np.cumsum(bare, axis=1, dtype=np.int32), ((0, 0), (1, 0)))
    for gap in np.unique(allowed):
        rows = allowed == gap
        run = total[rows][:, gap + 1 :] - total[rows][:, : -gap - 1]
        if run.shape[1]:
            good[rows] &= run.max(axis=1) <= gap
    result[left] = good
    return result


def _width(field: Field, ends: Ends) -> float:
    """Width in cells of the ink across the longest segments: the median of many crossings."""
    some = ends[np.argsort(-np.hypot(*(ends[:, 2:] - ends[:, :2]).T), kind="stable")[:_MEASURED]]
    some = some.astype(np.float64)
    t = np.linspace(*_ALONG)[:, None]
    points = some[:, None, :2] * (1 - t) + some[:, None, 2:] * t
    way = (some[:, 2:] - some[:, :2]) / np.hypot(*(some[:, 2:] - some[:, :2]).T)[:, None]
    across = np.stack([-way[:, 1], way[:, 0]], axis=-1)[:, None, None]
    offset = np.arange(1, int(_ASIDE * field.side) + 1) / field.side * 2
    total = np.zeros(points.shape[:2])
    for sign in (-1, 1):
        beside = field.at(points[:, :, None] + sign * offset[:, None] * across) == 2
        total += np.where(beside.all(axis=2), len(offset), (~beside).argmax(axis=2))
    seen = field.at(points) == 2
    if not seen.any():
        return float("inf")
    return float(np.median(total[seen])) / field.side


def _full(field: Field, ends: Ends, width: float, settings: LineSettings) -> Mask:
    """Whether the ink is nearly as wide as the line on both sides of each segment.

    Along a grid line one side is enough: no other run lies so near, and the line may hide one.
    """
    delta = (ends[:, 2:] - ends[:, :2]).astype(np.float64)
    across = np.stack([-delta[:, 1], delta[:, 0]], axis=-1) / np.hypot(*delta.T)[:, None]
    t = (np.arange(_PLACES)[:, None] + 0.5) / _PLACES
    beside = max(0.0, width - 2 * settings.rail / field.side)
    along_grid = ((delta == 0) & (ends[:, :2] % 2 == 0)).any(axis=1)
    full = np.ones(len(ends), dtype=np.bool_)
    for first in range(0, len(ends), _BATCH):
        some = slice(first, first + _BATCH)
        line = ends[some, None, :2] * (1 - t) + ends[some, None, 2:] * t
        beside_it = [field.at(line + sign * beside * across[some, None]) for sign in (-1, 1)]
        shown = [(state > 0).mean(axis=1) >= settings.railed for state in beside_it]
        inked = [(state == 2).mean(axis=1) >= settings.railed for state in beside_it]
        full[some] = (shown[0] & shown[1]) | (along_grid[some] & (inked[0] | inked[1]))
    result: Mask = full
    return result


def _fewest(field: Field, pairs: Ends, width: float, settings: LineSettings) -> tuple[Ends, Mask]:
    """Take segments longest first, each only if it accounts for ink not yet accounted for.

    Then those go again whose ink the others, taken since, account for together.
    """
    length = np.hypot(*(pairs[:, 2:] - pairs[:, :2]).T) / 2
    needed = np.minimum(settings.fresh, _SHORT * length)
    times = np.zeros(field.state.shape, dtype=np.int16)
    wide, narrow = (width * field.side / 2 + soft for soft in _EDGES)
    chosen: dict[int, _Way] = {}
    for i in np.argsort(-length, kind="stable").tolist():
        way = _way(field, pairs[i], length[i])
        fresh = np.count_nonzero(way.of(times) == 0) / way.points
        if fresh * length[i] >= needed[i]:
            chosen[i] = way
            _count(times, field.place(pairs[i].reshape(2, 2)).ravel(), wide, 1)
    body = times > 0
    times[:] = 0
    for i in chosen:
        _count(times, field.place(pairs[i].reshape(2, 2)).ravel(), narrow, 1)
    for i, way in reversed(list(chosen.items())):
        alone = np.count_nonzero(way.of(times) <= 1) / way.points
        if alone * length[i] < needed[i]:
            del chosen[i]
            _count(times, field.place(pairs[i].reshape(2, 2)).ravel(), narrow, -1)
    ends = [_trimmed(field, pairs[i], times, narrow, settings.told) for i in chosen]
    return np.array(ends, dtype=np.int32).reshape(-1, 4), body


def _trimmed(
    field: Field, ends: NDArray[np.int32], times: NDArray[np.int16], half: float, told: float
) -> NDArray[np.int32]:
    """A segment without those end pieces, from one half position to the next, that others tell.

    Two lines that meet at a shallow bend hide each other's overrun.
    """
    for _ in range(2):
        while (n := int(np.gcd(*(ends[2:] - ends[:2])))) > 1:
            step = (ends[2:] - ends[:2]) // n
            piece = np.concatenate([ends[2:] - step, ends[2:]])
            way = _way(field, piece, float(np.hypot(*step)) / 2)
            if np.count_nonzero(way.of(times) > 1) / way.points < told:
                break
            _count(times, field.place(ends.reshape(2, 2)).ravel(), half, -1)
            ends = np.concatenate([ends[:2], ends[2:] - step])
            _count(times, field.place(ends.reshape(2, 2)).ravel(), half, 1)
        ends = ends[[2, 3, 0, 1]]
    return ends


@dataclass(frozen=True, eq=False)
class _Way:
    """What a segment runs over.

    Attributes:
        inked: its points on the ink, as places in the flat field.
        points: how many it has in all.
    """

    inked: NDArray[np.intp]
    points: int

    def of(self, times: NDArray[np.int16]) -> NDArray[np.int16]:
        """What ``times``, in the shape of the field, are on the ink."""
        return times.ravel().take(self.inked)


def _way(field: Field, ends: NDArray[np.int32], length: float) -> _Way:
    """What a segment of that ``length`` in cells runs over."""
    points = max(_FEWEST, math.ceil(length * field.side * _STEPS))
    after = (np.arange(points) + 0.5) / points
    before = 1 - after
    place = []
    for k, size in enumerate(field.state.shape[::-1]):
        along = ends[k] * before + ends[k + 2] * after
        whole = np.floor(along * (field.side / 2) + field.shift[k] + 0.5)
        place.append(np.minimum(np.maximum(whole, 0), size - 1).astype(np.intp))
    x, y = place
    here = y * field.state.shape[1] + x
    return _Way(here[field.state.ravel().take(here) == 2], points)


def _count(times: NDArray[np.int16], ends: NDArray[np.float64], half: float, by: int) -> None:
    """Add ``by`` to the points within ``half`` samples of a segment, in place; ends in samples."""
    x0, y0, x1, y1 = ends
    left, right = int(min(x0, x1) - half), int(max(x0, x1) + half) + 1
    top, bottom = int(min(y0, y1) - half), int(max(y0, y1) + half) + 1
    left, top = max(left, 0), max(top, 0)
    block = times[top : bottom + 1, left : right + 1]
    x = np.arange(left, left + block.shape[1]) - x0
    y = (np.arange(top, top + block.shape[0]) - y0)[:, None]
    dx, dy = x1 - x0, y1 - y0
    t = (x * dx + y * dy) / (dx * dx + dy * dy)
    np.minimum(np.maximum(t, 0, out=t), 1, out=t)
    np.add(block, by, out=block, where=np.hypot(x - t * dx, y - t * dy) <= half)
