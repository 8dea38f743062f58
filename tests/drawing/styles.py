"""Random styles: how the pages of a group look."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, TypeVar

import numpy as np

from tests.drawing.assets import TEXT_FONTS
from tests.drawing.style import BLACK, RGB, WHITE, Rule, Style

Rng = np.random.Generator
T = TypeVar("T")

TITLES = ("Harbour Lights", "Two Geese", "Quiet Garden", "Winter Kiln", "Old Mill", "Tea & Rain")


def pick(rng: Rng, *choices: T) -> T:
    """One of ``choices``."""
    return choices[int(rng.integers(len(choices)))]


def grey(rng: Rng, low: int, high: int) -> RGB:
    """A grey of a level from ``low`` to ``high``."""
    level = int(rng.integers(low, high + 1))
    return (level, level, level)


def pale(rng: Rng) -> RGB:
    """A light paper tint."""
    r, g, b = (int(v) for v in rng.integers(222, 256, size=3))
    return (r, g, b)


def line_colour(rng: Rng) -> RGB:
    """Black, a grey, or a light blue, green or red as on graph paper."""
    return pick(
        rng, BLACK, grey(rng, 40, 110), grey(rng, 110, 190), grey(rng, 180, 215),
        (120, 150, 200), (130, 180, 140), (210, 140, 130),
    )  # fmt: skip


def lattice_style(rng: Rng, pitch: float) -> Style:
    """Grid lines of any weight, bold every 5th or 10th, a frame or none."""
    thick = max(1, int(pitch / rng.uniform(8, 30)))
    minor = Rule(thick, line_colour(rng), dash=pick(rng, 0, 0, 0, 0, 0, 2 if pitch > 10 else 0))
    dark = pick(rng, BLACK, grey(rng, 20, 90), minor.colour)
    extra = 1 if pitch < 14 else int(rng.integers(1, 4))
    bold = pick(rng, None, Rule(thick + extra, dark), Rule(thick + extra, dark), Rule(thick, dark))
    frame = pick(rng, None, Rule(thick + extra, dark), Rule(thick + extra, BLACK))
    every = pick(rng, 10, 10, 10, 5)
    return Style(
        pitch=pitch,
        minor=minor,
        bold=bold,
        frame=frame,
        bold_every=every,
        bold_phase=pick(rng, 0, 0, 0, 0, int(rng.integers(every))),
    )


def laid_out(rng: Rng, style: Style, classes: int, size: tuple[int, int]) -> Style:
    """``style`` on a page: margins, title, axis numbers, arrows, centre lines, key.

    ``size`` is (columns, rows).
    """
    unit = int(np.clip(style.pitch, 8, 40))
    side = int(np.clip(style.pitch, 9, 24))
    left, top, right, bottom = (int(rng.integers(3, 9)) * unit for _ in range(4))
    title = pick(rng, "", *TITLES)
    if title:
        top = max(top, 6 * unit)
    legend: Literal["none", "right", "below"] = pick(rng, "none", "right", "right", "below")
    area = (size[0] * style.pitch, size[1] * (style.pitch_y or style.pitch))
    if legend == "right":
        in_column = max(1, int((area[1] + bottom) // (side * 1.5)))
        right += side * (5 + 8 * (1 + classes // in_column))
    if legend == "below":
        across = max(1, int(area[0] // (side * 8)))
        bottom += int(side * (5 + 1.5 * (1 + classes // across)))
        right += side * 8 if across == 1 else 0
    centre = Rule(max(1, int(style.pitch / 12)), pick(rng, (200, 30, 30), (20, 60, 160), BLACK))
    return replace(
        style,
        margin=(left, top, right, bottom),
        title=title,
        axis=pick(rng, 0, 10, 10, 10, 5 if style.pitch >= 12 else 10),
        arrows=bool(rng.random() < 0.6),
        legend=legend,
        centre=pick(rng, None, None, None, centre),
        paper=pick(rng, WHITE, WHITE, pale(rng)),
        font=pick(rng, *TEXT_FONTS),
        ink=pick(rng, BLACK, grey(rng, 0, 80)),
    )
