"""Which way one colour differs from another, in words, from the parts of CIEDE2000."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.colour.difference import Components, components


@dataclass(frozen=True)
class DirectionSettings:
    """When a part of a difference is worth a word.

    Attributes:
        least: smallest part, in units of ΔE00; half of the smallest difference that half of the
            observers see (0.8, Paravina et al. 2015).
        share: smallest part as a share of the largest part, 0 to 1; a part under a third of the
            largest makes less than a tenth of the squared sum.
        warm_hue: hue angle in degrees of the warmest hue, an orange; the coolest lies opposite
            (common practice, no source).
        neutral: chroma C' under which a colour has no hue of its own to speak of; what then counts
            is where the other colour lies.
    """

    least: float = 0.4
    share: float = 1 / 3
    warm_hue: float = 55.0
    neutral: float = 2.0


def directions(
    wanted: ArrayLike, thread: ArrayLike, settings: DirectionSettings = DirectionSettings()
) -> list[str]:
    """How each ``thread`` differs from its ``wanted`` colour, CIELAB of shapes (n, 3): n texts.

    Words, the strongest part first: lighter or darker (ΔL'), stronger or greyer (ΔC'), warmer or
    cooler (ΔH', by whether the hue moves towards orange or towards blue). "" where nothing shows.

    >>> directions([[50, 0, 0]], [[60, 0, 0]])
    ['lighter']
    """
    first, second = (np.asarray(v, dtype=np.float64).reshape(-1, 3) for v in (wanted, thread))
    parts = components(first, second)
    warmth = _warmth(first, second, parts, settings)
    sizes = np.stack([parts.lightness / parts.s_l, parts.chroma / parts.s_c, warmth], axis=-1)
    least = np.maximum(settings.least, settings.share * np.abs(sizes).max(axis=-1))
    return [_words(row, edge) for row, edge in zip(sizes.tolist(), least.tolist(), strict=True)]


def _warmth(
    first: NDArray[np.float64],
    second: NDArray[np.float64],
    parts: Components,
    settings: DirectionSettings,
) -> NDArray[np.float64]:
    """The hue part with the sign of its warmth; from a neutral, the whole way out counts."""
    pole = np.deg2rad(settings.warm_hue)
    hue_1, hue_2 = (np.arctan2(lab[:, 2], lab[:, 1]) for lab in (first, second))
    chroma_1, chroma_2 = (np.hypot(lab[:, 1], lab[:, 2]) for lab in (first, second))
    towards = np.sign(np.cos(hue_2 - pole) - np.cos(hue_1 - pole))
    along = chroma_2 * np.cos(hue_2 - pole) - chroma_1 * np.cos(hue_1 - pole)
    neutral = np.minimum(chroma_1, chroma_2) < settings.neutral
    warmth: NDArray[np.float64] = np.where(
        neutral, along / parts.s_c, towards * np.abs(parts.hue / parts.s_h)
    )
    return warmth


_PAIRS = (("lighter", "darker"), ("stronger", "greyer"), ("warmer", "cooler"))


def _words(sizes: list[float], least: float) -> str:
    said = [
        (abs(size), up if size > 0 else down)
        for size, (up, down) in zip(sizes, _PAIRS, strict=True)
        if abs(size) >= least
    ]
    return ", ".join(word for _, word in sorted(said, reverse=True))
