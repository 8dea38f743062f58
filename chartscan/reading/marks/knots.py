"""French knots: discs of one ink at crossings, middles of edges and middles of cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.inks import Ink


@dataclass(frozen=True)
class KnotSettings:
    """What counts as a dot, all lengths in cells.

    Attributes:
        radius: least and greatest radius.
        off: how far a knot's middle may lie from a crossing, edge middle or cell middle.
        round: least ratio of the smaller to the greater second moment; a disc has 1, and a line one
            half cell long and a third wide has 0.2.
        full: share of the disc that must be ink.
        ring: greatest share of ink in a ring around it; a line through the knot leaves about 0.25.
        sure: discs that lie alone from which on, if they are most of all, an ink is one of knots.
        wider: a knot's radius over half the width of lines in its ink: the end of a line is a disc
            too, of 1.
        alike: how far the radii of the knots of one ink may differ, and a blob's second moment be
            off that of a disc of its area, as a share.
        blob: coverage, 0..1, from which on samples hang together as a blob.
        inside, around: samples inside the edge of a disc that are surely it, and from where to
            where outside its edge the ring around it lies; its soft edge ends where that begins.
        blind: part of what lies inside the page that must be seen of a disc, or of a ring.
    """

    radius: tuple[float, float] = (0.1, 0.55)
    off: float = 0.15
    round: float = 0.75
    full: float = 0.8
    ring: float = 0.36
    sure: int = 3
    wider: float = 1.3
    alike: float = 0.15
    blob: float = 0.3
    inside: float = 0.7
    around: tuple[float, float] = (1.0, 2.5)
    blind: float = 0.35


@dataclass(frozen=True, eq=False)
class Dots:
    """The knots of one ink.

    Attributes:
        places: (x, y) in cells, shape (n, 2).
        radius: in cells.
        body: samples that they cover, soft edge included.
    """

    places: NDArray[np.float64]
    radius: float
    body: Mask


def find_dots(ink: Ink, side: int, settings: KnotSettings) -> Dots:
    """Find the discs of ``ink``: lone ones give the radius, then every half position is tried."""
    none = Dots(np.zeros((0, 2)), 0.0, np.zeros(ink.cover.shape, dtype=np.bool_))
    radii, off = _lone_discs(ink, side, settings)
    if not len(radii):
        return none
    radius = float(np.median(radii))
    shift = np.median(off, axis=0) * side if len(radii) >= settings.sure else np.zeros(2)
    x, y = _candidates(ink, side, shift)
    full, ring = _disc_and_ring(ink, x, y, radius * side, side, settings)
    good = (full >= settings.full) & (ring <= settings.ring)
    places = _strongest(np.stack([x, y], axis=-1)[good] / side, (full - ring)[good], radius)
    body = _bodies(places, radius * side + settings.around[0], side, ink.cover.shape)
    dots = Dots(np.rint(2 * (places - shift / side)) / 2, radius, body)
    few = len(radii) < settings.sure or len(places) > 2 * len(radii)
    if not len(places) or (few and _are_of_lines(ink, dots, side, settings)):
        return none
    return dots


def _are_of_lines(ink: Ink, dots: Dots, side: int, settings: KnotSettings) -> bool:
    """Whether most of the ink is lines, and the dots are hardly wider: pieces and ends of them."""
    drawn = ink.cover > 0.5
    rest = drawn & ~dots.body
    if 2 * rest.sum() < drawn.sum():
        return False
    return dots.radius * side < settings.wider * _half_width(rest)


def _lone_discs(
    ink: Ink, side: int, settings: KnotSettings
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The blobs of ink that are round by themselves and lie where a knot may.

    Their radii (n,), and how far beside a half position their middles lie (n, 2), x and y in cells.
    """
    from scipy import ndimage

    blobs, n = ndimage.label(ink.cover > settings.blob, structure=np.ones((3, 3)))
    if not n:
        return np.zeros(0), np.zeros((0, 2))
    y, x = np.nonzero(blobs)
    which = blobs[y, x] - 1
    weight = ink.cover[y, x].astype(np.float64)
    mass = np.bincount(which, weight, n)
    cx = np.bincount(which, weight * (x + 0.5), n) / mass
    cy = np.bincount(which, weight * (y + 0.5), n) / mass
    dx, dy = x + 0.5 - cx[which], y + 0.5 - cy[which]
    xx, yy, xy = (np.bincount(which, weight * v, n) / mass for v in (dx * dx, dy * dy, dx * dy))
    middle, swing = (xx + yy) / 2, np.hypot((xx - yy) / 2, xy)
    radius = np.sqrt(mass / np.pi) / side
    # The mean squared distance from the middle of a disc is half its radius squared.
    solid = np.abs((xx + yy) / np.maximum(mass / np.pi / 2, 1e-9) - 1) < settings.alike
    roundness = (middle - swing) / np.maximum(middle + swing, 1e-9)
    centre = np.stack([cx, cy], axis=-1) / side * 2
    beside = (centre - np.rint(centre)) / 2
    off = np.abs(beside).max(axis=-1)
    low, high = settings.radius
    good = solid & (roundness >= settings.round) & (off <= settings.off)
    good &= (radius >= low) & (radius <= high)
    found, beside = radius[good], beside[good]
    if len(found):
        alike = np.abs(found[:, None] / found - 1) <= settings.alike
        best = alike[alike.sum(axis=1).argmax()]
        found, beside = found[best], beside[best]
    return found, beside


def _half_width(drawn: Mask) -> float:
    """Half the usual width of ink in samples: the median depth along its deeper ridges."""
    from scipy import ndimage

    depth = ndimage.distance_transform_edt(drawn)
    ridge = (depth > 0) & (depth == ndimage.maximum_filter(depth, 3))
    if not ridge.any():
        return 0.0
    deep = depth[ridge]
    # Half a sample more: depth is told from the middle of one sample to that of another.
    return float(np.median(deep[deep >= np.median(deep)])) + 0.5


def _candidates(
    ink: Ink, side: int, shift: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Places on ink, ``shift`` beside half positions, in samples from the grid's corner."""
    height, width = ink.cover.shape
    across, down = (np.arange(2 * n // side + 1) * side / 2 for n in (width, height))
    x, y = (v.ravel() for v in np.meshgrid(across + shift[0], down + shift[1]))
    column = np.clip(np.rint(x - 0.5), 0, width - 1).astype(np.intp)
    row = np.clip(np.rint(y - 0.5), 0, height - 1).astype(np.intp)
    inked = ink.cover[row, column] > 0.5
    return x[inked], y[inked]


def _disc_and_ring(
    ink: Ink,
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    radius: float,
    side: int,
    settings: KnotSettings,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Share of ink in what can be seen of the disc around each place, and of a ring around it."""
    reach = int(np.ceil(radius + settings.around[1])) + 1
    step = np.arange(-reach, reach + 1)
    dx, dy = (v.ravel() for v in np.meshgrid(step, step))
    column = np.floor(x)[:, None].astype(np.intp) + dx
    row = np.floor(y)[:, None].astype(np.intp) + dy
    height, width = ink.cover.shape
    inside = (column >= 0) & (column < width) & (row >= 0) & (row < height)
    column, row = np.clip(column, 0, width - 1), np.clip(row, 0, height - 1)
    far = np.hypot(column + 0.5 - x[:, None], row + 0.5 - y[:, None])
    seen = inside & ~ink.hidden[row, column]
    value = ink.cover[row, column]
    shares: list[NDArray[np.float64]] = []
    disc = far <= max(radius - settings.inside, settings.inside)
    low, high = (radius + part for part in settings.around)
    for zone in (disc, (far >= low) & (far <= high)):
        chosen = zone & seen
        share = (value * chosen).sum(axis=1) / np.maximum(chosen.sum(axis=1), 1)
        blind = chosen.sum(axis=1) < settings.blind * np.maximum((zone & inside).sum(axis=1), 1)
        shares.append(np.where(blind, 0.0 if not shares else 0.5, share))
    return shares[0], shares[1]


def _strongest(
    places: NDArray[np.float64], score: NDArray[np.float64], apart: float
) -> NDArray[np.float64]:
    """Places in falling order of score, without those that overlap a better one."""
    left = places[np.argsort(-score, kind="stable")]
    kept: list[NDArray[np.float64]] = []
    while len(left):
        kept.append(left[0])
        left = left[np.hypot(*(left - left[0]).T) > apart]
    return np.array(kept).reshape(-1, 2)


def _bodies(places: NDArray[np.float64], reach: float, side: int, shape: tuple[int, ...]) -> Mask:
    """Samples within ``reach`` samples of a place."""
    body = np.zeros(shape, dtype=np.bool_)
    for x, y in places * side:
        top, left = max(int(y - reach), 0), max(int(x - reach), 0)
        block = body[top : int(y + reach) + 2, left : int(x + reach) + 2]
        row, column = np.ogrid[: block.shape[0], : block.shape[1]]
        block |= np.hypot(column + left + 0.5 - x, row + top + 0.5 - y) <= reach
    return body
