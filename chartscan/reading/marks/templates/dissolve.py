"""Templates that turn out to be another one with an ink over it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.glyphs import is_disc
from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.templates.crossing import Clear, CrossingSettings, blended, crosses
from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.labels import Labels
from chartscan.reading.marks.templates.template import Template, unlike


@dataclass(frozen=True)
class DissolveSettings:
    """When a template is another one under an ink.

    Attributes:
        blends: part of the samples in which they differ that are blends of the other and the ink.
        disc: the same on soft pages where what differs is a disc, as a knot is. Lossy coding
            leaves a ring of other colours around it: 0.78 and more were blends on drawn scans.
        whole: part of what differs that hangs together in such a disc.
        apart: tolerances, and levels more, by which an ink differs from all of a glyph: then the
            glyph isn't drawn in it.
        crossing: what a line over a cell changes of it.
    """

    blends: float = 0.9
    disc: float = 0.7
    whole: float = 0.9
    apart: tuple[float, float] = (2.0, 8.0)
    crossing: CrossingSettings = CrossingSettings()


def dissolved(
    flat: Flat,
    templates: list[Template],
    labels: Labels,
    inks: NDArray[np.float64],
    clear: Clear,
    settings: DissolveSettings = DissolveSettings(),
) -> set[int]:
    """Numbers of the templates that are one of more cells under one of the ``inks`` (n, 3)."""
    count = np.bincount(labels.which, minlength=len(templates))
    order = np.argsort(-count, kind="stable").tolist()
    gone: set[int] = set()
    for place, number in enumerate(order):
        larger = [templates[k] for k in order[:place] if k not in gone]
        if any(_is_under(flat, templates[number], o, inks, clear, settings) for o in larger):
            gone.add(number)
    return gone


def _is_under(
    flat: Flat,
    template: Template,
    other: Template,
    inks: NDArray[np.float64],
    clear: Clear,
    settings: DissolveSettings,
) -> bool:
    """Whether it is the ``other`` under an ink: one its glyph isn't drawn in, or over its sides."""
    differs = unlike(flat, template, other)
    inside = differs & flat.inner
    if not inside.any() or inside.sum() > settings.crossing.most * flat.inner.sum():
        return False
    times, more = settings.apart
    least = times * flat.tolerance + more
    glyph = other.picture[flat.inner]
    foreign = np.array([bool((np.abs(glyph - ink).max(axis=1) > least).all()) for ink in inks])
    least_blends = settings.disc if flat.soft and _is_knot(inside, settings) else settings.blends
    if foreign.any() and _share(flat, template, other, inside, inks[foreign]) >= least_blends:
        return True
    return (
        crosses(differs, clear, settings.crossing)
        and _share(flat, template, other, inside, inks) >= settings.blends
    )


def _is_knot(differs: Mask, settings: DissolveSettings) -> bool:
    """Whether what differs is a disc, but for samples here and there."""
    from scipy import ndimage

    pieces, _ = ndimage.label(differs)
    size = np.bincount(pieces[differs])
    whole = ndimage.binary_closing(pieces == size.argmax(), np.ones((3, 3)))
    return bool(size.max() >= settings.whole * differs.sum()) and is_disc(whole)


def _share(
    flat: Flat,
    template: Template,
    other: Template,
    where: NDArray[np.bool_],
    inks: NDArray[np.float64],
) -> float:
    """The part of the samples ``where`` they differ that are the other's under an ink."""
    return float(blended(flat, other.picture[where], template.picture[where], inks).mean())
