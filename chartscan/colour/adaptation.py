"""Lab measured under another illuminant, brought to D65.

Instruments for print and textile mostly report D50. The adaptation is colormath's (Bradford by
default); its white points are those of its tables, 2° or 10° observer. Its Lab class is left
alone: that one takes D50 where nothing is said, while its sRGB conversion gives D65.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.colour.lab import D65, lab_to_xyz, xyz_to_lab

ILLUMINANTS = ("a", "b", "c", "d50", "d55", "d65", "d75", "e", "f2", "f7", "f11")


def lab_to_d65(lab: ArrayLike, illuminant: str) -> NDArray[np.float64]:
    """CIELAB under D65, 2° observer, of CIELAB under ``illuminant``, 2° observer, shape (..., 3).

    Args:
        lab: values as the instrument reports them.
        illuminant: one of :data:`ILLUMINANTS`, in any case; "d65" changes nothing.

    Raises:
        ValueError: the illuminant isn't known.

    >>> lab_to_d65([50, 20, 30], "D50").round(1).tolist()
    [49.6, 18.2, 29.5]
    """
    values = np.asarray(lab, dtype=np.float64)
    name = check_illuminant(illuminant)
    if name == "d65":
        return values
    from colormath.chromatic_adaptation import apply_chromatic_adaptation
    from colormath.color_constants import ILLUMINANTS as WHITES

    xyz = lab_to_xyz(values, WHITES["2"][name])
    adapted = apply_chromatic_adaptation(*np.moveaxis(xyz, -1, 0).reshape(3, -1), name, D65)
    return xyz_to_lab(np.stack(adapted, axis=-1).reshape(values.shape))


def check_illuminant(illuminant: str) -> str:
    """The name as :data:`ILLUMINANTS` has it; ValueError where it isn't known."""
    name = illuminant.strip().lower()
    if name not in ILLUMINANTS:
        known = ", ".join(name.upper() for name in ILLUMINANTS)
        raise ValueError(f"illuminant {illuminant!r} isn't known; use one of {known}")
    return name
