"""What each cell holds: pixels taken at the same places inside every cell of the lattice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import median, quantile
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

MOST_INSET = 0.32  # of a cell, left out along each side at most; two fifths remain
DENSITY = 0.75  # places looked at in a cell for each pixel along it: none is looked at twice
SHOWN_BY = 60  # cells of a class, spread over the chart, that show it: more make it no clearer
ONE_COLOUR = 12  # difference (0..255, worst channel) up to which places of a drawn page have one
STRIP = 64  # rows of pixels taken from at a time: stays in the cache
LUMA = (0.299, 0.587, 0.114)  # of R, G and B (ITU-R BT.601)
MANY, TOLD = (
    0.02,
    0.2,
)  # part that isn't bare from which on it is asked alone; its quantile asked

Samples = NDArray[np.uint8]
Packed = NDArray[np.uint32]


def sample(page: Page, lattice: Lattice, per_side: int, inset: float) -> Samples:
    """Pixels of every cell on an even grid of ``per_side`` × ``per_side`` places inside it.

    Args:
        page: the page.
        lattice: where its cells lie.
        per_side: places along each side of a cell.
        inset: part of the cell left out along each side, where lines are; may be negative to
            look over the sides.

    Returns:
        uint8, shape (rows, columns, per_side, per_side, 3); places off the page repeat its edge.
    """
    offset = inset + (np.arange(per_side) + 0.5) * (1 - 2 * inset) / per_side
    u = (np.arange(lattice.columns)[:, None] + offset).ravel()
    v = (np.arange(lattice.rows)[:, None] + offset).ravel()
    taken = take(page, lattice, u, v)
    shape = (lattice.rows, per_side, lattice.columns, per_side, 3)
    return taken.reshape(shape).swapaxes(1, 2)


def take(
    page: Page, lattice: Lattice, u: NDArray[np.float64], v: NDArray[np.float64]
) -> NDArray[np.uint8]:
    """Nearest pixels at every pair of grid coordinates (``u`` across, ``v`` down): (v, u, 3)."""
    if lattice.straight:
        width, height = page.size
        pitch_x, left = lattice.homography[0, 0], lattice.homography[0, 2]
        pitch_y, top = lattice.homography[1, 1], lattice.homography[1, 2]
        x = np.clip((u * pitch_x + left).astype(np.intp), 0, width - 1)
        y = np.clip((v * pitch_y + top).astype(np.intp), 0, height - 1)
        return meshed(page, y, x)
    return pixels_at(page, *lattice.grid_to_pixels(u, v))


def pixels_at(page: Page, x: NDArray[np.floating], y: NDArray[np.floating]) -> Samples:
    """The pixels that places fall on, in the shape of those and three; off the page its edge's."""
    width, height = page.size
    column = np.clip(x, 0, width - 1).astype(np.int32)
    row = np.clip(y, 0, height - 1).astype(np.int32)
    if not page.pixels.flags.c_contiguous:
        return np.asarray(page.pixels[row, column], dtype=np.uint8)
    whole = page.pixels.view("V3").ravel()
    return np.asarray(whole.take(row * width + column)[..., None].view(np.uint8), dtype=np.uint8)


def meshed(page: Page, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Samples:
    """The pixels where some ``rows`` of a page cross some ``columns``: (rows, columns, 3)."""
    if not page.pixels.flags.c_contiguous:
        return np.asarray(page.pixels[rows[:, None], columns], dtype=np.uint8)
    # Bytes, unlike items of three, are taken in a loop made for them: three times faster.
    lines = page.pixels.reshape(len(page.pixels), -1)
    places = (columns[:, None] * 3 + np.arange(3)).ravel()
    taken: Samples = np.empty((len(rows), len(columns), 3), dtype=np.uint8)
    for top in range(0, len(rows), STRIP):
        strip = slice(top, top + STRIP)
        taken[strip] = lines[rows[strip]].take(places, axis=1).reshape(-1, len(columns), 3)
    return taken


def between(
    page: Page, lattice: Lattice, u: NDArray[np.float64], v: NDArray[np.float64]
) -> NDArray[np.float32]:
    """Colours at every pair of grid coordinates, (3, v, u), between the four pixels about each.

    By how much of each pixel (bilinear): with the mean of the four, cells of one class differ by
    where pixels happen to lie in them. Channels lie one after the other: what is worked out for a
    place then holds for three whole arrays.
    """
    return blended(page, *lattice.grid_to_pixels(u, v))


def blended(page: Page, x: NDArray[np.float32], y: NDArray[np.float32]) -> NDArray[np.float32]:
    """The same at places in pixels, in the shape of those, (3, ...); off the page its edge's."""
    width, height = page.size
    across = np.clip(x - np.float32(0.5), 0, width - 1)
    down = np.clip(y - np.float32(0.5), 0, height - 1)
    column = np.clip(across.astype(np.int32), 0, width - 2)
    row = np.clip(down.astype(np.int32), 0, height - 2)
    across -= column
    down -= row
    first = (row * width + column).astype(np.intp)
    whole = np.ascontiguousarray(page.pixels).view("V3").ravel()

    def planes(start: int) -> NDArray[np.float32]:
        levels = whole[start:].take(first)[..., None].view(np.uint8)
        return np.asarray(np.moveaxis(levels, -1, 0), dtype=np.float32, order="C")

    def along(start: int) -> NDArray[np.float32]:
        left, right = planes(start), planes(start + 1)
        right -= left
        right *= across
        right += left
        return right

    top, bottom = along(0), along(width)
    bottom -= top
    bottom *= down
    bottom += top
    return bottom


@dataclass(frozen=True)
class CellSettings:
    """How the inside of a cell is looked at.

    Attributes:
        per_side: least and greatest number of places along each side.
        inset: part of the cell left out along each side; grid lines reach that far.
        line_px: pixels left out at least, for small cells.
        exact: part of neighbouring places in a cell that have the very same colour on an exact
            page.
        even: part of a cell's rim that must be of one colour for its ground to be sure.
        changing: part of such cells whose colour changes from one place to the next at its rim.
        ringing: levels (0..255) that a rim beside a resampled line differs by at most.
        plain: part of a cell's middle that must be of one colour where its rim has none.
        most: part of the cells that must have such a ground on an exact page.
        intruding: part of a column (or row) of cells that must show one and the same colour at a
            place near their side for a bold line to be lying there; more than half, see
            :func:`_majority`.
        along: about how many cells of each column (or row) are looked at for that.
    """

    per_side: tuple[int, int] = (3, 12)
    inset: float = 0.13
    line_px: float = 1.2
    exact: float = 0.4
    even: float = 0.6
    most: float = 0.6
    changing: float = 0.3
    plain: float = 0.9
    ringing: int = 16
    intruding: float = 0.7
    along: int = 200


@dataclass(frozen=True, eq=False)
class Cells:
    """What each cell holds: the colour of its ground and what is printed on it.

    Attributes:
        ground: sRGB 0..255 beside the glyph, shape (rows, columns, 3).
        ink: luma of each place less that of the ground, −255..255, shape (rows, columns, n, n).
        even: part of the rim that has the ground's colour, shape (rows, columns); nought where
            the page isn't exact.
        exact: whether equal fills are equal to the last bit on this page.
    """

    ground: NDArray[np.float64]
    ink: NDArray[np.float32]
    even: NDArray[np.float64]
    exact: bool


def look_into(page: Page, lattice: Lattice, settings: CellSettings = CellSettings()) -> Cells:
    """Look at every cell: the colour along its rim is its ground, what differs is ink."""
    pitch = min(lattice.pitch)
    inset = min(MOST_INSET, max(settings.inset, settings.line_px / pitch))
    side = int(np.clip(round(pitch * (1 - 2 * inset) * DENSITY), *settings.per_side))
    values = sample(page, lattice, side, inset)
    if page.lossless and _is_exact(packed := _by_place(values), settings):
        packed = _without_lines(packed, settings)
        found = _exact_cells(packed, settings)
        if found is not None:
            return found
        values = unpack(packed)
    ground = median(values[:, :, rim_places(side)], axis=2).astype(np.float64)
    ink = luma(values) - luma(ground)[:, :, None, None]
    return Cells(ground, ink, np.zeros(ground.shape[:2]), exact=False)


def _by_place(values: Samples) -> Packed:
    """Each colour as one number, shape (rows, columns, n, n).

    In memory all cells' first places come first, as places are held against each other.
    """
    return np.moveaxis(pack(np.moveaxis(values, (2, 3), (0, 1))), (0, 1), (2, 3))


def _exact_cells(packed: Packed, settings: CellSettings) -> Cells | None:
    """Cells of an exact page; None where most have no ground, shape (rows, columns, n, n)."""
    mode, share = _mode(packed[:, :, rim_places(packed.shape[2])])
    if (share >= settings.even).mean() < settings.most:
        return None
    if (share < 1).any():
        mode, share = _by_middle(packed, mode, share, settings)
    ground = unpack(mode)
    ink = np.zeros(packed.shape, dtype=np.float32)
    inked = (packed != mode[:, :, None, None]).any(axis=(2, 3))
    ink[inked] = luma(unpack(packed[inked])) - luma(ground[inked])[:, None, None]
    return Cells(ground.astype(np.float64), ink, share, exact=True)


def _by_middle(
    packed: Packed, mode: Packed, share: NDArray[np.float64], settings: CellSettings
) -> tuple[Packed, NDArray[np.float64]]:
    """Colour and share of each cell: those of its middle where that is told better there.

    A page resampled sharply rings on both sides of a line, so that rims differ by a few levels, or
    all over around a lone cell.
    """
    side = packed.shape[2]
    core = slice(side // 4, side - side // 4)
    middle, same = _mode(packed[:, :, core, core].reshape(*packed.shape[:2], -1))
    step = np.abs(unpack(middle).astype(np.int16) - unpack(mode)).max(axis=2)
    rings = (step <= settings.ringing) & (same >= settings.even)
    lone = (share < settings.even) & (same >= settings.plain)
    better = np.where(lone, same, share)
    return np.where(rings | lone, middle, mode), better


def luma(rgb: NDArray[Any]) -> NDArray[np.float32]:
    """Rec. 601 luma of sRGB 0..255, shape (..., 3) → (...)."""
    # Channel by channel: a product of matrices is slow where they lie side by side.
    red, green, blue = (
        np.asarray(rgb[..., channel], dtype=np.float32) * np.float32(weight)
        for channel, weight in enumerate(LUMA)
    )
    red += green
    red += blue
    return red


def rim_places(height: int, width: int | None = None) -> NDArray[np.bool_]:
    """The places along the rim of a cell, or of anything else: (height, width), or a square.

    Round glyphs reach the middle of the sides, crosses reach the corners; hardly any fills both.
    """
    rim = np.ones((height, width or height), dtype=np.bool_)
    rim[1:-1, 1:-1] = False
    return rim


def _is_exact(packed: Packed, settings: CellSettings) -> bool:
    """Whether neighbouring places mostly have the very same colour, bare cells left aside."""
    same = (packed[:, :, :, 1:] == packed[:, :, :, :-1]).mean(axis=(2, 3))
    colours, counts = np.unique(packed[:, :, 0, 0], return_counts=True)
    bare = (packed == colours[counts.argmax()]).all(axis=(2, 3))
    told = same[~bare] if (~bare).mean() > MANY else same.ravel()
    return bool(quantile(told, TOLD) >= settings.exact)


def _without_lines(packed: Packed, settings: CellSettings) -> Packed:
    """The places that bold lines cover, taken over from the next place inwards."""
    result = packed
    side = packed.shape[2]
    for axis in (3, 2):  # lines that run down, then lines that run across
        lines = np.moveaxis(result, (1, axis) if axis == 3 else (0, axis), (0, 1))
        lines = lines[:, :, :: max(1, lines.shape[2] // settings.along)]
        lines = lines.reshape(*lines.shape[:2], -1)
        changed = (lines[:, 1:] != lines[:, :-1]).mean(axis=2).max(axis=1)
        crossed = changed >= settings.changing
        if not crossed.any():
            continue
        lines = lines[crossed]
        middle = _commonest(lines[:, side // 2])
        for inwards in (range(side // 3, 0, -1), range(side - 1 - side // 3, side - 1)):
            for inner in inwards:
                k = inner - 1 if inwards.step < 0 else inner + 1
                colour, share = _majority(lines[:, k])
                line = np.zeros(len(crossed), dtype=bool)
                line[crossed] = (share >= settings.intruding) & (colour != middle)
                if result is packed and line.any():
                    result = packed.copy(order="K")
                if axis == 3:
                    result[:, line, :, k] = result[:, line, :, inner]
                else:
                    result[line, :, k] = result[line, :, inner]
    return result


def _commonest(packed: Packed) -> Packed:
    """The commonest value of each row, shape (n, m) → (n,)."""
    found = (np.unique(row, return_counts=True) for row in packed)
    return np.array([values[counts.argmax()] for values, counts in found], dtype=np.uint32)


def _majority(packed: Packed) -> tuple[Packed, NDArray[np.float64]]:
    """The value that more than half of each row have, or another, and its share: (n, m) → (n,)."""
    half = packed.shape[1] // 2
    middle = np.partition(packed, half, axis=1)[:, half]
    return middle, (packed == middle[:, None]).mean(axis=1)


def pack(rgb: Samples) -> Packed:
    """Each colour as one number, shape (..., 3) → (...)."""
    four = np.zeros((*rgb.shape[:-1], 4), dtype=np.uint8)
    backwards = four[..., 2::-1]
    for channel in range(3):  # one loop over all places, not one of three bytes at each
        backwards[..., channel] = rgb[..., channel]
    return np.asarray(four.view("<u4")[..., 0], dtype=np.uint32)


def unpack(packed: Packed) -> Samples:
    """The colours that :func:`pack` made numbers of, shape (...) → (..., 3)."""
    return packed.astype("<u4")[..., None].view(np.uint8)[..., 2::-1]


def _mode(packed: Packed) -> tuple[Packed, NDArray[np.float64]]:
    """The commonest of each cell's values (rows, columns, n) and the part of them it is."""
    mode, share = packed[..., 0].copy(), np.ones(packed.shape[:2])
    mixed = (packed[..., 1:] != packed[..., :1]).any(axis=2)
    if mixed.any():
        mode[mixed], share[mixed] = _mode_of_rows(packed[mixed])
    return mode, share


def _mode_of_rows(packed: Packed) -> tuple[Packed, NDArray[np.float64]]:
    """The same of each row of values (k, n)."""
    ordered = np.sort(packed, axis=1)
    places = ordered.shape[1]
    colour = ordered[:, 0].copy()
    best = np.ones(len(ordered), dtype=np.int64)
    length = np.ones(len(ordered), dtype=np.int64)
    for k in range(1, places):
        length = np.where(ordered[:, k] == ordered[:, k - 1], length + 1, 1)
        longer = length > best
        best = np.where(longer, length, best)
        colour = np.where(longer, ordered[:, k], colour)
    return colour, best / places
