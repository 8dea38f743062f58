"""What can vary in the drawing of a chart page, as plain values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

RGB = tuple[int, int, int]
Pixels = NDArray[np.uint8]
Points = NDArray[np.float64]
Cells = NDArray[np.int32]

BLACK: RGB = (0, 0, 0)
WHITE: RGB = (255, 255, 255)


@dataclass(frozen=True)
class Design:
    """A stitch design, free of any page.

    Attributes:
        cells: class per cell, shape (rows, columns); 0 is the empty ground.
        colours: sRGB of every class, shape (classes, 3); row 0 is the ground's.
        symbols: glyph name of every class, None where it is a plain colour.
    """

    cells: Cells
    colours: Pixels
    symbols: tuple[str | None, ...] = ()

    @property
    def rows(self) -> int:
        """Number of rows."""
        return int(self.cells.shape[0])

    @property
    def columns(self) -> int:
        """Number of columns."""
        return int(self.cells.shape[1])

    @property
    def classes(self) -> int:
        """Number of classes, the ground counted."""
        return len(self.colours)

    def symbol(self, index: int) -> str | None:
        """Glyph name of class ``index``."""
        return self.symbols[index] if self.symbols else None


@dataclass(frozen=True)
class Rule:
    """A printed line: ``width`` in drawing pixels, its ``colour``, ``dash`` length (0: solid)."""

    width: int = 1
    colour: RGB = BLACK
    dash: int = 0


@dataclass(frozen=True)
class Style:
    """How a page is laid out and exported; lengths in drawing pixels unless stated.

    Attributes:
        pitch: cell size before export, whole pixels or a fraction (edges are then rounded).
        pitch_y: cell height where it differs from ``pitch``.
        scale: resampling of the finished page, (x, y); 1 leaves it crisp.
        resample: Pillow filter of that resampling.
        minor, bold, frame: the grid's lines; None leaves them out.
        bold_every, bold_phase: every how many cells a line is bold, and where it starts.
        centre: lines through the middle of the chart.
        ground: colour of empty cells; ``paper``: colour of the page around the grid.
        margin: left, top, right, bottom.
        title: text above the chart.
        axis: numbers along the sides: every how many cells, 0 for none.
        arrows: triangles at the middle of the four sides.
        legend: where the key stands.
        one_ink: glyphs on bare ground; colours aren't printed.
        inset: gap between a cell's fill and the lattice, on every side.
        glyph: height of glyphs as a share of the cell; ``solid``: the same of solid ones.
        ink: colour of text and of one-ink glyphs.
        font: file name of a font that matplotlib ships.
        open_sides: left, top, right, bottom sides at which the frame is left out.
        first: column and row number of the grid's first cell, for axis and bold lines.
        shade: rows and columns at the start that are printed grey (repeats of another page).
    """

    pitch: float = 12
    pitch_y: float | None = None
    scale: tuple[float, float] = (1.0, 1.0)
    resample: Literal["box", "bilinear", "bicubic", "lanczos", "nearest"] = "lanczos"
    minor: Rule | None = Rule(1, (170, 170, 170))
    bold: Rule | None = Rule(2, (40, 40, 40))
    bold_every: int = 10
    bold_phase: int = 0
    frame: Rule | None = Rule(2, BLACK)
    centre: Rule | None = None
    ground: RGB = WHITE
    paper: RGB = WHITE
    margin: tuple[int, int, int, int] = (0, 0, 0, 0)
    title: str = ""
    axis: int = 0
    arrows: bool = False
    legend: Literal["none", "right", "below"] = "none"
    one_ink: bool = False
    inset: int = 0
    glyph: float = 0.66
    solid: float = 1.0
    ink: RGB = BLACK
    font: str = "DejaVuSans.ttf"
    open_sides: tuple[bool, bool, bool, bool] = (False, False, False, False)
    first: tuple[int, int] = (0, 0)
    shade: tuple[int, int] = (0, 0)
