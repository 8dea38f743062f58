"""The straight lattice from edge profiles, by pages whose pitch and first line are known."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.lattice.axis import Axis
from chartscan.reading.lattice.straight import (
    StraightSettings,
    capped,
    coherence,
    fit_axes,
    fit_axis,
    pitch_candidates,
    plain,
    side_cover,
)
from tests.reading.lattice.edged import Cells, cells_of, edges_of, filled, ruled
from tests.reading.staged import Pixels

SETTINGS = StraightSettings()
LEFT, TOP = 17, 11


def lies_on(axis: Axis | None, pitch: float, start: float, count: int, near: float = 0.75) -> bool:
    """Whether the axis has its lines at those of the truth, from the first to the last."""
    assert axis is not None
    truth = start + pitch * np.arange(count + 1)
    nearest = axis.origin + axis.pitch * np.round((truth - axis.origin) / axis.pitch)
    same = abs(axis.pitch / pitch - 1) < 0.01
    return bool(same and np.abs(nearest - truth).max() <= near)


# --------------------------------------------------------------------------- fitting


@settings(max_examples=15)
@given(
    st.sampled_from([5, 8, 13, 20, 31]), st.integers(0, 30), st.integers(0, 30),
    st.integers(0, 10**6),
)  # fmt: skip
def test_colours_alone_tell_pitch_and_place_of_whole_cells(
    pitch: int, left: int, top: int, seed: int
) -> None:
    page = filled(cells_of(12, 15, seed), pitch, left + 5, top + 5)
    axes = fit_axes(*edges_of(page))
    assert axes is not None
    assert lies_on(axes[0], pitch, left + 5, 15)
    assert lies_on(axes[1], pitch, top + 5, 12)


@pytest.mark.parametrize("pitch", [7.3, 9.62, 14.5, 23.17])
@pytest.mark.parametrize("lined", [False, True])
def test_cells_of_no_whole_pixels_are_fitted_to_a_part_of_a_pixel(
    pitch: float, lined: bool
) -> None:
    cells = cells_of(20, 24)
    page = filled(cells, pitch, LEFT, TOP)
    if lined:
        page = ruled(page, cells.shape, pitch, LEFT, TOP)
    axes = fit_axes(*edges_of(page))
    assert axes is not None
    assert lies_on(axes[0], pitch, LEFT + 0.5 * lined, 24, near=1.0)
    assert lies_on(axes[1], pitch, TOP + 0.5 * lined, 20, near=1.0)


def test_across_and_down_change_places_with_the_page() -> None:
    page = filled(cells_of(12, 15), 13, LEFT, TOP)
    x, y = edges_of(page)
    axes, turned = fit_axes(x, y), fit_axes(y, x)
    assert axes is not None
    assert turned is not None
    assert turned == (axes[1], axes[0])


@pytest.mark.parametrize("light", [0.4, 0.7])
def test_how_light_the_page_is_says_nothing(light: float) -> None:
    page = filled(cells_of(12, 15), 13, LEFT, TOP)
    dim = np.round(page * light).astype(np.uint8)
    assert fit_axes(*edges_of(dim)) == fit_axes(*edges_of(page))


def test_a_page_without_edges_or_of_noise_has_no_lattice() -> None:
    blank = np.full((200, 240, 3), 255, np.uint8)
    noise = np.random.default_rng(2).integers(0, 256, blank.shape, dtype=np.uint8)
    assert fit_axes(*edges_of(blank)) is None
    assert fit_axes(*edges_of(noise)) is None


@pytest.mark.parametrize("part", [5, 10])
@pytest.mark.parametrize("share", [0.1, 0.25, 1.0])
def test_cells_between_lines_drawn_at_every_fifth_or_tenth_are_told_by_their_colours(
    part: int, share: float
) -> None:
    """Where few cells are stitched, the lines are all that runs on."""
    cells = cells_of(42, 52)
    cells[np.random.default_rng(3).uniform(size=cells.shape) > share] = 0
    page = ruled(filled(cells, 12, LEFT, TOP), cells.shape, 12, LEFT, TOP, every=part)
    axes = fit_axes(*edges_of(page))
    assert axes is not None
    assert axes[0].pitch == pytest.approx(12, abs=0.02)


def test_blocks_beside_bold_lines_do_not_tell_of_cells_between() -> None:
    """All other edges lie on one of the four lines between: no fifth of the pitch."""
    cells = np.kron(cells_of(9, 10), np.ones((5, 5), np.intp))
    cells[:, ::5] = cells[::5] = 0
    page = ruled(filled(cells, 12, LEFT, TOP), cells.shape, 12, LEFT, TOP, every=5)
    axes = fit_axes(*edges_of(page))
    assert axes is None or axes[0].pitch != pytest.approx(12, abs=0.1)


def test_without_colours_between_them_bold_lines_are_the_grid() -> None:
    cells = cells_of(30, 40) * 0
    page = ruled(filled(cells, 12, LEFT, TOP), cells.shape, 12, LEFT, TOP, every=5)
    bold = fit_axes(*edges_of(page))
    assert bold is not None
    assert bold[0].pitch == pytest.approx(60, abs=0.1)


@pytest.mark.parametrize(("ratio", "taken"), [(1.05, True), (1.08, False)])
def test_cells_may_be_a_little_higher_than_wide(ratio: float, taken: bool) -> None:
    """By six in a hundred, as pages that were scaled out of proportion have them."""
    wide = filled(cells_of(16, 16), 20, LEFT, TOP)
    rows = np.floor(np.arange(round(len(wide) * ratio)) / ratio).astype(int)
    axes = fit_axes(*edges_of(wide[rows]))
    high = axes is not None and axes[1].pitch == pytest.approx(20 * ratio, rel=0.01)
    assert high is taken


def test_an_axis_is_fitted_near_its_guess_and_not_to_another() -> None:
    x, _ = edges_of(filled(cells_of(12, 15), 13, LEFT, TOP))
    for guess in (12.7, 13.0, 13.4):
        assert lies_on(fit_axis(x, guess), 13, LEFT, 15)
    far = fit_axis(x, 9.0)
    assert far is None or far.agreement < SETTINGS.agreement


def test_agreement_is_the_share_of_edges_on_lines_and_evenness_that_of_their_length() -> None:
    cells = cells_of(12, 15) * 0
    page = ruled(filled(cells, 13, LEFT, TOP), cells.shape, 13, LEFT, TOP)
    axis = fit_axis(edges_of(page)[0], 13)
    assert axis is not None
    assert axis.agreement == pytest.approx(1.0)
    assert axis.even == pytest.approx(1.0, abs=0.02)
    stray = page.copy()
    stray[TOP : TOP + 157, LEFT + 6] = 0  # one line more, between two others: two edges of 34
    off = fit_axis(edges_of(stray)[0], 13)
    assert off is not None
    assert off.agreement == pytest.approx(32 / 34, abs=0.01)


def test_lines_that_leave_no_doubt_are_drawn_or_agree_and_are_seen_in_enough_rows() -> None:
    sure = Axis(0, 10, 0.97, 1, 0.97)
    drawn = Axis(0, 10, 0.6, 1, 0.6, drawn=True)
    weak = Axis(0, 10, 0.96, 1, 1)
    uneven = Axis(0, 10, 1, 1, 0.96)
    assert plain(sure, sure, 2, SETTINGS)
    assert plain(drawn, drawn, 1, SETTINGS)
    assert not plain(sure, sure, 3, SETTINGS)  # three rows in each cell
    assert not plain(sure, weak, 1, SETTINGS)
    assert not plain(uneven, sure, 1, SETTINGS)
    assert not plain(drawn, weak, 1, SETTINGS)


# -------------------------------------------------------------------------- profiles


@given(
    st.integers(4, 40), st.integers(2, 30), st.integers(0, 10),
    st.lists(st.floats(3.5, 60), min_size=1, max_size=6),
)  # fmt: skip
def test_how_well_a_profile_repeats_is_the_sum_of_its_waves(
    pitch: int, lines: int, start: int, pitches: list[float]
) -> None:
    """Against the sum itself, each term by itself; spectra are read between their places."""
    profile = np.zeros(start + pitch * lines + 5)
    profile[start + pitch * np.arange(lines)] = 3.0
    x = np.arange(profile.size)
    asked = np.array([*pitches, float(pitch)])
    exact = [abs(np.sum(profile * np.exp(2j * np.pi * x / p))) / profile.sum() for p in asked]
    found = coherence(profile, asked)
    assert np.abs(found - exact).max() < 0.1
    assert found[-1] == pytest.approx(1.0, abs=0.1)


def test_an_empty_profile_repeats_nowhere() -> None:
    assert coherence(np.zeros(50), np.array([4.0, 9.0])).tolist() == [0.0, 0.0]


@given(st.lists(st.integers(0, 50), min_size=1, max_size=40))
def test_peaks_are_cut_at_half_of_what_half_of_all_length_reaches(lengths: list[int]) -> None:
    profile = np.array(lengths, float)
    cut = capped(profile)
    assert (cut <= profile).all()
    if not profile.any():
        assert (cut == profile).all()
        return
    level = 2 * cut.max()
    if (cut < profile).any():
        assert profile[profile >= level].sum() >= profile.sum() / 2
        assert profile[profile > level].sum() <= profile.sum() / 2
    assert (cut[profile <= level / 2] == profile[profile <= level / 2]).all()


def test_the_pitch_is_among_those_tried_and_none_is_tried_twice() -> None:
    for pitch in (6, 13, 22):
        tried = pitch_candidates(*edges_of(filled(cells_of(14, 18), pitch, LEFT, TOP)), SETTINGS)
        assert any(abs(p / pitch - 1) < 0.02 for p in tried)
        assert len(tried) <= SETTINGS.candidates
        ordered = sorted(tried)
        assert all(b / a > 1.02 for a, b in pairwise(ordered))


def test_a_page_too_small_for_four_cells_has_no_pitch() -> None:
    """3.9 cells of 3.4 px are 13.26 px."""
    for side, any_ in ((13, False), (19, True)):
        page = filled(cells_of(3, 3), 4, 1, 1, room=0)
        wide = np.full((side, side, 3), 255, np.uint8)
        wide[: len(page), : len(page)] = page
        assert bool(pitch_candidates(*edges_of(wide), SETTINGS)) is any_


# ----------------------------------------------------------------------------- sides


def sides(page: Pixels, cells: Cells, pitch: int) -> NDArray[np.float64]:
    x, _ = edges_of(page)
    along, across = Axis(LEFT, pitch, 1, 1, 1), Axis(TOP, pitch, 1, 1, 1)
    found = side_cover(x, along, across)
    first = int(np.flatnonzero(np.abs(along.lines(x.length) - LEFT) < 1)[0])
    top = int(np.flatnonzero(np.abs(across.lines(x.across) - TOP) < 1)[0])
    return found[top : top + cells.shape[0], first : first + cells.shape[1] + 1]


def test_a_side_is_an_edge_where_the_cells_beside_it_differ() -> None:
    cells = cells_of(9, 12)
    padded = np.pad(cells, ((0, 0), (1, 1)))
    differ = np.diff(padded, axis=1) != 0
    found = sides(filled(cells, 16, LEFT, TOP), cells, 16)
    assert ((found >= 0.5) == differ).all()
    assert (found[differ] == 1.0).all()


def test_where_lines_are_drawn_every_side_is_an_edge() -> None:
    cells = cells_of(9, 12)
    page = ruled(filled(cells, 16, LEFT, TOP), cells.shape, 16, LEFT, TOP)
    assert (sides(page, cells, 16) == 1.0).all()


def test_a_stroke_shorter_than_three_quarters_of_a_cell_is_no_side() -> None:
    cells = cells_of(9, 12) * 0
    page = filled(cells, 16, LEFT, TOP)
    page[TOP + 2 : TOP + 13, LEFT + 16] = 0  # 11 of 16 px along the first line
    page[TOP + 50 : TOP + 62, LEFT + 32] = 0  # 12 px along the second
    found = sides(page, cells, 16)
    assert found[0, 1] == 0
    assert found[3, 2] > 0
    x, _ = edges_of(page)
    assert x.cover(x.sides(16)).sum() == 2 * 12
