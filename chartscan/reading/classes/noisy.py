"""Cells of pages with symbols or noise, sorted by what they look like once the light is even."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from chartscan.colour import lab_to_srgb
from chartscan.progress import Progress, silent, without_end
from chartscan.reading.cells.glyphs import BLANK
from chartscan.reading.cells.light import Light
from chartscan.reading.classes.aligned import AlignSettings, aligned, scatter
from chartscan.reading.classes.appearance import (
    AppearanceSettings,
    Patches,
    coded_step,
    looks_of,
    patches,
)
from chartscan.reading.classes.cluster import by_size
from chartscan.reading.classes.colours import FillSettings, fills_of, plain_fills
from chartscan.reading.classes.grouping import Grouped, cleared, cut_small, grown_together
from chartscan.reading.classes.judged import JudgeSettings, judged
from chartscan.reading.classes.parted import PartSettings, parted
from chartscan.reading.classes.sorting import Labels, Sight, Sorted
from chartscan.reading.classes.spread import Spread
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page


@dataclass(frozen=True)
class NoisySettings:
    """How cells of pages with symbols or noise are sorted.

    Attributes:
        appearance: how cells are looked at and grouped.
        parted: when a group of a drawn page is several classes.
        judge: when groups are one in the end, and which cells are in doubt.
        colours: how the fill of a class is told from its glyph.
        align: how far glyphs move a lattice.
        bare: least and greatest number of places along a side where cells carry no glyph.
        rounds: how many times they do, at most.
        alike: how much of the differences within groups may be left for that to be kept; it falls
            to 0.9 and far less where the lattice was off.
        usual: rounds of grouping after which half the way is said to be done; six drawn scans and
            photographs took 2 to 8.
    """

    appearance: AppearanceSettings = AppearanceSettings()
    parted: PartSettings = field(default_factory=PartSettings)
    judge: JudgeSettings = JudgeSettings()
    colours: FillSettings = field(default_factory=FillSettings)
    align: AlignSettings = AlignSettings()
    bare: tuple[int, int] = (4, 5)
    rounds: int = 3
    alike: float = 0.95
    usual: int = 4


def sort_noisy(
    page: Page,
    lattice: Lattice,
    light: Light | None,
    wanted: int | None,
    settings: NoisySettings = NoisySettings(),
    progress: Progress = silent,
    *,
    bare: bool = False,
) -> Sorted:
    """Sort by what cells look like once the light is even.

    Args:
        page: the page.
        lattice: where its cells lie.
        light: what white paper looks like; None where it is even, or not seen.
        wanted: how many groups there are, where that is known.
        settings: how cells are sorted.
        progress: told how far that is.
        bare: whether no cell carries a glyph; then few places tell its colour, and none moves the
            lattice.
    """
    if bare:
        few = replace(settings.appearance, places=settings.bare)
        settings = replace(settings, appearance=few, rounds=0)
    grouped, sight = _grouped(page, lattice, light, wanted, settings, progress)
    drawn = _is_drawn(page, lattice)
    if drawn and wanted is None and not bare:
        labels = by_size(parted(grouped.looks, grouped.labels, settings.parted).ravel())
        grouped = replace(grouped, labels=labels.reshape(grouped.labels.shape))
    last = judged(
        sight.patches,
        grouped,
        free=wanted is None,
        drawn=drawn,
        settings=settings.judge,
    )
    fills = plain_fills(grouped.ground, last.labels)
    if (last.symbols != BLANK).any():
        fills = fills_of(page, sight, last.labels, fills, settings.colours)
    return Sorted(
        last.labels,
        np.clip(lab_to_srgb(fills), 0, 255),
        last.symbols,
        last.unsure.cells,
        last.ink,
        last.unsure,
        last.alike,
        last.heaps,
        sight,
    )


def _grouped(
    page: Page,
    lattice: Lattice,
    light: Light | None,
    wanted: int | None,
    settings: NoisySettings,
    progress: Progress,
) -> tuple[Grouped, Sight]:
    """The groups of cells, the lattice moved by their glyphs where that makes them more alike.

    Where it was moved the groups are joined again, from those that were cut small, as cells look
    there; they are cleared of what no thread made but once.
    """
    looked_at = settings.appearance
    coded = coded_step(page, light)
    tried = without_end(progress, "sorting cells", settings.usual)
    lab = first = patches(page, lattice, light, looked_at)
    shape = lab.shape[:2]
    spread = Spread.of(looks_of(lab, looked_at.blur, coded), looked_at)
    tried()
    small = cut_small(spread, wanted)
    labels = grown_together(spread, small, wanted, tried)
    if not _is_drawn(page, lattice):
        lattice, lab = _moved(page, lattice, light, lab, labels.reshape(shape), settings)
    if lab is not first:
        spread = Spread.of(looks_of(lab, looked_at.blur, coded), looked_at)
        labels = grown_together(spread, small, wanted, tried)
    grouped = cleared(lab, Grouped(labels.reshape(shape), spread), free=wanted is None)
    return grouped, Sight(lattice, light, lab, coded)


def _moved(
    page: Page,
    lattice: Lattice,
    light: Light | None,
    lab: Patches,
    labels: Labels,
    settings: NoisySettings,
) -> tuple[Lattice, Patches]:
    """The lattice moved while that makes the cells of each group more alike, and its patches."""
    looked_at = settings.appearance
    for _ in range(settings.rounds):
        moved = aligned(lattice, lab[..., 0], labels, 1 - 2 * looked_at.inset, settings.align)
        if moved is None:
            break
        again = patches(page, moved.lattice, light, looked_at)
        before, after = (scatter(each[..., 0], labels) for each in (lab, again))
        if after > settings.alike * before:
            break
        lattice, lab = moved.lattice, again
        if moved.settled:
            break
    return lattice, lab


def _is_drawn(page: Page, lattice: Lattice) -> bool:
    """Whether a program drew the page, and nothing bent it."""
    return page.lossless and lattice.straight
