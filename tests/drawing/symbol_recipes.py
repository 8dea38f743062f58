"""Recipes of symbol charts: glyphs on colour, and glyphs in one ink."""

from __future__ import annotations

from dataclasses import replace

from tests.drawing.common import fewer, fits, single, size, with_symbols
from tests.drawing.designs import design
from tests.drawing.render import draw_page
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.style import BLACK, RGB, WHITE, Design, Style
from tests.drawing.styles import laid_out, lattice_style, pale, pick
from tests.drawing.symbols import are_told

MIRRORED = (
    ("slash", "backslash", "cross"),
    ("triangle left", "triangle right", "triangle up", "triangle down"),
    ("small dot", "large dot", "ring"),
    ("corner top left", "corner bottom right", "solid"),
    ("half left", "half right", "half top"),
    ("hatch", "back hatch"),
    ("chevron left", "chevron right", "chevron up", "chevron down"),
    ("b", "d", "p", "q"),
    ("cross", "heavy cross", "plus", "heavy plus"),
    ("bars", "pickets", "box"),
)
INKS: tuple[RGB, ...] = (BLACK, BLACK, BLACK, (30, 30, 60), (60, 40, 20), (20, 30, 140))


def on_colour_chart(
    rng: Rng, pitch: float, rows: int, columns: int, apart: float, soft: float = 0.0
) -> Design:
    """A coloured design with a glyph on (nearly) every class."""
    count = int(pick(rng, 2, 3, 5, 8, 14, 24))
    chart = design(rng, rows, columns, count, apart)
    return with_symbols(rng, chart, int(pitch * 0.6), share=0.2, soft=soft, whole=False)


def one_ink_chart(
    rng: Rng, pitch: float, rows: int, columns: int, soft: float = 0.0, most: int = 16
) -> Design:
    """A design told by glyphs alone; often with glyphs that are each other's mirror image.

    ``soft`` is the blur in pixels that they must survive, ``most`` the number of glyphs.
    """
    count = min(most, int(pick(rng, 1, 2, 4, 6, 9, 16)))
    side = max(8, int(pitch * 0.6))
    chart = design(rng, rows, columns, count, 3.0)
    family = MIRRORED[int(rng.integers(len(MIRRORED)))]
    told = all(are_told(family[: i + 1], side, soft) for i in range(len(family))) or not soft
    if told and rng.random() < 0.4:
        chart = fewer(chart, min(chart.classes - 1, len(family)))
        return replace(chart, symbols=(None, *family[: chart.classes - 1]))
    return with_symbols(rng, chart, side, soft=soft)


def _on_page(rng: Rng, style: Style, chart: Design) -> Style:
    """A laid-out page, a bare crop, or a crop with a plain margin."""
    if rng.random() < 0.5:
        return laid_out(rng, style, chart.classes, (chart.columns, chart.rows))
    left, top, right, bottom = (int(v) for v in rng.integers(0, 50, size=4))
    return style if rng.random() < 0.4 else replace(style, margin=(left, top, right, bottom))


def symbols_on_colour(rng: Rng) -> Sample:
    """Glyphs over colour, sharp."""
    rows, columns = size(rng, 15, 90)
    pitch = fits(rows, columns, float(rng.integers(12, 42)))
    chart = on_colour_chart(rng, pitch, rows, columns, 8.0)
    style = replace(lattice_style(rng, pitch), glyph=rng.uniform(0.5, 0.8))
    style = _resampled(rng, _on_page(rng, style, chart), pitch)
    return single(draw_page(chart, style), chart, style)


def symbols_one_ink(rng: Rng) -> Sample:
    """Glyphs alone, sharp."""
    rows, columns = size(rng, 15, 90)
    pitch = fits(rows, columns, float(rng.integers(12, 42)))
    chart = one_ink_chart(rng, pitch, rows, columns)
    ink = INKS[int(rng.integers(len(INKS)))]
    ground = pick(rng, WHITE, WHITE, pale(rng))
    style = replace(
        lattice_style(rng, pitch),
        one_ink=True,
        glyph=rng.uniform(0.5, 0.85),
        ground=ground,
        paper=pick(rng, WHITE, ground),
    )
    style = replace(_on_page(rng, style, chart), ink=ink)
    style = _resampled(rng, style, pitch)
    return single(draw_page(chart, style), chart, style)


def _resampled(rng: Rng, style: Style, pitch: float) -> Style:
    """Now and then an export at another size."""
    if rng.random() < 0.6:
        return style
    scale = rng.uniform(max(0.6, 11 / pitch), 1.3)
    return replace(style, scale=(scale, scale), resample=pick(rng, "bilinear", "lanczos"))


SYMBOL_GROUPS: dict[str, Group] = {
    "symbols-on-colour": symbols_on_colour,
    "symbols-one-ink": symbols_one_ink,
}
