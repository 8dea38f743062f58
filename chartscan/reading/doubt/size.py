"""How many columns and rows: asked where votes or other cuts of the grid tell otherwise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from chartscan.chart import Answer, Chart, Question
from chartscan.reading.doubt.asked import Asked, Place, places, sentence
from chartscan.reading.doubt.cuts import Cuts, cut_anew
from chartscan.reading.evidence import Evidence
from chartscan.reading.odds import chance_of

Size = tuple[int, int]

ALONG = 8  # parts of a side of the grid at whose ends its cells are shown
ALL_ELSEWHERE = Cuts(1, Counter([None]))  # the most that other looks can tell against a size


@dataclass(frozen=True)
class SizeDoubts:
    """Log odds of a size being wrong (nats), and when it is asked about.

    Fitted elsewhere, on 149 drawn scans and photographs, 10 of them wrong.

    Attributes:
        bias: of any page that isn't an exact export.
        undecided: that growth ended without a size that needed no more proof.
        outvoted: times the part of the scores of all lattices grown that other sizes have.
        unsteady: times the part of other looks at the page by which the grid ends elsewhere.
        behind: times how far the judge holds another size likelier, as a part of the way from
            ``level`` to ``far`` nats, up to 1. Of nine right sizes of drawn pages (seeds 143001 and
            143002) none was behind by more than 0.1, the one that was wrong by 3.5.
        level, far: nats, see ``behind``.
        rare: times the number of classes of ``few`` cells, as a part of ``many``, up to 1: cells
            that lie askew look like no other.
        few, many: see ``rare``.
        asked: least chance to ask.
        named: other sizes offered at most.
    """

    bias: float = -4.6
    undecided: float = 0.65
    outvoted: float = 1.07
    unsteady: float = 3.2
    behind: float = 5.6
    level: float = 1.0
    far: float = 3.0
    rare: float = 1.12
    few: int = 3
    many: int = 6
    asked: float = 0.2
    named: int = 2


def size_questions(
    chart: Chart, pages: Sequence[Evidence], settings: SizeDoubts = SizeDoubts()
) -> list[Asked]:
    """The question whether the size is right; none where it is, or where pages were joined."""
    if len(pages) != 1:
        return []
    page = pages[0]
    if page.clues is None or (page.page.lossless and page.lattice.straight):
        return []  # an export tells its size to the pixel
    if chart.stitches and wrong_size(chart, page, ALL_ELSEWHERE, settings) < settings.asked:
        return []  # whatever the page shows when it is looked at again, which takes long
    cuts = cut_anew(page.page, page.lattice)
    chance = wrong_size(chart, page, cuts, settings)
    if chart.stitches and chance < settings.asked:
        return []
    return [_asked(chart, page, cuts, chance, settings)]


def wrong_size(chart: Chart, page: Evidence, cuts: Cuts, settings: SizeDoubts) -> float:
    """The probability that the size is wrong."""
    terms = size_terms(chart, page, cuts, settings)
    weights = (
        settings.bias,
        settings.undecided,
        settings.outvoted,
        settings.behind,
        settings.unsteady,
        settings.rare,
    )
    score = float(np.dot(terms, weights))
    return float(chance_of(score))


def size_terms(chart: Chart, page: Evidence, cuts: Cuts, settings: SizeDoubts) -> tuple[float, ...]:
    """What speaks against the size: 1, undecided, outvoted, behind, unsteady, rare."""
    odds = page.clues.size if page.clues is not None else None
    margin = 0.0 if odds is None or odds.margin is None else odds.margin
    counts = np.bincount(chart.cells.ravel())
    rare = int(((counts > 0) & (counts <= settings.few)).sum())
    return (
        1.0,
        float(odds is not None and not odds.decided),
        1 - odds.votes if odds is not None else 0.0,
        float(np.clip((-margin - settings.level) / (settings.far - settings.level), 0, 1)),
        cuts.unsteady,
        min(rare, settings.many) / settings.many,
    )


def _asked(chart: Chart, page: Evidence, cuts: Cuts, chance: float, settings: SizeDoubts) -> Asked:
    here = (chart.columns, chart.rows)
    others = _others(page, cuts, here, settings)
    answers = [Answer(f"{here[0]} columns and {here[1]} rows, as read", "size as-read", 1 - chance)]
    for (columns, rows), part in others:
        told = f"size {columns}x{rows}"
        answers.append(Answer(f"{columns} columns and {rows} rows", told, chance * part))
    why = "the grid ends elsewhere when the page is looked at otherwise"
    odds = page.clues.size if page.clues is not None else None
    behind = odds is not None and odds.margin is not None and odds.margin < -settings.level
    if odds is not None and (behind or odds.votes < cuts.unsteady):
        why = "other sizes speak for themselves, too"
    text = sentence(f"the grid was read as {here[0]} columns and {here[1]} rows, but {why}")
    answers.sort(key=lambda a: -a.chance)
    asked = Question("size", (), _ends(chart), text, tuple(answers))
    return Asked(asked, chance * chart.cells.size)


def _others(
    page: Evidence, cuts: Cuts, here: Size, settings: SizeDoubts
) -> list[tuple[Size, float]]:
    """The other sizes that most speaks for, and the part of all that is said against this one."""
    heard: Counter[Size] = Counter()
    for size, times in cuts.others.items():
        if size is not None and size != here:
            heard[size] += times
    for rival in page.clues.size.rivals if page.clues is not None else ():
        heard[(rival.columns, rival.rows)] += 1
    heard.pop(here, None)
    total = sum(heard.values()) + 1  # and something that nobody thought of
    return [(size, times / total) for size, times in heard.most_common(settings.named)]


def _ends(chart: Chart) -> tuple[Place, ...]:
    """The corners of the grid, then cells along its sides."""
    last_row, last_column = chart.rows - 1, chart.columns - 1
    corners = [(r, c) for r in (0, last_row) for c in (0, last_column)]
    along = np.linspace(1, 0, ALONG, endpoint=False)[1:]
    sides = [(round(t * last_row), c) for t in along for c in (0, last_column)]
    sides += [(r, round(t * last_column)) for t in along for r in (0, last_row)]
    return places(np.array([*corners, *sides], dtype=np.intp))
