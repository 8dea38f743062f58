"""Which cells are one class: the same ground and the same glyph; and which class is empty."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import ChartClass
from chartscan.colour import round_rgb, srgb_to_lab
from chartscan.progress import Progress, silent
from chartscan.reading.cells.exported import is_exported
from chartscan.reading.cells.glyphs import (
    BLANK,
    GlyphSettings,
    has_symbols,
    inked_cells,
    is_bare,
    stands_free,
)
from chartscan.reading.cells.sampling import Cells, look_into, pack, unpack
from chartscan.reading.classes.cloth import lay_cloth
from chartscan.reading.classes.evenly import EvenSettings, sort_even
from chartscan.reading.classes.ground import GroundOdds, GroundWeights, ground_odds, settled_odds
from chartscan.reading.classes.sorting import Sight, Sorted
from chartscan.reading.classes.swatches import find_key
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

if TYPE_CHECKING:
    from chartscan.reading.classes.noisy import NoisySettings

Labels = NDArray[np.intp]

EVEN = 0.6  # part of a cell's rim of one colour from which on that is surely its ground
ALIKE = 8.0  # CIELAB difference that the eye can hardly tell on paper


@dataclass(frozen=True)
class ClassSettings:
    """How cells are sorted into classes.

    Attributes:
        glyphs: what counts as a symbol.
        lossy: how cells are sorted by their middle alone on a clean page of lossy coding.
        soft: the same on one that was resampled and kept without loss; soft edges reach two
            pixels, and no noise is there.
        ground: what speaks for a class being bare fabric.
        bare: chance from which on a class is taken for bare fabric: about even, and asked about.
        undecided: chance below which the key is asked, too.
        noisy: how cells with symbols or noise are sorted; None for the usual way, which is loaded
            only where it is needed.
    """

    glyphs: GlyphSettings = GlyphSettings()
    lossy: EvenSettings = EvenSettings()
    soft: EvenSettings = EvenSettings(least_pitch=7.0, inset=0.38, per_side=2, apart=14.0)
    ground: GroundWeights = GroundWeights()
    bare: float = 0.45
    undecided: float = 0.97
    noisy: NoisySettings | None = None


@dataclass(frozen=True)
class Told:
    """What the stitcher says about the classes, and whether the page is but part of a chart.

    Attributes:
        empty: sRGB of bare fabric; None to find it.
        no_empty: every cell is stitched.
        colours: number of stitched classes; None to find it.
        part: the page is one of several: its outermost cells aren't the chart's.
    """

    empty: tuple[int, int, int] | None = None
    no_empty: bool = False
    colours: int | None = None
    part: bool = False


@dataclass(frozen=True, eq=False)
class Classes:
    """Cells sorted into classes.

    Attributes:
        cells: class index per cell, shape (rows, columns).
        classes: the classes, the empty ground first where there is one, then by falling count.
        doubtful: (row, column) of every cell that might as well be of another class.
        exact: whether equal fills are equal to the last bit on this page.
        found: the cells as they were sorted, before the classes were put in order.
        ground: how likely each number of ``found`` is bare fabric.
        paper: sRGB of the paper around the grid; None where none is seen.
    """

    cells: NDArray[np.int32]
    classes: tuple[ChartClass, ...]
    doubtful: tuple[tuple[int, int], ...]
    exact: bool
    found: Sorted
    ground: GroundOdds
    paper: NDArray[np.float64] | None

    @property
    def sight(self) -> Sight | None:
        """How the cells were looked at; None where the colour of their middle tells all."""
        return self.found.sight


def classify(
    page: Page,
    lattice: Lattice,
    told: Told = Told(),
    settings: ClassSettings = ClassSettings(),
    progress: Progress = silent,
) -> Classes:
    """Sort the cells of a page by ground colour and glyph.

    On an exact page equal cells are equal to the last bit; on any other the light is evened out
    first, and cells are alike as far as the page's own noise lets them be.
    """
    progress("sorting cells", 0.0)
    cells = look_into(page, lattice)
    grounds = _exact_grounds(cells) if cells.exact else None
    exported = not cells.exact and is_exported(page, lattice)
    clean = None
    if told.colours is None and (exported or not page.lossless):
        clean = _clean(page, lattice, cells, settings)
    if grounds is not None and not _has_symbols(page, lattice, cells, grounds, settings.glyphs):
        found = sort_exact(cells, grounds)
    elif clean is not None:
        found = clean
    else:
        from chartscan.reading.cells.paper import paper_light  # plain pages don't need these
        from chartscan.reading.classes.colours import drawn_fills
        from chartscan.reading.classes.noisy import NoisySettings, sort_noisy

        even = cells.exact or exported
        light = None if even else paper_light(page, lattice, cells.ground)
        wanted = None if told.colours is None else told.colours + (not told.no_empty)
        bare = not even and is_bare(cells)
        how = settings.noisy or NoisySettings()
        found = sort_noisy(page, lattice, light, wanted, how, progress, bare=bare)
        if even:
            fills = drawn_fills(page, lattice, found.labels, found.colours)
            found = replace(found, colours=fills)
    return _named(page, lattice, found, told, settings, exact=cells.exact)


def name_classes(
    page: Page,
    lattice: Lattice,
    found: Sorted,
    told: Told = Told(),
    settings: ClassSettings = ClassSettings(),
) -> Classes:
    """The classes of cells that were sorted otherwise, in the colours they have on the page."""
    return _named(page, lattice, found, told, settings, exact=page.lossless)


def _named(
    page: Page,
    lattice: Lattice,
    found: Sorted,
    told: Told,
    settings: ClassSettings,
    *,
    exact: bool,
) -> Classes:
    """The classes, once it is told or found which is bare fabric."""
    cloth = lay_cloth(page, lattice, found, exact=exact, part=told.part)
    odds = _told_ground(found, told)
    if odds is None:
        odds = ground_odds(cloth, settings.ground)
        if odds.chances.max() < settings.undecided:
            light = found.sight.light if found.sight is not None else None
            key = find_key(page, lattice, light, cloth)
            odds = ground_odds(cloth.with_key(key), settings.ground)
    cells, classes, doubtful = _assemble(found, odds.taken(settings.bare))
    return Classes(cells, classes, doubtful, exact, found, odds, cloth.paper)


def _has_symbols(
    page: Page, lattice: Lattice, cells: Cells, grounds: Labels, settings: GlyphSettings
) -> bool:
    inked = inked_cells(cells)
    return has_symbols(grounds, inked, settings) or stands_free(page, lattice, inked, settings)


def _told_ground(found: Sorted, told: Told) -> GroundOdds | None:
    """What the stitcher says of bare fabric; None where she leaves it to the page."""
    number = len(found.colours)
    if told.no_empty:
        return settled_odds(None, number)
    if told.empty is None:
        return None
    apart = np.linalg.norm(srgb_to_lab(found.colours) - srgb_to_lab(told.empty), axis=1)
    blank = np.flatnonzero(found.symbols == BLANK)
    named = blank if blank.size else np.arange(number)
    return settled_odds(int(named[apart[named].argmin()]), number)


def _clean(page: Page, lattice: Lattice, cells: Cells, settings: ClassSettings) -> Sorted | None:
    """Cells sorted by the colour of their middle, on a clean page of lossy coding or resampled."""
    if not lattice.straight:
        return None
    even = sort_even(page, lattice, cells, settings.soft if page.lossless else settings.lossy)
    if even is None:
        return None
    labels, colours = even
    from chartscan.reading.classes.cluster import by_size

    order = by_size(labels.ravel())
    first = np.unique(order, return_index=True)[1]
    blank = np.full(len(first), BLANK, dtype=np.intp)
    found = colours[labels.ravel()[first]]
    return Sorted(order.reshape(labels.shape), found, blank, np.zeros(labels.shape, bool))


def sort_exact(cells: Cells, grounds: Labels) -> Sorted:
    """Sort by the ground's exact colour alone."""
    counts = np.bincount(grounds.ravel())
    used = np.argsort(-counts, kind="stable")[: np.count_nonzero(counts)]
    rank = np.zeros(len(counts), dtype=np.intp)
    rank[used] = np.arange(len(used))
    labels = rank[grounds]
    first = np.empty(len(used), dtype=np.intp)
    first[labels.ravel()[::-1]] = np.arange(labels.size - 1, -1, -1)  # the last one set stays
    colours = cells.ground.reshape(-1, 3)[first]
    blank = np.full(len(first), BLANK, dtype=np.intp)
    return Sorted(labels, colours, blank, np.zeros(labels.shape, bool))


def _exact_grounds(cells: Cells) -> Labels:
    """A number for each ground colour; one that no evenly filled cell has is a blend of others."""
    packed = pack(cells.ground.reshape(-1, 3).astype(np.uint8))
    values, _ = np.unique(packed, return_counts=True)  # values alone load numpy's masked arrays
    labels = np.searchsorted(values, packed)
    colours = unpack(values)
    even = np.zeros(len(colours), dtype=bool)
    even[labels[(cells.even >= EVEN).ravel()]] = True
    lab = srgb_to_lab(colours)
    nearest = np.flatnonzero(even)[
        np.linalg.norm(lab[:, None] - lab[even][None], axis=2).argmin(axis=1)
    ]
    return np.where(even, np.arange(len(colours)), nearest)[labels].reshape(cells.even.shape)


def _assemble(
    found: Sorted, empty: int | None
) -> tuple[NDArray[np.int32], tuple[ChartClass, ...], tuple[tuple[int, int], ...]]:
    """The cells, the classes, the empty ground first, and the doubtful cells."""
    colours, symbols = found.colours, found.symbols
    order = [k for k in range(len(colours)) if k != empty]
    if empty is not None:
        order.insert(0, empty)
    new = np.empty(len(colours), dtype=np.int32)
    new[order] = np.arange(len(order))
    inked = [k for k in order if symbols[k] != BLANK]
    one_ink = bool(inked) and empty is not None and _alike(colours[inked], colours[empty])
    classes = []
    for index, k in enumerate(order):
        symbol = None if symbols[k] == BLANK else f"symbol {symbols[k] + 1}"
        rgb = None if one_ink and symbol is not None else round_rgb(colours[k])
        classes.append(ChartClass(index, "empty" if k == empty else "stitch", rgb, symbol))
    doubtful = tuple((int(r), int(c)) for r, c in np.argwhere(found.doubtful))
    return new[found.labels], tuple(classes), doubtful


def _alike(colours: NDArray[np.float64], other: NDArray[np.float64]) -> bool:
    """Whether all ``colours`` are ``other`` as near as the eye can tell on paper."""
    distance = np.linalg.norm(srgb_to_lab(colours) - srgb_to_lab(other), axis=1)
    return bool((distance <= ALIKE).all())
