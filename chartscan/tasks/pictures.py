"""Pictures of a page and of a reading: a first look, the chart laid flat, the grid on the page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from chartscan.reading import Reading, ReadSettings
    from chartscan.reading.evidence import Evidence
    from chartscan.reading.page.glance import Glance
    from chartscan.reading.review.straighten import Straightened

Point = tuple[float, float]


@dataclass(frozen=True)
class GridOnPage:
    """Where the grid lies on one page, in pixels of the upright page.

    Attributes:
        corners: top left, top right, bottom right, bottom left.
        lines: every tenth line of the grid and its rim, each a run of points.
        cells: columns and rows.
        origin: row and column of its first cell in the whole chart.
    """

    corners: tuple[Point, Point, Point, Point]
    lines: tuple[tuple[Point, ...], ...]
    cells: tuple[int, int]
    origin: tuple[int, int]


def first_look(path: Path, number: int | None, longest_px: int, max_pixels: int) -> Glance:
    """A small picture of one page of a file, and how many pages the file holds.

    Only the worktable: a terminal shows no picture.

    Raises:
        PageError: as :func:`chartscan.reading.page.glance.glance`.
    """
    from chartscan.reading.page.glance import glance
    from chartscan.reading.page.page import PageSettings

    return glance(path, number, longest_px, PageSettings(max_pixels=max_pixels))


def load_reader() -> None:
    """Load what every page needs, before there is one.

    Only the worktable: its reader waits for pages; a command has its page already.
    """
    import PIL.Image

    import chartscan.reading
    import chartscan.reading.page.glance  # noqa: F401 - loaded, not used

    PIL.Image.preinit()


def unread_pages(
    paths: Sequence[Path], settings: ReadSettings, read: int
) -> Iterator[NDArray[np.uint8]]:
    """The pixels of each page after those that were ``read``, as the reader sees it.

    Each is of shape (height, width, 3).

    Only the worktable: where the reader refuses a page, its corners are shown by hand on this.

    Raises:
        PageError: the page can't be opened.
    """
    from chartscan.reading.page.page import PageSettings, list_pages, load_page, turned

    pages = list_pages(paths, settings.pages)
    for place, (path, number) in list(enumerate(pages))[read:]:
        page = load_page(path, PageSettings(max_pixels=settings.max_pixels), number)
        yield turned(page, settings.of_page(place, len(pages)).turn).pixels


def laid_flat(reading: Reading) -> Straightened:
    """The whole chart as a picture with square cells.

    Only the worktable: the command line draws the review picture instead.
    """
    from chartscan.reading.review.straighten import straighten

    return straighten(reading.evidence, (reading.chart.rows, reading.chart.columns))


def grid_on_page(page: Evidence, every: int = 10) -> GridOnPage:
    """Where the grid lies on a page that was read.

    Only the worktable: the command line draws the review picture instead.
    """
    import numpy as np

    lattice = page.lattice
    columns, rows = lattice.columns, lattice.rows
    lines = []
    for axis, count, length in ((0, columns, rows), (1, rows, columns)):
        for stop in sorted({*range(0, count, every), count}):
            along = np.append(np.arange(0, length, every), length).astype(np.float64)
            across = np.full(len(along), float(stop))
            points = np.stack([across, along] if axis == 0 else [along, across], axis=-1)
            lines.append(_points(lattice.to_pixels(points)))
    rim = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], dtype=np.float64)
    a, b, c, d = _points(lattice.to_pixels(rim))
    return GridOnPage((a, b, c, d), tuple(lines), (columns, rows), page.origin)


def _points(pixels: NDArray[np.float64]) -> tuple[Point, ...]:
    return tuple((round(float(x), 2), round(float(y), 2)) for x, y in pixels)
