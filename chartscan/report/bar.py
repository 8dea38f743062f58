"""The bar of a thread's length, low to high, against whole skeins; legible without colour."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from chartscan.report.units import counted, metres

if TYPE_CHECKING:
    from markupsafe import Markup

    from chartscan.yardage.requirement import LengthRange

WIDTH = 136  # user units, about a fifth of a millimetre each on paper
HEIGHT = 20
TOP, BOTTOM = 4, 16  # of the skein boxes; the stroke for the likely length stands out above


def range_bar(length: LengthRange, skeins: int, put_up_mm: float) -> Markup:
    """An inline SVG: a box per skein, black to low, hatched to high, a tall stroke at likely.

    Where the length of a put-up isn't known (0), one open box stands for the high end.
    """
    from markupsafe import Markup

    boxes = max(skeins, math.ceil(length.high / put_up_mm), 1) if put_up_mm else 1
    whole = boxes * put_up_mm if put_up_mm else length.high * 1.1 or 1.0
    scale = (WIDTH - 2) / whole
    low, likely, high = (1 + mm * scale for mm in (length.low, length.likely, length.high))
    edges = [1 + box * (WIDTH - 2) / boxes for box in range(boxes + 1)]
    tall = BOTTOM - TOP
    outlines = "".join(_box(left, right) for left, right in pairwise(edges))
    return Markup(
        f'<svg viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="{_words(length, skeins)}">'
        f'<rect x="1" y="{TOP}" width="{low - 1:.2f}" height="{tall}" fill="#000"/>'
        f'<rect x="{low:.2f}" y="{TOP}" width="{max(high - low, 0.5):.2f}" height="{tall}" '
        'fill="url(#hatch)"/>'
        f"{outlines}"
        f'<line x1="{likely:.2f}" x2="{likely:.2f}" y1="0" y2="{HEIGHT}" stroke="#fff" '
        'stroke-width="3.4"/>'
        f'<line x1="{likely:.2f}" x2="{likely:.2f}" y1="0" y2="{HEIGHT}" stroke="#000" '
        'stroke-width="1.8"/></svg>'
    )


def _box(left: float, right: float) -> str:
    """The outline of one skein; its end is parted in white so that it shows on black too."""
    return (
        f'<line x1="{right:.2f}" x2="{right:.2f}" y1="{TOP}" y2="{BOTTOM}" stroke="#fff" '
        'stroke-width="2.4"/>'
        f'<rect x="{left:.2f}" y="{TOP}" width="{right - left:.2f}" height="{BOTTOM - TOP}" '
        'fill="none" stroke="#000" stroke-width=".8"/>'
    )


def _words(length: LengthRange, skeins: int) -> str:
    low, likely, high = (metres(mm) for mm in (length.low, length.likely, length.high))
    return f"low {low}, likely {likely}, high {high}; {counted(skeins, 'skein')}"
