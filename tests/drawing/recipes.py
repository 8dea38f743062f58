"""How each group is drawn: its sizes, colours, styles and damage."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.drawing.common import fits, ringed, single, size
from tests.drawing.designs import Maker, confetti, design, scene, tells_pitch
from tests.drawing.palettes import one_level_apart
from tests.drawing.render import draw_page
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.style import WHITE, Rule, Style
from tests.drawing.styles import laid_out, lattice_style, pale, pick


def clean(rng: Rng) -> Sample:
    """A bare grid, cropped or with a plain margin, whole pixels."""
    rows, columns = size(rng)
    pitch = fits(rows, columns, float(pick(rng, *range(4, 41), 60, 80)))
    count = int(pick(rng, 1, 2, 3, 5, 8, 12, 20, 40))
    ground = pick(rng, WHITE, WHITE, pale(rng))
    chart = design(rng, rows, columns, count, pick(rng, 3.0, 6.0, 12.0), ground)
    if rng.random() < 0.15 and chart.classes > 2:
        levels = one_level_apart(rng, chart.classes - 1)
        chart = replace(chart, colours=np.vstack([chart.colours[:1], levels]))
    chart = ringed(chart)
    style = replace(lattice_style(rng, pitch), ground=ground, paper=pick(rng, WHITE, ground))
    if rng.random() < 0.4:
        left, top, right, bottom = (int(v) for v in rng.integers(5, 60, size=4))
        style = replace(style, margin=(left, top, right, bottom))
    return single(draw_page(chart, style), chart, style)


def clean_page(rng: Rng) -> Sample:
    """A whole page: title, axis, arrows, key."""
    rows, columns = size(rng)
    pitch = fits(rows, columns, float(rng.integers(6, 36)))
    ground = pick(rng, WHITE, WHITE, pale(rng))
    chart = design(rng, rows, columns, int(pick(rng, 2, 4, 7, 12, 25)), 6.0, ground)
    style = replace(lattice_style(rng, pitch), ground=ground)
    style = laid_out(rng, style, chart.classes, (columns, rows))
    return single(draw_page(chart, style), chart, style)


def fractional(rng: Rng) -> Sample:
    """A pitch that isn't a whole number of pixels, x and y apart by some per cent."""
    rows, columns = size(rng)
    pitch = fits(rows, columns, rng.uniform(8, 36))
    chart = ringed(design(rng, rows, columns, int(pick(rng, 2, 4, 7, 12, 25)), 6.0))
    if rng.random() < 0.3:
        style = lattice_style(rng, pitch)
        style = replace(style, pitch_y=pitch * rng.uniform(0.96, 1.04))
    else:
        style = lattice_style(rng, round(pitch))
        scale = rng.uniform(max(0.55, 5 / pitch), 1.35)
        style = replace(
            style,
            scale=(scale, scale * pick(rng, 1.0, rng.uniform(0.96, 1.04))),
            resample=pick(rng, "bilinear", "bicubic", "lanczos", "box"),
        )
    if rng.random() < 0.4:
        style = laid_out(rng, style, chart.classes, (columns + 2, rows + 2))
    return single(draw_page(chart, style), chart, style)


def no_lines(rng: Rng) -> Sample:
    """Fills without any lattice; unframed, the truth is the stitches' bounding box."""
    rows, columns = size(rng)
    pitch = fits(rows, columns, rng.uniform(4, 36))
    while True:
        chart = design(rng, rows, columns, int(pick(rng, 2, 4, 7, 12, 25)), 8.0)
        if tells_pitch(chart.cells):
            break
    framed = bool(rng.random() < 0.3)
    frame = Rule(max(1, int(pitch / 10)), (0, 0, 0)) if framed else None
    style = Style(pitch=round(pitch), minor=None, bold=None, frame=frame)
    if rng.random() < 0.4:
        style = replace(style, pitch=pitch)
    elif rng.random() < 0.5:
        scale = rng.uniform(max(0.6, 4.5 / pitch), 1.3)
        style = replace(style, scale=(scale, scale), resample=pick(rng, "bilinear", "lanczos"))
    if not framed:
        used = np.argwhere(chart.cells > 0)
        (r0, c0), (r1, c1) = used.min(axis=0), used.max(axis=0) + 1
        chart = replace(chart, cells=chart.cells[r0:r1, c0:c1])
    if not framed or rng.random() < 0.6:
        left, top, right, bottom = (int(v) for v in rng.integers(5, 90, size=4))
        style = replace(style, margin=(left, top, right, bottom))
    return single(draw_page(chart, style), chart, style)


def large(rng: Rng) -> Sample:
    """Up to 1000 x 1000 cells and 150 colours."""
    side = int(pick(rng, 250, 400, 700, 1000))
    rows, columns = side, int(side * rng.uniform(0.6, 1.0))
    pitch = fits(rows, columns, float(rng.integers(5, 12)), 36e6)
    maker: Maker | None = pick(rng, scene, scene, confetti, None)
    chart = ringed(design(rng, rows, columns, int(pick(rng, 30, 80, 150)), 4.0, maker=maker))
    style = replace(lattice_style(rng, max(5, int(pitch))), bold_every=10)
    if rng.random() < 0.5:
        style = replace(style, margin=(60, 60, 60, 60), axis=10)
    return single(draw_page(chart, style), chart, style)


CLEAN_GROUPS: dict[str, Group] = {
    "clean": clean,
    "clean-page": clean_page,
    "fractional": fractional,
    "no-lines": no_lines,
    "large": large,
}
