"""The picture of a class, and how far cells are off it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Mask, most_common
from chartscan.reading.marks.patches import Samples, difference
from chartscan.reading.marks.templates.flat import Cells, Flat

_MEDIAN_OF = 80
"""Cells that a picture is the median of, at most; its noise is a tenth of theirs by then."""

_SPREAD_OF = 120
"""Cells that its spread is taken from, at most."""


@dataclass(frozen=True)
class SpreadSettings:
    """How far clean cells of a soft page stray from their picture.

    Attributes:
        quantile, times: of how far cells stray, sample by sample; so much more than most is off.
        few: cells below which that tells too little.
        slope: part of the step to the next sample by which a picture of few cells may be off: a
            glyph of another cell lies up to a third of a pixel beside it.
        shaky: the same within which two pictures may be one class.
        usual: tolerances by which cells of one class stray off the steps of their picture, and
            the part of a step on them: farther, and they are of several.
    """

    quantile: float = 0.8
    times: float = 1.5
    few: int = 8
    slope: float = 0.3
    shaky: float = 0.6
    usual: tuple[float, float] = (2.0, 1.0)


@dataclass(frozen=True, eq=False)
class Template:
    """What the cells of one class look like.

    Attributes:
        picture: sRGB, shape (side, side, 3).
        spread: how much more than the tolerance clean cells stray from it, shape (side, side).
        members: the cells it was made of.
    """

    picture: Samples
    spread: Samples
    members: Cells

    @property
    def count(self) -> int:
        """How many cells it was made of."""
        return len(self.members)


def template_of(
    flat: Flat, members: Cells, settings: SpreadSettings = SpreadSettings()
) -> Template:
    """The usual picture of the ``members``, and their spread on soft pages."""
    cells = flat.cells[some(members, _MEDIAN_OF)]
    picture = np.median(cells, axis=0).astype(np.int16)
    return Template(picture, _spread(flat, picture, members, settings), members)


def _spread(flat: Flat, picture: Samples, members: Cells, settings: SpreadSettings) -> Samples:
    if not flat.soft:
        return np.zeros(picture.shape[:2], dtype=np.int16)
    stray = difference(flat.cells[some(members, _SPREAD_OF)], picture[None])
    spread = settings.times * np.quantile(stray, settings.quantile, axis=0)
    steep = steepness(picture)
    for axis in (0, 1):
        steep = np.maximum(steep, np.roll(steep, 1, axis))
    usual, part = settings.usual
    spread = np.minimum(spread, usual * flat.tolerance + part * steep)
    if len(members) < settings.few:
        spread = np.maximum(spread, settings.slope * steep)
    return np.asarray(spread, dtype=np.int16)


def some(numbers: Cells, most: int) -> Cells:
    """At most ``most`` of the numbers, spread evenly."""
    if len(numbers) <= most:
        return numbers
    return numbers[np.unique(np.linspace(0, len(numbers) - 1, most).astype(np.intp))]


def steepness(picture: Samples) -> NDArray[np.float64]:
    """The greatest step from each sample to one beside it, worst channel: (side, side)."""
    shades = picture.astype(np.float64)
    steep = np.zeros(picture.shape[:2])
    for axis in (0, 1):
        step = np.abs(np.diff(shades, axis=axis)).max(axis=-1)
        ahead, behind = (np.swapaxes(steep, 0, axis)[cut] for cut in (np.s_[1:], np.s_[:-1]))
        step = np.swapaxes(step, 0, axis)
        np.maximum(ahead, step, out=ahead)
        np.maximum(behind, step, out=behind)
    return steep


@dataclass(frozen=True, eq=False)
class Inside:
    """What some cells show inside.

    Attributes:
        samples: the inner samples of each, shape (n, samples, 3).
        covered: which of them a wide line covers, shape (n, samples); None where none does.
    """

    samples: Samples
    covered: Mask | None


def inside_of(flat: Flat, cells: Cells) -> Inside:
    """What each of the ``cells`` shows inside."""
    return Inside(flat.cells[cells][:, flat.inner], flat.covered(cells))


def off_inside(flat: Flat, inside: Inside, template: Template) -> Mask:
    """Which samples inside of cells are off the template: (n, samples)."""
    inner = flat.inner
    apart = difference(inside.samples, template.picture[inner][None])
    off: Mask = apart > flat.tolerance + template.spread[inner]
    return off if inside.covered is None else off & ~inside.covered


def off_samples(flat: Flat, cells: Cells, template: Template) -> Mask:
    """The inner samples of each of the ``cells`` that are off the template: (n, samples)."""
    return off_inside(flat, inside_of(flat, cells), template)


def off_share(flat: Flat, inside: Inside, template: Template) -> NDArray[np.float64]:
    """The part of the samples inside each of some cells that is off the template."""
    result: NDArray[np.float64] = off_inside(flat, inside, template).mean(axis=1)
    return result


def unlike(flat: Flat, one: Template, other: Template) -> Mask:
    """The samples in which two templates differ, the sides of the cell among them."""
    allowed = flat.tolerance + np.maximum(one.spread, other.spread)
    return np.asarray(difference(one.picture, other.picture) > allowed, dtype=np.bool_)


def plainly_unlike(
    flat: Flat, one: Template, other: Template, settings: SpreadSettings = SpreadSettings()
) -> Mask:
    """The same on soft pages beyond what a shift of the glyph by part of a pixel does."""
    shaky = settings.shaky * steepness(other.picture)
    allowed = settings.times * flat.tolerance + np.maximum(one.spread, shaky)
    return np.asarray(difference(one.picture, other.picture) > allowed, dtype=np.bool_)


def ground_of(flat: Flat, picture: Samples) -> Samples:
    """The colour around the glyph, all along the inside of the grid lines: (3,)."""
    low, high = flat.depth, flat.side - flat.depth
    ring = np.zeros(picture.shape[:2], dtype=np.bool_)
    ring[low:high, low:high] = True
    ring[low + 1 : high - 1, low + 1 : high - 1] = False
    return np.rint(most_common(picture[ring])).astype(np.int16)


def grounds_of(flat: Flat, templates: list[Template]) -> Samples:
    """The ground of each template, shape (n, 3)."""
    return np.array([ground_of(flat, t.picture) for t in templates], dtype=np.int16)
