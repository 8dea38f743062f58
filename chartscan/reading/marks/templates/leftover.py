"""New classes among the cells that neither a template nor a mark over it explains."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.patches import Samples, difference
from chartscan.reading.marks.templates.crossing import (
    Clear,
    CrossingSettings,
    crosses,
    shows_two,
)
from chartscan.reading.marks.templates.flat import Cells, Flat
from chartscan.reading.marks.templates.template import (
    Template,
    ground_of,
    grounds_of,
    plainly_unlike,
    template_of,
    unlike,
)


@dataclass(frozen=True)
class LeftoverSettings:
    """What makes cells left over a class.

    Attributes:
        least: cells, on exact pages and on soft ones.
        hidden: part of the inner cell that marks may hide in all of them.
        crossing: what a line over a cell changes of it.
        every: of so many inner samples one is looked at first; whatever it is, no group changes.
    """

    least: tuple[int, int] = (1, 4)
    hidden: float = 0.3
    crossing: CrossingSettings = CrossingSettings()
    every: int = 4


def find_leftovers(
    flat: Flat,
    odd: Mask,
    seen: Mask,
    templates: list[Template],
    clear: Clear,
    settings: LeftoverSettings = LeftoverSettings(),
) -> list[Template]:
    """Groups of ``odd`` cells (n,) alike where both are ``seen`` (n, side, side), as templates.

    Each must be clear of the sides of the cell and lie on one ground: else it is a line or a part
    stitch that wasn't read.
    """
    found: list[Template] = []
    left = np.flatnonzero(odd)
    looked = np.flatnonzero(flat.inner)[:: settings.every]
    green = flat.cells[..., 1].reshape(len(odd), -1)[:, looked]
    shown = seen.reshape(len(odd), -1)[:, looked]
    while len(left):
        group = _alike(flat, _not_unlike(flat, left, green, shown), seen)
        left = np.setdiff1d(left[1:], group, assume_unique=True)
        if len(group) < settings.least[int(flat.soft)]:
            continue
        template, hidden = _picture(flat, group, seen)
        if _is_class(flat, template, hidden, templates, clear, settings):
            found.append(template)
    return found


def _not_unlike(flat: Flat, left: Cells, green: Samples, shown: Mask) -> Cells:
    """The cells without those that a few samples of one channel tell from the first: it is quick.

    A sample apart in ``green`` (n, samples looked at) is apart in the worst channel; where more of
    those are than of all inner samples together may be, what else is ``shown`` can't help.
    """
    one = left[0]
    apart = (np.abs(green[left] - green[one]) > flat.tolerance) & shown[left] & shown[one]
    return np.asarray(left[apart.sum(axis=1) <= flat.alike * flat.inner.sum()])


def _alike(flat: Flat, left: Cells, seen: Mask) -> Cells:
    """Those of the cells that look like the first, where both can be seen."""
    one = left[0]
    both = seen[left] & seen[one] & flat.inner
    apart = (difference(flat.cells[left], flat.cells[one][None]) > flat.tolerance) & both
    share = apart.sum(axis=(1, 2)) / np.maximum(both.sum(axis=(1, 2)), 1)
    return np.asarray(left[share <= flat.alike])


def _picture(flat: Flat, group: Cells, seen: Mask) -> tuple[Template, Mask]:
    """The usual picture of what is seen of the cells, and what of it is hidden in all."""
    usual = template_of(flat, group)
    shown = np.where(seen[group][..., None], flat.cells[group].astype(np.float32), np.nan)
    hidden: Mask = ~np.asarray(seen[group].any(axis=0), dtype=np.bool_)
    shown[:, hidden] = 0
    picture: Samples = np.nanmedian(shown, axis=0).astype(np.int16)
    if not hidden.all():
        picture[hidden] = ground_of(flat, picture)
    return Template(picture, usual.spread, group), hidden


def _is_class(
    flat: Flat,
    template: Template,
    hidden: Mask,
    templates: list[Template],
    clear: Clear,
    settings: LeftoverSettings,
) -> bool:
    """Whether it is unlike all templates, none under something, and on one ground."""
    inner = flat.inner
    if hidden[inner].mean() >= settings.hidden:
        return False
    shown = inner & ~hidden
    differ = plainly_unlike if flat.soft else unlike
    if min(differ(flat, template, o)[shown].mean() for o in templates) <= flat.odd:
        return False
    for other in templates:
        differs = unlike(flat, template, other) & ~hidden
        few = (differs & inner).sum() < settings.crossing.most * inner.sum()
        if bool(few) and crosses(differs, clear, settings.crossing):
            return False
    return not shows_two(flat, template, grounds_of(flat, templates), clear)
