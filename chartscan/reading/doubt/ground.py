"""Which class is bare fabric: asked where the odds leave it open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Answer, Chart, Question
from chartscan.colour import srgb_to_lab
from chartscan.reading.cells.sampling import rim_places
from chartscan.reading.classes.cloth import WHITE
from chartscan.reading.doubt.asked import Asked, named, sentence, spread
from chartscan.reading.doubt.numbers import Numbered
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.ground import joined_odds

Chances = NDArray[np.float64]
Colours = NDArray[np.float64]


@dataclass(frozen=True)
class GroundDoubts:
    """When the ground is asked about.

    Attributes:
        sure: chance from which on nothing is asked. Of 330 drawn charts (seeds 70001 to 70060) 18
            of 22 that were wrong lay below, and 24 of 308 that were right.
        tinted: the same where the ground has neither the colour of the paper that is seen nor
            white: fabric in a colour of its own, or a background that is stitched. Of 180 drawn
            charts (seeds 950001 to 950007 and 1150001 to 1150016) three more are asked about so,
            one of them wrong; a background that isn't counted costs all of its thread.
        named: least chance of a class to be named in an answer.
        paper: CIELAB difference up to which a class has the paper's colour.
        other: the same from which on it has another, in spite of wear.
        pale: CIELAB lightness from which on a class is pale.
        edge: part of the outermost cells from which on it lies all along the edge.
    """

    sure: float = 0.87
    tinted: float = 0.97
    named: float = 0.03
    paper: float = 3.0
    other: float = 4.0
    pale: float = 80.0
    edge: float = 0.5


def ground_questions(
    chart: Chart,
    pages: Sequence[Evidence],
    known: Sequence[Numbered],
    settings: GroundDoubts = GroundDoubts(),
) -> list[Asked]:
    """The question which class is bare fabric; none where that is sure."""
    chances = _chances(chart, pages, known)
    if chances is None:
        return []
    taken = next((c.index for c in chart.classes if c.kind == "empty"), len(chart.classes))
    least = settings.tinted if _is_tinted(chart, pages, taken, settings) else settings.sure
    if chances[taken] >= least:
        return []
    order = sorted(range(len(chances)), key=lambda k: (k != taken, -chances[k]))
    order = [k for k in order if k == taken or chances[k] >= settings.named]
    classes = tuple(k for k in order if k < len(chart.classes))
    if not classes:
        return []
    counts = np.append(np.bincount(chart.cells.ravel(), minlength=len(chart.classes)), 0)
    cost = sum(float(chances[k]) * (counts[k] + counts[taken]) for k in order if k != taken)
    answers = sorted((_answer(chart, k, chances) for k in order), key=lambda a: -a.chance)
    cells = spread(chart.cells == classes[0])
    text = _text(chart, pages, taken, classes, settings)
    return [Asked(Question("ground", classes, cells, text, tuple(answers)), cost)]


def _chances(chart: Chart, pages: Sequence[Evidence], known: Sequence[Numbered]) -> Chances | None:
    """The chance of each class, and last of none; None where the page says it by its own paths."""
    if len(pages) > 1:
        return joined_odds(chart, pages).chances if known else None
    if not known or known[0].clues.ground is None:
        return None
    odds = known[0].clues.ground.chances
    chances = np.zeros(len(chart.classes) + 1)
    for number, index in enumerate(known[0].classes):
        chances[index if index >= 0 else -1] += odds[number]
    chances[-1] += odds[-1]
    return chances


def _is_tinted(chart: Chart, pages: Sequence[Evidence], taken: int, settings: GroundDoubts) -> bool:
    """Whether what was taken for bare fabric is neither white nor the paper's colour."""
    paper = _paper(pages)
    if taken == len(chart.classes) or paper is None:
        return False
    rgb = chart.classes[taken].rgb
    if rgb is None:
        return False
    lab = srgb_to_lab(np.array(rgb, dtype=np.float64))
    near = (float(np.linalg.norm(lab - srgb_to_lab(white))) for white in (paper, WHITE))
    return min(near) >= settings.other


def _paper(pages: Sequence[Evidence]) -> Colours | None:
    """The paper around the grid (sRGB), of all pages together; None where none is seen."""
    papers = [p.clues.paper for p in pages if p.clues is not None and p.clues.paper is not None]
    return np.asarray(np.median(papers, axis=0)) if papers else None


def _answer(chart: Chart, index: int, chances: Chances) -> Answer:
    chance = float(chances[index])
    if index == len(chart.classes):
        return Answer("every cell is stitched; no fabric is bare", "ground none", chance)
    return Answer(f"{named(chart, index)}, is bare fabric", f"ground {index}", chance)


def _text(
    chart: Chart,
    pages: Sequence[Evidence],
    taken: int,
    classes: Sequence[int],
    settings: GroundDoubts,
) -> str:
    """What was decided, and what it hangs on."""
    about = classes[0]
    said = _looks(chart, pages, about, settings)
    if taken < len(chart.classes):
        return sentence(f"{named(chart, about)}, was taken for bare fabric: {said}")
    return sentence(f"{named(chart, about)}, was taken for stitches like all others, though {said}")


def _looks(chart: Chart, pages: Sequence[Evidence], index: int, settings: GroundDoubts) -> str:
    """How a class lies and looks, in a clause."""
    entry = chart.classes[index]
    ring = rim_places(*chart.cells.shape)
    outer = float((chart.cells[ring] == index).mean())
    lies = "it lies all along the edge" if outer >= settings.edge else "little of it is at the edge"
    paper = _paper(pages)
    if entry.rgb is None:
        return lies
    lab = srgb_to_lab(np.array(entry.rgb, dtype=np.float64))
    shade = "pale" if lab[0] >= settings.pale else "not pale"
    if paper is None:
        return f"it is {shade} and {lies}, and no paper around the grid tells more"
    off = float(np.linalg.norm(lab - srgb_to_lab(paper)))
    if off <= settings.paper:
        return f"it has the paper's colour and {lies}"
    return f"it is {shade} and {lies}, but it isn't the paper's colour"
