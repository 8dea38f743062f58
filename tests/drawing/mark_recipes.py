"""Recipes of clean charts with backstitch, part stitches and knots."""

from __future__ import annotations

from dataclasses import replace

from tests.drawing.common import fits, single, size
from tests.drawing.designs import design
from tests.drawing.marks import Marks, invent, paint_key, paint_lines, paint_parts
from tests.drawing.render import Page, export, letter_page, rule_lines, start
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.style import Design, Style
from tests.drawing.styles import laid_out, lattice_style, pick
from tests.drawing.truth import truth_of


def draw_marked(chart: Design, style: Style, marks: Marks) -> Page:
    """The clean page of ``chart`` with its marks."""
    canvas = start(chart, style)
    paint_parts(canvas, chart, marks)
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
    sample = single(draw_marked(chart, style, marks), chart, style)
    truth = truth_of(
        chart,
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


MARK_GROUPS: dict[str, Group] = {"backstitch": backstitch, "parts-knots": parts_knots}
