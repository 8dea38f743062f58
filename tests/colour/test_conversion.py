"""SRGB, XYZ and Lab against published values and two independent libraries."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.colour import (
    format_hex,
    lab_to_d65,
    lab_to_linear,
    lab_to_srgb,
    linear_to_lab,
    linear_to_srgb,
    many_to_lab,
    parse_hex,
    planes_to_lab,
    round_rgb,
    srgb_to_lab,
    srgb_to_linear,
)


def test_the_transfer_curve_meets_the_standards_values() -> None:
    """IEC 61966-2-1, values as colour-science computes them: eotf(0.5), eotf(0.04045)."""
    assert float(srgb_to_linear(127.5)) == pytest.approx(0.21404114, abs=1e-8)
    assert float(srgb_to_linear(0.04045 * 255)) == pytest.approx(0.00313081, abs=1e-8)
    assert float(srgb_to_linear(255)) == 1.0
    assert float(srgb_to_linear(0)) == 0.0


def test_the_levels_of_a_picture_are_converted_as_any_other_value() -> None:
    levels = np.arange(256)
    picture = levels.astype(np.uint8).reshape(16, 16)
    np.testing.assert_array_equal(srgb_to_linear(picture).ravel(), srgb_to_linear(levels))
    assert srgb_to_linear(picture).flags.writeable


@given(st.lists(st.floats(0, 400, width=32), min_size=3, max_size=3))
def test_many_colours_are_converted_as_one_is_to_a_tenth_of_a_unit(rgb: list[float]) -> None:
    many = many_to_lab(np.array([rgb], dtype=np.float32))
    np.testing.assert_allclose(many[0], srgb_to_lab(rgb), atol=0.1)


def test_channels_one_after_the_other_give_the_same() -> None:
    rgb = np.random.default_rng(5).uniform(0, 400, (9, 7, 3)).astype(np.float32)
    planes = planes_to_lab(np.moveaxis(rgb, -1, 0))
    np.testing.assert_allclose(np.moveaxis(planes, 0, -1), many_to_lab(rgb), rtol=1e-6)
    np.testing.assert_allclose(np.moveaxis(planes, 0, -1), srgb_to_lab(rgb), atol=0.1)


def test_all_256_levels_come_back_from_linear_light() -> None:
    levels = np.arange(256)
    np.testing.assert_allclose(linear_to_srgb(srgb_to_linear(levels)), levels, atol=1e-4)
    np.testing.assert_array_equal(np.rint(linear_to_srgb(srgb_to_linear(levels))), levels)


@pytest.mark.parametrize(
    ("text", "lab"),
    [
        ("#ff0000", (53.2406, 80.0923, 67.2028)),
        ("#00ff00", (87.7351, -86.183, 83.1797)),
        ("#0000ff", (32.2957, 79.1856, -107.8573)),
        ("#808080", (53.585, 0, 0)),
        ("#ffff00", (97.1395, -21.5547, 94.4781)),
    ],
)
def test_the_corners_of_srgb_have_their_known_lab_values(
    text: str, lab: tuple[float, float, float]
) -> None:
    """Lab under D65, 2°, as scikit-image 0.26 gives them; greys carry up to 0.003 of a and b."""
    np.testing.assert_allclose(srgb_to_lab(parse_hex(text)), lab, atol=3e-3)


def test_lab_agrees_with_scikit_image() -> None:
    from skimage.color import lab2rgb, rgb2lab

    rgb = np.random.default_rng(1).uniform(0, 255, (5000, 3))
    np.testing.assert_allclose(srgb_to_lab(rgb), rgb2lab(rgb / 255), atol=1e-3)
    lab = rgb2lab(rgb / 255)
    np.testing.assert_allclose(lab_to_srgb(lab), lab2rgb(lab) * 255, atol=0.02)


def test_lab_agrees_with_colour_science() -> None:
    """Given the same matrix and white; with the standard's four decimals it moves by 0.022."""
    import colour
    from colour.models import RGB_COLOURSPACE_sRGB

    from chartscan.colour.lab import _XYZ_OF_LINEAR, D65

    rgb = np.random.default_rng(2).uniform(0, 1, (5000, 3))
    linear = colour.models.eotf_sRGB(rgb)
    white = colour.XYZ_to_xy(np.array(D65))
    theirs = colour.XYZ_to_Lab(linear @ _XYZ_OF_LINEAR.T, white)
    np.testing.assert_allclose(srgb_to_lab(rgb * 255), theirs, atol=1e-3)
    standard = colour.XYZ_to_Lab(colour.sRGB_to_XYZ(rgb), RGB_COLOURSPACE_sRGB.whitepoint)
    np.testing.assert_allclose(srgb_to_lab(rgb * 255), standard, atol=0.025)


@given(st.lists(st.floats(0, 255), min_size=3, max_size=3))
def test_a_colour_comes_back_from_lab(rgb: list[float]) -> None:
    np.testing.assert_allclose(lab_to_srgb(srgb_to_lab(rgb)), rgb, atol=1e-6)


@given(st.lists(st.floats(-1, 2), min_size=3, max_size=3))
def test_light_beyond_srgb_comes_back_too(linear: list[float]) -> None:
    np.testing.assert_allclose(lab_to_linear(linear_to_lab(linear)), linear, atol=1e-9)
    np.testing.assert_allclose(srgb_to_linear(linear_to_srgb(linear)), linear, atol=1e-6)


def test_a_single_colour_and_a_picture_are_converted_alike() -> None:
    picture = np.random.default_rng(3).uniform(0, 255, (4, 5, 3))
    lab = srgb_to_lab(picture)
    assert lab.shape == (4, 5, 3)
    np.testing.assert_allclose(lab[2, 3], srgb_to_lab(picture[2, 3]), rtol=0, atol=1e-12)
    assert srgb_to_lab(np.empty((0, 3))).shape == (0, 3)
    assert np.isnan(srgb_to_lab([np.nan, 0, 0])).any()


def _target_under_d50() -> tuple[list[str], np.ndarray]:
    """The 24 patches of a colour target: published xyY under D50 (colour-science data set)."""
    import colour

    target = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    xyz = colour.xyY_to_XYZ(np.array(list(target.data.values())))
    return list(target.data), colour.XYZ_to_Lab(xyz, target.illuminant)


def test_the_lab_values_of_a_colour_target_come_from_d50_to_d65() -> None:
    """Against colour-science's own Bradford adaptation of the published values."""
    import colour

    names, lab_d50 = _target_under_d50()
    assert len(names) == 24
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    xyz_d50 = colour.Lab_to_XYZ(lab_d50, whites["D50"])
    xyz_d65 = colour.adaptation.chromatic_adaptation_VonKries(
        xyz_d50, colour.xy_to_XYZ(whites["D50"]), colour.xy_to_XYZ(whites["D65"]), "Bradford"
    )
    theirs = colour.XYZ_to_Lab(xyz_d65, whites["D65"])
    # colormath's white points carry five decimals; the last one is worth 0.01 Lab units
    np.testing.assert_allclose(lab_to_d65(lab_d50, "D50"), theirs, atol=0.02)


def test_a_grey_of_any_illuminant_is_the_same_grey_under_d65() -> None:
    for illuminant in ("A", "C", "D50", "D55", "D75", "E", "F2", "F11"):
        np.testing.assert_allclose(lab_to_d65([50, 0, 0], illuminant), [50, 0, 0], atol=0.01)


def test_d65_is_left_as_it_is() -> None:
    np.testing.assert_array_equal(lab_to_d65([[50, 20, 30]], "d65"), [[50, 20, 30]])


def test_adaptation_keeps_the_shape_of_its_colours() -> None:
    assert lab_to_d65(np.full((2, 5, 3), 40.0), "D50").shape == (2, 5, 3)
    assert lab_to_d65(np.empty((0, 3)), "D50").shape == (0, 3)


def test_an_unknown_illuminant_is_refused_with_those_that_are_known() -> None:
    with pytest.raises(ValueError, match=r"'D60' isn't known; use one of A, .*D50"):
        lab_to_d65([50, 0, 0], "D60")


@pytest.mark.parametrize(
    ("text", "rgb"),
    [("#1a2B3c", (26, 43, 60)), ("1a2b3c", (26, 43, 60)), (" #fff ", (255, 255, 255))],
)
def test_hex_is_read_with_or_without_its_sign(text: str, rgb: tuple[int, int, int]) -> None:
    assert parse_hex(text) == rgb
    assert parse_hex(format_hex(rgb)) == rgb


@pytest.mark.parametrize("text", ["", "#12345", "#gg0000", "red", "#1234567", "##123456"])
def test_what_is_no_hex_colour_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="isn't of the form #rrggbb"):
        parse_hex(text)


def test_a_colour_outside_srgb_is_shown_as_the_nearest_inside() -> None:
    assert round_rgb(lab_to_srgb([50, -100, 0]))[0] == 0
    assert round_rgb([254.5, -3, 260]) == (254, 0, 255)
