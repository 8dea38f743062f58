"""CIEDE2000: how far apart two colours look, in ΔE00.

Sources: ISO/CIE 11664-6; G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula:
implementation notes, supplementary test data, and mathematical observations", Color Research and
Application 30(1), 2005 [SWD]. The symbols and their order are the paper's, in its form with hue
angles: the form with a vector mean of the hues takes another branch where two hues are exactly
opposite (pairs 10 and 14 of the paper's table). The cosines of 2h, 3h and 4h are had from the
cosine and sine of h. Float64 throughout; single precision errs by up to 0.04.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_BLOCK = 12_000  # pairs worked on at a time, so that all arrays of a block stay in the cache
_25_7 = 25.0**7


@dataclass(frozen=True)
class Components:
    """The parts that a CIEDE2000 difference is made of, each of the shape of the pairs.

    Attributes:
        lightness: ΔL' = L2 - L1, positive where the second colour is lighter.
        chroma: ΔC' = C2' - C1', positive where the second is stronger.
        hue: ΔH', positive where the second lies anticlockwise in the a'b' plane.
        s_l: weight of the lightness part, that is ΔL' / S_L counts as seen.
        s_c: weight of the chroma part.
        s_h: weight of the hue part.
        r_t: rotation term between chroma and hue.
    """

    lightness: Array
    chroma: Array
    hue: Array
    s_l: Array
    s_c: Array
    s_h: Array
    r_t: Array


def ciede2000(lab_1: ArrayLike, lab_2: ArrayLike, k_l: float = 1.0) -> Array:
    """ΔE00 between CIELAB colours of shapes (..., 3) that broadcast; NaN where a value is NaN.

    ``k_l`` is the weight of lightness: 1 for the standard conditions; 2 is used for textiles that
    are judged as cloth, and is not the default here because a stitch is judged beside another.
    Defined for colours under D65, sample pairs side by side; meant for differences up to about 5.

    >>> round(float(ciede2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    return _total(components(lab_1, lab_2), k_l)


def ciede2000_matrix(rows: ArrayLike, columns: ArrayLike, k_l: float = 1.0) -> Array:
    """ΔE00 of every pair of ``rows`` (n, 3) and ``columns`` (m, 3), shape (n, m).

    The same figures as :func:`ciede2000`, worked in blocks of rows that fit the cache.
    """
    lab_1 = np.asarray(rows, dtype=np.float64).reshape(-1, 3)
    lab_2 = np.asarray(columns, dtype=np.float64).reshape(-1, 3)
    result = np.empty((len(lab_1), len(lab_2)))
    step = max(1, _BLOCK // max(1, len(lab_2)))
    for start in range(0, len(lab_1), step):
        block = slice(start, start + step)
        result[block] = ciede2000(lab_1[block, None], lab_2[None], k_l)
    return result


def components(lab_1: ArrayLike, lab_2: ArrayLike) -> Components:
    """The parts of ΔE00 from ``lab_1`` to ``lab_2``, CIELAB of shapes (..., 3) that broadcast."""
    first, second = np.asarray(lab_1, dtype=np.float64), np.asarray(lab_2, dtype=np.float64)
    l_1, a_1, b_1 = first[..., 0], first[..., 1], first[..., 2]
    l_2, a_2, b_2 = second[..., 0], second[..., 1], second[..., 2]

    # [SWD] equations 2 to 7. An exponent of 7 by multiplication: numpy's power is far slower.
    c_7 = _power_7((np.hypot(a_1, b_1) + np.hypot(a_2, b_2)) / 2)
    stretch = 1.5 - 0.5 * np.sqrt(c_7 / (c_7 + _25_7))  # 1 + G
    ap_1, ap_2 = stretch * a_1, stretch * a_2
    cp_1, cp_2 = np.sqrt(ap_1 * ap_1 + b_1 * b_1), np.sqrt(ap_2 * ap_2 + b_2 * b_2)
    hp_1, hp_2 = _angle(b_1, ap_1), _angle(b_2, ap_2)

    # Equations 8 to 11 and 14. Where a chroma is 0 its hue angle is, too, and counts for nothing.
    product = cp_1 * cp_2
    turn = hp_2 - hp_1
    far = np.abs(turn) > np.pi
    half = np.asarray(turn / 2)
    np.copyto(half, half - np.copysign(np.pi, turn), where=far)
    mean = np.asarray((hp_1 + hp_2) / 2)
    np.copyto(mean, mean + np.pi, where=far)
    np.copyto(mean, mean - 2 * np.pi, where=mean >= 2 * np.pi)
    np.copyto(mean, hp_1 + hp_2, where=product == 0)
    hue = 2 * np.sqrt(product) * np.sin(half)

    # Equations 12, 13 and 15 to 21.
    c_bar = (cp_1 + cp_2) / 2
    off_50 = ((l_1 + l_2) / 2 - 50) ** 2
    cp_7 = _power_7(c_bar)
    r_c = 2 * np.sqrt(cp_7 / (cp_7 + _25_7))
    theta = np.exp(-(((mean - _rad(275)) / _rad(25)) ** 2)) * _rad(60)  # 2Δθ
    return Components(
        lightness=np.broadcast_to(l_2 - l_1, c_bar.shape),
        chroma=cp_2 - cp_1,
        hue=hue,
        s_l=np.broadcast_to(1 + 0.015 * off_50 / np.sqrt(20 + off_50), c_bar.shape),
        s_c=1 + 0.045 * c_bar,
        s_h=1 + 0.015 * c_bar * _t(mean),
        r_t=-np.sin(theta) * r_c,
    )


def _total(parts: Components, k_l: float) -> Array:
    lightness = parts.lightness / (k_l * parts.s_l)
    chroma = parts.chroma / parts.s_c
    hue = parts.hue / parts.s_h
    square = lightness * lightness + chroma * chroma + hue * hue + parts.r_t * chroma * hue
    return np.sqrt(np.maximum(square, 0))  # rounding can leave a hair below 0 for equal colours


def _t(mean_hue: Array) -> Array:
    """T of equation 15: 1 - .17 cos(h-30°) + .24 cos 2h + .32 cos(3h+6°) - .20 cos(4h-63°)."""
    cos, sin = np.cos(mean_hue), np.sin(mean_hue)
    cos_2, sin_2 = 2 * cos * cos - 1, 2 * sin * cos
    cos_3, sin_3 = cos * cos_2 - sin * sin_2, sin * cos_2 + cos * sin_2
    cos_4, sin_4 = 2 * cos_2 * cos_2 - 1, 2 * sin_2 * cos_2
    total = 1 - 0.17 * (np.cos(_rad(30)) * cos + np.sin(_rad(30)) * sin)
    total += 0.24 * cos_2
    total += 0.32 * (np.cos(_rad(6)) * cos_3 - np.sin(_rad(6)) * sin_3)
    total -= 0.20 * (np.cos(_rad(63)) * cos_4 + np.sin(_rad(63)) * sin_4)
    result: Array = total
    return result


def _angle(b: Array, a: Array) -> Array:
    """Hue angle from 0 to 2π, 0 for a colour without hue."""
    angle = np.asarray(np.arctan2(b, a))
    np.copyto(angle, angle + 2 * np.pi, where=angle < 0)
    return angle


def _power_7(value: Array) -> Array:
    square = value * value
    return square * square * square * value


def _rad(degrees: float) -> float:
    return degrees * np.pi / 180
