"""Recipes of designs that are stitched all over: no cell of them is bare fabric."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.drawing import photo, scan
from tests.drawing.common import fits, single, size, with_symbols
from tests.drawing.designs import design
from tests.drawing.palettes import lab
from tests.drawing.render import draw_page
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.style import RGB, WHITE, Design, Rule, Style
from tests.drawing.styles import grey, laid_out, lattice_style, pick

FROM_PAPER = 3.0  # ΔE76 of the stitched background and the paper at least, on a clean page
FROM_PAPER_WORN = 9.0  # the same where the page is scanned or photographed


def covered_chart(rng: Rng, rows: int, columns: int, apart: float, off: float) -> Design:
    """A design whose background is stitched, too: often pale, ``off`` ΔE76 from white at least."""
    chart = design(rng, rows, columns, int(pick(rng, 1, 2, 3, 5, 8, 14)), apart)
    colour = _background(rng, chart, apart, off)
    colours = np.vstack([chart.colours[:1], np.array([colour], np.uint8), chart.colours[1:]])
    return Design((chart.cells + 1).astype(np.int32), colours)


def _background(rng: Rng, chart: Design, apart: float, off: float) -> RGB:
    """A colour for what was bare: pale, middling or dark, and none that the design has."""
    taken = lab(chart.colours[1:])
    while True:
        low = int(pick(rng, 215, 215, 195, 195, 120, 10))
        r, g, b = (int(v) for v in rng.integers(low, min(256, low + 90), size=3))
        if rng.random() < 0.3:
            g = b = r
        place = lab(np.array([r, g, b], np.uint8))
        if np.linalg.norm(place - lab(np.array(WHITE, np.uint8))) < off:
            continue
        if np.linalg.norm(taken - place, axis=-1).min() >= min(apart, 6.0):
            return r, g, b


def covered(rng: Rng) -> Sample:
    """Stitched all over, sharp: a page or a crop, plain colours or with symbols."""
    rows, columns = size(rng, 20, 90)
    pitch = fits(rows, columns, float(rng.integers(8, 28)))
    chart = covered_chart(rng, rows, columns, 6.0, FROM_PAPER)
    style = lattice_style(rng, pitch)
    if pitch >= 14 and rng.random() < 0.35:
        one_ink = bool(rng.random() < 0.3)  # then every class has a glyph of its own
        share = 0.0 if one_ink else 0.15
        chart = with_symbols(rng, chart, int(pitch * 0.6), share=share, whole=one_ink)
        style = replace(style, glyph=rng.uniform(0.5, 0.8), one_ink=one_ink)
    return single(draw_page(chart, _placed(rng, style, chart)), chart, style)


def covered_worn(rng: Rng) -> Sample:
    """Stitched all over, scanned or photographed."""
    rows, columns = size(rng, 20, 80)
    pitch = round(fits(rows, columns, rng.uniform(10, 24), 5e6))
    chart = covered_chart(rng, rows, columns, 12.0, FROM_PAPER_WORN)
    style = lattice_style(rng, pitch)
    style = replace(style, minor=Rule(max(1, pitch // 14), grey(rng, 40, 150)))
    if pitch >= 14 and rng.random() < 0.3:
        chart = with_symbols(rng, chart, int(pitch * 0.6), share=0.1, soft=1.0, whole=False)
    style = laid_out(rng, style, chart.classes, (chart.columns, chart.rows))
    page = draw_page(chart, style)
    if rng.random() < 0.6:
        how = pick(rng, scan.mild, scan.medium)(rng)
        return single(scan.scanned(rng, page, how), chart, style, "JPEG", how.quality)
    shot = pick(rng, photo.mild, photo.medium)(rng)
    return single(photo.photographed(rng, page, shot), chart, style, "JPEG", shot.quality)


def _placed(rng: Rng, style: Style, chart: Design) -> Style:
    """A laid-out page, a bare crop, or a crop with a plain margin."""
    if rng.random() < 0.6:
        return laid_out(rng, style, chart.classes, (chart.columns, chart.rows))
    left, top, right, bottom = (int(v) for v in rng.integers(5, 60, size=4))
    return style if rng.random() < 0.3 else replace(style, margin=(left, top, right, bottom))


COVERED_GROUPS: dict[str, Group] = {"covered": covered, "covered-worn": covered_worn}
