"""How the samples on and beside grid lines come about, fitted to the page."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.blendfit import UNKNOWNS, Float, fit_blend
from chartscan.reading.marks.fills import Fills, Mask
from chartscan.reading.marks.patches import MIDDLE, Patches, Samples

_ROUNDS = 12
_TELL = 20_000  # samples on broken lines that tell their colour to a fraction of a level
"""Rounds in which the colour of broken lines is found; it hardly moves after them."""


@dataclass(frozen=True)
class RimSettings:
    """How grid lines are fitted, lengths in cells.

    Attributes:
        spilling: tolerances by which samples beside a line differ from the fills where a mark is.
        marked: weight of a row of samples where a mark was seen beside the line, 1 elsewhere.
        strong: quantiles of the differences from the fills between which samples show the colour of
            a broken line best: the most different may be marks.
        soft: reach beside a line of the ringing and softness that resampling leaves there.
        spilt: reach beside a line in which a mark on the line shows beside it.
        dashed: share of the cells along a line where it isn't as fitted, from which on it counts
            as broken.
        uneven: share of the cells along it in which a broken line must show both itself and gaps.
        edges: samples beside a broken line to which its soft edges reach.
        rows: cells along a line that are enough to fit how it is drawn.
        phase: pixels by which samples of several lines may differ in how far they lie off them, to
            be fitted together.
        alike: share of the samples between unlike fills that the fit of all such lines together
            must explain, from which on lines are taken to be drawn alike.
        unlike: how much of a fill must show otherwise, 0..1, than by a fit of that line alone that
            explains more, for the latter to be taken for a mark's.
        plain: share of the samples along one line that it must explain then, on the others lies a
            mark: beyond those that a fit of that line alone explains, or in all.
    """

    spilling: float = 5.0
    marked: float = 0.001
    strong: tuple[float, float] = (0.7, 0.9)
    soft: float = 0.1
    spilt: float = 0.25
    dashed: float = 0.5
    uneven: float = 0.2
    edges: float = 3.0
    rows: int = 60
    phase: float = 0.1
    alike: float = 0.7
    unlike: float = 0.2
    plain: tuple[float, float] = (0.15, 0.5)
    floors: tuple[float, ...] = (60.0, 40.0, 25.0, 15.0, 8.0, 4.0, 2.0, 2.0)


@dataclass(frozen=True, eq=False)
class Rims:
    """How the samples beside the grid lines of one direction come about.

    A sample there is ``base + before × fill before the line + after × fill after it``: an opaque
    line, a see-through line and the soft edge of either are all of this form.

    Attributes:
        where: positions of these samples across the page, shape (n,).
        line: the grid line each belongs to, 0 for the first, shape (n,).
        base, before, after: the coefficients, shapes (n, 3), (n,), (n,).
        spread: how far unmarked samples stray from the form, 0..255, shape (n,).
        dashed: whether the line is dashed, or too soft to fit: then ``base`` is its colour and any
            blend of that and a fill is the line.
    """

    where: NDArray[np.intp]
    line: NDArray[np.intp]
    base: Float
    before: Float
    after: Float
    spread: Float
    dashed: Mask


def find_rims(
    patches: Patches, fills: Fills, painted: Samples, settings: RimSettings
) -> tuple[Rims, Rims]:
    """How the samples on and beside vertical and horizontal grid lines come about."""
    turned = patches.pixels.swapaxes(0, 1), painted.swapaxes(0, 1)
    upright, level = (fills.rim_x, patches.beside_x), (fills.rim_y, patches.beside_y)
    side, tolerance = patches.side, fills.tolerance
    return (
        _rims(patches.pixels, painted, *upright, side, tolerance, settings),
        _rims(*turned, *level, side, tolerance, settings),
    )


def _rims(
    pixels: Samples,
    painted: Samples,
    rim: Mask,
    beside: NDArray[np.float64],
    side: int,
    tolerance: float,
    settings: RimSettings,
) -> Rims:
    """The rims of the vertical lines of ``pixels``; ``rim`` tells which columns lie on lines.

    ``beside``: how far beside them each column lies, in pixels of the page.
    """
    rows, last = pixels.shape[0] // side, pixels.shape[1] - 1
    step = max(1, rows // settings.rows)
    first, end = (part * side for part in MIDDLE)
    middle = np.arange(int(first), max(int(first) + 1, int(np.ceil(end))))
    strips = pixels.reshape(rows, side, -1, 3)[::step, middle]
    fill = painted.reshape(rows, side, -1, 3)[::step, side // 2].astype(np.float64)
    across = np.arange(len(rim))
    depth = np.minimum(across % side, side - 1 - across % side)
    near = np.flatnonzero(~rim & (depth <= settings.spilt * side))
    marked = _marked(strips, fill, near, side, settings.spilling * tolerance)
    where = np.flatnonzero(rim | (depth <= settings.soft * side + 1))
    line = (where + side // 2) // side
    left = fill[:, np.clip(line * side - 1, 0, last)]
    right = fill[:, np.clip(line * side, 0, last)]
    seen = strips[:, :, where]
    value = np.median(seen, axis=1).astype(np.float64)
    weight = np.where(marked[:, line], settings.marked, 1.0)
    phase = np.rint(beside[where] / settings.phase).astype(np.intp)
    data = value, left, right, weight
    usual, shared = _usual(phase, where < line * side, rim[where], *data, settings.floors)
    base, before, after, spread = fit_blend(*data, usual, settings.floors)
    fits = shared, np.column_stack([before, after, base]).astype(np.float64)
    alike = _drawn_alike(seen, left, right, weight, fits, phase, rim[where], tolerance, settings)
    before[alike], after[alike], base[alike] = shared[alike, 0], shared[alike, 1], shared[alike, 2:]
    spread[alike] = 0
    fitted = base + before[:, None] * left + after[:, None] * right
    dashed = ~alike & _broken(seen, fitted, where - line * side, line, tolerance, settings)
    if dashed.any():
        fills = left[:, None, dashed], right[:, None, dashed]
        base[dashed] = _line_colour(seen[:, :, dashed], fills, tolerance, settings.strong)
        spread[dashed] = 0
    return Rims(where, line, base, before, after, spread, dashed)


def _broken(
    seen: Samples,
    fitted: NDArray[np.float64],
    offset: NDArray[np.intp],
    line: NDArray[np.intp],
    tolerance: float,
    settings: RimSettings,
) -> Mask:
    """Columns of samples of broken lines: they stray from the fit, and differ along one cell.

    A line that strays but is even along a cell isn't broken: lossy coding smears colours over it.
    Right beside a broken line its soft edges are as broken, but fainter.
    """
    stray = np.abs(seen - fitted[:, None]).max(axis=(1, 3))
    uneven = (seen.max(axis=1) - seen.min(axis=1)).max(axis=-1) > 2 * tolerance
    broken = (stray > 2 * tolerance).mean(axis=0) > settings.dashed
    broken &= uneven.mean(axis=0) > settings.uneven
    near = np.isin(line, line[broken]) & (np.abs(offset + 0.5) < settings.edges)
    result: Mask = broken | (near & ((stray > tolerance).mean(axis=0) > settings.dashed))
    return result


def _marked(
    strips: Samples,
    fill: NDArray[np.float64],
    near: NDArray[np.intp],
    side: int,
    tolerance: float,
) -> Mask:
    """Where the samples ``near`` a line differ from the fills, as beside a mark: (rows, lines)."""
    spilt = np.abs(np.median(strips[:, :, near], axis=1) - fill[:, near]).max(axis=-1) > tolerance
    marked = np.zeros((len(spilt), fill.shape[1] // side + 1), dtype=np.bool_)
    row, at = np.nonzero(spilt)
    marked[row, (near[at] + side // 2) // side] = True
    return marked


def _line_colour(
    seen: Samples,
    fills: tuple[NDArray[np.float64], ...],
    tolerance: float,
    strong: tuple[float, float],
) -> NDArray[np.float64] | float:
    """Colour of broken lines, of which all samples on them are blends with the fills beside.

    One colour for all of them, so that marks along one line don't pass for its colour: the one
    towards which the samples lie from their fills. It starts from those that differ much, though
    not from the most different, as marks may be among them.
    """
    apart = np.stack([np.abs(seen - fill).max(axis=-1) for fill in fills])
    near = apart.argmin(axis=0)[..., None]
    apart = apart.min(axis=0)
    inked = apart > tolerance
    if not inked.any():
        return 0.0
    every = np.flatnonzero(inked)
    few = np.unravel_index(every[:: max(1, len(every) // _TELL)], inked.shape)
    low, high = np.quantile(apart[few], strong)
    fill = np.where(near == 0, *(np.broadcast_to(f, seen.shape) for f in fills))[few]
    there = seen[few].astype(np.float64)
    usual = (apart[few] >= low) & (apart[few] <= high)
    colour: NDArray[np.float64] = np.median(there[usual], axis=0)
    for _ in range(_ROUNDS):
        way = colour - fill
        length = np.maximum((way**2).sum(axis=1), 1)
        share = np.clip(((there - fill) * way).sum(axis=1) / length, 0, 1)
        off = np.abs(there - fill - share[:, None] * way).max(axis=1)
        weight = share / (1 + (off / max(float(np.median(off)), tolerance)) ** 2) ** 2
        told = (weight * share)[:, None] * fill + weight[:, None] * (there - fill)
        colour = told.sum(axis=0) / max(float((weight * share).sum()), 1e-9)
    return np.clip(colour, 0, 255)


def _usual(
    phase: NDArray[np.intp],
    before_it: Mask,
    ruled: Mask,
    value: NDArray[np.float64],
    left: NDArray[np.float64],
    right: NDArray[np.float64],
    weight: NDArray[np.float64],
    floors: tuple[float, ...],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """What to lean on for each column of samples, and what fits all of its ``phase``: (n, 5).

    The first stands in where the fills along one line don't tell. Where nothing tells, samples that
    are ``ruled`` are taken for an opaque line, others for bare fill; so are those in the first that
    are ruled on a few, bold, lines only. ``before_it``: which samples lie before their line.
    """
    result = np.empty((len(phase), UNKNOWNS))
    shared = np.empty((len(phase), UNKNOWNS))
    for one in np.unique(phase):
        mine = np.flatnonzero(phase == one)
        pooled, before_, after_ = (v[:, mine].reshape(-1, 1, 3) for v in (value, left, right))
        first = before_it[mine].mean() > 0.5
        guess = np.array([[first, not first, 0, 0, 0]], dtype=np.float64)
        if ruled[mine].mean() > 0.5:
            guess = np.append((0.0, 0.0), np.median(pooled, axis=0))[None]
        prior = weight[:, mine].reshape(-1, 1)
        base, before, after, _ = fit_blend(pooled, before_, after_, prior, guess, floors)
        result[mine] = shared[mine] = (before[0], after[0], *base[0])
        if ruled[mine].mean() <= 0.5:
            bold = mine[ruled[mine]]
            result[bold, :2], result[bold, 2:] = 0, np.median(value[:, bold], axis=0)
    return result, shared


def _drawn_alike(
    seen: Samples,
    left: NDArray[np.float64],
    right: NDArray[np.float64],
    weight: NDArray[np.float64],
    fits: tuple[NDArray[np.float64], NDArray[np.float64]],
    phase: NDArray[np.intp],
    ruled: Mask,
    tolerance: float,
    settings: RimSettings,
) -> Mask:
    """Columns of samples where what fits all of their phase holds, whatever lies over it: (n,).

    It holds where it explains most samples between unlike fills on all lines together, and many
    along this line: a fit of this line alone takes a long mark between two fills for it. ``fits``:
    those of the phase and those of each line alone.
    """
    open_ = weight > 0.5
    explained, by_own = (open_ & _explained(seen, left, right, f, tolerance) for f in fits)
    telling = open_ & (np.abs(left - right).max(axis=-1) > 4 * tolerance)
    holds = np.zeros(len(phase), dtype=np.bool_)
    for one in np.unique(phase):
        mine = phase == one
        usual = mine & (ruled == (ruled[mine].mean() > 0.5))
        told = int(telling[:, usual].sum())
        holds[mine] = (explained & telling)[:, usual].sum() >= settings.alike * told
    number = np.maximum(open_.sum(axis=0), 1)
    share, own_share = (v.sum(axis=0) / number for v in (explained, by_own))
    beyond_own = (explained & ~by_own).sum(axis=0) / number
    otherwise = np.abs(fits[0] - fits[1])[:, :2].max(axis=1) > settings.unlike
    holds &= otherwise | (share >= own_share)
    low, high = settings.plain
    result: Mask = holds & ((share >= high) | (beyond_own >= low))
    return result


def _explained(
    seen: Samples,
    left: NDArray[np.float64],
    right: NDArray[np.float64],
    fit: NDArray[np.float64],
    tolerance: float,
) -> Mask:
    """Whether all samples of each cell along each column are as a fit (n, 5) has it: (rows, n)."""
    fitted = fit[:, :1] * left + fit[:, 1:2] * right + fit[:, 2:]
    apart = np.abs(seen - fitted[:, None]).max(axis=-1)
    return np.asarray((apart <= tolerance).all(axis=1), dtype=np.bool_)
