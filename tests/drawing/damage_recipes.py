"""Recipes of pages as they come: scans and photographs, mild to hard."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

from tests.drawing import photo, scan
from tests.drawing.common import fits, single, size
from tests.drawing.designs import design
from tests.drawing.render import draw_page
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.style import Design, Rule, Style
from tests.drawing.styles import grey, laid_out, lattice_style, pick
from tests.drawing.symbol_recipes import on_colour_chart, one_ink_chart


class Bounds(NamedTuple):
    """How fine a printed page may be.

    ``low``..``high`` is the pitch in pixels, ``apart`` the least ΔE76 of its colours, ``soft`` the
    blur in pixels that its glyphs must survive.
    """

    low: float
    high: float
    apart: float
    soft: float


def _print(rng: Rng, bounds: Bounds) -> tuple[Design, Style]:
    """A printed page: plain colour, glyphs on colour or one ink."""
    low, high, apart, soft = bounds
    rows, columns = size(rng, 20, 100)
    pitch = round(fits(rows, columns, rng.uniform(low, high), 5e6))
    pitch = max(int(low), pitch)
    kind = pick(rng, "colour", "colour", "on colour", "one ink")
    if pitch < 11:
        kind = "colour"
    if kind == "colour":
        count = int(pick(rng, 1, 2, 4, 6, 9, 14))
        chart = design(rng, rows, columns, count, apart)
    elif kind == "on colour":
        chart = on_colour_chart(rng, pitch, rows, columns, apart, soft)
    else:
        chart = one_ink_chart(rng, pitch, rows, columns, soft, 9)
    style = lattice_style(rng, pitch)
    minor = Rule(max(1, pitch // 14), grey(rng, 40, 150))
    bold = style.bold and replace(style.bold, width=minor.width + max(1, pitch // 14))
    style = replace(style, minor=minor, bold=bold, one_ink=kind == "one ink", glyph=0.72)
    style = laid_out(rng, style, chart.classes, (columns, rows))
    return chart, replace(style, paper=style.paper if rng.random() < 0.2 else style.ground)


def _scan(make: Callable[[Rng], scan.Scan], bounds: Bounds) -> Group:
    def recipe(rng: Rng) -> Sample:
        chart, style = _print(rng, bounds)
        how = make(rng)
        page = scan.scanned(rng, draw_page(chart, style), how)
        return single(page, chart, style, "JPEG", how.quality)

    return recipe


def _photo(make: Callable[[Rng], photo.Photo], bounds: Bounds) -> Group:
    def recipe(rng: Rng) -> Sample:
        chart, style = _print(rng, bounds)
        style = replace(style, margin=_roomy(style.margin))
        how = make(rng)
        page = photo.photographed(rng, draw_page(chart, style), how)
        return single(page, chart, style, "JPEG", how.quality)

    return recipe


def _roomy(margin: tuple[int, int, int, int]) -> tuple[int, int, int, int]:
    left, top, right, bottom = (max(40, v) for v in margin)
    return (left, top, right, bottom)


DAMAGE_GROUPS: dict[str, Group] = {
    "mild-scan": _scan(scan.mild, Bounds(8, 32, 7.0, 0.7)),
    "medium-scan": _scan(scan.medium, Bounds(8, 24, 10.0, 1.0)),
    "hard-scan": _scan(scan.hard, Bounds(6, 16, 15.0, 1.2)),
    "mild-photo": _photo(photo.mild, Bounds(10, 32, 8.0, 0.8)),
    "medium-photo": _photo(photo.medium, Bounds(10, 24, 11.0, 1.1)),
    "hard-photo": _photo(photo.hard, Bounds(9, 20, 16.0, 1.4)),
}
