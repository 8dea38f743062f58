"""Templates that turn out to be another one with an ink over it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.cells.glyphs import is_disc
from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.patches import difference
from chartscan.reading.marks.templates.crossing import Clear, CrossingSettings, blended, crosses
from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.labels import Labels
from chartscan.reading.marks.templates.template import Template


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


@dataclass(frozen=True)
class _Pair:
    """A template, and another that it may be with an ink over it.

    Attributes:
        template: the one.
        other: the other, of more cells.
        differs: samples in which they differ, shape (side, side).
        foreign: which of the inks no sample of the other is drawn in, shape (inks,).
    """

    template: Template
    other: Template
    differs: Mask
    foreign: Mask


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
    foreign = [_foreign(flat, template, inks, settings) for template in templates]
    pictures = np.stack([template.picture for template in templates])
    spreads = np.stack([template.spread for template in templates])
    most = settings.crossing.most * flat.inner.sum()
    gone: set[int] = set()
    for place, number in enumerate(order):
        template = templates[number]
        larger = np.array([k for k in order[:place] if k not in gone], dtype=np.intp)
        allowed = flat.tolerance + np.maximum(spreads[larger], template.spread)
        differs = difference(pictures[larger], template.picture[None]) > allowed
        inside = (differs & flat.inner).sum(axis=(1, 2))
        for k in np.flatnonzero((inside > 0) & (inside <= most)):
            other = larger[k]
            pair = _Pair(template, templates[other], differs[k], foreign[other])
            if _is_under(flat, pair, inks, clear, settings):
                gone.add(number)
                break
    return gone


def _foreign(
    flat: Flat, template: Template, inks: NDArray[np.float64], settings: DissolveSettings
) -> Mask:
    """Which of the inks (n, 3) no sample of the template's glyph is drawn in: (n,)."""
    times, more = settings.apart
    least = times * flat.tolerance + more
    glyph = template.picture[flat.inner]
    every = [bool((np.abs(glyph - ink).max(axis=1) > least).all()) for ink in inks]
    return np.array(every, dtype=np.bool_)


def _is_under(
    flat: Flat,
    pair: _Pair,
    inks: NDArray[np.float64],
    clear: Clear,
    settings: DissolveSettings,
) -> bool:
    """Whether it is the other under an ink: one its glyph isn't drawn in, or over its sides."""
    inside = pair.differs & flat.inner
    least_blends = settings.disc if flat.soft and _is_knot(inside, settings) else settings.blends
    foreign = inks[pair.foreign]
    if len(foreign) and _share(flat, pair, inside, foreign) >= least_blends:
        return True
    return (
        crosses(pair.differs, clear, settings.crossing)
        and _share(flat, pair, inside, inks) >= settings.blends
    )


def _is_knot(differs: Mask, settings: DissolveSettings) -> bool:
    """Whether what differs is a disc, but for samples here and there."""
    from scipy import ndimage

    pieces, _ = ndimage.label(differs)
    size = np.bincount(pieces[differs])
    whole = ndimage.binary_closing(pieces == size.argmax(), np.ones((3, 3)))
    return bool(size.max() >= settings.whole * differs.sum()) and is_disc(whole)


def _share(flat: Flat, pair: _Pair, where: Mask, inks: NDArray[np.float64]) -> float:
    """The part of the samples ``where`` they differ that are the other's under an ink."""
    under, over = pair.other.picture[where], pair.template.picture[where]
    return float(blended(flat, under, over, inks).mean())
