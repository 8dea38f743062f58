"""Where the fields of a card lie, when nobody tells the corners: patches unlike the paper.

For cards with paper between the fields. The paper is one of the commonest colours of the picture;
what differs from it in patches of one size is thread; the patches' middles give the lattice. Cards
whose fields touch are left to the reader of charts, which must be told how many fields there are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import srgb_to_lab
from chartscan.errors import GridError
from chartscan.palette.card import corner_lattice
from chartscan.palette.fields import Pixels
from chartscan.reading.lattice.locate import locate
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.projective import fit_homography
from chartscan.reading.page.page import Page
from chartscan.remedies import Remedy

Array = NDArray[np.float64]


_BIN = 4.0  # CIELAB units, about what paper's colour strays by
_BINS = 128  # a side; sRGB reaches 128 units from the middle at most, so 64 would do
_MARGIN = 4  # pixels, more than the openings and closings below reach
_NEAR = np.array([[0, 1, 0], [1, 1, 1], [0, 1, 0]], dtype=np.bool_)  # a pixel and its neighbours
_BODY = np.add.outer(np.abs(np.arange(-2, 3)), np.abs(np.arange(-2, 3))) <= 2  # two steps from one


@dataclass(frozen=True)
class FindSettings:
    """How a card's fields are found.

    Attributes:
        side: the picture is looked at with its longer side about this many pixels long.
        papers: so many of the commonest colours are tried as paper; a table may be commoner.
        unlike: CIELAB distance from the paper at which a pixel counts as thread.
        like: ... and up to which it counts as paper when the light is followed over the page.
        size: a patch is a field if its area is within this factor of the middle one's.
        filled: least share of its box that a field fills.
        found: least share of the fields that must be found; white thread on white paper isn't.
        off: farthest that a field's middle may lie from the lattice, in fields.
    """

    side: int = 900
    papers: int = 4
    unlike: float = 7.0
    like: float = 12.0
    size: float = 1.8
    filled: float = 0.7
    found: float = 0.6
    off: float = 0.2


def locate_card(
    page: Page,
    size: tuple[int, int] | None = None,
    corners: Sequence[tuple[float, float]] | None = None,
) -> Lattice:
    """The lattice of a card's fields: as told, or patches on paper, or else what the reader finds.

    Args:
        page: the picture.
        size: fields across and down; None where not told.
        corners: outer corners of the field grid (:func:`corner_lattice`), with ``size``; None
            where not told.

    Raises:
        GridError: no fields were found, or the corners make no sense.
    """
    if corners is not None and size is not None:
        return corner_lattice(corners, *size)
    try:
        return find_card(page.pixels, size)
    except GridError as error:
        lattice = None if size is None else _read(page, size)
        if lattice is None:
            raise error.of(page.file) from error
        return lattice


def _read(page: Page, size: tuple[int, int]) -> Lattice | None:
    """The reader's lattice, if it is ``size`` or strands of thread made it a multiple of that."""
    try:
        read = locate(page).lattice
    except GridError:
        return None
    columns, rows = size
    if read.columns % columns or read.rows % rows:
        return None
    ends = [[0, 0], [read.columns, 0], [read.columns, read.rows], [0, read.rows]]
    outer = read.to_pixels(np.array(ends, dtype=np.float64))
    return corner_lattice([(float(x), float(y)) for x, y in outer], columns, rows)


def find_card(
    pixels: Pixels, size: tuple[int, int] | None = None, settings: FindSettings = FindSettings()
) -> Lattice:
    """The lattice of a card with paper between its fields.

    Args:
        pixels: sRGB page, uint8, shape (height, width, 3).
        size: fields across and down; None for as many as are found.
        settings: thresholds.

    Raises:
        GridError: no such fields were found; it says what was, and what to tell instead.
    """
    step = max(1, max(pixels.shape[:2]) // settings.side)
    lab = srgb_to_lab(_shrunk(pixels, step))
    other, patches = "", 0
    for paper in _common_colours(lab, settings):
        middles = _middles(_unlike_paper(lab, paper, settings), settings)
        patches = max(patches, len(middles))
        found = _lattice_of(middles, settings)
        if found is None:
            continue
        homography, (columns, rows) = found
        if size in (None, (columns, rows)):
            whole = np.diag([step, step, 1.0]) @ homography
            return Lattice(columns, rows, whole, FLAT, drawn=False)
        other = f"{columns} × {rows} were"
    wanted = "fields" if size is None else f"{size[0]} × {size[1]} fields"
    what = other or f"at most {patches} patches of one size stand out from a ground"
    raise GridError(f"no card of {wanted} in rows and columns was found ({what})", Remedy.TELL_CARD)


def _shrunk(pixels: Pixels, step: int) -> Array:
    """Means of ``step`` × ``step`` pixels, sRGB."""
    height, width = (side // step * step for side in pixels.shape[:2])
    blocks = pixels[:height, :width].reshape(height // step, step, width // step, step, 3)
    means: Array = blocks.mean(axis=(1, 3))
    return means


def _common_colours(lab: Array, settings: FindSettings) -> list[NDArray[np.bool_]]:
    """Where each of the commonest colours lies that differ: paper, perhaps the table below it."""
    steps = np.floor(lab / _BIN).astype(np.int64).reshape(-1, 3) + _BINS // 2
    packed = np.ravel_multi_index(tuple(steps.T), (_BINS,) * 3)
    numbers, inverse, counts = np.unique(packed, return_inverse=True, return_counts=True)
    bins = np.stack(np.unravel_index(numbers, (_BINS,) * 3), axis=-1)
    tried: list[NDArray[np.int64]] = []
    for common in bins[np.argsort(-counts)]:
        if all(np.abs(common - other).max() * _BIN > settings.like for other in tried):
            tried.append(common)
        if len(tried) == settings.papers:
            break
    near = [np.abs(bins - common).max(axis=1) <= 1 for common in tried]
    return [colour[inverse.ravel()].reshape(lab.shape[:2]) for colour in near]


def _unlike_paper(
    lab: Array, paper: NDArray[np.bool_], settings: FindSettings
) -> NDArray[np.bool_]:
    """Where the picture isn't ``paper``, whose colour may change smoothly over it."""
    y, x = np.mgrid[-1 : 1 : lab.shape[0] * 1j, -1 : 1 : lab.shape[1] * 1j]
    terms = np.stack([np.ones_like(x), x, y, x * y, x * x, y * y], axis=-1)
    for _ in range(4):
        few = np.flatnonzero(paper)[:: max(1, int(paper.sum()) // 20_000)]
        design = terms.reshape(-1, 6)[few]
        light = np.linalg.lstsq(design, lab.reshape(-1, 3)[few], rcond=None)[0]
        distance = np.linalg.norm(lab - terms @ light, axis=-1)
        paper = distance < settings.like
    unlike: NDArray[np.bool_] = distance > settings.unlike
    return unlike


def _middles(unlike: NDArray[np.bool_], settings: FindSettings) -> Array:
    """Middles (x, y) of the patches of the size that most of the large ones have, shape (n, 2)."""
    from skimage.measure import label, regionprops
    from skimage.morphology import closing, opening
    from skimage.segmentation import clear_border

    wide = np.pad(unlike, _MARGIN, mode="edge")  # so that what reaches the edge still does
    opened = opening(closing(wide, _NEAR), _BODY)[_MARGIN:-_MARGIN, _MARGIN:-_MARGIN]
    patches = regionprops(clear_border(label(opened, connectivity=1)))
    if not patches:
        return np.empty((0, 2))
    middle = _usual_size(np.array([patch.area for patch in patches], dtype=np.intp))
    low, high = middle / settings.size, middle * settings.size
    chosen = [p for p in patches if low <= p.area <= high and p.extent >= settings.filled]
    boxes = np.array([patch.bbox for patch in chosen], dtype=np.float64).reshape(-1, 2, 2)
    middles: Array = boxes.mean(axis=1)[:, ::-1]
    return middles


def _usual_size(areas: NDArray[np.intp]) -> float:
    """The area such that larger patches cover as much of the page as smaller ones."""
    ordered = np.sort(areas)
    return float(ordered[np.searchsorted(np.cumsum(ordered), ordered.sum() / 2)])


def _lattice_of(middles: Array, settings: FindSettings) -> tuple[Array, tuple[int, int]] | None:
    """Homography from fields to pixels of the shrunk picture, and fields across and down."""
    if len(middles) < 4:
        return None
    places = _numbered(middles)
    if places is None:
        return None
    known = ~np.isnan(places[:, 0])
    places, middles = places[known], middles[known]
    places = places - places.min(axis=0)
    columns, rows = (int(span) for span in places.max(axis=0) + 1)
    if min(columns, rows) < 2 or len(places) < settings.found * columns * rows:
        return None
    homography = fit_homography(places + 0.5, middles)
    lattice = Lattice(columns, rows, homography, FLAT, drawn=False)
    back = lattice.to_cells(middles) - 0.5
    return (homography, (columns, rows)) if np.abs(back - places).max() <= settings.off else None


def _numbered(middles: Array) -> Array | None:
    """(column, row) of each middle, walked from neighbour to neighbour; NaN where not reached."""
    apart = middles[None] - middles[:, None]
    distance = np.hypot(apart[..., 0], apart[..., 1])
    np.fill_diagonal(distance, np.inf)
    right = _step(apart, distance, axis=0)
    down = _step(apart, distance, axis=1)
    if right is None or down is None:
        return None
    basis = np.linalg.inv(np.stack([right, down], axis=1))
    places = np.full(middles.shape, np.nan)
    start = int(np.argmin(np.hypot(*(middles - np.median(middles, axis=0)).T)))
    places[start] = 0
    waiting = [start]
    while waiting:
        here = waiting.pop(0)
        moves = apart[here] @ basis.T
        rounded = np.rint(moves)
        neighbour = (np.abs(rounded).sum(axis=1) == 1) & (np.abs(moves - rounded).max(axis=1) < 0.3)
        for there in np.flatnonzero(neighbour & np.isnan(places[:, 0])):
            places[there] = places[here] + rounded[there]
            waiting.append(int(there))
    return places


def _step(apart: Array, distance: Array, axis: int) -> Array | None:
    """Usual way from a field to the next one to the right (axis 0) or below (axis 1)."""
    along, across = apart[..., axis], np.abs(apart[..., 1 - axis])
    ahead = np.where((along > 0) & (across < along / 2), distance, np.inf)
    nearest = ahead.argmin(axis=1)
    has = np.isfinite(ahead.min(axis=1))
    if not has.any():
        return None
    usual: Array = np.median(apart[np.arange(len(apart)), nearest][has], axis=0)
    return usual
