"""Part stitches: cells that are split along a diagonal or into quarters."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Corner, Shape
from chartscan.reading.marks.fills import Fills, Mask, most_common, nearest
from chartscan.reading.marks.patches import Patches, Samples, difference

CORNERS: tuple[Corner, ...] = get_args(Corner)


@dataclass(frozen=True)
class PartSettings:
    """How plain the evidence for a split cell must be.

    Attributes:
        spoiled: share of a cell's samples that differ from its fill before it is looked at; a
            quarter is 0.25 of the cell, less the grid line's rim and what a line hides.
        unexplained: share of the filled samples that may contradict the split.
        better: a split must leave at most this share of what the whole cell leaves.
        seen: share of a piece's samples that must be visible, not covered by a mark.
        light: least darkest channel, 0..255, of a ground that shows in split cells only.
        edge: samples on either side of a dividing line that are left out, as they are blends.
        ground: part of a cell that a ground must show in all, which no other cell shows.
        stray: tolerances that a sample may be off its fill where no other fill is near.
        quarters: how much more a split into quarters must explain than one into triangles, as a
            share of the filled samples: it has more freedom.
        blend: samples on either side of a dividing line where any blend is expected.
    """

    spoiled: float = 0.08
    unexplained: float = 0.08
    better: float = 0.4
    seen: float = 0.15
    light: float = 200.0
    edge: float = 0.8
    ground: float = 0.125
    stray: float = 2.5
    quarters: float = 0.02
    blend: float = 1.5


@dataclass(frozen=True)
class Piece:
    """One piece of a cell, filled with the fill of that number."""

    row: int
    column: int
    shape: Shape
    corner: Corner
    fill: int


def with_bare_ground(
    patches: Patches, fills: Fills, painted: Samples, settings: PartSettings
) -> Fills:
    """The ``fills`` and one more, of class -1: the ground, if it shows only in split cells.

    It is the most frequent colour of the samples that show no fill, if that is light.
    """
    differs = difference(patches.pixels, painted) > fills.tolerance
    seen = patches.pixels[differs & ~(fills.rim_y[:, None] | fills.rim_x)]
    seen = seen[seen.min(axis=1) >= settings.light]
    if len(seen):
        seen = seen[~nearest(seen, fills.colours, 2 * fills.tolerance)[1]]
    if len(seen) < settings.ground * patches.side**2:
        return fills
    colours = np.vstack([fills.colours, most_common(seen)])
    return replace(fills, colours=colours, classes=np.append(fills.classes, -1))


def find_parts(
    patches: Patches,
    fills: Fills,
    painted: Samples,
    settings: PartSettings,
) -> tuple[tuple[Piece, ...], Samples]:
    """Every piece of every split cell, and the painted fills with the pieces in.

    A cell counts as split where the colours of its two halves (four quarters) explain nearly all
    samples that show a stitch or the ground, and its one most frequent colour does not.
    """
    side, rows, columns = patches.side, patches.rows, patches.columns
    differs = difference(patches.pixels, painted) > fills.tolerance
    inside = ~(fills.rim_y[:, None] | fills.rim_x)
    loss = (differs & inside).reshape(rows, side, columns, side).sum(axis=(1, 3))
    size = inside.reshape(rows, side, columns, side).sum(axis=(1, 3))
    row, column = np.nonzero(loss > settings.spoiled * size)
    if not len(row):
        return (), painted
    label = _labels(patches, fills, inside, row, column, settings.stray)
    regions = _regions(side, settings.edge)
    count = _count(label, regions, len(fills.colours))
    choice = _choose(count, _visible(label, inside, regions, side, row, column), settings)
    result = painted.copy()
    pieces: list[Piece] = []
    for i in np.flatnonzero(choice):
        split, at = _SPLITS[choice[i]], (int(row[i]), int(column[i]))
        filled = [int(count[i, r].argmax()) for r in split]
        top, left = at[0] * side, at[1] * side
        place = np.s_[top : top + side, left : left + side]
        colours = np.rint(fills.colours[filled]).astype(np.int16)
        _paint_split(result[place], split, colours, side)
        divided = result[place], patches.pixels[place]
        _blend_divider(*divided, split, colours, fills.tolerance, settings.blend)
        pieces += [
            Piece(*at, "quarter" if len(split) == 4 else "triangle", _CORNER[r], fill)
            for r, fill in zip(split, filled, strict=True)
        ]
    return tuple(pieces), result


# Regions of a cell: 0 all of it; 1, 2 the halves top right and bottom left (divided by "\");
# 3, 4 the halves top left and bottom right (divided by "/"); 5..8 the quarters as in CORNERS.
_QUARTERS = 5
_SPLITS: tuple[tuple[int, ...], ...] = ((0,), (1, 2), (3, 4), (5, 6, 7, 8))
_CORNER = dict(
    zip((1, 2, 3, 4, 5, 6, 7, 8), (CORNERS[i] for i in (1, 2, 0, 3, 0, 1, 2, 3)), strict=True)
)


def _labels(
    patches: Patches,
    fills: Fills,
    inside: Mask,
    row: NDArray[np.intp],
    column: NDArray[np.intp],
    stray: float,
) -> NDArray[np.intp]:
    """The fill that each sample of the chosen cells shows, -1 for none: (n, side²)."""
    side = patches.side
    shape = (patches.rows, side, patches.columns, side)
    seen = patches.pixels.reshape(*shape, 3)[row, :, column].reshape(-1, 3)
    label = nearest(seen, fills.colours, fills.tolerance)[0]
    off = np.abs(seen - fills.colours[label]).max(axis=1)
    near = off <= _reach(patches, fills, stray)[label]
    near &= inside.reshape(shape)[row, :, column].ravel()
    return np.where(near, label, -1).reshape(len(row), side * side)


def _reach(patches: Patches, fills: Fills, stray: float) -> NDArray[np.float64]:
    """How far a sample may differ from each fill and still show it: (fills,).

    Scaling leaves a few levels beside every mark; they don't count where no other fill is near.
    """
    if patches.whole:
        return np.full(len(fills.colours), fills.tolerance)
    apart = np.abs(fills.colours[:, None] - fills.colours).max(axis=2)
    np.fill_diagonal(apart, 255.0)
    reach = np.clip(apart.min(axis=1) / 4, fills.tolerance, stray * fills.tolerance)
    return np.asarray(reach, dtype=np.float64)


def _signs(side: int) -> list[NDArray[np.float64]]:
    """Signed distance in samples from "\" (+ top right), "/" (+ top left), and the two midlines."""
    at = np.arange(side) + 0.5
    x, y = np.meshgrid(at, at)
    return [
        ((x - y) / np.sqrt(2)).ravel(),
        ((side - x - y) / np.sqrt(2)).ravel(),
        (side / 2 - x).ravel(),
        (side / 2 - y).ravel(),
    ]


def _regions(side: int, edge: float) -> Mask:
    """Which samples lie well inside each of the nine regions: (9, side²)."""
    falling, rising, left, top = _signs(side)
    e = edge
    return np.stack(
        [
            np.ones(side * side, dtype=np.bool_),
            falling > e,
            falling < -e,
            rising > e,
            rising < -e,
            (left > e) & (top > e),
            (left < -e) & (top > e),
            (left > e) & (top < -e),
            (left < -e) & (top < -e),
        ]
    )


def piece_regions(side: int, edge: float = PartSettings.edge) -> dict[tuple[Shape, Corner], Mask]:
    """Which samples of a cell (side, side) lie well inside a piece, by its shape and corner."""
    regions = _regions(side, edge).reshape(-1, side, side)
    return {
        ("quarter" if r >= _QUARTERS else "triangle", corner): regions[r]
        for r, corner in _CORNER.items()
    }


def _count(label: NDArray[np.intp], regions: Mask, fills: int) -> NDArray[np.intp]:
    """How many samples of each region show each fill: (n, 9, fills)."""
    n = len(label)
    count = np.zeros((n, len(regions), fills), dtype=np.intp)
    for r, region in enumerate(regions):
        chosen = label[:, region]
        at, _ = np.nonzero(chosen >= 0)
        flat = np.bincount(at * fills + chosen[chosen >= 0], minlength=n * fills)
        count[:, r] = flat.reshape(n, fills)
    return count


def _visible(
    label: NDArray[np.intp],
    inside: Mask,
    regions: Mask,
    side: int,
    row: NDArray[np.intp],
    column: NDArray[np.intp],
) -> NDArray[np.float64]:
    """Share of each region's samples off the grid lines that show a fill: (n, 9)."""
    shape = (inside.shape[0] // side, side, inside.shape[1] // side, side)
    open_ = inside.reshape(shape)[row, :, column].reshape(len(row), -1)
    there = open_.astype(np.float32) @ regions.T.astype(np.float32)
    shown = (label >= 0).astype(np.float32) @ regions.T.astype(np.float32)
    result: NDArray[np.float64] = shown / np.maximum(there, 1)
    return result


def _choose(
    count: NDArray[np.intp], visible: NDArray[np.float64], settings: PartSettings
) -> NDArray[np.intp]:
    """The split of each cell, an index into the table of splits; 0 where it is whole."""
    missing = np.ones((len(count), len(_SPLITS)))
    for s, split in enumerate(_SPLITS):
        regions = count[:, list(split)]
        shown = regions.sum(axis=(1, 2))
        missing[:, s] = 1 - regions.max(axis=2).sum(axis=1) / np.maximum(shown, 1)
        if s:
            top = regions.argmax(axis=2)
            blind = (visible[:, list(split)] < settings.seen).any(axis=1)
            missing[blind | (top == top[:, :1]).all(axis=1), s] = 1
    best = (missing[:, 1:] + (0, 0, settings.quarters)).argmin(axis=1) + 1
    left = missing[np.arange(len(count)), best]
    explained = (left <= settings.unexplained) & (left <= settings.better * missing[:, 0])
    return np.where(explained, best, 0)


def _paint_split(block: Samples, split: tuple[int, ...], colours: Samples, side: int) -> None:
    """Fill the regions of one cell, in place."""
    falling, rising, left, top = (s.reshape(side, side) for s in _signs(side))
    if len(split) == 4:
        index = (left < 0).astype(np.intp) + 2 * (top < 0)
    else:
        index = ((falling if split[0] == 1 else rising) < 0).astype(np.intp)
    block[...] = colours[index]


def _blend_divider(
    block: Samples,
    seen: Samples,
    split: tuple[int, ...],
    colours: Samples,
    tolerance: float,
    wide: float,
) -> None:
    """Beside a dividing line, expect whatever blend of two pieces is seen there, in place."""
    side = len(block)
    falling, rising, left, top = (np.abs(s).reshape(side, side) for s in _signs(side))
    if len(split) == 4:
        beside = np.minimum(left, top) < wide
    else:
        beside = (falling if split[0] == 1 else rising) < wide
    there = seen[beside].astype(np.float64)
    blended = block[beside]
    for a, b in combinations(np.unique(colours, axis=0).astype(np.float64), 2):
        way = b - a
        share = np.clip(((there - a) @ way) / max(float(way @ way), 1.0), 0, 1)
        near = np.abs(a + share[:, None] * way - there).max(axis=1) <= tolerance
        blended[near] = seen[beside][near]
    block[beside] = blended
