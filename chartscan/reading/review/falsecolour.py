"""Strong colours that tell classes apart where their own don't: chosen, not found on the page.

Every pair of them differs for eyes with all cones and for eyes that lack one kind. What can't be
told by colour any more, with many classes, is told by a pattern over the colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.colour import ciede2000_matrix, srgb_to_lab
from chartscan.colour.contrast import WHITE
from chartscan.colour.vision import DEFICIENCIES, seen_lab

Rgb = tuple[int, int, int]
Pattern = Literal["plain", "dot", "bar", "corner", "frame", "slash"]
PATTERNS: tuple[Pattern, ...] = ("plain", "dot", "bar", "corner", "frame", "slash")


@dataclass(frozen=True)
class FalseColourSettings:
    """How strong the colours are.

    Attributes:
        colours: colours of one round; more would be less apart. Measured: 16 are 12.8 ΔE00 apart
            at least for every eye, 24 are 9.5.
        levels: steps of each sRGB channel that colours are chosen from.
        ground: sRGB of the empty cells, which every colour must differ from too.
        near: two classes of a chart whose own colours are nearer than this (ΔE00) get false ones;
            as far as side by side on two pictures a difference is seen at once.
    """

    colours: int = 16
    levels: int = 9
    ground: Rgb = WHITE
    near: float = 15.0


@dataclass(frozen=True)
class Paint:
    """How one class is drawn: a colour, and a pattern in black or white over it."""

    rgb: Rgb
    pattern: Pattern = "plain"


def paints(
    chart: Chart, settings: FalseColourSettings = FalseColourSettings()
) -> tuple[tuple[Paint, ...], bool]:
    """How each class of ``chart`` is drawn, and whether the colours are false ones.

    Own colours stay where all classes have one and every two of them are well apart.
    """
    worked = [c for c in chart.classes if c.kind != "empty"]
    if not _are_near([c.rgb for c in worked], settings.near):
        own = (Paint(c.rgb or settings.ground) for c in chart.classes)
        return tuple(own), False
    wheel = false_colours(settings)
    order = {entry.index: place for place, entry in enumerate(worked)}
    false = []
    for entry in chart.classes:
        place = order.get(entry.index)
        if place is None:
            false.append(Paint(settings.ground))
        else:
            around, nth = divmod(place, len(wheel))
            false.append(Paint(wheel[nth], PATTERNS[around % len(PATTERNS)]))
    return tuple(false), True


def _are_near(colours: Sequence[Rgb | None], near: float) -> bool:
    """Whether a colour is missing, or two are nearer than ``near`` ΔE00."""
    known = [rgb for rgb in colours if rgb is not None]
    if len(known) < len(colours):
        return True
    if len(known) < 2:
        return False
    lab = srgb_to_lab(np.array(known))
    apart = ciede2000_matrix(lab, lab)
    return bool(apart[np.triu_indices(len(known), 1)].min() < near)


def false_colours(settings: FalseColourSettings = FalseColourSettings()) -> tuple[Rgb, ...]:
    """The colours of one round, each as far as can be from those before it, for every eye.

    Gonzalez (1985), "Clustering to minimize the maximum intercluster distance", Theoretical
    Computer Science 38, 293-306: the farthest point next is within twice the best there is.
    """
    steps = np.linspace(0, 255, settings.levels).round().astype(np.int64)
    some = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    eyes = [seen_lab(some, deficiency) for deficiency in (None, *DEFICIENCIES)]
    chosen = [np.array(settings.ground)]
    nearest = _apart(eyes, _views(chosen[0]))
    for _ in range(settings.colours):
        best = int(nearest.argmax())
        chosen.append(some[best])
        nearest = np.minimum(nearest, _apart(eyes, [eye[best : best + 1] for eye in eyes]))
    first, *others = ((int(r), int(g), int(b)) for r, g, b in chosen[1:])
    return (*others, first)  # black, the farthest from paper, isn't for the largest class


def _views(rgb: NDArray[np.int64]) -> list[NDArray[np.float64]]:
    return [seen_lab(rgb[None], deficiency) for deficiency in (None, *DEFICIENCIES)]


def _apart(
    eyes: Sequence[NDArray[np.float64]], one: Sequence[NDArray[np.float64]]
) -> NDArray[np.float64]:
    """ΔE00 of every candidate to one colour, for the eye to which it is least."""
    seen = [ciede2000_matrix(lab, view)[:, 0] for lab, view in zip(eyes, one, strict=True)]
    return np.asarray(np.min(seen, axis=0), dtype=np.float64)
