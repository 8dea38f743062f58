"""The projective map between two planes, from points that are known in both."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def fit_homography(source: Floats, target: Floats) -> Floats:
    """The 3×3 map of ``source`` onto ``target``, (n, 2) each, n ≥ 4, by least squares.

    It is scikit-image's direct linear transform on points scaled as R. Hartley has it ("In defense
    of the eight-point algorithm", 1997), of the least algebraic error; ``[2, 2]`` is 1.
    """
    from skimage.transform import estimate_transform  # a quarter of a second, and seldom needed

    return np.asarray(estimate_transform("projective", source, target).params, dtype=np.float64)
