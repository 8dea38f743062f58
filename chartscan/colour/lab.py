"""sRGB, XYZ and CIELAB under D65, 2° observer.

Sources: ISO/CIE 11664-4 (CIELAB); IEC 61966-2-1 (primaries of sRGB). The matrix carries six
decimals and the white is (0.95047, 1, 1.08883), as in most colour software; the standard's matrix
of four decimals differs by up to 0.022 Lab units, far below what an eye can see.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.colour.srgb import linear_to_srgb, many_to_linear, srgb_to_linear

D65 = (0.95047, 1.0, 1.08883)  # 2° observer, Y = 1

_XYZ_OF_LINEAR = np.array(
    [
        [0.412453, 0.357580, 0.180423],
        [0.212671, 0.715160, 0.072169],
        [0.019334, 0.119193, 0.950227],
    ]
)
_LINEAR_OF_XYZ = np.linalg.inv(_XYZ_OF_LINEAR)
BRIGHTEST = 3.0  # × white; an sRGB value of ``MOST`` comes to 2.82
_PARTS = 4096  # entries in the table of roots up to white
_EDGE = 6 / 29  # where the cube root gives way to a straight line (ISO/CIE 11664-4)


def srgb_to_lab(rgb: ArrayLike) -> NDArray[np.float64]:
    """CIELAB (L 0..100) of sRGB values 0..255, shape (..., 3).

    >>> srgb_to_lab([255, 0, 0]).round(2).tolist()
    [53.24, 80.09, 67.2]
    """
    return linear_to_lab(srgb_to_linear(rgb))


def many_to_lab(rgb: NDArray[np.float32]) -> NDArray[np.float32]:
    """:func:`srgb_to_lab` of very many values 0..``MOST``, shape (..., 3), in single precision.

    Within 0.1 of a Lab unit, as values are rounded to a sixteenth of a level.
    """
    return np.ascontiguousarray(np.moveaxis(planes_to_lab(np.moveaxis(rgb, -1, 0)), 0, -1))


def planes_to_lab(rgb: NDArray[np.float32]) -> NDArray[np.float32]:
    """The same of values whose channels lie one after the other, shape (3, ...): twice as fast."""
    matrix = (_XYZ_OF_LINEAR / np.asarray(D65)[:, None]).astype(np.float32)
    ratio = matrix @ many_to_linear(rgb).reshape(3, -1)
    x, y, z = _rooted(ratio)
    lab = np.empty_like(ratio)
    lightness, a, b = lab
    np.multiply(y, 116, out=lightness)
    lightness -= 16
    np.subtract(x, y, out=a)
    a *= 500
    np.subtract(y, z, out=b)
    b *= 200
    return np.asarray(lab.reshape(rgb.shape), dtype=np.float32)


def _rooted(ratio: NDArray[np.float32]) -> NDArray[np.float32]:
    """What CIELAB makes of many XYZ 0..``BRIGHTEST``, each as a ratio to white.

    A root looked up to half of a hundredth and one step of Newton's method from there, to 2e-5 of
    it, take a third of the time of a logarithm and an exponential, and far less than a cube root.
    """
    dark = ratio <= np.float32(_EDGE**3)
    light = np.clip(ratio, np.float32(_EDGE**3), np.float32(BRIGHTEST))
    root = _roots().take((light * np.float32(_PARTS) + np.float32(0.5)).astype(np.uint16))
    light /= root * root
    root *= 2
    root += light
    root *= np.float32(1 / 3)
    if dark.any():
        root[dark] = ratio[dark] / np.float32(3 * _EDGE**2) + np.float32(4 / 29)
    return root


@cache
def _roots() -> NDArray[np.float32]:
    """The cube roots of 0..``BRIGHTEST``, ``_PARTS`` of them to one."""
    roots = np.cbrt(np.arange(int(BRIGHTEST * _PARTS) + 1) / _PARTS).astype(np.float32)
    roots.setflags(write=False)
    return roots


def lab_to_srgb(lab: ArrayLike) -> NDArray[np.float64]:
    """SRGB values 0..255 of CIELAB, shape (..., 3); outside 0..255 where sRGB can't show it."""
    return linear_to_srgb(lab_to_linear(lab))


def linear_to_lab(linear: ArrayLike) -> NDArray[np.float64]:
    """CIELAB of linear sRGB light 0..1, shape (..., 3)."""
    return xyz_to_lab(np.asarray(linear, dtype=np.float64) @ _XYZ_OF_LINEAR.T)


def lab_to_linear(lab: ArrayLike) -> NDArray[np.float64]:
    """Linear sRGB light of CIELAB, shape (..., 3), not clipped."""
    return lab_to_xyz(lab) @ _LINEAR_OF_XYZ.T


def xyz_to_lab(xyz: ArrayLike, white: tuple[float, float, float] = D65) -> NDArray[np.float64]:
    """CIELAB of XYZ (Y of white = 1), shape (..., 3), both under the same ``white``."""
    ratio = np.asarray(xyz, dtype=np.float64) / np.asarray(white)
    root = np.where(ratio > _EDGE**3, np.cbrt(ratio), ratio / (3 * _EDGE**2) + 4 / 29)
    x, y, z = root[..., 0], root[..., 1], root[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: tuple[float, float, float] = D65) -> NDArray[np.float64]:
    """XYZ (Y of white = 1) of CIELAB, shape (..., 3), both under the same ``white``."""
    values = np.asarray(lab, dtype=np.float64)
    y = (values[..., 0] + 16) / 116
    root = np.stack([y + values[..., 1] / 500, y, y - values[..., 2] / 200], axis=-1)
    ratio = np.where(root > _EDGE, root**3, 3 * _EDGE**2 * (root - 4 / 29))
    scaled: NDArray[np.float64] = ratio * np.asarray(white)
    return scaled
