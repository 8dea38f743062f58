"""What a JPEG's coding by blocks does to a page: steps along the blocks' sides, every 8 pixels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.float32]

BLOCK = 8  # px a side; ITU-T T.81 (1992), A.1
LEAST = 1.0  # step of a block's mean, 0..255, from which on blocks can be seen
MOST = 2.0  # times that step: what is more is no fault of the coding
RAMP = (0.5, 0.36, 0.21, 0.07)  # how a step is spread over the pixels beside it


def without_blocks(grey: Grey, step: float) -> Grey:
    """``grey`` without the steps between blocks, which repeat both ways as a grid does.

    Args:
        grey: luma of a page as it was coded, 0..255.
        step: in which the mean of a block was kept; see ``Page.coded``.
    """
    if step < LEAST or min(grey.shape) < 4 * BLOCK:
        return grey
    smooth = grey.copy()
    for view in (smooth, smooth.T):
        _smooth_sides(view, MOST * step)
    return smooth


def _smooth_sides(grey: Grey, most: float) -> None:
    """Take steps of up to ``most`` from the upright sides of blocks, in place."""
    change = np.diff(grey, axis=1)
    jump = change[:, 1:-1] - (change[:, :-2] + change[:, 2:]) / 2
    size = np.abs(jump).mean(axis=0)
    usable = len(size) // BLOCK * BLOCK
    # A page that was turned upright has its first block's side elsewhere.
    first = int(size[:usable].reshape(-1, BLOCK).mean(axis=0).argmax())
    side = np.arange(first, jump.shape[1], BLOCK) + 2  # the first pixel right of each side
    side = side[(side >= len(RAMP)) & (side + len(RAMP) <= grey.shape[1])]
    step = np.clip(jump[:, side - 2], -most, most)
    for k, part in enumerate(RAMP):
        grey[:, side - 1 - k] += part * step
        grey[:, side + k] -= part * step
