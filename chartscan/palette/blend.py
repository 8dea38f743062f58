"""Blends: one strand each of two threads in the needle, where no single thread is near enough.

The colour of a blend is a model: the mean of the two in linear light, as two small areas mix in the
eye when neither is seen apart. Twist, shine, the shade between strands and which of them lies on
top are not in it.

The best of all pairs is found exactly, though few pairs are worked out in full. Two lower bounds of
CIEDE2000 prune the rest; with the symbols of G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30(1),
2005:

- ΔE00 ≥ |ΔL'| / S_L, and S_L is largest where the mean lightness is farthest from 50: a window in
  lightness, for pairs sorted by it;
- within it everything is worked out but the mean hue, on which only T and R_T depend, and which
  takes most of the time: T ≤ 1.93, and R_T lies between 0 and -R_C sin 60°.

Pairs whose bound is above an exact value already found can't be better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.colour import (
    ciede2000,
    ciede2000_matrix,
    directions,
    grade,
    lab_to_linear,
    lab_to_srgb,
    linear_to_lab,
    round_rgb,
)
from chartscan.errors import MatchError
from chartscan.palette.ownership import Owned
from chartscan.palette.thread import Palette, Thread

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

MODEL = (
    "the colour of a blend is the mean of its two strands in linear light: a model, so stitch a "
    "sample before you trust it"
)

_T_MOST = 1 + 0.17 + 0.24 + 0.32 + 0.20
_SIN_60 = np.sin(np.pi / 3)  # 2Δθ is at most 60°
_ROUNDING = 1e-9  # more than 64-bit rounding can take from a bound

# Only speed depends on these; any number gives the same pairs.
_TRIED = 32  # pairs worked out in full to have a value to prune by
_STRIDE = 32  # one pair in so many is looked at for the first such value
_BLOCK = 8_000  # pairs whose bounds are worked out at a time, so that they stay in the cache


@dataclass(frozen=True)
class BlendSettings:
    """What makes a blend worth offering.

    Attributes:
        gain: ΔE00 by which it must come nearer than the best single thread. 1.0 is a little more
            than the 0.8 that half of the observers see (Paravina et al. 2015).
        contrast: largest ΔE00 between its two threads; beyond it they show as two colours and the
            stitches look tweedy. 12 lies just within the last step of the grey scale for change
            in colour (ISO 105-A02, grade 1, is ΔE00 13.4).
        count: blends to list per colour.
    """

    gain: float = 1.0
    contrast: float = 12.0
    count: int = 3

    def __post_init__(self) -> None:
        if self.gain < 0 or self.contrast <= 0 or self.count < 1:
            raise ValueError("gain can't be below 0; contrast and count must be above 0")


@dataclass(frozen=True)
class Pairs:
    """All pairs of some colours, as blends, sorted by lightness.

    Attributes:
        first: index of one colour, shape (n,).
        second: index of the other, shape (n,), above ``first``.
        lab: CIELAB of the blend, shape (n, 3), L ascending.
    """

    first: Indices
    second: Indices
    lab: Array


@dataclass(frozen=True)
class Blend:
    """One strand each of two threads, as a stand-in for one colour.

    Attributes:
        first: one thread.
        second: the other.
        lab: CIELAB of the blend after the model.
        rgb: the nearest sRGB colour 0..255.
        delta_e: ΔE00 from the wanted colour.
        grade: the difference in plain words.
        direction: how the blend differs from the wanted colour, in words, or "".
        gain: ΔE00 by which it is nearer than the best single thread.
        contrast: ΔE00 between its two threads.
        owned: whether both are at hand; None where no stash was given.
    """

    first: Thread
    second: Thread
    lab: tuple[float, float, float]
    rgb: tuple[int, int, int]
    delta_e: float
    grade: str
    direction: str
    gain: float = 0.0
    contrast: float = 0.0
    owned: bool | None = None


@dataclass(frozen=True)
class Blends:
    """The best single thread for one colour, and the blends that beat it, owned ones first."""

    wanted: tuple[float, float, float]
    single: Thread
    single_delta_e: float
    blends: tuple[Blend, ...]


def find_blends(
    wanted: ArrayLike,
    palette: Palette,
    owned: Owned | None = None,
    settings: BlendSettings = BlendSettings(),
) -> tuple[Blends, ...]:
    """The blends that come nearer to each ``wanted`` colour than any single thread, by the gain.

    Threads that can't be divided or are variegated take no part; discontinued ones only where
    they are owned. Where a stash is given, blends of which both threads are at hand come first.

    Args:
        wanted: CIELAB under D65, shape (n, 3).
        palette: the thread range.
        owned: what is at hand; None where not known.
        settings: gain, contrast and count.

    Raises:
        MatchError: fewer than two threads can be blended.
    """
    aims = np.asarray(wanted, dtype=np.float64).reshape(-1, 3)
    threads = _blendable(palette, owned)
    lab = np.array([t.lab for t in threads])
    apart = ciede2000_matrix(lab, lab)
    ranges = [mix_pairs(lab, apart <= settings.contrast)]
    at_hand = np.array([owned is not None and owned.of(t) > 0 for t in threads])
    if owned is not None:
        ranges.insert(0, mix_pairs(lab, (apart <= settings.contrast) & at_hand & at_hand[:, None]))
    singles = ciede2000_matrix(aims, lab)
    found = []
    for aim, single in zip(aims, singles, strict=True):
        best = int(single.argmin())
        least = float(single[best])
        chosen = _chosen(aim, ranges, least - settings.gain, settings.count)
        blends = tuple(
            replace(
                _blend(aim, threads[i], threads[j], delta_e),
                gain=least - delta_e,
                contrast=float(apart[i, j]),
                owned=None if owned is None else bool(at_hand[i] and at_hand[j]),
            )
            for (i, j), delta_e in chosen.items()
        )
        found.append(Blends(_triple(aim), threads[best], least, blends))
    return tuple(found)


def _chosen(
    aim: Array, ranges: Sequence[Pairs], limit: float, count: int
) -> dict[tuple[int, int], float]:
    """ΔE00 of the nearest pairs within ``limit``, an earlier range's before a later one's."""
    chosen: dict[tuple[int, int], float] = {}
    for pairs in ranges:
        for place, delta_e in zip(*nearest_pairs(aim, pairs, count), strict=True):
            if delta_e <= limit and len(chosen) < count:
                chosen[int(pairs.first[place]), int(pairs.second[place])] = float(delta_e)
    return chosen


def mix_pairs(lab: ArrayLike, allowed: NDArray[np.bool_] | None = None) -> Pairs:
    """Every unordered pair of two different colours of ``lab`` (n, 3), mixed in linear light.

    Args:
        lab: CIELAB, shape (n, 3).
        allowed: symmetric, shape (n, n): which pairs may be; None for all.
    """
    linear = lab_to_linear(lab)
    upper = np.triu(np.ones((len(linear),) * 2, dtype=bool) if allowed is None else allowed, 1)
    first, second = np.nonzero(upper)
    mixed = linear_to_lab((linear[first] + linear[second]) / 2).reshape(-1, 3)
    order = np.argsort(mixed[:, 0], kind="stable")
    return Pairs(first[order], second[order], mixed[order])


def nearest_pairs(aim: Array, pairs: Pairs, count: int) -> tuple[Indices, Array]:
    """The ``count`` pairs nearest to ``aim`` (3,) and their ΔE00, nearest first; exact.

    Fewer where there are fewer pairs. Ties keep the order of ``pairs``.
    """
    lightness = pairs.lab[:, 0]
    if not len(lightness):
        return np.empty(0, np.intp), np.empty(0)
    limit = _limit(aim, pairs.lab[::_STRIDE], count)
    half = _half_window(float(aim[0]), lightness, limit)
    start, stop = np.searchsorted(lightness, [aim[0] - half, aim[0] + half])
    blocks = range(int(start), int(stop), _BLOCK)
    bound = np.concatenate(
        [_lower_bound(aim, pairs.lab[i : min(i + _BLOCK, stop)]) for i in blocks]
    )
    limit = min(limit, _limit(aim, pairs.lab[start:stop], count, bound))
    left = start + np.flatnonzero(bound <= (limit + _ROUNDING) ** 2)
    delta_e = ciede2000(pairs.lab[left], aim)
    order = np.argsort(delta_e, kind="stable")[:count]
    return left[order], delta_e[order]


def _limit(aim: Array, lab: Array, count: int, bound: Array | None = None) -> float:
    """ΔE00 that ``count`` of ``lab`` (n, 3) don't exceed, from the few of the lowest bound."""
    if len(lab) < count:
        return np.inf
    bound = _lower_bound(aim, lab) if bound is None else bound
    tried = min(_TRIED + count, len(lab))
    hopeful = np.argpartition(bound, tried - 1)[:tried]
    return float(np.partition(ciede2000(lab[hopeful], aim), count - 1)[count - 1])


def _half_window(aim: float, lightness: Array, limit: float) -> float:
    """Largest ΔL' that a pair within ``limit`` can have; ``lightness`` ascends."""
    farthest = max(abs(aim - 50), float(np.abs(lightness[[0, -1]] - 50).max()))
    off, half = farthest, np.inf
    for _ in range(3):  # a narrower window narrows S_L, and so itself
        half = (limit + _ROUNDING) * (1 + 0.015 * off**2 / np.sqrt(20 + off**2))
        off = min(farthest, abs(aim - 50) + half / 2)
    return float(half)


def _lower_bound(aim: Array, lab: Array) -> Array:
    """A value that ΔE00², from ``aim`` (3,) to ``lab`` (n, 3), is never below; see the module."""
    lightness, a, b = np.ascontiguousarray(lab.T)
    off_50 = ((lightness + aim[0]) / 2 - 50) ** 2
    light = (lightness - aim[0]) / (1 + 0.015 * off_50 / np.sqrt(20 + off_50))
    c_7 = _power_7((np.sqrt(a * a + b * b) + np.hypot(aim[1], aim[2])) / 2)
    stretch = 1.5 - 0.5 * np.sqrt(c_7 / (c_7 + 25.0**7))  # 1 + G
    ap, ap_aim = stretch * a, stretch * aim[1]
    cp, cp_aim = np.sqrt(ap * ap + b * b), np.sqrt(ap_aim * ap_aim + aim[2] ** 2)
    mean, stronger = (cp + cp_aim) / 2, cp - cp_aim
    hue = np.sqrt(np.maximum((ap - ap_aim) ** 2 + (b - aim[2]) ** 2 - stronger * stronger, 0))
    x = np.abs(stronger) / (1 + 0.045 * mean)
    y = hue / (1 + 0.015 * _T_MOST * mean)
    # R_T x y takes something off only where ΔC' and ΔH' have one sign, that of the cross product.
    cp_7 = _power_7(mean)
    same = (ap_aim * b - ap * aim[2]) * stronger > -1e-9  # opposite hues count as same
    turn = np.where(same, 2 * _SIN_60 * np.sqrt(cp_7 / (cp_7 + 25.0**7)), 0.0)
    y = np.maximum(y, turn * x / 2)  # ΔH' may weigh more than y, and the sum is least here
    bound: Array = light * light + x * x + y * y - turn * x * y
    return bound


def _power_7(value: Array) -> Array:
    square = value * value
    power: Array = square * square * square * value
    return power


def _blendable(palette: Palette, owned: Owned | None) -> tuple[Thread, ...]:
    threads = tuple(
        t
        for t in palette.threads
        if not t.colours
        and t.strands != 1
        and (t.status == "current" or (owned is not None and owned.of(t) > 0))
    )
    if len(threads) < 2:
        raise MatchError(
            f"{palette.source or 'the palette'}: a blend takes two threads that can be divided, "
            f"are plain and can be had; there {'is 1' if threads else 'is none'}"
        )
    return threads


def blend_of(aim: Array, first: Thread, second: Thread) -> Blend:
    """One strand each of two threads, held against the colour ``aim`` (3,) in CIELAB."""
    lab = linear_to_lab(lab_to_linear([first.lab, second.lab]).mean(axis=0))
    return _blend(aim, first, second, float(ciede2000(aim, lab)))


def _blend(aim: Array, first: Thread, second: Thread, delta_e: float) -> Blend:
    lab = linear_to_lab(lab_to_linear([first.lab, second.lab]).mean(axis=0))
    return Blend(
        first=first,
        second=second,
        lab=_triple(lab),
        rgb=round_rgb(lab_to_srgb(lab)),
        delta_e=delta_e,
        grade=grade(delta_e),
        direction=directions(aim, lab)[0],
    )


def _triple(values: Array) -> tuple[float, float, float]:
    first, second, third = (float(value) for value in values)
    return first, second, third
