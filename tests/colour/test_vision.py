"""Colours as seen by eyes that lack a kind of cone, against an independent library's matrices."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.colour import srgb_to_lab
from chartscan.colour.vision import DEFICIENCIES, seen_lab

THEIRS = {
    "protanopia": "Protanomaly",
    "deuteranopia": "Deuteranomaly",
    "tritanopia": "Tritanomaly",
}


@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_the_matrices_are_those_published(deficiency: str) -> None:
    """Severity 1.0, as colour-science tabulates them.

    G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for Simulation
    of Color Vision Deficiency", IEEE Transactions on Visualization and Computer Graphics 15(6),
    2009, 1291-1298.
    """
    from colour.blindness import CVD_MATRICES_MACHADO2010

    published = CVD_MATRICES_MACHADO2010[THEIRS[deficiency]][1.0]
    np.testing.assert_allclose(DEFICIENCIES[deficiency], published, atol=1e-6)


@pytest.mark.parametrize("deficiency", [None, *DEFICIENCIES])
def test_greys_stay_grey_for_every_eye(deficiency: str | None) -> None:
    greys = np.repeat(np.arange(0, 256, 15)[:, None], 3, axis=1)
    np.testing.assert_allclose(seen_lab(greys, deficiency), srgb_to_lab(greys), atol=0.01)


def test_red_and_green_come_near_without_the_cones_for_them() -> None:
    pair = np.array([[190, 90, 40], [120, 130, 40]])
    far, near = (seen_lab(pair, eye) for eye in (None, "deuteranopia"))
    assert np.linalg.norm(near[0] - near[1]) < np.linalg.norm(far[0] - far[1]) / 2
