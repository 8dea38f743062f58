"""A chart beside the pictures it was read from: nothing is searched for again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from chartscan.chart import Chart
from chartscan.errors import PageError
from chartscan.reading.classes.appearance import AppearanceSettings, Patches, patches
from chartscan.reading.kept import KeptPage, kept_pages
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page, PageSettings, digest_of, load_page, turned


@dataclass(frozen=True, eq=False)
class OpenPage:
    """A page that a chart was read from, decoded again.

    Attributes:
        page: its pixels.
        lattice: its grid, in them.
        kept: what the chart file says of it.
    """

    page: Page
    lattice: Lattice
    kept: KeptPage

    def holds(self, row: int, column: int) -> bool:
        """Whether a cell of the whole chart lies on this page."""
        top, left = self.kept.origin
        return top <= row < top + self.lattice.rows and left <= column < left + self.lattice.columns


@dataclass(frozen=True, eq=False)
class Reopened:
    """A chart and its pages.

    Attributes:
        chart: the chart, corrections included.
        pages: every page that it was read from.
    """

    chart: Chart
    pages: tuple[OpenPage, ...]

    @cached_property
    def patches(self) -> Patches:
        """CIELAB of even places inside every cell, light balanced: (rows, columns, n, n, 3)."""
        rows, columns = self.chart.cells.shape
        whole = np.full((rows, columns, PLACES, PLACES, 3), np.nan, dtype=np.float32)
        looked_at = AppearanceSettings(places=(PLACES, PLACES))
        for page in self.pages:
            found = patches(page.page, page.lattice, page.kept.light, looked_at)
            top, left = page.kept.origin
            spot = whole[top : top + found.shape[0], left : left + found.shape[1]]
            missing = np.isnan(spot)
            spot[missing] = found[: spot.shape[0], : spot.shape[1]][missing]
        return whole

    def page_of(self, row: int, column: int) -> OpenPage:
        """The first page that a cell lies on; ValueError where it lies on none."""
        for page in self.pages:
            if page.holds(row, column):
                return page
        raise ValueError(f"the cell {row + 1},{column + 1} lies on no page of this chart")


PLACES = 8  # along each side of a cell: enough to tell two glyphs, the same on every page


def reopen(
    chart: Chart, pictures: Sequence[Path], max_pixels: int = PageSettings.max_pixels
) -> Reopened:
    """Open the pictures of a chart again.

    Args:
        chart: the chart.
        pictures: where its pictures lie, in any order; they are known by their content.
        max_pixels: largest page taken.

    Raises:
        PageError: a picture isn't among them, has changed, or can't be decoded.
        ChartError: the chart doesn't say how its grid lies on its pages.
    """
    kept = kept_pages(chart)
    known = {digest_of(path): path for path in pictures}
    limits = PageSettings(max_pixels=max_pixels)
    return Reopened(chart, tuple(_open(page, known, limits) for page in kept))


def _open(kept: KeptPage, known: Mapping[str, Path], limits: PageSettings) -> OpenPage:
    path = known.get(kept.sha256)
    if path is None:
        raise PageError(_lacking(kept, list(known.values())))
    page = turned(load_page(path, limits, kept.number), kept.turn)
    lattice = kept.lattice
    if kept.size is not None and kept.size != page.size:  # a PDF was rendered at another scale
        across, down = page.size[0] / kept.size[0], page.size[1] / kept.size[1]
        lattice = _stretched(lattice, across, down)
    return OpenPage(page, lattice, kept)


def _stretched(lattice: Lattice, across: float, down: float) -> Lattice:
    stretch = np.diag([across, down, 1.0])
    return replace(
        lattice,
        homography=stretch @ lattice.homography,
        residual=lattice.residual * np.array([across, down]),
    )


def _lacking(kept: KeptPage, pictures: Sequence[Path]) -> str:
    """Why a page can't be opened again, and what still can be done."""
    changed = [path for path in pictures if path.name == kept.file]
    if changed:
        return (
            f"{changed[0]}: has changed since the chart was read from it; read it again into the"
            " chart file, which carries your corrections over"
        )
    return (
        f"{kept.file or 'the picture'}: isn't the picture that was given; without the one that the"
        " chart was read from, cells and classes can be corrected but not looked at"
    )
