"""What colours look like to eyes that lack one kind of cone.

Machado, Oliveira and Fernandes (2009), "A Physiologically-based Model for Simulation of Color
Vision Deficiency", IEEE Transactions on Visualization and Computer Graphics 15(6), 1291-1298: the
matrices at severity 1.0, applied to linear sRGB.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.colour.lab import linear_to_lab
from chartscan.colour.srgb import srgb_to_linear

DEFICIENCIES = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def seen_lab(rgb: ArrayLike, deficiency: str | None = None) -> NDArray[np.float64]:
    """CIELAB (D65) of sRGB colours as eyes with ``deficiency`` see them; None for all cones.

    Args:
        rgb: sRGB 0..255, shape (..., 3).
        deficiency: a key of :data:`DEFICIENCIES`, or None.

    Returns:
        Lab, shape (..., 3); what falls outside sRGB is clipped to it.
    """
    linear = srgb_to_linear(rgb)
    if deficiency is not None:
        linear = np.clip(linear @ np.array(DEFICIENCIES[deficiency]).T, 0, 1)
    return linear_to_lab(linear)
