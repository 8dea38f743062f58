"""How many columns and rows: asked where votes or other cuts of the grid tell otherwise."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from chartscan.chart import Answer, Chart, Question
from chartscan.reading.doubt.asked import Asked, Place, places, sentence
from chartscan.reading.doubt.cuts import Cuts, cut_anew
from chartscan.reading.doubt.multiple import Blocks, MultipleSettings, blocks_of
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.located import Rival, SizeOdds
from chartscan.reading.odds import chance_of
from chartscan.reading.scale import BOLD, SEVERAL

Size = tuple[int, int]

TO_DO = "hold that against the size printed with the chart, or count along two sides"
ALONG = 8  # parts of a side of the grid at whose ends its cells are shown


@dataclass(frozen=True)
class SizeDoubts:
    """Log odds of a size being wrong (nats), and when it is asked about.

    Fitted elsewhere, on 149 drawn scans and photographs, 10 of them wrong, but for ``unlikely``,
    ``agreed``, ``behind``, ``multiple``, ``ahead`` and ``alike``.

    Attributes:
        bias: of any page that isn't an exact export.
        unlikely: that it is hardly likelier a grid than text or a table, by fewer than ``likely``
            nats: of four such readings three were right, of each it has to be asked.
        undecided: that growth ended without a size that needed no more proof.
        outvoted: times the part of the scores of all lattices grown that other sizes have.
        unsteady: times the part of other looks at the page by which the grid ends elsewhere.
        agreed: times the part of those looks that agree on one other size: twelve that end at
            one and the same line say more than twelve that end anywhere. Of 17 right sizes (seeds
            210001 and 210002) one had any.
        multiple: times how far the place of a cell in blocks of several by several tells its
            class, as a part of the way from what tells of it to a half: each cell of the page was
            read as several then. The truth of 287 drawn charts has 0.28 at most, a plate
            that was read so 0.53.
        behind: times how far the judge holds another size likelier, as a part of the way from
            ``level`` to ``far`` nats, up to 1. Of nine right sizes of drawn pages (seeds 143001 and
            143002) none was behind by more than 0.1, the one that was wrong by 3.5; so were two
            right ones (hard-scan 88012, hard-photo 210001), so that it comes to about even.
        level, far: nats, see ``behind``.
        ahead: times how far the judge holds every other size unlikelier, as a part of the way from
            ``lead[0]`` to ``lead[1]`` nats, up to 1, where the grid itself is likely. Of 18 right
            sizes of small grids (seeds 1220201 to 1220222) 14 led by 6.4 and more; of nine wrong
            ones of drawn grids, scans and plates none by more than 4.4. Set by hand, so that ten
            of the 14 that were asked about are below ``asked``.
        lead: nats, see ``ahead``.
        likely: nats, see ``unlikely``.
        rare: times the number of classes of ``few`` cells, as a part of ``many``, up to 1: cells
            that lie askew look like no other.
        few, many: see ``rare``.
        alike: that every cell is of one class: only bold lines were seen, most likely, and each
            block of cells read as one. No chart is all of one colour; set by hand.
        weight: how many looks' worth such a page says for the size that has one of them, and the
            judge for all other sizes that it knows.
        asked: least chance to ask.
        named: other sizes offered at most.
        read_as: when the place of cells in blocks tells that each of the page was read as several.
    """

    bias: float = -4.6
    unlikely: float = 2.8
    undecided: float = 0.65
    outvoted: float = 1.07
    unsteady: float = 3.2
    agreed: float = 1.0
    multiple: float = 5.0
    behind: float = 4.2
    likely: float = 3.0
    level: float = 1.0
    far: float = 3.0
    ahead: float = -2.5
    lead: tuple[float, float] = (4.0, 8.0)
    rare: float = 1.12
    few: int = 3
    many: int = 6
    alike: float = 6.5
    weight: int = 12
    asked: float = 0.2
    named: int = 2
    read_as: MultipleSettings = MultipleSettings()


def size_questions(
    chart: Chart, pages: Sequence[Evidence], settings: SizeDoubts = SizeDoubts()
) -> list[Asked]:
    """The question whether the size is right; none where it is, or where pages were joined."""
    if len(pages) != 1:
        return []
    page = pages[0]
    if page.clues is None or (page.clues.size.exact and not _is_alike(chart)):
        return []  # an export tells its size to the pixel
    seen = _Seen(chart, page.clues.size, blocks_of(chart.cells, SEVERAL), _is_alike(chart))
    for cuts in cut_anew(page.page, page.lattice):
        if chart.stitches and wrong_size(seen, cuts.at_worst(), settings) < settings.asked:
            return []
    return [_asked(seen, cuts, wrong_size(seen, cuts, settings), settings)]


@dataclass(frozen=True, eq=False)
class _Seen:
    """What tells of a chart's size but other looks at its page.

    Attributes:
        chart: the chart.
        odds: how sure the search for its grid was.
        blocks: what the place of cells in blocks tells of them.
        alike: whether every cell is of one class.
    """

    chart: Chart
    odds: SizeOdds
    blocks: Blocks
    alike: bool


def _is_alike(chart: Chart) -> bool:
    return bool((chart.cells == chart.cells.flat[0]).all())


def wrong_size(seen: _Seen, cuts: Cuts, settings: SizeDoubts) -> float:
    """The probability that the size is wrong."""
    terms = size_terms(seen, cuts, settings)
    weights = (
        settings.bias,
        settings.unlikely,
        settings.undecided,
        settings.outvoted,
        settings.behind,
        settings.unsteady,
        settings.agreed,
        settings.multiple,
        settings.rare,
        settings.ahead,
        settings.alike,
    )
    score = float(np.dot(terms, weights))
    return float(chance_of(score))


def size_terms(seen: _Seen, cuts: Cuts, settings: SizeDoubts) -> tuple[float, ...]:
    """What speaks against the size: 1, unlikely, undecided, outvoted, and so on."""
    margin = seen.odds.margin or 0.0
    counts = np.bincount(seen.chart.cells.ravel())
    rare = int(((counts > 0) & (counts <= settings.few)).sum())
    return (
        1.0,
        float(_is_unlikely(seen.odds, settings)),
        float(not seen.odds.decided),
        1 - seen.odds.votes,
        _part_of_way(-margin, (settings.level, settings.far)),
        cuts.unsteady,
        cuts.agreed,
        _part_of_way(seen.blocks.told, (settings.read_as.told, 0.5)),
        min(rare, settings.many) / settings.many,
        0.0 if _is_unlikely(seen.odds, settings) else _part_of_way(margin, settings.lead),
        float(seen.alike),
    )


def _part_of_way(value: float, ends: tuple[float, float]) -> float:
    """How far a value has come from one end to the other, 0 to 1."""
    return float(np.clip((value - ends[0]) / (ends[1] - ends[0]), 0, 1))


def _is_unlikely(odds: SizeOdds, settings: SizeDoubts) -> bool:
    """Whether no size is much likelier than that there is no grid at all."""
    return odds.log_odds is not None and odds.most < settings.likely


def _asked(seen: _Seen, cuts: Cuts, chance: float, settings: SizeDoubts) -> Asked:
    columns, rows = seen.chart.columns, seen.chart.rows
    answers = [Answer(f"{columns} columns and {rows} rows, as read", "size as-read", 1 - chance)]
    for (across, down), part in _others(seen, cuts, settings):
        told = f"size {across}x{down}"
        answers.append(Answer(f"{across} columns and {down} rows", told, chance * part))
    why = _why(seen, cuts, settings)
    text = sentence(f"the grid was read as {columns} columns and {rows} rows, but {why}: {TO_DO}")
    answers.sort(key=lambda a: -a.chance)
    asked = Question("size", (), _ends(seen.chart), text, tuple(answers))
    return Asked(asked, chance * seen.chart.cells.size)


def _why(seen: _Seen, cuts: Cuts, settings: SizeDoubts) -> str:
    """What speaks most against the size, in a clause."""
    if seen.alike:
        return "every cell came out alike, as where bold lines alone are seen"
    if seen.blocks.told > settings.read_as.told:
        return "what a cell is hangs on its place, as if each of the page were read as several"
    if _is_unlikely(seen.odds, settings):
        return "what repeats there is hardly likelier a grid than text or a table"
    margin = seen.odds.margin
    if (margin is not None and margin < -settings.level) or seen.odds.votes < cuts.unsteady:
        return "other sizes fit its lines, too"
    return "it seems to end elsewhere when the page is looked at closer or by fainter lines"


def _others(seen: _Seen, cuts: Cuts, settings: SizeDoubts) -> list[tuple[Size, float]]:
    """The other sizes that most speaks for, and the part of all that is said against this one."""
    here = (seen.chart.columns, seen.chart.rows)
    heard: defaultdict[Size, float] = defaultdict(float)
    if seen.blocks.told > settings.read_as.told:
        side = seen.blocks.side
        heard[round(here[0] / side), round(here[1] / side)] += settings.weight
    if seen.alike:
        heard[here[0] * max(BOLD), here[1] * max(BOLD)] += settings.weight
    for size, times in cuts.others.items():
        if size is not None:
            heard[size] += times
    for size, part in _judged(seen.odds.rivals):
        heard[size] += settings.weight * part
    heard.pop(here, None)
    total = sum(heard.values()) + 1  # and something that nobody thought of
    loudest = sorted(heard.items(), key=lambda said: -said[1])[: settings.named]
    return [(size, times / total) for size, times in loudest]


def _judged(rivals: Sequence[Rival]) -> list[tuple[Size, float]]:
    """The other sizes that the judge knows, each with the part of the odds of all that it has."""
    if not rivals:
        return []
    nats = np.array([rival.log_odds for rival in rivals])
    odds = np.exp(nats - nats.max())
    sizes = [(rival.columns, rival.rows) for rival in rivals]
    return list(zip(sizes, (odds / odds.sum()).tolist(), strict=True))


def _ends(chart: Chart) -> tuple[Place, ...]:
    """The corners of the grid, then cells along its sides."""
    last_row, last_column = chart.rows - 1, chart.columns - 1
    corners = [(r, c) for r in (0, last_row) for c in (0, last_column)]
    along = np.linspace(1, 0, ALONG, endpoint=False)[1:]
    sides = [(round(t * last_row), c) for t in along for c in (0, last_column)]
    sides += [(r, round(t * last_column)) for t in along for r in (0, last_row)]
    return places(np.array([*corners, *sides], dtype=np.intp))
