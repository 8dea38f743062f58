"""The colour of each class: what its cells are filled with, beside the glyphs printed on it.

A glyph may cover half of a cell's rim and more: a disc reaches the middle of all four sides. What
lies beside it has one colour everywhere; ink and its soft edges have many.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.sampling import pack, rim_places, sample, unpack
from chartscan.reading.classes.appearance import colours_at
from chartscan.reading.classes.sorting import Sight
from chartscan.reading.classes.usual import GREY
from chartscan.reading.filters import median
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.scale import THIN_LINES

Colours = NDArray[np.float64]
Labels = NDArray[np.intp]


@dataclass(frozen=True)
class FillSettings:
    """How the fill of a class is told from what is printed on it.

    Attributes:
        alike: CIELAB difference up to which two places of a cell are of one colour.
        bled: the same between the fill and its outermost places, which lines bleed into.
        line_px: pixels left out at least: half a line, and where it is soft.
        places: places along a side of a cell.
        cells: cells of a class that are looked at, spread over the chart; more make the median no
            steadier than the light that falls on them is.
        most: part of the outermost places of a class, at least, that have the fill's very colour.
    """

    alike: float = 2.0
    bled: float = 20.0
    line_px: float = 1.7
    places: int = 8
    cells: int = 100
    most: float = 0.3


def plain_fills(ground: Colours, labels: Labels) -> Colours:
    """The usual ground of each class where nothing is printed in the cells, shape (classes, 3).

    Args:
        ground: of each cell, shape (rows, columns, 3).
        labels: class of each cell from 0, every one in use, shape (rows, columns).
    """
    flat = ground.reshape(-1, 3)
    return np.stack([np.median(flat[cells], axis=0) for cells in _members(labels)])


def fills_of(
    page: Page,
    sight: Sight,
    labels: Labels,
    usual: Colours,
    settings: FillSettings = FillSettings(),
) -> Colours:
    """CIELAB of each class's fill beside its glyph, shape (classes, 3).

    What most of the outermost places of its usual cell agree on is the fill, though lines may have
    bled into it; the places farther in that come nearest to that tell what colour it is. A page
    in one ink has no fills: there, shadows of lines and threads would pass for some.

    Args:
        page: the page.
        sight: how its cells were looked at.
        labels: class of each cell from 0, every one in use, shape (rows, columns).
        usual: what :func:`plain_fills` finds; the result on a page in one ink.
        settings: what counts as one colour.
    """
    side = sight.patches.shape[2]
    looked_at = [cells[:: -(-len(cells) // settings.cells)] for cells in _members(labels)]
    every = np.concatenate(looked_at)
    inner = sight.patches.reshape(labels.size, side, side, 3)[every][:, rim_places(side)]
    outer = _outermost(page, sight, every, settings)
    ends = np.cumsum([len(cells) for cells in looked_at])[:-1]
    parts = zip(np.split(inner, ends), np.split(outer, ends), strict=True)
    fills = np.stack([_fill(rim, beyond, settings) for rim, beyond in parts])
    grey = np.hypot(fills[:, 1], fills[:, 2]) < GREY
    return usual if grey.all() else fills


def _outermost(
    page: Page, sight: Sight, cells: Labels, settings: FillSettings
) -> NDArray[np.floating]:
    """CIELAB of places close to the sides of some cells, as near as lines let them be: (k, n, 3).

    ``cells`` are places in the flat page, shape (k,).
    """
    inset = max(THIN_LINES, settings.line_px / min(sight.lattice.pitch))
    at = inset + np.linspace(0, 1 - 2 * inset, settings.places)
    inside = np.stack(np.meshgrid(at, at), axis=-1)[rim_places(settings.places)]
    corners = np.stack(np.divmod(cells, sight.lattice.columns)[::-1], axis=-1)
    return colours_at(page, sight.lattice, sight.light, corners[:, None] + inside)


def _fill(
    rim: NDArray[np.floating], outer: NDArray[np.floating], settings: FillSettings
) -> Colours:
    """The colour of the fill of cells, of places at their rim and farther out (k, places, 3)."""
    usual, beside = (median(places, axis=0).astype(np.float64) for places in (rim, outer))
    agreed = _commonest(beside, settings)
    off = np.linalg.norm(usual - agreed, axis=1)
    if off.min() > settings.bled:  # lines are drawn there, and their shadow lies in every cell
        return np.asarray(np.median(usual, axis=0))
    return _commonest(usual[off <= off.min() + settings.bled / 2], settings)


def _commonest(places: Colours, settings: FillSettings) -> Colours:
    """The colour that most of some places (n, 3) agree on."""
    apart = np.linalg.norm(places[:, None] - places[None], axis=2) / settings.alike
    densest = np.exp(-(apart**2)).sum(axis=1).argmax()
    return np.asarray(np.median(places[apart[densest] <= 1], axis=0))


def drawn_fills(
    page: Page,
    lattice: Lattice,
    labels: Labels,
    colours: Colours,
    settings: FillSettings = FillSettings(),
) -> Colours:
    """SRGB of each class's fill on a page that a program drew: the commonest along its sides.

    Where too few places have one and the same colour, as on a page drawn softer or smaller since,
    the one of ``colours`` (classes, 3) stays.
    """
    inset = max(THIN_LINES, settings.line_px / min(lattice.pitch))
    seen = sample(page, lattice, settings.places, inset)[:, :, rim_places(settings.places)]
    packed = pack(seen).reshape(labels.size, -1)
    fills = colours.copy()
    for k, cells in enumerate(_members(labels)):
        values, counts = np.unique(packed[cells], return_counts=True)
        if counts.max() >= settings.most * packed[cells].size:
            fills[k] = unpack(values[counts.argmax()])
    return fills


def _members(labels: Labels) -> Iterator[NDArray[np.intp]]:
    """The cells of each class, as places in the flat page."""
    order = np.argsort(labels, axis=None, kind="stable")
    yield from np.split(order, np.cumsum(np.bincount(labels.ravel()))[:-1])
