"""The page straightened by a lattice, and the line evidence seen on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import quantile, smoothed
from chartscan.reading.lattice.extent import Extent, Sides
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.scale import NEAR

TYPICAL = 0.7  # quantile of evidence that stands for lines where they are seen
MARGIN = 0.9  # quantile of what margins show
PER_CELL = 8  # places per cell that lines are looked for at
AT_HAND = 65_536  # samples at once; their places and values fill a processor's cache of 1 MB

Grey = NDArray[np.float32] | NDArray[np.uint8]


@dataclass(frozen=True)
class CoverSettings:
    """What a line must show to stand out.

    Attributes:
        noise: how far lines must stand out from what the margin shows in their stead.
        hum: how far anything must stand out from the margin's noise.
        most_hum: as a part of what typical lines show, the most that is taken for noise.
        rug: how far lines must stand out from what the cells around show on a rug, and the most
            of that as a part of what typical lines show.
        around: reach of what cells around show, in cells.
    """

    noise: float = 4.0
    hum: float = 1.4
    most_hum: float = 0.25
    rug: tuple[float, float] = (1.5, 0.9)
    around: float = 1.5


@dataclass(frozen=True, eq=False)
class LineEvidence:
    """How line-like the page is along the rows and columns of a region.

    A stroke that spans only part of a cell's side counts little: of the places along the side the
    lower ones are taken.

    Attributes:
        region: the cells covered.
        per_cell: places per cell.
        upright: for every row of cells and every place across, shape (rows, columns · per_cell).
        level: for every column of cells and every place down, shape (columns, rows · per_cell).
        inside: part of each cell that lies on the page, shape (rows, columns).
    """

    region: Extent
    per_cell: int
    upright: NDArray[np.float32]
    level: NDArray[np.float32]
    inside: NDArray[np.float32]


def line_evidence(
    grey: Grey, lattice: Lattice, region: Extent, per_cell: int = PER_CELL, lower: float = 0.15
) -> LineEvidence:
    """Line evidence of ``grey`` (luma 0..255) over ``region``.

    Place ``k`` of a cell lies at k / ``per_cell``: the step between the samples on either side.
    """
    u = region.left + (np.arange(region.columns * per_cell + 1) - 0.5) / per_cell
    v = region.top + (np.arange(region.rows * per_cell + 1) - 0.5) / per_cell
    rows = parts(region.rows, AT_HAND // (per_cell * len(u)))
    bands = [slice(per_cell * part.start, per_cell * part.stop + 1) for part in rows]
    size, rank = (per_cell, region.columns), int(lower * per_cell)
    seen = [_seen(grey, x, y, size, rank) for x, y in lattice.grid_bands(u, v, bands)]
    upright, level, inside = zip(*seen, strict=True)
    return LineEvidence(
        region,
        per_cell,
        np.concatenate(upright),
        np.concatenate(level, axis=1),
        np.concatenate(inside),
    )


def parts(length: int, most: int) -> list[slice]:
    """``length`` places in parts of up to ``most``, of at least one."""
    step = max(1, most)
    return [slice(start, min(start + step, length)) for start in range(0, length, step)]


def _seen(
    grey: Grey,
    x: NDArray[np.float32],
    y: NDArray[np.float32],
    size: tuple[int, int],
    rank: int,
) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.float32]]:
    """Evidence of upright and of level lines at some rows of cells, and what lies on the page.

    Args:
        grey: the page.
        x: across, where to look.
        y: down.
        size: places per cell, and cells across.
        rank: of the places along a side, the one from below that counts.
    """
    (per_cell, columns), (height, width) = size, grey.shape
    inside = _on_page(x, y, grey.shape, (len(x) // per_cell, columns), per_cell)
    if inside is None:
        inside = np.ones((len(x) // per_cell, columns), dtype=np.float32)
    else:
        x, y = np.clip(x, 0, width - 1, out=x), np.clip(y, 0, height - 1, out=y)
    values = at(grey, x, y)
    across = jumps(values[1:, 1:], values[1:, :-1]).reshape(len(inside), per_cell, -1)
    down = jumps(values[1:, 1:], values[:-1, 1:]).reshape(-1, columns, per_cell)
    return (
        lowest(across.swapaxes(0, 1), rank),
        lowest(down.transpose(2, 0, 1).copy(), rank).T.copy(),
        inside,
    )


def at(grey: Grey, x: NDArray[np.float32], y: NDArray[np.float32]) -> Grey:
    """The pixels that places lie in, all of them on the page."""
    place = y.astype(np.intp)
    place *= grey.shape[1]
    place += x.astype(np.int32)
    values: Grey = grey.ravel().take(place)
    return values


def jumps(values: Grey, others: Grey) -> Grey:
    """How far values differ, without leaving the type they are of."""
    return np.asarray(np.maximum(values, others) - np.minimum(values, others))


def _on_page(
    x: NDArray[np.float32],
    y: NDArray[np.float32],
    page: tuple[int, ...],
    cells: tuple[int, int],
    per_cell: int,
) -> NDArray[np.float32] | None:
    """Part of each of ``cells`` (rows, columns) whose samples lie on the page; None if all do."""
    height, width = page
    if min(x.min(), y.min()) >= 0 and x.max() < width and y.max() < height:
        return None
    on = ((x >= 0) & (y >= 0) & (x < width) & (y < height))[1:, 1:].astype(np.uint8)
    by_row = on.reshape(cells[0], per_cell, -1).sum(axis=1, dtype=np.uint8)
    number = by_row.reshape(*cells, per_cell).sum(axis=2)
    return np.asarray(number / per_cell**2, dtype=np.float32)


def lowest(values: Grey, rank: int) -> NDArray[np.float32]:
    """The lowest along the first axis, but for ``rank`` lower ones."""
    return _lowest(values, rank)[rank].astype(np.float32)


def middle(values: NDArray[np.float32]) -> NDArray[np.float32]:
    """The median along the last axis, which is short."""
    upper = values.shape[-1] // 2
    kept = _lowest(np.moveaxis(values, -1, 0).copy(), upper)
    return np.asarray((kept[(values.shape[-1] - 1) // 2] + kept[upper]) / 2, dtype=np.float32)


def _lowest(planes: Grey, rank: int) -> list[Grey]:
    """The lowest along the first axis up to ``rank`` lower ones, lowest first.

    That axis is short and ``rank`` small: much faster than to sort or to part.
    """
    kept: list[Grey] = []
    for plane in planes:
        for k, low in enumerate(kept):
            kept[k], plane = np.minimum(low, plane), np.maximum(low, plane)
        if len(kept) <= rank:
            kept.append(plane)
    return kept


def sides_of(
    evidence: LineEvidence, settings: CoverSettings = CoverSettings(), *, rug: bool = False
) -> Sides:
    """How much of every cell side is drawn: line evidence near it, on the scale of typical lines.

    Args:
        evidence: line evidence of a region, cells beyond the grid included.
        settings: what a line must show.
        rug: whether the page may lie on something rough, which shows as much everywhere.
    """
    return Sides(
        _cover(evidence.upright, evidence.per_cell, settings, rug=rug),
        _cover(evidence.level, evidence.per_cell, settings, rug=rug).T,
    )


def _cover(
    lines: NDArray[np.float32], per_cell: int, settings: CoverSettings, *, rug: bool
) -> NDArray[np.float64]:
    """For every row of cells and every line across it: 0 like the middles of cells, 1 a line."""
    reach = round(NEAR * per_cell)
    padded = np.pad(lines, ((0, 0), (reach, reach + 1)), mode="edge")
    window = padded[:, : -2 * reach]
    for aside in range(1, 2 * reach + 1):
        window = np.maximum(window, padded[:, aside : padded.shape[1] - 2 * reach + aside])
    line = window[:, ::per_cell]
    cells = lines.reshape(lines.shape[0], -1, per_cell)
    inner = middle(cells[:, :, reach + 1 : per_cell - reach])
    beside = np.pad(inner, ((0, 0), (1, 1)), mode="edge")
    clear = line - np.minimum(beside[:, :-1], beside[:, 1:])
    typical = quantile(clear, TYPICAL)
    # Lines fade towards the corners of a photograph: what counts is what is typical row by row.
    # Where there are no lines that is nothing; noise, seen in the margin, mustn't pass for them.
    local = smoothed(np.quantile(clear, TYPICAL, axis=1), 3.0)
    margin = quantile(np.concatenate([clear[:2], clear[-2:]]), MARGIN)
    least = min(settings.noise * margin, typical)
    scale = np.maximum(np.maximum(local, least)[:, None], 1e-6)
    # A hairline is a line too, though most sides be edges between black and white.
    floor = np.minimum(settings.hum * margin, settings.most_hum * scale)
    if rug:
        midst = window[:, per_cell // 2 :: per_cell][:, : inner.shape[1]] - inner
        rough = settings.rug[0] * _around(midst, settings.around)
        floor = np.maximum(floor, np.minimum(rough, settings.rug[1] * scale))
    cover: NDArray[np.float64] = np.sqrt(np.clip((clear - floor) / (scale - floor), 0, 1))
    return cover.astype(np.float64)


def _around(midst: NDArray[np.float32], reach: float) -> NDArray[np.float32]:
    """What the midst of cells shows around each line across their row."""
    near = smoothed(smoothed(midst, reach, 0, "edge"), reach, 1, "edge")
    wide = np.pad(near, ((0, 0), (1, 1)), mode="edge")
    return np.asarray((wide[:, :-1] + wide[:, 1:]) / 2, dtype=np.float32)
