"""Recipes of clean charts that fool a reader: repeats, single colours, tiny sizes, bare edges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tests.drawing.common import single
from tests.drawing.designs import blobs, design, finish, mirrored
from tests.drawing.palettes import colours_apart
from tests.drawing.render import draw_page
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.style import BLACK, RGB, WHITE, Cells, Design, Rule, Style
from tests.drawing.styles import grey, lattice_style, pick

Odd = Callable[[Rng], tuple[Design, Style]]
PAGE = (40, 50, 45, 55)


def _coloured(rng: Rng, cells: Cells, apart: float = 15.0, ground: RGB = WHITE) -> Design:
    return finish(cells, colours_apart(rng, max(1, int(cells.max())), apart, ground), ground)


def _side(rng: Rng, low: int = 20, high: int = 70) -> int:
    return int(rng.integers(low, high))


def bare_edges(rng: Rng) -> tuple[Design, Style]:
    """A small figure in a wide gridded ground, sometimes with nothing but the frame round it."""
    chart = design(rng, _side(rng, 12, 30), _side(rng, 12, 30), 4, 12.0)
    around = [(int(rng.integers(3, 25)), int(rng.integers(3, 25))) for _ in range(2)]
    chart = replace(chart, cells=np.pad(chart.cells, around))
    style = lattice_style(rng, float(rng.integers(8, 22)))
    if rng.random() < 0.3:
        style = replace(style, minor=None, bold=None, frame=Rule(2, BLACK))
    return chart, style


def one_motif(rng: Rng) -> tuple[Design, Style]:
    """One colour only."""
    cells = mirrored(rng, _side(rng), _side(rng), 1)
    return _coloured(rng, np.pad(cells, 1)), lattice_style(rng, float(rng.integers(6, 24)))


def checkerboard(rng: Rng) -> tuple[Design, Style]:
    """A board of single cells, one colour on the ground or two colours."""
    y, x = np.mgrid[0 : _side(rng), 0 : _side(rng)]
    cells = ((x + y) % 2 + int(rng.integers(2))).astype(np.int32)
    return _coloured(rng, np.pad(cells, 1)), lattice_style(rng, float(rng.integers(6, 24)))


def stripes(rng: Rng) -> tuple[Design, Style]:
    """Stripes and blocks that repeat every 2, 3 or 5 cells, so that colours tell a multiple."""
    n = int(pick(rng, 2, 3, 5))
    rows, columns = n * int(rng.integers(5, 14)), n * int(rng.integers(5, 14))
    y, x = np.mgrid[0:rows, 0:columns] // n
    cells = pick(rng, x % 2 + 1, y % 3, (x + y) % 2 + 1, (x + y) % 3).astype(np.int32)
    style = lattice_style(rng, float(rng.integers(6, 24)))
    return _coloured(rng, np.pad(cells, n)), replace(style, margin=PAGE)


def tiny(rng: Rng) -> tuple[Design, Style]:
    """Five to nine cells a side."""
    rows, columns = (int(rng.integers(5, 10)) for _ in range(2))
    cells = rng.integers(0, 3, size=(rows, columns)).astype(np.int32)
    style = replace(lattice_style(rng, float(rng.integers(8, 60))), margin=PAGE)
    return _coloured(rng, cells), style


def all_one(rng: Rng) -> tuple[Design, Style]:
    """Every cell of the same colour, on a page of another."""
    cells = np.ones((_side(rng), _side(rng)), np.int32)
    style = replace(lattice_style(rng, float(rng.integers(6, 24))), margin=PAGE)
    return _coloured(rng, cells, 30.0), style


def thick_lines(rng: Rng) -> tuple[Design, Style]:
    """Lines that take up to a third of the cell."""
    pitch = int(rng.integers(10, 30))
    chart = design(rng, _side(rng), _side(rng), 4, 12.0)
    wide = max(2, int(pitch * rng.uniform(0.2, 0.33)))
    rule = Rule(wide, grey(rng, 0, 120))
    return chart, Style(pitch=pitch, minor=rule, bold=None, frame=rule, margin=PAGE)


def white_lines(rng: Rng) -> tuple[Design, Style]:
    """White lines over dark and light fills."""
    chart = design(rng, _side(rng), _side(rng), 5, 12.0, ground=(205, 210, 215))
    rule = Rule(int(rng.integers(1, 3)), WHITE)
    style = Style(pitch=float(rng.integers(8, 24)), minor=rule, bold=None, frame=rule)
    return chart, replace(style, ground=(205, 210, 215), margin=PAGE)


def dark_cloth(rng: Rng) -> tuple[Design, Style]:
    """Black or navy ground."""
    ground: RGB = pick(rng, (20, 20, 25), (20, 30, 70), (60, 10, 20))
    chart = design(rng, _side(rng), _side(rng), 5, 20.0, ground=ground)
    chart = replace(chart, cells=np.pad(chart.cells, 2))
    rule = Rule(1, grey(rng, 110, 200))
    bold = Rule(2, grey(rng, 150, 255))
    style = Style(pitch=float(rng.integers(8, 24)), minor=rule, bold=bold, frame=bold)
    return chart, replace(style, ground=ground, margin=pick(rng, (0, 0, 0, 0), PAGE))


def bold_only(rng: Rng) -> tuple[Design, Style]:
    """Lines only at every tenth cell; the cells between are told by their colours."""
    chart = design(rng, _side(rng, 25), _side(rng, 25), 6, 12.0, maker=blobs)
    bold = Rule(int(rng.integers(1, 3)), BLACK)
    style = Style(pitch=float(rng.integers(7, 22)), minor=None, bold=bold, frame=bold)
    return chart, replace(style, margin=PAGE)


def nearly_white(rng: Rng) -> tuple[Design, Style]:
    """Colours a few levels from the ground's white."""
    chart = design(rng, _side(rng), _side(rng), 3, 12.0)
    light = 255 - rng.integers(1, 9, size=(chart.classes, 3)).astype(np.uint8)
    light[0] = 255
    while len(np.unique(light, axis=0)) < chart.classes:
        light[1:] = 255 - rng.integers(1, 9, size=(chart.classes - 1, 3))
    style = lattice_style(rng, float(rng.integers(8, 24)))
    return replace(chart, colours=light), replace(style, margin=PAGE)


def long_band(rng: Rng) -> tuple[Design, Style]:
    """A band of few rows and many columns, or the other way."""
    rows, columns = int(rng.integers(6, 14)), int(rng.integers(120, 260))
    if rng.random() < 0.5:
        rows, columns = columns, rows
    chart = design(rng, rows, columns, 4, 12.0)
    return chart, replace(lattice_style(rng, float(rng.integers(6, 12))), margin=PAGE)


def twice_a_cell(rng: Rng) -> tuple[Design, Style]:
    """Glyphs that repeat within the cell: bars, pickets, dots in fours."""
    chart = _coloured(rng, mirrored(rng, _side(rng, 14, 40), _side(rng, 14, 40), 3))
    names = ("bars", "pickets", "half left")[: chart.classes - 1]
    chart = replace(chart, symbols=(None, *names), cells=np.pad(chart.cells, 1))
    style = lattice_style(rng, float(rng.integers(14, 30)))
    return chart, replace(style, one_ink=True, glyph=1.0 if rng.random() < 0.5 else 0.7)


def gaps(rng: Rng) -> tuple[Design, Style]:
    """Fills that leave a gap to the lines, as tiles."""
    pitch = float(rng.integers(12, 28))
    chart = design(rng, _side(rng), _side(rng), 5, 12.0)
    style = replace(lattice_style(rng, pitch), inset=int(rng.integers(2, max(3, int(pitch / 6)))))
    return chart, replace(style, margin=PAGE)


KINDS: tuple[Odd, ...] = (
    bare_edges, one_motif, checkerboard, stripes, tiny, all_one, thick_lines, white_lines,
    dark_cloth, bold_only, nearly_white, long_band, twice_a_cell, gaps,
)  # fmt: skip


def odd(rng: Rng) -> Sample:
    """One of the kinds above."""
    kind = KINDS[int(rng.integers(len(KINDS)))]
    chart, style = kind(rng)
    sample = single(draw_page(chart, style), chart, style)
    return Sample(sample.files, {**sample.truth, "note": kind.__name__})


ODD_GROUPS: dict[str, Group] = {"odd": odd}
