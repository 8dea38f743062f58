"""Small glyphs: where they fit best, by products of spectra, is where trying every place says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import ndimage, signal

from chartscan.reading.marks.templates.shrunk import likeness, made_small, together

SIDE, SCALES = 13, (0.45, 0.6)
INKS = arrays(np.float64, (SIDE, SIDE), elements=st.sampled_from([0.0, 0.0, 90.0, 200.0]))


def at_every_place(seen: np.ndarray, ink: np.ndarray) -> float:
    """The greatest correlation, each place tried by itself."""
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    best = 0.0
    for scale in SCALES if len(rows) else ():
        glyph = ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
        small = ndimage.zoom(glyph, scale, order=1, grid_mode=True, mode="nearest")
        size = float(np.linalg.norm(small) * np.linalg.norm(seen))
        if size:
            fit = signal.correlate(seen, small, mode="valid", method="direct")
            best = max(best, float(fit.max()) / size)
    return best


@given(INKS, INKS, INKS)
def test_the_best_place_is_found(seen: np.ndarray, one: np.ndarray, other: np.ndarray) -> None:
    glyphs = together([made_small(ink, SCALES) for ink in (one, other)])
    expected = [at_every_place(seen, ink) for ink in (one, other)]
    assert likeness(seen, glyphs) == pytest.approx(expected, abs=1e-9)


def test_a_glyph_doesnt_come_in_again_from_the_other_side() -> None:
    ink = np.zeros((SIDE, SIDE))
    ink[2:11, 2:11] = 100.0
    torn = np.zeros((SIDE, SIDE))
    torn[:, :3] = torn[:, -3:] = 100.0  # whole only on a page that closes on itself
    glyphs = made_small(ink, SCALES)
    assert likeness(torn, glyphs)[0] == pytest.approx(at_every_place(torn, ink), abs=1e-9)
    assert likeness(np.zeros((SIDE, SIDE)), glyphs).tolist() == [0.0]
