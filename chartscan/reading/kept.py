"""What a chart file keeps of each page it was read from: enough to look at it again.

In the chart file it stands under ``lattice`` (and there under ``pages`` for each of several) and
``source``: the grid's columns and rows, the page's size in pixels, how the grid lies on it, what
white paper looks like on it, and where its first cell is in the whole chart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.entry import Entry, whole
from chartscan.errors import ChartError
from chartscan.reading.cells.light import Fold, Light
from chartscan.reading.lattice.model import FLAT, Lattice

DECIMALS = 9  # of a map's numbers: over 10,000 px they tell a hundredth of one
SHADES = 6  # decimals of how dark a page is: far below one level


@dataclass(frozen=True, eq=False)
class KeptPage:
    """One page that a chart was read from.

    Attributes:
        file: name of its file.
        sha256: of the file's bytes, hex.
        number: page in a PDF or TIFF, from 1; None for a plain picture.
        turn: degrees clockwise by which it was turned to be read.
        size: its width and height in pixels, upright and turned; None where that wasn't kept.
        lattice: its grid, in those pixels.
        light: what white paper looks like on the grid; None where it is even, or not seen.
        origin: row and column of its first cell in the whole chart.
    """

    file: str
    sha256: str
    number: int | None
    turn: int
    size: tuple[int, int] | None
    lattice: Lattice
    light: Light | None
    origin: tuple[int, int]


def describe_lattice(
    lattice: Lattice, size: tuple[int, int], light: Light | None = None
) -> dict[str, object]:
    """The lattice, the page's size and the light as the chart file keeps them."""
    kept: dict[str, object] = {
        "columns": lattice.columns,
        "rows": lattice.rows,
        "size": list(size),
        "homography": lattice.homography.round(DECIMALS).tolist(),
        "residual": lattice.residual.round(3).tolist(),
        "drawn": lattice.drawn,
    }
    if light is not None:
        kept["light"] = {
            "surface": light.surface.round(SHADES).tolist(),
            "folds": [
                {"depth": fold.depth.round(4).tolist(), "lean": fold.lean, "down": fold.down}
                for fold in light.folds
            ],
        }
    return kept


def kept_pages(chart: Chart) -> tuple[KeptPage, ...]:
    """The pages that a chart was read from.

    Raises:
        ChartError: the chart doesn't say: it is another program's, an older version's, or damaged.
    """
    pages, sources = chart.lattice.get("pages"), chart.source.get("pages")
    try:
        if pages is None:
            return (_page(Entry(chart.lattice, "the lattice"), Entry(chart.source), chart),)
        lattices = list(Entry(chart.lattice).entries("pages", "page"))
        named = list(Entry(chart.source).entries("pages", "source"))
        if not lattices or len(lattices) != len(sources or ()):
            raise ValueError("its pages and their sources don't agree")
        return tuple(
            _page(lattice, source, None) for lattice, source in zip(lattices, named, strict=True)
        )
    except ValueError as error:
        raise ChartError(
            f"the chart doesn't say how its grid lies on the page ({error}); read the picture again"
        ) from error


def _page(lattice: Entry, source: Entry, whole_chart: Chart | None) -> KeptPage:
    if whole_chart is not None and "columns" not in lattice.data:  # older files have one grid only
        columns, rows = whole_chart.columns, whole_chart.rows
    else:
        columns, rows = lattice.whole("columns"), lattice.whole("rows")
    size = lattice.list_or_empty("size")
    homography = _array(lattice.need("homography"), (3, 3))
    residual = lattice.list_or_empty("residual")
    number = source.data.get("page")
    light = lattice.data.get("light")
    width_height = [whole(side, "the page's size") for side in size[:2]]
    return KeptPage(
        file=source.text_or_none("file") or "",
        sha256=source.text_or_none("sha256") or "",
        number=None if number is None else whole(number, "the page's number"),
        turn=source.whole("turn") if "turn" in source.data else 0,
        size=(width_height[0], width_height[1]) if len(width_height) == 2 else None,
        lattice=Lattice(
            columns,
            rows,
            homography,
            _array(residual, None) if residual else FLAT,
            bool(lattice.data.get("drawn")),
        ),
        light=None if light is None else _light(Entry(light, "the light"), (columns, rows)),
        origin=(
            source.whole("row") if "row" in source.data else 0,
            source.whole("column") if "column" in source.data else 0,
        ),
    )


def _light(entry: Entry, size: tuple[int, int]) -> Light:
    folds = tuple(
        Fold(_array(fold.need("depth"), None), fold.number("lean"), bool(fold.data.get("down")))
        for fold in entry.entries("folds", "fold")
    )
    return Light(_array(entry.need("surface"), None), size, folds)


def _array(value: object, shape: tuple[int, ...] | None) -> NDArray[np.float64]:
    """Nested lists of numbers as an array; ValueError where they are something else."""
    try:
        array = np.array(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise ValueError("its numbers aren't numbers") from None
    if not np.isfinite(array).all() or (shape is not None and array.shape != shape):
        raise ValueError("its numbers aren't those of a grid")
    return array
