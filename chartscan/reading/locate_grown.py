"""Find a grid that doesn't lie straight: grow a lattice from wherever the page repeats."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from chartscan.reading.extent import Extent, ExtentSettings, gridded
from chartscan.reading.grow import CAREFUL, Boldness, Grown, grow
from chartscan.reading.lattice import Lattice
from chartscan.reading.page import Page
from chartscan.reading.rectified import Grey, line_evidence, sides_of
from chartscan.reading.seeds import Seed
from chartscan.reading.settle import settled
from chartscan.reading.views import Light, Views, fine


@dataclass(frozen=True)
class GrownSettings:
    """How lattices are grown on pages that don't lie straight.

    Attributes:
        reductions: how many times smaller the page is looked at, largest last.
        least_side, most_side: px that the reduced page must have at least and at most.
        least_pitch: px per cell that the reduced page must have at least.
        lights: how the page is looked at, one after the other while no lattice is sure: by luma, or
            by its brightest channel, in which black lines stand out from dark colours too.
        sweeps: what growth dares, seed by seed, the first time and once that wasn't enough.
        seeds: number of seeds tried at each size.
        enough: part of the page that a lattice must cover for no other seed to be tried.
        open: what a lattice counts for whose cells go on where it ends.
        beyond: cells all round a grown lattice in which its cells are looked for as well; more
            where they go on.
        bend: step of the residual, in cells, from which on a lattice is thought to have slipped.
        quality: how far lines must stand out, 0 to 1.
        least_cells: fewest cells along a side.
        in_step: part of the line evidence that may get out of step when a lattice settles; it is
            as much as chance makes.
        side: how much of a cell's side must be an edge for it to be seen.
        seen: part of a line's sides that are seen at least; poor photographs reach 0.2.
        lacking: part of the lines that may be seen less.
    """

    reductions: tuple[int, ...] = (1, 2, 4)
    least_side: int = 200
    most_side: int = 4000
    least_pitch: float = 9.0
    lights: tuple[Light, ...] = ("luma", "brightest")
    sweeps: tuple[tuple[Boldness, ...], ...] = (
        (CAREFUL, Boldness(in_step=0.35)),
        (Boldness(coherent=0.2, lined=0.75),),
    )
    seeds: int = 5
    enough: float = 0.35
    open: float = 0.5
    beyond: tuple[int, int] = (3, 12)
    bend: float = 0.1
    quality: float = 0.2
    least_cells: int = 5
    in_step: float = 0.01
    side: float = 0.35
    seen: float = 0.05
    lacking: float = 0.25


@dataclass(frozen=True)
class Found:
    """A lattice that grew, in pixels of the whole page.

    Attributes:
        views: the page as it was looked at.
        factor: how many times smaller it was looked at.
        grown: what grew there.
        lattice: cut to the gridded rectangle.
        score: how much of the page it covers, and how well.
        whole: whether it ends where its cells end, and nowhere slipped.
        sure: whether it covers much of the page, too.
    """

    views: Views
    factor: int
    grown: Grown
    lattice: Lattice
    score: float
    whole: bool
    sure: bool

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows."""
        return self.lattice.columns, self.lattice.rows

    def agrees(self, other: Found) -> bool:
        """Whether the other is of the same size, or far from as good."""
        return self.size == other.size or other.score < 0.5 * self.score


def locate_grown(page: Page, settings: GrownSettings = GrownSettings()) -> Lattice | None:
    """The lattice grown from the best seeds; None where none takes hold.

    The page is looked at small first: where that shows much of a lattice, more pixels only cost
    time.
    """
    lights = [Views.at(page, light) for light in settings.lights]
    seen: list[Found] = []
    for dares in settings.sweeps:
        for views in lights:
            for found in _all_grown(views, dares, settings):
                if found.sure and all(found.agrees(other) for other in seen):
                    return _best_of(found, settings)
                seen.append(found)
        agreed = _agreed(seen)
        if agreed is not None:
            return _best_of(agreed, settings)
    if not seen:
        return None
    best = _on_a_rug(seen, settings) or max(seen, key=lambda found: found.score)
    return _best_of(best, settings)


def _on_a_rug(seen: Sequence[Found], settings: GrownSettings) -> Found | None:
    """What grew without an end, cut where lines don't stand out from what is all around.

    None where less than half of what then ends agrees on a size.
    """
    again = (_bounded(f.views, f.factor, f.grown, settings, rug=True) for f in seen if not f.whole)
    cut = [found for found in again if found is not None and found.whole]
    agreed = _agreed(cut)
    if agreed is None or 2 * sum(found.size == agreed.size for found in cut) < len(cut):
        return None
    return agreed


def _agreed(seen: Sequence[Found]) -> Found | None:
    """The best whole lattice of the size that most speaks for; None where nothing is sure.

    A size was found more than once, or by a lattice that covers much of the page.
    """
    alike: dict[tuple[int, int], list[Found]] = {}
    for found in seen:
        if found.whole:
            alike.setdefault(found.size, []).append(found)
    told = [group for group in alike.values() if len(group) > 1 or group[0].sure]
    if not told:
        return None
    most = max(told, key=lambda group: sum(found.score for found in group))
    return max(most, key=lambda found: found.score)


def _best_of(found: Found, settings: GrownSettings) -> Lattice | None:
    """The lattice once settled, unless that got it out of step; None where lines are missing."""
    factor = fine(found.lattice)
    grey = found.views.grey(factor)
    moved = settled(grey, factor, found.lattice)
    best = moved.lattice if moved.gain >= -settings.in_step else found.lattice
    return best if _all_lined(grey, best.scaled(1 / factor), settings) else None


def _all_lined(grey: Grey, lattice: Lattice, settings: GrownSettings) -> bool:
    """Whether there is something of nearly every line; bricks, staves and tables lack many."""
    whole = Extent(0, lattice.columns, 0, lattice.rows)
    sides = sides_of(line_evidence(grey, lattice, whole))
    seen = [(s >= settings.side).mean(axis=1) for s in (sides.upright.T, sides.level)]
    return all((part < settings.seen).mean() <= settings.lacking for part in seen)


def _all_grown(
    views: Views, dares: tuple[Boldness, ...], settings: GrownSettings
) -> Iterator[Found]:
    """What grows on the page, at one size after the other and from seed after seed."""
    fine: list[Seed] = []  # seeds whose cells are too small to grow where they were seen
    for factor in reversed(settings.reductions):
        sides = [-(-side // factor) for side in views.size]
        if min(sides) < settings.least_side or max(sides) > settings.most_side:
            continue
        grey = views.even(factor)
        seeds = views.seeds(factor)[: settings.seeds] + [seed.twice() for seed in fine]
        fine = [seed for seed in seeds if seed.pitch < settings.least_pitch and factor > 1]
        for seed in seeds:
            if seed in fine:
                continue
            for dare in dares:
                grown = grow(grey, seed, dare)
                if grown is None or grown.quality < settings.quality:
                    continue
                found = _bounded(views, factor, grown, settings)
                if found is not None:
                    yield found


def _bounded(
    views: Views, factor: int, grown: Grown, settings: GrownSettings, *, rug: bool = False
) -> Found | None:
    """The lattice cut to the gridded rectangle, looked for beyond it too until that ends."""
    grey = views.even(factor)
    for beyond in settings.beyond:
        extent, closed = _extent(grey, grown.lattice, beyond, settings, rug=rug)
        if extent is None or closed:
            break
    if extent is None or min(extent.columns, extent.rows) < settings.least_cells:
        return None
    lattice = grown.lattice.cut(extent.left, extent.top, extent.columns, extent.rows)
    pitch = lattice.pitch
    area = lattice.columns * lattice.rows * pitch[0] * pitch[1] / grey.size
    score = area * grown.quality * min(1.0, settings.bend / max(grown.bend, 1e-6))
    whole = closed and grown.bend < settings.bend
    sure = whole and area >= settings.enough
    score *= 1.0 if closed else settings.open
    return Found(views, factor, grown, lattice.scaled(factor), score, whole, sure)


def _extent(
    grey: Grey, lattice: Lattice, beyond: int, settings: GrownSettings, *, rug: bool
) -> tuple[Extent | None, bool]:
    """The gridded rectangle up to ``beyond`` cells round a lattice, and whether it ends there."""
    region = Extent(-beyond, lattice.columns + beyond, -beyond, lattice.rows + beyond)
    sides = sides_of(line_evidence(grey, lattice, region), rug=rug)
    found = gridded(sides, ExtentSettings(side=settings.side))
    if found is None:
        return None, False
    closed = min(found.left, found.top) > 0
    closed &= found.right < region.columns and found.bottom < region.rows
    moved = (found.left - beyond, found.right - beyond, found.top - beyond, found.bottom - beyond)
    return Extent(*moved), closed
