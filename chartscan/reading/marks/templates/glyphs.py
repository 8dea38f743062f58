"""Whether what was taken for symbols is: cells look alike, and nothing reaches their sides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from chartscan.reading.cells.glyphs import LEAST_INK, is_disc
from chartscan.reading.classes.usual import FEW
from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.marks import Marks
from chartscan.reading.marks.patches import INKED, difference
from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.template import (
    Template,
    ground_of,
    inside_of,
    off_share,
    template_of,
)


@dataclass(frozen=True)
class GlyphChartSettings:
    """When a page is a symbol chart, however few cells share each symbol.

    Attributes:
        alike: part of them that must show the class's picture.
    """

    alike: float = 0.7


def shows_glyphs(
    flat: Flat, given: Marks, settings: GlyphChartSettings = GlyphChartSettings()
) -> bool:
    """Whether most cells of ``given`` classes with symbols show one glyph a class.

    Lines over cells differ from cell to cell, or reach the sides; French knots are discs.
    """
    cells = given.cells.ravel()
    counts = np.bincount(cells, minlength=len(given.classes))
    signed, shown = 0, 0
    for entry in given.classes:
        count = int(counts[entry.index])
        if entry.symbol is None:
            continue
        signed += count
        if count < FEW:
            continue
        mine = np.flatnonzero(cells == entry.index)
        template = template_of(flat, mine)
        if _is_glyph(flat, template):
            alike = off_share(flat, inside_of(flat, mine), template) <= flat.alike
            shown += count if alike.mean() >= settings.alike else 0
    return 2 * shown > signed


def _is_glyph(flat: Flat, template: Template) -> bool:
    """Whether something is drawn there, clear of the cell's sides, and no disc."""
    ground = ground_of(flat, template.picture)
    ink: Mask = difference(template.picture, ground) > INKED * flat.tolerance
    low, high = flat.depth, flat.side - flat.depth
    ring = flat.inner.copy()
    ring[low + 1 : high - 1, low + 1 : high - 1] = False
    if ink[ring].mean() > LEAST_INK or not ink[flat.inner].any():
        return False
    return not is_disc(ink[low:high, low:high])
