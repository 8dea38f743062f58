"""Two palettes side by side, and the colours of one that no screen shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import ciede2000, directions, lab_to_srgb
from chartscan.errors import MatchError
from chartscan.palette.thread import Palette, Thread

Array = NDArray[np.float64]

_SCREEN_SLACK = 0.5  # sRGB steps beyond 0..255 that rounding takes back


@dataclass(frozen=True)
class Compared:
    """One thread in two palettes.

    Attributes:
        first: as the first palette has it.
        second: as the second has it.
        delta_e: ΔE00 between the two.
        direction: how the second differs from the first, in words, or "".
    """

    first: Thread
    second: Thread
    delta_e: float
    direction: str


@dataclass(frozen=True)
class Comparison:
    """Two palettes compared by code.

    Attributes:
        threads: those in both, the most different first.
        only_first: threads that the second palette lacks.
        only_second: threads that the first palette lacks.
        mean: mean ΔE00.
        percentile_95: 95 of 100 threads don't exceed it, ΔE00.
        largest: largest ΔE00.
    """

    threads: tuple[Compared, ...]
    only_first: tuple[Thread, ...]
    only_second: tuple[Thread, ...]
    mean: float
    percentile_95: float
    largest: float


def compare_palettes(first: Palette, second: Palette) -> Comparison:
    """Compare threads of the same line and code; a palette without lines goes by the code alone.

    Raises:
        MatchError: the palettes have no code in common.
    """
    keys = _keys(first, second)
    there = dict(zip(keys[1], second.threads, strict=True))
    both = [
        (thread, there[key])
        for key, thread in zip(keys[0], first.threads, strict=True)
        if key in there
    ]
    if not both:
        raise MatchError(f"{first.source} and {second.source} have no code in common")
    one, other = (np.array([pair[i].lab for pair in both]) for i in (0, 1))
    delta_e = ciede2000(one, other)
    words = directions(one, other)
    return Comparison(
        threads=tuple(
            Compared(both[i][0], both[i][1], float(delta_e[i]), words[i])
            for i in np.argsort(-delta_e, kind="stable")
        ),
        only_first=_missing(first, keys[0], set(keys[1])),
        only_second=_missing(second, keys[1], set(keys[0])),
        mean=float(delta_e.mean()),
        percentile_95=float(np.quantile(delta_e, 0.95)),
        largest=float(delta_e.max()),
    )


def beyond_screen(palette: Palette) -> tuple[Thread, ...]:
    """Threads whose colour lies outside sRGB, so that swatches show the nearest it has."""
    if not palette.threads:
        return ()
    rgb = lab_to_srgb(palette.lab)
    beyond = np.flatnonzero(np.abs(rgb - 127.5).max(axis=1) > 127.5 + _SCREEN_SLACK)
    return tuple(palette.threads[i] for i in beyond)


def _keys(first: Palette, second: Palette) -> tuple[list[tuple[str, str]], ...]:
    """What each thread is called by: line and code, or the code alone if one has no lines."""
    lined = all(any(t.line for t in palette.threads) for palette in (first, second))
    keys = tuple([(t.line if lined else "", t.code) for t in p.threads] for p in (first, second))
    for palette, called in zip((first, second), keys, strict=True):
        twice = sorted({code for i, (_, code) in enumerate(called) if called[i] in called[:i]})
        if twice:
            raise MatchError(
                f"{palette.source}: code {', '.join(twice[:10])} stands in several lines, and the "
                "other palette names no line; add a column line to it"
            )
    return keys


def _missing(
    palette: Palette, keys: Sequence[tuple[str, str]], there: set[tuple[str, str]]
) -> tuple[Thread, ...]:
    return tuple(t for key, t in zip(keys, palette.threads, strict=True) if key not in there)
