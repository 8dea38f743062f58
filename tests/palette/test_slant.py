"""A slant of the light told by references: found where it is, not made up where it isn't."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.colour import ciede2000, linear_to_srgb, srgb_to_lab, srgb_to_linear
from chartscan.palette.correction import CorrectionSettings, learn_correction
from chartscan.palette.slant import Slanted, learn_slant

Array = NDArray[np.float64]

RGB = np.random.default_rng(21).uniform(20, 235, (40, 3))
PLACES = np.stack(np.meshgrid(np.arange(8) - 3.5, np.arange(5) - 2.0), axis=-1).reshape(-1, 2)
REFERENCES = [0, 7, 18, 21, 32, 39]


def seen_under(slope: tuple[float, float], noise: float = 0.0) -> Array:
    """The card's colours under a warm light that slants, 0..255."""
    light = np.exp(PLACES @ slope)[:, None] * (0.9, 0.8, 0.65)
    seen = linear_to_srgb(srgb_to_linear(RGB) * light)
    return seen + np.random.default_rng(2).normal(0, noise, seen.shape)


def learnt(seen: Array, at: list[int]) -> Slanted | None:
    lab = srgb_to_lab(RGB[at])
    plain = learn_correction(seen[at], lab)
    return learn_slant(seen[at], PLACES[at], lab, plain, CorrectionSettings())


@pytest.mark.parametrize("slope", [(-0.03, 0.0), (0.02, -0.03)])
def test_a_slant_is_found_and_taken_out(slope: tuple[float, float]) -> None:
    seen = seen_under(slope, noise=0.3)
    slanted = learnt(seen, REFERENCES)
    assert slanted is not None
    np.testing.assert_allclose(slanted.slope, slope, atol=0.004)
    colours = slanted.correction.to_lab(slanted.even(seen, PLACES))
    assert ciede2000(colours, srgb_to_lab(RGB)).max() < 1.0


def test_under_even_light_none_is_made_up() -> None:
    assert learnt(seen_under((0.0, 0.0), noise=1.0), REFERENCES) is None


def test_too_few_references_tell_none() -> None:
    assert learnt(seen_under((-0.03, 0.0)), REFERENCES[:4]) is None


def test_stray_light_on_dark_references_hardly_moves_the_slant() -> None:
    """Two levels too many in the two dark corners, as any lens adds: far below what can be seen."""
    rgb, at = RGB.copy(), [0, 3, 7, 18, 21, 32, 36, 39]
    rgb[[0, 39]] = 12.0
    slope = (-0.03, 0.0)
    light = np.exp(PLACES @ slope)[:, None] * (0.9, 0.8, 0.65)
    seen = linear_to_srgb(srgb_to_linear(rgb) * light)
    seen[[0, 39]] += 2
    lab = srgb_to_lab(rgb[at])
    plain = learn_correction(seen[at], lab)
    slanted = learn_slant(seen[at], PLACES[at], lab, plain, CorrectionSettings())
    assert slanted is not None
    np.testing.assert_allclose(slanted.slope, slope, atol=0.001)
