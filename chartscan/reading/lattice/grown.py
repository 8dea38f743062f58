"""Find a grid that doesn't lie straight: grow a lattice from wherever the page repeats."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from chartscan.progress import Progress, silent, without_end
from chartscan.reading.lattice.accord import AccordSettings, no_one_grid
from chartscan.reading.lattice.contest import ContestSettings, Verdict, contest, odds_of
from chartscan.reading.lattice.extent import Extent, ExtentSettings, gridded
from chartscan.reading.lattice.grow import CAREFUL, Boldness, Grown, grow
from chartscan.reading.lattice.likely import is_hopeless
from chartscan.reading.lattice.located import Located, NotFound
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.periods import periodic
from chartscan.reading.lattice.placed import PlacedSettings, placed
from chartscan.reading.lattice.rectified import LineEvidence, line_evidence, sides_of
from chartscan.reading.lattice.refine import refined
from chartscan.reading.lattice.seeds import Seed
from chartscan.reading.lattice.views import Light, Views
from chartscan.reading.lattice.votes import Found, agreed, decided, others, outweighs, stands_out
from chartscan.reading.page.page import Page
from chartscan.reading.scale import LEAST_CELLS

NOTHING = "nothing on it repeats both ways as the cells of a grid do"  # of a page
MANY = "what repeats on it does so by many steps, as boxes, lines and columns of forms do"


@dataclass(frozen=True)
class GrownSettings:
    """How lattices are grown on pages that don't lie straight.

    Attributes:
        halved: how often the page is halved, at most, to be looked at.
        least_side, most_side: px that a reduced page must have at least, and any at most.
        least_pitch: px per cell that the reduced page must have at least.
        lights: how the page is looked at, one after the other while no lattice is sure.
        sweeps: what growth dares, seed by seed, the first time and whenever that wasn't enough: at
            last little more than chance, for a ground printed with several hairlines a cell.
        enough: part of the page that a lattice must cover to be sure by itself.
        many: cells along a side that it must have for that; bold lines alone make a lattice of few.
        votes: seeds that must lead to a size for it to be sure.
        beyond: cells all round a grown lattice in which its cells are looked for as well; more
            where they go on.
        placed: how what grew comes to lie on the page's lines.
        plain: cells of a lattice that needed no more proof from which on it isn't judged either,
            unless the whole page repeats otherwise: those seen to be wrong had up to 3,600.
        threads: cells by which the whole page must repeat for a lattice that needed no more proof
            to be held against that: it may be of threads of a ground ruled finely, or end where
            crosses begin to hide its lines.
        overruled: nats by which another lattice must be likelier than the one that most seeds led
            to: of 49 drawn pages (seeds 641001 to 641008)
            whose growth was right it was likelier on none, of two plates whose growth was wrong by
            3.5.
        likely: nats by which what the whole page repeats by must be likelier than no grid: true
            ones of drawn hard scans and plates (seeds 641001 to 641008) had 3.5 and more, the rules
            of a diagram, every other one left out, 2.7. From there on what grew is surely a grid,
            if all else that grew is likelier none: small grids in pages of text (drawn, seeds
            900001 to 900018) had 8 to 19.
        least: the same of what grew but needed more proof; below ``likely`` its size is asked
            about. A hard photograph (seed 830001) had 1.0, plates and small grids 2.1 to 2.4; of 33
            pages without a chart (seeds 820001 to 820003) none that had no grid more than 0.3.
        accord: when what grows first makes one grid so unlikely that nothing more is dared.
        contest: which lattices are held against what grew, and how they are judged.
    """

    halved: int = 2
    least_side: int = 200
    most_side: int = 4000
    least_pitch: float = 9.0
    lights: tuple[Light, ...] = ("luma", "lines")
    sweeps: tuple[tuple[Boldness, ...], ...] = (
        (CAREFUL, Boldness(in_step=0.35)),
        (Boldness(coherent=0.2, lined=0.75),),
        (Boldness(coherent=0.15),),
    )
    enough: float = 0.35
    many: int = 12
    votes: int = 2
    beyond: tuple[int, int] = (3, 12)
    placed: PlacedSettings = PlacedSettings()
    plain: int = 6000
    threads: float = 0.9
    overruled: float = 2.0
    likely: float = 3.0
    least: float = 0.6
    accord: AccordSettings = AccordSettings()
    contest: ContestSettings = ContestSettings()


def locate_grown(
    page: Page, settings: GrownSettings = GrownSettings(), progress: Progress = silent
) -> Located | NotFound:
    """The lattice grown from the best seeds, judged; or why none takes hold.

    The page is looked at small first: where that shows much of a lattice, more pixels only cost
    time. Where nothing took hold in luma, and a quick look doesn't make a chart likely either, no
    more is tried.
    """
    tried = without_end(progress, "looking for the grid", settings.halved + 1)
    lights = [Views.at(page, light) for light in settings.lights]
    judge = lights[0].judge(settings.contest)
    seen: list[Found] = []
    first: list[Found] = []  # all that grew in the first sweep, whatever came of it
    unruled: set[tuple[Views, tuple[int, int]]] = set()  # sizes of which many lines are missing
    for dares in settings.sweeps:
        opening = dares == settings.sweeps[0]
        for views in lights:
            for found in _all_grown(views, dares, settings, tried):
                if opening:
                    first.append(found)
                if (views, found.size) in unruled:
                    continue
                if found.sure and not _confirmed(found, settings):
                    found = replace(found, sure=False)
                seen.append(found)
                if decided(seen, settings.votes):
                    best = _judged([found], seen, lights[0], settings, decided=True)
                    if best is not None:
                        return best
                    unruled.add((views, found.size))
                    seen = [other for other in seen if other.size != found.size]
            lost = opening and agreed(seen) is None
            if lost and is_hopeless(page, in_all=views is lights[-1]):
                return _by_periods(lights[0], settings) or NotFound(NOTHING)
        most = agreed(seen)
        needed = 0.0 if dares == settings.sweeps[-1] else 0.5
        if most is not None and (
            outweighs(most, seen, needed) or stands_out(most, seen, judge.near, settings.likely)
        ):
            best = _judged([most, *others(most, seen)], seen, lights[0], settings)
            return _believed(best, most.size, lights[0], settings)
        if opening and no_one_grid(first, judge.near, settings.accord):
            return _by_periods(lights[0], settings) or NotFound(MANY)
    if unruled or not seen:
        by_periods = _by_periods(lights[0], settings)
        if by_periods is not None:
            return by_periods
    if unruled:
        return _unlined(max((size for _, size in unruled), key=np.prod))
    if not seen:
        return NotFound(NOTHING)
    last = _on_a_rug(seen, settings) or max(seen, key=lambda found: found.score)
    best = _judged([last, *others(last, seen)], seen, lights[0], settings)
    return _believed(best, last.size, lights[0], settings)


def _by_periods(luma: Views, settings: GrownSettings) -> Located | None:
    """The likeliest of what the whole page repeats by; None where it is hardly likelier than none.

    Where nothing grows, crosses may hide the lines.
    """
    proposals = list(periodic(luma.repeats()))
    verdict = contest(luma.judge(settings.contest), proposals, settings.contest)
    if verdict is None or verdict.winner.log_odds < settings.likely:
        return None
    lattice = verdict.winner.lattice
    best = refined(luma.grey, lattice).lattice
    return Located(best, odds_of(verdict, verdict.winner.size, decided=False))


def _believed(
    best: Located | None, size: tuple[int, int], luma: Views, settings: GrownSettings
) -> Located | NotFound:
    """What needed more proof than its growth, unless it is hardly likelier than no grid at all.

    What the whole page repeats by was judged beside it.
    """
    if best is None:
        return _by_periods(luma, settings) or _unlined(size)
    odds = best.odds
    if odds.log_odds is None or odds.most >= settings.least:
        return best
    return NotFound(
        f"what repeats, {size[0]}×{size[1]} times, is hardly likelier a grid than text or a table"
    )


def _unlined(size: tuple[int, int]) -> NotFound:
    return NotFound(
        f"what repeats, {size[0]}×{size[1]} times, lacks many of its lines, as text and tables do"
    )


def _judged(
    proposals: Sequence[Found],
    seen: Sequence[Found],
    luma: Views,
    settings: GrownSettings,
    *,
    decided: bool = False,
) -> Located | None:
    """The likeliest of what grew, settled; None where many of its lines are missing.

    The first of the proposals stands unless another is clearly likelier.
    """
    first = proposals[0]
    lies = placed(first.views, first.lattice, luma, settings.placed)
    grown = [lies or first.lattice, *(found.lattice for found in proposals[1:])]
    here = (grown[0].columns, grown[0].rows)

    def held_against(periods: Sequence[Lattice]) -> Verdict | None:
        proposals = [grown[0], *periods, *grown[1:]]
        return contest(luma.judge(settings.contest), proposals, settings.contest)

    verdict = None
    if decided:
        longer = settings.threads * min(first.lattice.pitch)
        periods = periodic(luma.repeats(), longer)
        other = [each for each in periods if (each.columns, each.rows) != here]
        plain = first.sure and first.lattice.columns * first.lattice.rows >= settings.plain
        verdict = held_against(other) if other or not plain else None
    if not decided or (verdict is not None and verdict.winner.log_odds < settings.likely):
        verdict = held_against(list(periodic(luma.repeats())))
    best, led = lies, first.size  # what seeds grew into, before it was counted anew
    if verdict is not None and verdict.lead_over(here) >= settings.overruled:
        best, led = placed(luma, verdict.winner.lattice, luma, settings.placed), verdict.winner.size
    if best is None:
        return None
    total = sum(other.score for other in seen)
    votes = sum(other.score for other in seen if other.size == led) / total if total else 0.0
    size = best.columns, best.rows
    return Located(best, odds_of(verdict, size, votes=votes, decided=decided))


def _confirmed(found: Found, settings: GrownSettings) -> bool:
    """Whether the lattice ends at the same lines on a page half as large."""
    grown = replace(found.grown, lattice=found.grown.lattice.scaled(1 / 2))
    again = _bounded(found.views, 2 * found.factor, found.seed, grown, settings)
    return again is not None and again.whole and again.size == found.size


def _on_a_rug(seen: Sequence[Found], settings: GrownSettings) -> Found | None:
    """What grew without an end, cut where lines don't stand out from what is all around.

    None where less than half of what then ends agrees on a size.
    """
    again = (
        _bounded(f.views, f.factor, f.seed, f.grown, settings, rug=True)
        for f in seen
        if not f.whole
    )
    cut = [found for found in again if found is not None and found.whole]
    most = agreed(cut)
    if most is None or 2 * sum(found.size == most.size for found in cut) < len(cut):
        return None
    return most


def _all_grown(
    views: Views,
    dares: tuple[Boldness, ...],
    settings: GrownSettings,
    tried: Callable[[], None],
) -> Iterator[Found]:
    """What grows on the page, at one size after the other and from seed after seed."""
    fine: list[Seed] = []  # seeds whose cells are too small to grow where they were seen
    for factor in (2**times for times in range(settings.halved, -1, -1)):
        sides = [-(-side // factor) for side in views.size]
        if (factor > 1 and min(sides) < settings.least_side) or max(sides) > settings.most_side:
            continue
        coarse, fine = fine, []
        for seed in _seeds(views, factor, coarse, settings):
            if seed.pitch < settings.least_pitch and factor > 1:
                fine.append(seed)
                continue
            yield from _grown_from(views, factor, seed, dares, settings, tried)


def _seeds(
    views: Views, factor: int, coarse: Sequence[Seed], settings: GrownSettings
) -> Iterator[Seed]:
    """Seeds seen on a smaller page already, then those of this one, which take time to find."""
    yield from (seed.twice for seed in coarse)
    yield from views.seeds(factor)


def _grown_from(
    views: Views,
    factor: int,
    seed: Seed,
    dares: tuple[Boldness, ...],
    settings: GrownSettings,
    tried: Callable[[], None],
) -> Iterator[Found]:
    """What grows from one seed, dared more and more until it grows whole."""
    for dare in dares:
        tried()
        begun = views.begun(factor, seed, dare.in_step)
        grown = grow(views.even(factor), seed, begun, dare)
        if grown is None:
            continue
        found = _bounded(views, factor, seed, grown, settings)
        if found is not None:
            yield found
            if found.whole:
                return


def _bounded(
    views: Views,
    factor: int,
    seed: Seed,
    grown: Grown,
    settings: GrownSettings,
    *,
    rug: bool = False,
) -> Found | None:
    """The lattice cut to the gridded rectangle, looked for beyond it too until that ends.

    It is sure only if it ends at the same lines as if it lay on a rug; where its cells go on, it
    counts for half.
    """
    grey, lattice = views.even(factor), grown.lattice
    for beyond in settings.beyond:
        around = Extent(-beyond, lattice.columns + beyond, -beyond, lattice.rows + beyond)
        seen = line_evidence(grey, lattice, around)
        extent, closed = _extent(seen, settings, rug=rug or views.rough)
        if extent is None or closed:
            break
    if extent is None or min(extent.columns, extent.rows) < LEAST_CELLS:
        return None
    cut = lattice.cut(extent.left, extent.top, extent.columns, extent.rows)
    area = cut.columns * cut.rows * cut.pitch[0] * cut.pitch[1] / grey.size
    score = area * grown.quality
    sure = closed and area >= settings.enough and min(extent.columns, extent.rows) >= settings.many
    if sure and not (rug or views.rough):
        sure = _extent(seen, settings, rug=True) == (extent, True)
    score *= 1.0 if closed else 0.5
    return Found(views, factor, seed, grown, cut.scaled(factor), score, closed, sure)


def _extent(
    seen: LineEvidence, settings: GrownSettings, *, rug: bool
) -> tuple[Extent | None, bool]:
    """The gridded rectangle within a region of a lattice's cells, and whether it ends there."""
    region = seen.region
    found = gridded(sides_of(seen, rug=rug), ExtentSettings(side=settings.placed.side))
    if found is None:
        return None, False
    closed = min(found.left, found.top) > 0
    closed &= found.right < region.columns and found.bottom < region.rows
    across, down = region.left, region.top
    moved = (found.left + across, found.right + across, found.top + down, found.bottom + down)
    return Extent(*moved), closed
