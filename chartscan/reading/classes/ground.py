"""Which class of cells is the empty ground, the fabric that isn't stitched."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import srgb_to_lab
from chartscan.reading.cells.glyphs import BLANK
from chartscan.reading.cells.sampling import Samples, pack
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

Colours = NDArray[np.float64]
Labels = NDArray[np.intp]


@dataclass(frozen=True)
class EmptySettings:
    """What makes a class the empty ground.

    Attributes:
        pale: least CIELAB L of an empty ground; fabric is shown pale.
        vivid: greatest CIELAB chroma of an empty ground.
        near: CIELAB distance within which the class nearest to the colour of the page's margin, or
            to white where the grid fills the page, has that colour.
        margin: what that is worth, beside the parts of the outermost and of all cells it holds.
        plain: what it is worth to have no symbol where others have one.
        common: part of all cells from which on it is worth that in full.
        around: part of the outermost cells from which on a ground may have any colour.
        believed: how much of these a class needs together to be taken for empty.
        bare: levels (0..255) by which a ground of few cells may differ from the margin's.
        swatch: pixels of a class's very colour beside the grid that make a swatch of a key.
        looked_at: pixels beside the grid that are looked at for swatches, at most.
        keyed: fewest classes in a key that says which class isn't stitched.
    """

    pale: float = 70.0
    vivid: float = 25.0
    near: float = 4.0
    margin: float = 1.0
    plain: float = 0.5
    common: float = 0.1
    around: float = 0.85
    believed: float = 0.5
    bare: float = 2.0
    swatch: int = 12
    looked_at: int = 1_000_000
    keyed: int = 2


@dataclass(frozen=True)
class Surroundings:
    """What lies around the grid.

    Attributes:
        page: the page.
        lattice: where the grid lies on it.
        margin: sRGB of the paper beside it; None where the grid fills the page.
        exact: whether equal fills are equal to the last bit on this page.
    """

    page: Page
    lattice: Lattice
    margin: Colours | None
    exact: bool


def find_empty(
    labels: Labels,
    colours: Colours,
    symbols: Labels,
    around: Surroundings,
    settings: EmptySettings = EmptySettings(),
) -> int | None:
    """Number of the class that is empty ground; None where every class is stitched.

    Args:
        labels: class of each cell, shape (rows, columns).
        colours: sRGB of each class, shape (n, 3).
        symbols: glyph of each class, BLANK where it has none, shape (n,).
        around: what lies around the grid.
        settings: what makes a class the empty ground.
    """
    blank = np.flatnonzero(symbols == BLANK)
    if not blank.size:
        return None
    score = _scores(labels, colours, symbols, around, settings)
    best = int(score.argmax())
    if score[best] >= settings.believed:
        return int(blank[best])
    # Stitched all over, but for a few cells as bare as the margin, or else white. A dark margin
    # is cut off, or a frame.
    white = np.full(3, 255.0)
    paper = white if around.margin is None else around.margin
    shown = srgb_to_lab(paper)[0] >= settings.pale
    for ground in (paper, white) if shown else (white,):
        bare = np.flatnonzero(np.abs(colours[blank] - ground).max(axis=1) <= settings.bare)
        if bare.size:
            return int(blank[bare[0]])
    return _not_in_key(colours, blank, around, settings)


def _scores(
    labels: Labels,
    colours: Colours,
    symbols: Labels,
    around: Surroundings,
    settings: EmptySettings,
) -> Colours:
    """How much speaks for each class without a glyph, shape (blank classes,)."""
    blank = np.flatnonzero(symbols == BLANK)
    lab = srgb_to_lab(colours[blank])
    ring = np.concatenate([labels[0], labels[-1], labels[1:-1, 0], labels[1:-1, -1]])
    outer = np.bincount(ring, minlength=len(colours))[blank] / ring.size
    overall = np.bincount(labels.ravel(), minlength=len(colours))[blank] / labels.size
    score = outer + overall
    white = np.full(3, 255.0)
    paper = white if around.margin is None else around.margin
    off = np.linalg.norm(lab - srgb_to_lab(paper), axis=1)
    alike = (off < settings.near) & (off == off.min())  # another was meant to differ from paper
    score += settings.margin * alike * np.minimum(1, overall / settings.common)
    pale = (lab[:, 0] >= settings.pale) & (np.hypot(lab[:, 1], lab[:, 2]) <= settings.vivid)
    if (symbols != BLANK).any():
        score += settings.plain  # where stitches carry symbols, a cell without one is bare
    coloured = outer >= settings.around if len(colours) > 1 else False  # one alone is stitched
    if not around.lattice.drawn and around.margin is not None:
        pale, coloured = alike, False  # the paper shows through; any other colour is stitched
    score[~(pale | coloured)] = 0
    return score


def _not_in_key(
    colours: Colours, blank: Labels, around: Surroundings, settings: EmptySettings
) -> int | None:
    """The one pale class that has no swatch in the key, where all others have one."""
    if not around.exact or not around.lattice.straight or len(colours) != len(blank):
        return None
    wanted = pack(np.rint(colours).astype(np.uint8))
    order = np.argsort(wanted)
    seen = pack(_beside(around.page, around.lattice, settings.looked_at))
    place = np.searchsorted(wanted[order], seen).clip(max=len(order) - 1)
    hit = wanted[order][place] == seen
    count = np.zeros(len(order), dtype=np.int64)
    count[order] = np.bincount(place[hit], minlength=len(order))
    missing = np.flatnonzero(count < settings.swatch)
    if len(missing) != 1 or len(colours) - 1 < settings.keyed:
        return None
    lab = srgb_to_lab(colours[missing[0]])
    pale = lab[0] >= settings.pale and np.hypot(lab[1], lab[2]) <= settings.vivid
    return int(missing[0]) if pale else None


def _beside(page: Page, lattice: Lattice, most: int) -> Samples:
    """At most about ``most`` pixels, spread evenly, of what lies beside the grid, shape (n, 3)."""
    ends = lattice.to_pixels(np.array([[0.0, 0.0], [lattice.columns, lattice.rows]]))
    width, height = page.size
    (left, top), (right, bottom) = np.clip(np.rint(ends).astype(int), 0, (width, height))
    bands = (
        (slice(0, top), slice(0, width)),
        (slice(bottom, height), slice(0, width)),
        (slice(top, bottom), slice(0, left)),
        (slice(top, bottom), slice(right, width)),
    )
    total = width * height - (right - left) * (bottom - top)
    step = max(1, int(np.ceil(np.sqrt(total / most))))
    parts = [page.pixels[rows, columns][::step, ::step].reshape(-1, 3) for rows, columns in bands]
    return np.concatenate(parts)
