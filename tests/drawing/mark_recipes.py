"""Recipes of charts with backstitch, part stitches and knots: over colour, symbols, and scanned."""

from __future__ import annotations

from dataclasses import replace

from tests.drawing.common import fits, single, size
from tests.drawing.designs import design
from tests.drawing.marks import (
    Marks,
    invent,
    paint_key,
    paint_lines,
    paint_parts,
    stamp_part_glyphs,
)
from tests.drawing.render import Page, export, letter_page, rule_lines, stamp_glyphs, start
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.scan import mild, scanned
from tests.drawing.style import WHITE, Design, Rule, Style
from tests.drawing.styles import grey, laid_out, lattice_style, pick
from tests.drawing.symbol_recipes import INKS, on_colour_chart, one_ink_chart
from tests.drawing.truth import truth_of


def draw_marked(chart: Design, style: Style, marks: Marks) -> Page:
    """The clean page of ``chart`` with its marks."""
    canvas = start(chart, style)
    paint_parts(canvas, chart, marks)
    if chart.symbols:
        stamp_glyphs(canvas, chart, style)
        stamp_part_glyphs(canvas, chart, style, marks)
    rule_lines(canvas, style)
    paint_lines(canvas, chart, marks)
    canvas = letter_page(canvas, chart, style)
    if style.legend != "none":
        paint_key(canvas, chart, style, marks)
    return export(canvas, style)


def marked(rng: Rng, part_share: float, knots: int) -> Sample:
    """A clean chart with lines, and with parts and knots where asked."""
    rows, columns = size(rng, 20, 70)
    pitch = fits(rows, columns, float(rng.integers(12, 34)))
    chart = design(rng, rows, columns, int(pick(rng, 1, 2, 3, 5)), 14.0)
    strays = rows * columns // 40
    chart, marks = invent(rng, chart, part_share, strays, knots and rows * columns // knots)
    style = lattice_style(rng, pitch)
    thin = replace(style.minor, width=max(1, int(pitch / 14))) if style.minor else None
    style = replace(style, minor=thin)
    if rng.random() < 0.5:
        style = laid_out(rng, style, chart.classes + len(marks.colours), (columns, rows))
        style = replace(style, centre=None)
    if rng.random() < 0.3:
        scale = rng.uniform(max(0.7, 11 / pitch), 1.3)
        style = replace(style, scale=(scale, scale), resample=pick(rng, "bilinear", "lanczos"))
    return _judged(single(draw_marked(chart, style, marks), chart, style), chart, style, marks)


def _judged(sample: Sample, chart: Design, style: Style, marks: Marks) -> Sample:
    """The sample with its marks in its truth."""
    truth = truth_of(
        chart,
        colours_printed=not style.one_ink,
        ground=style.ground,
        parts=marks.parts,
        lines=marks.lines,
        knots=marks.knots,
        mark_colours=marks.colours,
        judge_marks=True,
    )
    extra = {k: v for k, v in sample.truth.items() if k in ("image", "centres")}
    return Sample(sample.files, {**truth, **extra, "score_colour": False})


def backstitch(rng: Rng) -> Sample:
    """Lines in one to three colours."""
    return marked(rng, 0.0, 0)


def parts_knots(rng: Rng) -> Sample:
    """Part stitches, lines and knots together."""
    return marked(rng, rng.uniform(0.08, 0.3), int(rng.integers(40, 90)))


def over_one_ink(rng: Rng) -> Sample:
    """Backstitch over symbols in one ink."""
    rows, columns = size(rng, 20, 60)
    pitch = fits(rows, columns, float(rng.integers(14, 34)))
    chart = one_ink_chart(rng, pitch, rows, columns, most=9)
    style = replace(
        lattice_style(rng, pitch), one_ink=True, glyph=rng.uniform(0.5, 0.75), ground=WHITE
    )
    style = replace(style, ink=INKS[int(rng.integers(len(INKS)))])
    return _over_symbols(rng, chart, style, 0.0)


def over_symbols_on_colour(rng: Rng) -> Sample:
    """Backstitch over symbols on colour."""
    rows, columns = size(rng, 20, 60)
    pitch = fits(rows, columns, float(rng.integers(14, 34)))
    chart = on_colour_chart(rng, pitch, rows, columns, 14.0)
    style = replace(lattice_style(rng, pitch), glyph=rng.uniform(0.5, 0.75))
    return _over_symbols(rng, chart, style, 0.0)


def parts_on_colour(rng: Rng) -> Sample:
    """Part stitches with small symbols in their corners, among symbols on colour."""
    rows, columns = size(rng, 20, 60)
    pitch = fits(rows, columns, float(rng.integers(18, 34)))
    chart = on_colour_chart(rng, pitch, rows, columns, 14.0)
    style = replace(lattice_style(rng, pitch), glyph=rng.uniform(0.5, 0.75))
    return _over_symbols(rng, chart, style, rng.uniform(0.08, 0.25))


def _over_symbols(rng: Rng, chart: Design, style: Style, part_share: float) -> Sample:
    """A symbol chart with lines over it, or with parts where there is a ``part_share``."""
    strays = 0 if part_share else chart.rows * chart.columns // 40
    chart, marks = invent(rng, chart, part_share, strays, 0)
    thin = replace(style.minor, width=max(1, int(style.pitch / 14))) if style.minor else None
    style = replace(style, minor=thin)
    if rng.random() < 0.5:
        shape = chart.columns, chart.rows
        ink = style.ink
        style = laid_out(rng, style, chart.classes + len(marks.colours), shape)
        style = replace(style, centre=None, ink=ink)
    if rng.random() < 0.3:
        scale = rng.uniform(max(0.7, 13 / style.pitch), 1.3)
        style = replace(style, scale=(scale, scale), resample=pick(rng, "bilinear", "lanczos"))
    return _judged(single(draw_marked(chart, style, marks), chart, style), chart, style, marks)


def scanned_marks(rng: Rng) -> Sample:
    """All kinds of marks over colour, on a good scan."""
    rows, columns = size(rng, 20, 60)
    pitch = fits(rows, columns, float(rng.integers(18, 32)), 5e6)
    chart = design(rng, rows, columns, int(pick(rng, 1, 2, 3, 5)), 16.0)
    cells = rows * columns
    chart, marks = invent(rng, chart, rng.uniform(0.05, 0.2), cells // 50, cells // 40)
    minor = Rule(max(1, int(pitch / 14)), grey(rng, 40, 150))
    style = replace(lattice_style(rng, pitch), minor=minor)
    style = laid_out(rng, style, chart.classes + len(marks.colours), (columns, rows))
    style = replace(style, centre=None, paper=style.ground)
    how = mild(rng)
    page = scanned(rng, draw_marked(chart, style, marks), how)
    return _judged(single(page, chart, style, "JPEG", how.quality), chart, style, marks)


MARK_GROUPS: dict[str, Group] = {
    "backstitch": backstitch,
    "parts-knots": parts_knots,
    "backstitch-one-ink": over_one_ink,
    "backstitch-symbols-on-colour": over_symbols_on_colour,
    "parts-symbols-on-colour": parts_on_colour,
    "marks-scanned": scanned_marks,
}
