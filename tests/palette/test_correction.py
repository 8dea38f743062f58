"""The colour correction: casts it must undo, forms it must choose, references it must refuse."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.colour.difference import ciede2000
from chartscan.colour.lab import lab_to_linear, srgb_to_lab
from chartscan.colour.srgb import linear_to_srgb, srgb_to_linear
from chartscan.errors import MatchError
from chartscan.palette.correction import CorrectionSettings, learn_correction
from chartscan.palette.leastsquares import Candidate

Array = NDArray[np.float64]

MIX = np.array([[0.85, 0.10, 0.05], [0.08, 0.75, 0.10], [0.02, 0.10, 0.60]])
WARM = np.array([0.95, 0.80, 0.60])
# Spread over the target: dark skin, purplish blue, red, blue, white and a mid grey.
SIX = [0, 7, 12, 14, 18, 21]


@pytest.fixture(scope="module")
def target() -> Array:
    """Published CIELAB of the 24-patch target, adapted from D50 to D65, shape (24, 3).

    Source: "ColorChecker24 - After November 2014", as kept by colour-science; Bradford adaptation.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        card = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
        xyz = colour.chromatic_adaptation(
            colour.xyY_to_XYZ(np.array(list(card.data.values()))),
            colour.xy_to_XYZ(card.illuminant),
            np.array([0.95047, 1.0, 1.08883]),
            method="Von Kries",
            transform="Bradford",
        )
        return np.asarray(colour.XYZ_to_Lab(xyz, [0.31271, 0.32902]))


def seen_through(lab: Array, cast: Array, tone: float = 1.0) -> Array:
    """8-bit sRGB of ``lab`` as a camera with this mix of the channels and tone curve sees it."""
    linear = np.clip(lab_to_linear(lab) @ np.atleast_2d(cast).T, 0, 1) ** tone
    return np.rint(linear_to_srgb(linear))


@pytest.mark.parametrize(
    ("name", "cast", "tone", "mean"),
    [
        ("dimmed and warm", np.diag(WARM), 1.0, 1.0),
        ("channels mixed", MIX, 1.0, 1.2),
        ("warm with a tone curve", np.diag(WARM), 1.15, 1.0),
    ],
)
def test_six_patches_of_a_target_correct_the_other_eighteen(
    target: Array, name: str, cast: Array, tone: float, mean: float
) -> None:
    seen = seen_through(target, cast, tone)
    others = np.setdiff1d(np.arange(24), SIX)
    correction = learn_correction(seen[SIX], target[SIX])
    before = ciede2000(srgb_to_lab(seen[others]), target[others])
    after = ciede2000(correction.to_lab(seen[others]), target[others])
    assert before.mean() > 5, name
    # Patch 18, a cyan outside sRGB, is clipped by the drawing itself; it is in the mean.
    assert after.mean() < mean, name
    assert np.median(after) < 0.8, name


@given(
    scale=st.tuples(*[st.floats(0.4, 1.0)] * 3),
    seed=st.integers(0, 1000),
    count=st.integers(2, 12),
)
@settings(max_examples=25, deadline=None)
def test_any_scaling_of_the_channels_is_undone_by_the_plainest_form(
    scale: tuple[float, float, float], seed: int, count: int
) -> None:
    true = np.random.default_rng(seed).uniform(20, 240, (count, 3))
    seen = linear_to_srgb(srgb_to_linear(true) * scale)
    correction = learn_correction(seen, srgb_to_lab(true))
    assert correction.candidate == Candidate("scale")
    assert ciede2000(correction.to_lab(seen), srgb_to_lab(true)).max() < 1e-4
    np.testing.assert_allclose(
        np.diag(correction.fit.coefficients[:3]), 1 / np.array(scale), rtol=1e-5
    )


def test_a_mix_of_channels_needs_more_degrees_and_gets_them(target: Array) -> None:
    shown = np.all((lab_to_linear(target) > 0) & (lab_to_linear(target) < 1), axis=1)
    linear = lab_to_linear(target[shown]) @ MIX.T
    correction = learn_correction(linear_to_srgb(linear), target[shown])
    assert correction.candidate.form in ("matrix", "affine", "root-polynomial")
    assert correction.residual.max() < 0.01
    np.testing.assert_allclose(correction.fit.coefficients[:3].T, np.linalg.inv(MIX), atol=1e-3)


def test_left_out_error_is_what_correcting_each_by_the_others_gives(target: Array) -> None:
    seen = seen_through(target[SIX], MIX) + np.random.default_rng(3).normal(0, 2, (6, 3))
    correction = learn_correction(seen, target[SIX])
    only = CorrectionSettings(candidates=(correction.candidate,))
    expected = []
    for left in range(6):
        others = np.arange(6) != left
        alone = learn_correction(seen[others], target[SIX][others], only)
        expected.append(ciede2000(alone.to_lab(seen[[left]]), target[SIX][[left]])[0])
    assert correction.left_out is not None
    np.testing.assert_allclose(correction.left_out, expected, atol=1e-9)


def test_one_white_patch_gives_a_scale_and_no_left_out_error() -> None:
    correction = learn_correction([[250.0, 240.0, 200.0]], [[95.0, 0.0, -2.0]])
    assert correction.candidate == Candidate("scale")
    assert correction.left_out is None
    assert correction.residual.max() < 1e-6
    assert "too few" in correction.describe()


def test_greys_alone_never_mix_the_channels_wildly() -> None:
    grey = np.repeat(np.linspace(30, 240, 6)[:, None], 3, axis=1)
    noise = np.random.default_rng(5).normal(0, 0.7, grey.shape)
    correction = learn_correction(grey * 0.9 + noise, srgb_to_lab(grey))
    red = srgb_to_lab([[200.0, 30.0, 40.0]])
    assert ciede2000(correction.to_lab([[180.0, 27.0, 36.0]]), red)[0] < 4


def test_a_colour_far_beyond_the_references_is_told() -> None:
    dull = np.random.default_rng(8).uniform(90, 150, (12, 3))
    free = CorrectionSettings(candidates=(Candidate("affine"),))
    correction = learn_correction(dull, srgb_to_lab(dull * 0.97 + 3), free)
    told = correction.outside([[120.0, 118.0, 125.0], [250.0, 10.0, 10.0]])
    assert told.tolist() == [False, True]


def test_dark_references_count_as_much_as_light_ones() -> None:
    """Unweighed least squares in linear light would leave the dark one 9 ΔE00 off."""
    seen = np.array([[30.0, 30, 30], [40, 38, 36], [235, 235, 235]])
    true = np.array([[36.0, 36, 36], [47, 45, 43], [240, 240, 240]])
    only = CorrectionSettings(candidates=(Candidate("scale"),))
    residual = learn_correction(seen, srgb_to_lab(true), only).residual
    assert residual[0] < 2
    assert residual[2] < 5


def test_as_many_references_as_a_large_target_has_take_groups(target: Array) -> None:
    many = np.tile(target, (3, 1))
    seen = seen_through(many, MIX) + np.random.default_rng(1).normal(0, 1, many.shape)
    correction = learn_correction(np.clip(seen, 0, 255), many)
    assert correction.left_out is not None
    assert len(correction.left_out) == 72
    assert correction.left_out.mean() < 2.5


@pytest.mark.parametrize(
    ("seen", "lab"),
    [
        ([], []),
        ([[0.0, 0.0, 0.0]], [[50.0, 0.0, 0.0]]),
        ([[float("nan"), 1.0, 1.0]], [[50.0, 0.0, 0.0]]),
        ([[1.0, 1.0, 1.0]], [[50.0, float("inf"), 0.0]]),
    ],
)
def test_references_that_say_nothing_are_refused(
    seen: list[list[float]], lab: list[list[float]]
) -> None:
    with pytest.raises(MatchError, match="reference"):
        learn_correction(seen, lab)


def test_shapes_that_disagree_are_the_callers_fault() -> None:
    with pytest.raises(ValueError, match="must both be"):
        learn_correction([[1.0, 2.0, 3.0]], [[50.0, 0.0, 0.0], [60.0, 0.0, 0.0]])


def test_settings_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ValueError, match="at least one form"):
        CorrectionSettings(candidates=())
    with pytest.raises(ValueError, match="shares"):
        CorrectionSettings(better=0)
    with pytest.raises(ValueError, match="folds"):
        CorrectionSettings(folds=1)
