"""Drawn lines told from strokes by how far they run on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.reading.lattice.axis import Axis
from chartscan.reading.lattice.drawn import DrawnSettings, fit_drawn, off_lines
from tests.reading.lattice.edged import cells_of, edges_of, filled, ruled
from tests.reading.staged import Pixels

LEFT, TOP, PITCH = 23, 14, 15
SHAPE = (22, 28)
EMPTY: NDArray[np.intp] = np.zeros(SHAPE, np.intp)
PITCHES = [5.0, 7.5, 15.0, 22.0, 30.0, 60.0]


def page(every: int = 1, dash: int = 0, pitch: float = PITCH) -> Pixels:
    return ruled(filled(EMPTY, pitch, LEFT, TOP), SHAPE, pitch, LEFT, TOP, every, dash)


def found(
    pixels: Pixels, pitches: list[float] | None = None, lossless: bool = True, **changed: float
) -> tuple[Axis, Axis] | None:
    settings = replace(DrawnSettings(), **changed)  # type: ignore[arg-type]  # by name
    return fit_drawn(*edges_of(pixels, lossless), pitches or PITCHES, settings)


def is_grid(axes: tuple[Axis, Axis] | None, pitch: float = PITCH) -> bool:
    """Whether the lines lie in the middles of the pixels that were drawn."""
    if axes is None:
        return False
    near = [abs((a.origin - s - 0.5 + pitch / 2) % pitch - pitch / 2)
            for a, s in zip(axes, (LEFT, TOP), strict=True)]  # fmt: skip
    alike = [abs(a.pitch / pitch - 1) < 0.002 for a in axes]
    return all(alike) and max(near) < 0.6 and all(a.drawn for a in axes)


def test_lines_are_found_through_the_middles_of_their_pixels() -> None:
    axes = found(page())
    assert is_grid(axes)
    assert axes is not None
    assert [a.pitch for a in axes] == [15.0, 15.0]
    assert axes[0].origin % PITCH == pytest.approx((LEFT + 0.5) % PITCH)
    assert axes[1].origin % PITCH == pytest.approx((TOP + 0.5) % PITCH)


def test_strokes_within_cells_are_no_lines_however_many() -> None:
    pixels = filled(EMPTY, PITCH, LEFT, TOP)
    strokes = pixels.copy()
    for row in range(SHAPE[0]):
        for column in range(SHAPE[1]):
            top, left = TOP + PITCH * row, LEFT + PITCH * column
            strokes[top + 2 : top + 13, left + 7] = 0
            strokes[top + 7, left + 2 : left + 13] = 0
    assert found(strokes) is None
    lined = ruled(strokes, SHAPE, PITCH, LEFT, TOP)
    assert is_grid(found(lined))


def test_lines_of_fills_without_any_drawn_are_none() -> None:
    assert found(filled(cells_of(*SHAPE), PITCH, LEFT, TOP)) is None


@pytest.mark.parametrize("dash", [1, 2])
def test_dashed_lines_are_lines(dash: int) -> None:
    assert is_grid(found(page(dash=dash)))


@pytest.mark.parametrize("part", [5, 10])
def test_dashed_lines_between_bold_ones_are_the_grid(part: int) -> None:
    pixels = ruled(page(dash=2), SHAPE, PITCH, LEFT, TOP, every=part)
    pitches = [float(PITCH), float(PITCH * part)]
    assert is_grid(found(pixels, pitches))
    large = np.zeros((40, 40), np.intp)
    bold = found(
        ruled(filled(large, PITCH, LEFT, TOP), large.shape, PITCH, LEFT, TOP, every=5), [75.0]
    )
    assert bold is not None
    assert bold[0].pitch == pytest.approx(75)


@pytest.mark.parametrize("pitch", [9.37, 15.62, 21.4])
def test_lines_at_no_whole_pixels_are_found_at_their_mean_distance(pitch: float) -> None:
    axes = found(page(pitch=pitch), [pitch * 0.99, 2 * pitch])
    assert is_grid(axes, pitch)


@pytest.mark.parametrize(("missing", "seen"), [(2, True), (4, False)])
def test_a_tenth_of_the_lines_may_be_missing(missing: int, seen: bool) -> None:
    """Of 29 upright lines: two are 7 in a hundred, four are 14."""
    pixels = page()
    blank = filled(EMPTY, PITCH, LEFT, TOP)
    for line in (4, 9, 17, 22)[:missing]:
        at = LEFT + PITCH * line
        pixels[:, at] = blank[:, at]
        pixels[TOP::PITCH, at] = 100  # where those the other way cross
    assert is_grid(found(pixels, [15.0])) is seen


def test_long_lines_elsewhere_count_against_the_grid_up_to_a_fifth() -> None:
    pixels = page()
    few, many = pixels.copy(), pixels.copy()
    rng = np.random.default_rng(5)
    for k, line in enumerate(rng.permutation(28)[:14].tolist()):
        at = LEFT + PITCH * line + 7
        many[TOP : TOP + PITCH * SHAPE[0], at] = 0
        if k < 5:
            few[TOP : TOP + PITCH * SHAPE[0], at] = 0
    assert is_grid(found(few, [15.0]))
    assert not is_grid(found(many, [15.0]))


@pytest.mark.parametrize(("cells", "seen"), [(4, False), (5, True)])
def test_more_than_five_lines_each_way_make_a_grid(cells: int, seen: bool) -> None:
    grid = np.zeros((cells, cells), np.intp)
    pixels = ruled(filled(grid, PITCH, LEFT, TOP), grid.shape, PITCH, LEFT, TOP)
    assert (found(pixels, [15.0]) is not None) is seen


def test_lines_one_way_only_are_no_grid() -> None:
    pixels = filled(EMPTY, PITCH, LEFT, TOP)
    pixels[:, LEFT::PITCH] = 100
    assert found(pixels) is None


def test_lines_that_run_through_a_part_of_the_grid_only_are_none() -> None:
    """Levels that end after half of the uprights' span, as in a table beside a ruler."""
    pixels = page()
    blank = filled(EMPTY, PITCH, LEFT, TOP)
    half = LEFT + PITCH * 14
    for line in range(SHAPE[0] + 1):
        at = TOP + PITCH * line
        pixels[at, half + 1 :] = np.where(
            (pixels[at + 1, half + 1 :] == 100), 100, blank[at, half + 1 :]
        )  # fmt: skip
    assert found(pixels, [15.0]) is None
    assert found(pixels, [15.0], whole=0.3) is not None


def test_two_ways_of_unlike_pitches_are_no_grid() -> None:
    pixels = filled(EMPTY, PITCH, LEFT, TOP)
    pixels[TOP : TOP + 330, LEFT : LEFT + 420 : 15] = 100
    pixels[TOP : TOP + 330 : 20, LEFT : LEFT + 420] = 100
    assert found(pixels, [15.0, 20.0, 17.0]) is None


@pytest.mark.parametrize("thick", [1, 2, 3])
def test_thick_lines_are_found_through_their_middles(thick: int) -> None:
    pixels = page()
    for k in range(1, thick):
        shifted = np.roll(page(), (k, k), axis=(0, 1))
        pixels = np.minimum(pixels, shifted)
    axes = found(pixels)
    assert axes is not None
    assert axes[0].origin % PITCH == pytest.approx((LEFT + thick / 2) % PITCH, abs=0.3)
    assert axes[1].origin % PITCH == pytest.approx((TOP + thick / 2) % PITCH, abs=0.3)


def test_whole_pixels_are_kept_to_where_lines_grow_thicker_over_the_page() -> None:
    """Their middles move by half a pixel on the way, which isn't the pitch."""
    pixels = page()
    for line in range(14, SHAPE[1] + 1):
        pixels[:, LEFT + PITCH * line + 1] = pixels[:, LEFT + PITCH * line]
    axes = found(pixels)
    assert axes is not None
    assert axes[0].pitch == 15.0
    drifting = page(pitch=15.1)  # 2.8 px over 28 cells
    other = found(drifting, [15.0])
    assert other is not None
    assert other[0].pitch == pytest.approx(15.1, abs=0.02)


def test_edges_off_lines_are_counted_by_their_length() -> None:
    """One upright stroke of ten cells half way between two lines of 22 cells, of 29."""
    pixels = page()
    axis = Axis(LEFT + 0.5, 15.0, 1, 1, 1)
    x, _ = edges_of(pixels)
    assert off_lines(x, axis, 5.0) == pytest.approx(0.0, abs=0.01)
    pixels[TOP : TOP + 150, LEFT + 7] = 0
    x, _ = edges_of(pixels)
    assert off_lines(x, axis, 5.0) == pytest.approx(300 / (300 + 29 * 2 * 331), abs=0.003)
    assert off_lines(x, Axis(LEFT + 8, 15.0, 1, 1, 1), 5.0) > 0.9
