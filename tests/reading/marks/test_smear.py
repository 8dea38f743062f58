"""Colour smeared over grid lines: pooled where the same fills meet, and only there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.marks.rims import Rims
from chartscan.reading.marks.smear import SmearSettings, with_smear

SIDE, ROWS, COLUMNS = 10, 12, 6
LINE = 100
Samples = NDArray[np.int16]
Cells = NDArray[np.intp]


def rims_of() -> Rims:
    """One sample on each inner grid line: the last of the cell before it."""
    line = np.arange(1, COLUMNS)
    many = len(line)
    zero = np.zeros(many, np.float32)
    return Rims(
        line * SIDE - 1, line, np.zeros((many, 3), np.float32), zero, zero, zero,
        np.zeros(many, np.bool_),
    )  # fmt: skip


def expected() -> Samples:
    return np.full((ROWS * SIDE, COLUMNS - 1, 3), LINE, np.int16)


def cells_of(seed: int = 1) -> Cells:
    return np.random.default_rng(seed).integers(0, 2, (ROWS, COLUMNS))


def pixels_of(cells: Cells, smeared: dict[tuple[int, int], int]) -> Samples:
    """Lines of one grey, plus so much where such fills meet (before, after)."""
    pixels = np.full((ROWS * SIDE, COLUMNS * SIDE, 3), 255, np.int16)
    for line in range(1, COLUMNS):
        for row in range(ROWS):
            pair = (int(cells[row, line - 1]), int(cells[row, line]))
            pixels[row * SIDE : (row + 1) * SIDE, line * SIDE - 1] = LINE + smeared.get(pair, 0)
    return pixels


def smear(pixels: Samples, cells: Cells, **changed: float) -> Samples:
    known = replace(SmearSettings(), **changed)  # type: ignore[arg-type]  # by name
    return with_smear(expected(), pixels, rims_of(), cells, SIDE, known)


def test_what_coding_adds_where_fills_meet_is_expected_there() -> None:
    cells = cells_of()
    smeared = {(0, 1): 12, (1, 0): -7, (1, 1): 3}
    pixels = pixels_of(cells, smeared)
    lines = np.arange(1, COLUMNS) * SIDE - 1
    assert (smear(pixels, cells) == pixels[:, lines]).all()


def test_where_nothing_is_smeared_nothing_is_added() -> None:
    cells = cells_of()
    assert (smear(pixels_of(cells, {}), cells) == expected()).all()


@pytest.mark.parametrize(("places", "told"), [(8, True), (7, False)])
def test_fewer_than_eight_places_tell_nothing(places: int, told: bool) -> None:
    """Two fills meet in so many rows of one line, in no other."""
    cells = np.zeros((ROWS, COLUMNS), np.intp)
    cells[:places, 3:] = 1
    found = smear(pixels_of(cells, {(0, 1): 20}), cells)
    assert (found[: places * SIDE, 2] == LINE + 20 * told).all()


def test_a_mark_on_the_line_is_not_pooled_with_what_is_usual() -> None:
    """In one row of one line ink lies over the line; the median of the others stands there."""
    cells = np.zeros((ROWS, COLUMNS), np.intp)
    pixels = pixels_of(cells, {(0, 0): 9})
    pixels[4 * SIDE : 5 * SIDE, 3 * SIDE - 1] = 0
    assert (smear(pixels, cells) == LINE + 9).all()


def test_ends_of_cells_along_the_line_do_not_tell() -> None:
    """Lines the other way lie there: a fifth of each cell at either end is left out."""
    cells = cells_of()
    pixels = pixels_of(cells, {(0, 1): 12})
    clean = smear(pixels, cells)
    dirty = pixels.copy()
    for at in (0, 1, 8, 9):
        dirty[at::SIDE] = 0
    assert (smear(dirty, cells) == clean).all()
    dirty[2::SIDE] = dirty[3::SIDE] = dirty[4::SIDE] = dirty[5::SIDE] = 0
    assert not (smear(dirty, cells) == clean).all()


def test_a_line_that_lies_otherwise_to_the_blocks_of_the_coding_has_its_own_smear() -> None:
    cells = np.zeros((ROWS, COLUMNS), np.intp)
    pixels = pixels_of(cells, {(0, 0): 5})
    pixels[:, 2 * SIDE - 1] = LINE + 25
    found = smear(pixels, cells)
    assert (found[:, 1] == LINE + 25).all()
    assert (found[:, 0] == LINE + 5).all()
    mark = pixels_of(cells, {(0, 0): 5})
    mark[:, 2 * SIDE - 1] = LINE - 95  # more than a line may have of its own: ink all along it
    one_width = {"bold": 200.0}
    assert (smear(mark, cells, **one_width)[:, 1] == LINE + 5).all()
    assert (smear(mark, cells, own=95.0, **one_width)[:, 1] == LINE - 95).all()


def test_bold_lines_are_pooled_by_themselves() -> None:
    cells = np.zeros((ROWS, COLUMNS), np.intp)
    pixels = pixels_of(cells, {(0, 0): 5})
    pixels[:, 3 * SIDE - 1] = LINE - 40
    found = smear(pixels, cells, own=0.0)
    assert (found[:, 2] == LINE - 40).all()
    assert (found[:, 1] == LINE + 5).all()
    pooled = smear(pixels, cells, own=0.0, bold=60.0)
    assert (pooled == LINE + 5).all()


def test_no_sample_is_expected_to_be_darker_than_black_or_lighter_than_white() -> None:
    cells = np.zeros((ROWS, COLUMNS), np.intp)
    dark = with_smear(
        np.full_like(expected(), 2),
        pixels_of(cells, {(0, 0): -LINE}) * 0 - 6,
        rims_of(),
        cells,
        SIDE,
    )
    assert dark.min() == 0
    light = with_smear(
        np.full_like(expected(), 253), pixels_of(cells, {}) * 0 + 270, rims_of(), cells, SIDE
    )
    assert light.max() == 255


def test_samples_on_either_side_of_a_line_are_two_kinds() -> None:
    """The sample before a line and the one after it take on other amounts of the same fills."""
    line = np.repeat(np.arange(1, COLUMNS), 2)
    where = line * SIDE - 1 + np.tile([0, 1], COLUMNS - 1)
    many = len(line)
    zero = np.zeros(many, np.float32)
    rims = Rims(where, line, np.zeros((many, 3), np.float32), zero, zero, zero, zero > 0)
    cells = np.zeros((ROWS, COLUMNS), np.intp)
    pixels = np.full((ROWS * SIDE, COLUMNS * SIDE, 3), 255, np.int16)
    pixels[:, where[::2]], pixels[:, where[1::2]] = LINE + 4, LINE - 11
    ground = np.full((ROWS * SIDE, many, 3), LINE, np.int16)
    found = with_smear(ground, pixels, rims, cells, SIDE)
    assert (found[:, ::2] == LINE + 4).all()
    assert (found[:, 1::2] == LINE - 11).all()
