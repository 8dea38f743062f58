"""What a JPEG's coding by blocks does to a page: steps along the blocks' sides, every 8 pixels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.rectified import Grey

BLOCK = 8  # px a side; ITU-T T.81 (1992), A.1


@dataclass(frozen=True)
class CodingSettings:
    """What is taken for a step between blocks.

    Attributes:
        least: levels of 255 in which the mean of a block is kept from which on blocks are seen.
        most: the largest step, in such levels: two means that are rounded differ by one at most,
            and what lies along their side adds as much; what is more is no fault of the coding.
        ramp: how a step is spread over the pixels on either side, nearest first: by half of it
            where the blocks meet, falling to nought in the midst of a block.
    """

    least: float = 1.0
    most: float = 2.0
    ramp: tuple[float, ...] = (0.5, 0.36, 0.21, 0.07)


def without_blocks(grey: Grey, step: float, settings: CodingSettings = CodingSettings()) -> Grey:
    """``grey`` without the steps between blocks, which repeat both ways as a grid does.

    Args:
        grey: luma of a page as it was coded, 0..255.
        step: in which the mean of a block was kept; see ``Page.coded``.
        settings: what is taken for a step between blocks.
    """
    if step < settings.least or min(grey.shape) < 4 * BLOCK:
        return grey
    smooth = grey.astype(np.float32)
    for view in (smooth, smooth.T):
        _smooth_sides(view, settings.most * step, settings.ramp)
    return smooth


def _smooth_sides(grey: NDArray[np.float32], most: float, ramp: tuple[float, ...]) -> None:
    """Take steps of up to ``most`` from the upright sides of blocks, in place."""
    change = np.diff(grey, axis=1)
    jump = change[:, 1:-1] - (change[:, :-2] + change[:, 2:]) / 2
    size = np.abs(jump).mean(axis=0)
    usable = len(size) // BLOCK * BLOCK
    # A page that was turned upright has its first block's side elsewhere.
    first = int(size[:usable].reshape(-1, BLOCK).mean(axis=0).argmax())
    side = np.arange(first, jump.shape[1], BLOCK) + 2  # the first pixel right of each side
    side = side[(side >= len(ramp)) & (side + len(ramp) <= grey.shape[1])]
    step = np.clip(jump[:, side - 2], -most, most)
    for k, part in enumerate(ramp):
        grey[:, side - 1 - k] += part * step
        grey[:, side + k] -= part * step
