"""Recipes about files: picture formats, PDF, charts on several pages."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

from tests.drawing import pdf
from tests.drawing.common import fits, ringed, single, size, with_symbols
from tests.drawing.designs import blobs, confetti, design, mirrored, stars
from tests.drawing.files import Files, picture
from tests.drawing.formats import FORMATS
from tests.drawing.pages import Cut, cuts, joins_are_told, page_style, part_of
from tests.drawing.render import draw_page
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.style import BLACK, WHITE, Design, Rule
from tests.drawing.styles import TITLES, laid_out, lattice_style, pick
from tests.drawing.symbols import choose
from tests.drawing.truth import centres_of, truth_of


def formats(rng: Rng) -> Sample:
    """A clean chart in one of the picture formats."""
    rows, columns = size(rng, 15, 70)
    pitch = fits(rows, columns, float(rng.integers(8, 28)))
    chart = ringed(design(rng, rows, columns, int(pick(rng, 2, 4, 8)), 10.0))
    style = lattice_style(rng, pitch)
    if rng.random() < 0.5:
        style = laid_out(rng, style, chart.classes, (columns + 2, rows + 2))
    names = sorted(FORMATS)
    name = names[int(rng.integers(len(names)))]
    if name == "one-bit":
        style = replace(style, one_ink=True, ink=BLACK, paper=WHITE, minor=Rule(1, BLACK))
        chart = with_symbols(rng, chart, 9)
        if pitch < 14:
            style = replace(style, pitch=14.0)
    sample = single(draw_page(chart, style), chart, style)
    page = draw_page(chart, style)
    file, data = FORMATS[name](page.pixels)
    truth = {**sample.truth, "image": file, "score_colour": False, "note": name}
    return Sample({file: data}, truth)


def pdf_chart(rng: Rng) -> Sample:
    """A vector chart, perhaps behind a cover page, or a picture of one."""
    rows, columns = size(rng, 15, 90)
    chart = design(rng, rows, columns, int(pick(rng, 1, 3, 6, 12)), 6.0)
    out = BytesIO()
    canvas = pdf.new_canvas(out, (595.0, 842.0))
    covered = rng.random() < 0.25
    if covered:
        pdf.cover_page(canvas, (595.0, 842.0))
    one_ink = False
    if rng.random() < 0.8:
        chart, sheet = _sheet(rng, chart)
        one_ink = sheet.one_ink
        pdf.vector_page(canvas, chart, sheet)
    else:
        style = laid_out(rng, lattice_style(rng, 16.0), chart.classes, (columns, rows))
        pdf.picture_page(canvas, draw_page(chart, style).pixels, float(pick(rng, 100, 150, 300)))
    canvas.save()
    truth = truth_of(chart, colours_printed=not one_ink)
    truth |= {"image": "image.pdf", "score_colour": False}
    if covered:
        truth["args"] = ["--page", "2"]
    return Sample({"image.pdf": out.getvalue()}, truth)


def _sheet(rng: Rng, chart: Design) -> tuple[Design, pdf.Sheet]:
    pitch = rng.uniform(5, 14)
    glyphs = bool(rng.random() < 0.4)
    if glyphs:
        signs = tuple(s for s in choose(rng, 30, 10) if len(s) == 1)
        chart = with_symbols(rng, chart, 10, signs)
    sheet = pdf.Sheet(
        pitch=pitch,
        margin=(rng.uniform(30, 80), rng.uniform(30, 80)),
        fills=pick(rng, "cell", "run", "path"),
        lines=pick(rng, "each", "each", "path", "squares", "none" if not glyphs else "each"),
        line=rng.uniform(0.2, 0.9),
        line_grey=rng.uniform(0, 0.75),
        bold_every=pick(rng, 10, 10, 5, 0),
        empty_fills=bool(rng.random() < 0.3),
        glyphs=glyphs,
        one_ink=glyphs and bool(rng.random() < 0.5),
        numbers=bool(rng.random() < 0.7),
        key=bool(rng.random() < 0.7),
        title=pick(rng, "", *TITLES),
    )
    if sheet.lines == "none" and not sheet.bold_every:
        sheet = replace(sheet, lines="each")
    return chart, sheet


def pages(rng: Rng) -> Sample:
    """A clean chart on two to nine pages."""
    layout = pick(rng, (1, 2), (1, 2), (2, 1), (2, 2), (2, 2), (1, 3), (2, 3), (3, 3))
    overlap = (int(rng.integers(0, 6)), int(rng.integers(0, 6)))
    shaded = bool(rng.random() < 0.5)
    chart, found = _split(rng, layout, overlap, shaded)
    rows, columns = chart.cells.shape
    pitch = float(rng.integers(9, 24))
    style = lattice_style(rng, pitch)
    if style.bold is not None:
        style = replace(style, bold_phase=0)
    share = (max(c.c1 - c.c0 for c in found), max(c.r1 - c.r0 for c in found))
    style = replace(laid_out(rng, style, chart.classes, share), axis=10, centre=None)
    if rng.random() < 0.3:
        with_glyphs = with_symbols(rng, chart, max(9, int(pitch * 0.6)), whole=False)
        chart = with_glyphs if pitch >= 14 else chart
    open_ = bool(rng.random() < 0.5)
    files: Files = {}
    centres = []
    for number, cut in enumerate(found):
        this = page_style(style, cut, rows, columns, shaded, open_)
        if number:
            this = replace(this, legend="none")
        page = draw_page(part_of(chart, cut), this)
        files[f"page{number + 1}.png"] = picture(page.pixels)
        centres += centres_of(page, (cut.r0, cut.c0), number)
    truth = truth_of(chart, ground=style.ground)
    truth |= {
        "image": "page1.png",
        "images": list(files),
        "score_colour": False,
        "centres": centres,
        "page_cells": [[c.r0, c.r1, c.c0, c.c1] for c in found],
        "args": ["--layout", f"{layout[0]}x{layout[1]}"] if layout[0] > 1 else [],
    }
    return Sample(files, truth)


def _split(
    rng: Rng, layout: tuple[int, int], overlap: tuple[int, int], shaded: bool
) -> tuple[Design, list[Cut]]:
    """A design whose pages can be joined in one way only, and its cuts."""
    makers = (blobs, confetti, mirrored, stars)
    while True:
        rows, columns = (int(rng.integers(24, 46)) * n for n in layout)
        maker = makers[int(rng.integers(len(makers)))]
        chart = design(rng, rows, columns, int(rng.integers(2, 8)), 12.0, maker=maker)
        found = cuts(rows, columns, layout, overlap)
        if joins_are_told(chart.cells, found):
            return chart, found


FILE_GROUPS: dict[str, Group] = {"formats": formats, "pdf": pdf_chart, "pages": pages}
