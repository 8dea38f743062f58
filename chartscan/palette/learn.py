"""The chart's own colours: how they differ from true thread colours, learnt from keyed classes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.colour import PERCEPTIBLE, format_hex
from chartscan.palette.correction import Correction, learn_correction
from chartscan.palette.thread import Thread


@dataclass(frozen=True)
class LearnSettings:
    """When a correction learnt from a key is believed.

    Attributes:
        least: keyed classes that there must be; one alone can't be tested on another.
        worth: share of the ΔE00 as printed that may be left on keyed classes left out. At 0.8, in
            400 simulated prints with 3 keyed classes, the mean ΔE00 of the others fell from 5.2 to
            2.6 and 5 % got worse; at 1 it fell to 2.5 and 7 % got worse, at 0.6 to 2.8 and 2.5 %.
    """

    least: int = 2
    worth: float = 0.8


@dataclass(frozen=True)
class Learnt:
    """A correction of chart colours, and the line that tells the stitcher of it."""

    correction: Correction
    note: str


def learn_colours(
    chart: Chart, key: Mapping[int, Thread], settings: LearnSettings = LearnSettings()
) -> Learnt | None:
    """The correction from chart colours to thread colours that ``key`` bears.

    None where it bears none: fewer than two keyed classes with a colour, colours that agree with
    their threads anyway (a mean ΔE00 that few would see), a channel that is 0 in all of them,
    or a correction that doesn't clearly help on keyed classes left out.
    """
    keyed = [(c.rgb, key[c.index].lab) for c in chart.classes if c.rgb and c.index in key]
    if len(keyed) < settings.least:
        return None
    seen = np.array([rgb for rgb, _ in keyed], dtype=np.float64)
    if not seen.any(axis=0).all():
        return None  # a channel that is 0 in all of them tells nothing
    correction = learn_correction(seen, np.array([lab for _, lab in keyed]))
    before, left_out = float(correction.before.mean()), correction.left_out
    if (
        before <= PERCEPTIBLE
        or left_out is None
        or float(left_out.mean()) > settings.worth * before
    ):
        return None
    return Learnt(correction, _note(chart, key, correction))


def _note(chart: Chart, key: Mapping[int, Thread], correction: Correction) -> str:
    text = f"chart colours corrected by the key: {correction.describe()}"
    others = [c for c in chart.classes if c.rgb and c.kind != "empty" and c.index not in key]
    outside: NDArray[np.bool_] = (
        correction.outside(np.array([c.rgb for c in others], dtype=np.float64))
        if others
        else np.zeros(0, dtype=bool)
    )
    far = [
        f"{c.index} ({format_hex(c.rgb)})"
        for c, is_far in zip(others, outside, strict=True)
        if c.rgb and is_far
    ]
    if far:
        text += f"; little is known about class {', '.join(far)}: name its thread too if it is off"
    return text
