"""Two glyphs that were taken together are parted on drawn pages; one glyph sampled twice isn't."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.parted import PartSettings, parted

SIDE, ROWS, COLUMNS = 12, 20, 18


def drawn(shape: str, beside: float = 0.0) -> NDArray[np.float64]:
    """The ink of a glyph, 12 × 12 places, ``beside`` places to the right of its middle."""
    big = Image.new("L", (SIDE * 10, SIDE * 10), 0)
    draw = ImageDraw.Draw(big)
    left, right = 20 + 10 * beside, 100 + 10 * beside
    middle = (left + right) / 2
    if shape == "ring":
        draw.ellipse((left, 20, right, 100), outline=80, width=14)
    else:
        corners = [(middle, 20), (right, 60), (middle, 100), (left, 60)]
        draw.line([*corners, corners[0], corners[1]], fill=80, width=14)
    return -np.asarray(big.reduce(10), dtype=np.float64).ravel()


def looks_of(which: NDArray[np.intp], glyphs: list[NDArray[np.float64]]) -> Looks:
    """Cells of the glyphs, as noisy as a program's rounding makes them, on white."""
    ink = np.array(glyphs)[which.ravel()]
    ink = ink + np.random.default_rng(1).normal(0, 0.5, ink.shape)
    ground = np.full((which.size, 3), (100.0, 0, 0)) * SIDE
    return Looks(np.concatenate([ink, ground], axis=1), SIDE * SIDE)


def test_two_glyphs_in_one_group_are_parted_wherever_they_lie() -> None:
    everywhere = np.random.default_rng(2).integers(0, 2, (ROWS, COLUMNS))
    bands = np.zeros((ROWS, COLUMNS), dtype=np.intp)
    bands[12:] = 1
    for which in (everywhere, bands):
        looks = looks_of(which, [drawn("ring"), drawn("lozenge")])
        labels = parted(looks, np.zeros((ROWS, COLUMNS), dtype=np.intp))
        assert len(np.unique(labels)) == 2
        assert len(set(zip(labels.ravel().tolist(), which.ravel().tolist(), strict=True))) == 2


def test_two_glyphs_are_parted_where_one_of_them_stands_in_one_small_block() -> None:
    """Their columns tell them apart, but no line that runs there does what they differ by."""
    which = np.zeros((ROWS, COLUMNS), dtype=np.intp)
    which[4:8, 7:9] = 1
    labels = parted(
        looks_of(which, [drawn("ring"), drawn("lozenge")]), np.zeros((ROWS, COLUMNS), dtype=np.intp)
    )
    np.testing.assert_array_equal(labels, which)


def test_bare_cells_under_lines_along_two_sides_stay_one() -> None:
    which = np.zeros((ROWS, COLUMNS), dtype=np.intp)
    which[:, 4] = 1
    bare = np.zeros((SIDE, SIDE))
    lined = bare.copy()
    lined[:, -2:] = lined[:2] = -60
    looks = looks_of(which, [bare.ravel(), lined.ravel()])
    assert not parted(looks, np.zeros((ROWS, COLUMNS), dtype=np.intp)).any()


def test_one_glyph_beside_itself_in_every_other_column_stays_one() -> None:
    which = np.tile(np.arange(COLUMNS) % 2, (ROWS, 1))
    looks = looks_of(which, [drawn("ring"), drawn("ring", beside=1.0)])
    assert not parted(looks, np.zeros((ROWS, COLUMNS), dtype=np.intp)).any()


def test_one_glyph_under_a_bold_line_every_ten_columns_stays_one() -> None:
    which = np.tile((np.arange(COLUMNS) % 10 == 9).astype(np.intp), (ROWS, 1))
    bold = np.minimum(drawn("ring").reshape(SIDE, SIDE), 0)
    bold[:, -2:] = -90
    looks = looks_of(which, [drawn("ring"), bold.ravel()])
    assert not parted(looks, np.zeros((ROWS, COLUMNS), dtype=np.intp)).any()


def test_one_glyph_under_a_frame_stays_one() -> None:
    which = np.tile((np.arange(COLUMNS) == COLUMNS - 1).astype(np.intp), (ROWS, 1))
    framed = drawn("ring").reshape(SIDE, SIDE)
    framed[:, -4:] = -90
    looks = looks_of(which, [drawn("ring"), framed.ravel()])
    assert not parted(looks, np.zeros((ROWS, COLUMNS), dtype=np.intp)).any()


def test_groups_of_one_glyph_and_a_few_odd_cells_stay_as_they_are() -> None:
    which = np.zeros((ROWS, COLUMNS), dtype=np.intp)
    which[:2, : PartSettings().least // 2 - 1] = 1
    looks = looks_of(which, [drawn("ring"), drawn("lozenge")])
    labels = np.zeros((ROWS, COLUMNS), dtype=np.intp)
    labels[:, 9:] = 1
    assert np.array_equal(parted(looks, labels), labels)


def test_a_heavy_disc_and_a_square_in_a_few_rows_are_parted() -> None:
    """They differ at all four corners: no frame does that."""
    fine = 8
    y, x = (np.mgrid[: SIDE * fine, : SIDE * fine] + 0.5) / (SIDE * fine) - 0.5
    shapes = [np.maximum(abs(y), abs(x)) < 0.34, np.hypot(y, x) < 0.38]
    square, disc = (
        -90.0 * shape.reshape(SIDE, fine, SIDE, fine).mean(axis=(1, 3)) for shape in shapes
    )
    which = np.zeros((ROWS, COLUMNS), dtype=np.intp)
    which[3:5, 4:9] = 1
    looks = looks_of(which, [square.ravel(), disc.ravel()])
    labels = parted(looks, np.zeros((ROWS, COLUMNS), dtype=np.intp))
    np.testing.assert_array_equal(labels, which)
