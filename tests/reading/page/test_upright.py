"""Decoded pixels as upright sRGB on white, by arithmetic that stands beside each case."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from chartscan.reading.page.upright import STRIP, upright_srgb
from tests.reading.page.profiles import rgb_profile

Pixels = NDArray[np.uint8]
HEIGHT, WIDTH = 2 * STRIP + 7, 33  # three strips, the last one short
# EXIF 2.3, tag 0x0112: which sides of what is shown the first stored row and column are.
SIDES = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


def noise() -> Pixels:
    return np.random.default_rng(5).integers(0, 256, (HEIGHT, WIDTH, 3), dtype=np.uint8)


def upright(image: Image.Image, orientation: int = 1) -> Pixels:
    notes: list[str] = []
    pixels = upright_srgb(image, orientation, notes)
    assert notes == []
    assert pixels.dtype == np.uint8
    return pixels


def side(pixels: Pixels, name: str) -> Pixels:
    edges: dict[str, Pixels] = {
        "top": pixels[0],
        "bottom": pixels[-1],
        "left": pixels[:, 0],
        "right": pixels[:, -1],
    }
    return edges[name]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_first_row_and_column_come_to_the_sides_that_the_standard_names(
    orientation: int,
) -> None:
    stored = noise()
    shown = upright(Image.fromarray(stored), orientation)
    row, column = SIDES[orientation]
    assert shown.shape == ((HEIGHT, WIDTH) if row in ("top", "bottom") else (WIDTH, HEIGHT)) + (3,)
    first_row, first_column = stored[0], stored[:, 0]
    if column in ("right", "bottom"):
        first_row = first_row[::-1]
    if row in ("bottom", "right"):
        first_column = first_column[::-1]
    np.testing.assert_array_equal(side(shown, row), first_row)
    np.testing.assert_array_equal(side(shown, column), first_column)
    assert sorted(map(tuple, shown.reshape(-1, 3))) == sorted(map(tuple, stored.reshape(-1, 3)))


@pytest.mark.parametrize("height", [1, STRIP - 1, STRIP, STRIP + 1, 2 * STRIP])
def test_strips_meet_without_a_gap(height: int) -> None:
    stored = noise()[:height]
    np.testing.assert_array_equal(upright(Image.fromarray(stored)), stored)


# ------------------------------------------------------------------------- alpha


@given(st.tuples(*[st.integers(0, 255)] * 4))
def test_alpha_is_laid_on_white_to_the_nearest_level(rgba: tuple[int, int, int, int]) -> None:
    """What is seen through is ``c·a + 1·(1 − a)`` (Porter and Duff, 1984: over), exactly."""
    *colour, alpha = rgba
    share = Fraction(alpha, 255)
    found = upright(Image.new("RGBA", (1, 1), rgba))[0, 0]
    for level, shown in zip(colour, found.tolist(), strict=True):
        assert abs(share * level + (1 - share) * 255 - shown) <= Fraction(1, 2)


def test_a_clear_pixel_is_white_and_an_opaque_one_itself_in_every_mode_with_alpha() -> None:
    for mode in ("RGBA", "LA"):
        image = Image.new("RGBA", (2, 1), (40, 40, 40, 255))
        image.putpixel((0, 0), (40, 40, 40, 0))
        assert upright(image.convert(mode)).tolist() == [[[255] * 3, [40] * 3]]


def test_a_colour_that_is_said_to_be_clear_is_white() -> None:
    image = Image.new("RGB", (2, 1), (10, 20, 30))
    image.putpixel((1, 0), (10, 20, 31))
    image.info["transparency"] = (10, 20, 30)
    assert upright(image).tolist() == [[[255] * 3, [10, 20, 31]]]


def test_alpha_is_laid_on_after_the_profile() -> None:
    """White paper is no ink of the picture: it stays white whatever the profile says."""
    image = Image.new("RGBA", (1, 1), (128, 128, 128, 51))
    image.info["icc_profile"] = rgb_profile(1.0)
    opaque = Image.new("RGB", (1, 1), (128, 128, 128))
    opaque.info["icc_profile"] = rgb_profile(1.0)
    ink = int(upright(opaque)[0, 0, 0])
    assert ink > 180
    assert abs(int(upright(image)[0, 0, 0]) - (0.2 * ink + 0.8 * 255)) <= 1


# ------------------------------------------------------- more than eight bits


def grey(values: object, dtype: type[np.generic]) -> list[int]:
    """A row of greys through the stage; the three channels are one."""
    shown = upright(Image.fromarray(np.array([values], dtype=dtype)))
    assert (shown == shown[..., :1]).all()
    return [int(v) for v in shown[0, :, 0]]


def test_sixteen_bits_lose_their_lower_half() -> None:
    assert grey([0, 255, 256, 511, 32768, 65535], np.uint16) == [0, 0, 1, 1, 128, 255]


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ([0, 1], [0, 1]),  # two near-blacks
        ([0, 128, 255], [0, 128, 255]),
        ([0, 256, 65535], [0, 1, 255]),
        ([0, 256], [0, 1]),  # the least range that holds all is that of 16 bits
        ([0, 65536], [0, 255]),  # beyond it, what is brightest is white
        ([0, 50_000, 100_000], [0, 128, 255]),
        ([-7, 0, 255], [0, 0, 255]),
        ([0, 0], [0, 0]),
    ],
)
def test_whole_numbers_are_scaled_by_the_least_range_that_holds_them(
    values: list[int], expected: list[int]
) -> None:
    assert grey(values, np.int32) == expected


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ([0.0, 0.5, 1.0], [0, 128, 255]),
        ([0.0, 1.001], [0, 1]),  # no longer shares of white
        ([0.0, 127.0, 255.0], [0, 127, 255]),
        ([0.0, 255.5, 65535.0], [0, 1, 255]),
        ([0.0, 131070.0], [0, 255]),
        ([float("nan"), 1.0], [0, 255]),
        ([-0.5, 1.0], [0, 255]),
    ],
)
def test_floats_are_scaled_too_and_what_is_no_number_is_black(
    values: list[float], expected: list[int]
) -> None:
    assert grey(values, np.float32) == expected


@pytest.mark.parametrize("mode", ["1", "L", "P", "CMYK", "YCbCr", "HSV"])
def test_every_other_mode_comes_out_as_pillow_converts_it(mode: str) -> None:
    image = Image.fromarray(noise()).convert(mode)
    np.testing.assert_array_equal(upright(image), np.asarray(image.convert("RGB")))
