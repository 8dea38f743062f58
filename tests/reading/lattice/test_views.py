"""Black lines on a dark colour are seen beside bright symbols."""

from __future__ import annotations

import numpy as np

from chartscan.reading.lattice.views import Views
from chartscan.reading.page.page import Page

PITCH, SIDE = 12, 240


def dark() -> Page:
    """Black lines a pixel wide on dark blue, and a white bar across the middle of each cell."""
    pixels = np.full((SIDE, SIDE, 3), (40, 40, 90), dtype=np.uint8)
    pixels[::PITCH] = pixels[:, ::PITCH] = 20
    for top in range(4, SIDE, PITCH):
        for left in range(3, SIDE, PITCH):
            pixels[top : top + 6, left : left + 6] = 240
    return Page(pixels, lossless=False)


def test_only_lines_are_seen_where_luma_shows_symbols_most() -> None:
    luma, lines = (Views.at(dark(), light).grey(1).astype(float) for light in ("luma", "lines"))
    on_line, on_symbol = (slice(None), 5 * PITCH), (5 * PITCH + 6, 5 * PITCH + 5)
    beside = (slice(None), 5 * PITCH + 2)
    assert abs(luma[on_line].mean() - luma[beside].mean()) < 30 < luma[on_symbol]
    assert lines[on_line].mean() > 50
    assert lines[on_symbol] == 0
    assert lines[beside].mean() < lines[on_line].mean() / 3
