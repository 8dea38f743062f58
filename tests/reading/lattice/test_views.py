"""Views of a page: lines seen beside bright symbols, and nothing worked out twice."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.lattice import grow
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import Grey, LineEvidence, line_evidence
from chartscan.reading.lattice.views import Views
from chartscan.reading.page.page import Page

PITCH, SIDE = 12, 240


def dark(side: int = SIDE) -> Page:
    """Black lines a pixel wide on dark blue, and a white bar across the middle of each cell."""
    pixels = np.full((side, side, 3), (40, 40, 90), dtype=np.uint8)
    pixels[::PITCH] = pixels[:, ::PITCH] = 20
    for top in range(4, side, PITCH):
        for left in range(3, side, PITCH):
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


def test_what_lies_around_a_seed_is_seen_once_however_far_it_is_to_keep_in_step(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seen: list[Extent] = []

    def noted(grey: Grey, lattice: Lattice, region: Extent, lower: float) -> LineEvidence:
        seen.append(region)
        return line_evidence(grey, lattice, region, lower=lower)

    monkeypatch.setattr(grow, "line_evidence", noted)
    views = Views.at(dark(4 * SIDE), "lines")
    seed = views.seeds(1)[0]
    far = views.begun(1, seed, 0.0)
    first = len(seen)
    near = views.begun(1, seed, 2.0)  # no wider reach keeps twice the best
    assert len(seen) == first + 1, "what the seed begins with lies in another phase, and no more"
    alone = grow.begin(views.even(1), seed, grow.reaches(views.even(1), seed), 2.0)
    np.testing.assert_array_equal(near.homography, alone.homography)
    assert near.columns < far.columns
