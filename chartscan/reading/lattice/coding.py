"""What a JPEG's coding by blocks does to a page: steps along the blocks' sides, every 8 pixels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.rectified import Grey
from chartscan.reading.page.glance import JPEG_BLOCK

HALF = JPEG_BLOCK // 2


def without_blocks(grey: Grey, step: float) -> Grey:
    """``grey`` without the steps between blocks, which repeat both ways as a grid does.

    Two means that are rounded differ by one ``step`` at most, and what lies along their side adds
    as much; what is more is no fault of the coding.

    Args:
        grey: luma of a page as it was coded, 0..255.
        step: in which the mean of a block was kept, in levels, of which a finer one isn't seen; see
            ``Page.coded``.
    """
    if step < 1 or min(grey.shape) < 4 * JPEG_BLOCK:
        return grey
    smooth = grey.astype(np.float32)
    for view in (smooth, smooth.T):
        _smooth_sides(view, 2 * step)
    return smooth


def _smooth_sides(grey: NDArray[np.float32], most: float) -> None:
    """Take steps of up to ``most`` from the upright sides of blocks, in place.

    A step is spread evenly over the pixels on either side, by half of it where the blocks meet,
    falling to nought in the midst of a block.
    """
    change = np.diff(grey, axis=1)
    jump = change[:, 1:-1] - (change[:, :-2] + change[:, 2:]) / 2
    size = np.abs(jump).mean(axis=0)
    usable = len(size) // JPEG_BLOCK * JPEG_BLOCK
    # A page that was turned upright has its first block's side elsewhere.
    first = int(size[:usable].reshape(-1, JPEG_BLOCK).mean(axis=0).argmax())
    side = np.arange(first, jump.shape[1], JPEG_BLOCK) + 2  # the first pixel right of each side
    side = side[(side >= HALF) & (side + HALF <= grey.shape[1])]
    step = np.clip(jump[:, side - 2], -most, most)
    for k in range(HALF):
        part = (HALF - 0.5 - k) / (JPEG_BLOCK - 1)
        grey[:, side - 1 - k] += part * step
        grey[:, side + k] -= part * step
