"""CIEDE2000 against its published table, two independent libraries, and its own symmetries."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.colour import ciede2000, ciede2000_matrix, components

Array = NDArray[np.float64]

PRINTED = 5e-5  # the table is rounded to four decimals

labs = st.tuples(
    st.floats(0, 100), st.floats(-90, 90), st.floats(-90, 90)
)  # surfaces lie well within


def test_every_published_pair_is_met_to_the_last_printed_digit_in_both_orders(
    sharma: dict[str, Array], lab_1: Array, lab_2: Array
) -> None:
    """Sharma, Wu and Dalal (2005), Table 1: all 34 pairs."""
    assert len(lab_1) == 34
    np.testing.assert_allclose(ciede2000(lab_1, lab_2), sharma["dE"], rtol=0, atol=PRINTED + 1e-9)
    np.testing.assert_allclose(ciede2000(lab_2, lab_1), sharma["dE"], rtol=0, atol=PRINTED + 1e-9)


def test_the_parts_of_the_difference_are_those_of_the_published_table(
    sharma: dict[str, Array], lab_1: Array, lab_2: Array
) -> None:
    """The table prints C', h', S_L, S_C, S_H and R_T; ΔL', ΔC', ΔH' follow from them."""
    parts = components(lab_1, lab_2)
    np.testing.assert_allclose(parts.lightness, sharma["L2"] - sharma["L1"], atol=1e-9)
    # the printed C2' of pair 22 is off by a little more than rounding
    np.testing.assert_allclose(parts.chroma, sharma["C2"] - sharma["C1"], atol=1.2e-4)
    for mine, name in ((parts.s_l, "S_L"), (parts.s_c, "S_C"), (parts.s_h, "S_H")):
        np.testing.assert_allclose(mine, sharma[name], atol=PRINTED + 1e-6, err_msg=name)
    np.testing.assert_allclose(parts.r_t, sharma["R_T"], atol=PRINTED + 1e-6)
    turn = np.deg2rad((sharma["h2"] - sharma["h1"] + 180) % 360 - 180)
    hue = 2 * np.sqrt(sharma["C1"] * sharma["C2"]) * np.sin(turn / 2)
    np.testing.assert_allclose(np.abs(parts.hue), np.abs(hue), atol=2e-4)
    settled = np.abs(np.abs(turn) - np.pi) > 1e-3  # opposite hues have no side
    np.testing.assert_allclose(parts.hue[settled], hue[settled], atol=2e-4)


def test_black_and_white_are_100_apart() -> None:
    """By hand: S_L is 1 where the mean lightness is 50 (ISO/CIE 11664-6), so ΔE00 is ΔL*."""
    assert ciede2000([0, 0, 0], [100, 0, 0]) == pytest.approx(100.0, abs=1e-9)


def _random(count: int, seed: int) -> Array:
    rng = np.random.default_rng(seed)
    return np.stack([rng.uniform(0, 100, count), *rng.uniform(-90, 90, (2, count))], axis=-1)


def test_scikit_image_and_colour_science_agree_on_twenty_thousand_pairs() -> None:
    from colour.difference import delta_E_CIE2000
    from skimage.color import deltaE_ciede2000

    first, second = _random(20_000, 1), _random(20_000, 2)
    mine = ciede2000(first, second)
    np.testing.assert_allclose(mine, deltaE_ciede2000(first, second), atol=1e-9)
    np.testing.assert_allclose(mine, delta_E_CIE2000(first, second), atol=1e-9)


def test_weighting_lightness_by_two_agrees_with_scikit_image() -> None:
    from skimage.color import deltaE_ciede2000

    first, second = _random(500, 3), _random(500, 4)
    np.testing.assert_allclose(
        ciede2000(first, second, k_l=2), deltaE_ciede2000(first, second, kL=2), atol=1e-9
    )


def test_the_matrix_holds_the_figures_of_the_single_pairs() -> None:
    rows, columns = _random(70, 5), _random(410, 6)
    matrix = ciede2000_matrix(rows, columns)
    assert matrix.shape == (70, 410)
    np.testing.assert_array_equal(matrix, ciede2000(rows[:, None], columns[None]))


def test_an_empty_side_gives_an_empty_matrix() -> None:
    assert ciede2000_matrix(np.empty((0, 3)), _random(4, 7)).shape == (0, 4)
    assert ciede2000_matrix(_random(4, 7), np.empty((0, 3))).shape == (4, 0)


def test_arrays_of_any_number_of_axes_broadcast() -> None:
    first, second = _random(24, 8).reshape(2, 3, 4, 3), _random(4, 9)
    assert ciede2000(first, second).shape == (2, 3, 4)


def test_whole_numbers_and_single_precision_are_worked_in_double_precision() -> None:
    first, second = np.array([50, 10, -20]), np.array([52, 12, -25])
    double = ciede2000(first.astype(np.float64), second.astype(np.float64))
    assert ciede2000(first, second) == double
    assert ciede2000(first.astype(np.float32), second.astype(np.float32)) == double
    assert ciede2000(first.astype(np.float32), second).dtype == np.float64


def test_a_value_that_is_not_a_number_spoils_its_own_pair_alone() -> None:
    first = _random(3, 10)
    first[1, 2] = np.nan
    assert np.isnan(ciede2000(first, _random(3, 11))).tolist() == [False, True, False]


@given(labs, labs)
def test_the_difference_is_the_same_both_ways_and_never_negative(
    first: tuple[float, float, float], second: tuple[float, float, float]
) -> None:
    there, back = float(ciede2000(first, second)), float(ciede2000(second, first))
    assert there >= 0
    assert there == pytest.approx(back, abs=1e-9)


@given(labs)
def test_a_colour_is_no_way_from_itself(lab: tuple[float, float, float]) -> None:
    assert float(ciede2000(lab, lab)) == 0


@given(st.floats(0, 360), st.floats(0.5, 60), st.floats(0.5, 60), st.floats(0.01, 3), st.booleans())
def test_near_opposite_hues_the_two_libraries_agree(
    hue: float, chroma_1: float, chroma_2: float, off: float, over: bool
) -> None:
    """Either side of exactly opposite hues, where the mean hue jumps by half a turn."""
    from skimage.color import deltaE_ciede2000

    other = hue + 180 + (off if over else -off)
    first, second = _polar(50, chroma_1, hue), _polar(50, chroma_2, other)
    assert float(ciede2000(first, second)) == pytest.approx(
        float(deltaE_ciede2000(first, second)), abs=1e-9
    )


@given(st.floats(0.5, 80), st.floats(1e-6, 1), st.floats(-5, 5))
def test_the_step_from_359_to_0_degrees_is_as_small_as_any_other(
    chroma: float, step: float, lightness: float
) -> None:
    below, above = _polar(50, chroma, 360 - step), _polar(50 + lightness, chroma, step)
    beside = _polar(50 + lightness, chroma, 360 - 3 * step)
    assert float(ciede2000(below, above)) == pytest.approx(
        float(ciede2000(below, beside)), rel=0.1, abs=1e-6
    )


def _polar(lightness: float, chroma: float, hue: float) -> Array:
    angle = np.deg2rad(hue)
    return np.array([lightness, chroma * np.cos(angle), chroma * np.sin(angle)])
