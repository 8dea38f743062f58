"""Which threads may bleed on pale fabric: dark ones and reds. Common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from chartscan.palette.thread import Thread

Lab = tuple[float, float, float]


@dataclass(frozen=True)
class BleedingSettings:
    """What counts as dark, red and pale. The words are common practice; the numbers are ours.

    Attributes:
        dark: CIELAB lightness below which a thread is dark: navy, bottle green, black.
        red_from: hue angle in CIELAB where reds begin, in degrees; below it pinks are bluish.
        red_to: hue angle where they end; above it they are oranges.
        vivid: chroma from which a red is one, and no rose or brown.
        pale: lightness from which fabric shows a stain.
        named: codes that are named before the rest is counted.
    """

    dark: float = 35.0
    red_from: float = -15.0
    red_to: float = 50.0
    vivid: float = 40.0
    pale: float = 70.0
    named: int = 6


USUAL = BleedingSettings()


def may_bleed(lab: Lab, settings: BleedingSettings = USUAL) -> bool:
    """Whether a thread of this CIELAB colour is dark or red."""
    lightness, a, b = lab
    hue, chroma = math.degrees(math.atan2(b, a)), math.hypot(a, b)
    red = settings.red_from <= hue <= settings.red_to and chroma >= settings.vivid
    return lightness < settings.dark or red


def bleeding_words(
    threads: Iterable[Thread], cloth: Lab | None, settings: BleedingSettings = USUAL
) -> str:
    """What to do before stitching with those that may bleed; "" where none does.

    Args:
        threads: the threads of a project; one told twice is named once.
        cloth: the fabric's CIELAB colour; None where it isn't known, which is taken for pale.
        settings: see :class:`BleedingSettings`.
    """
    if cloth is not None and cloth[0] < settings.pale:
        return ""
    codes = list(dict.fromkeys(t.code for t in threads if t.told and may_bleed(t.lab, settings)))
    if not codes:
        return ""
    named = ", ".join(codes[: settings.named])
    more = f" and {len(codes) - settings.named} more" if len(codes) > settings.named else ""
    what = "is dark or red and may bleed" if len(codes) == 1 else "are dark or red and may bleed"
    return (
        f"{named}{more} {what} on pale fabric: wet a piece, press it in white cloth, and look"
        " before you stitch. Compare threads and chart in daylight."
    )
