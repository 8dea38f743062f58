"""The recipe of asking: what each stage left in doubt becomes a handful of questions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from chartscan.chart import Chart
from chartscan.chart.doubts import QuestionKind
from chartscan.reading.doubt.against import AgainstSettings, held_against
from chartscan.reading.doubt.cells import cell_doubts, with_unexplained
from chartscan.reading.doubt.ground import GroundDoubts, ground_questions
from chartscan.reading.doubt.marks import MarkDoubts, mark_questions
from chartscan.reading.doubt.mixed import MixedDoubts, mixed_questions
from chartscan.reading.doubt.numbers import numbered
from chartscan.reading.doubt.page import PageDoubts, page_questions
from chartscan.reading.doubt.same import SameDoubts, same_questions
from chartscan.reading.doubt.size import SizeDoubts, size_questions
from chartscan.reading.evidence import Evidence

if TYPE_CHECKING:
    from chartscan.reading.join.seam import Seam


@dataclass(frozen=True)
class AskSettings:
    """When something is asked, and how much of it.

    Attributes:
        most: questions at most: a handful is answered, a list is waved through.
        least: cells × chance below which a question isn't worth a person's time.
        ground, same, mixed, size, marks, page: when each kind is asked.
        against: how the reading is held against its pages.
    """

    most: int = 5
    least: float = 0.3
    ground: GroundDoubts = GroundDoubts()
    same: SameDoubts = SameDoubts()
    mixed: MixedDoubts = MixedDoubts()
    size: SizeDoubts = SizeDoubts()
    marks: MarkDoubts = MarkDoubts()
    page: PageDoubts = PageDoubts()
    against: AgainstSettings = field(default_factory=AgainstSettings)


def ask(
    chart: Chart,
    pages: Sequence[Evidence],
    told: frozenset[QuestionKind],
    seams: Sequence[Seam] = (),
    settings: AskSettings = AskSettings(),
) -> Chart:
    """The chart with its questions, the dearest first, and a reason for each doubtful cell.

    Args:
        chart: the chart as read.
        pages: what it was read from.
        told: kinds that the stitcher has told about; nothing is asked of those.
        seams: how its pages were joined.
        settings: when something is asked.
    """
    known = [each for page in pages if (each := numbered(chart, page)) is not None]
    held = [held_against(page, settings.against) for page in pages]
    chart = with_unexplained(chart, pages, held)
    asked = [
        *size_questions(chart, pages, settings.size),
        *page_questions(chart, seams, settings.page),
        *ground_questions(chart, pages, known, settings.ground),
        *same_questions(chart, known, settings.same),
        *mixed_questions(chart, known, settings.mixed),
        *mark_questions(chart, pages, held, settings.marks),
    ]
    open_ = [a for a in asked if a.question.kind not in told and a.cost >= settings.least]
    dearest = sorted(open_, key=lambda a: -a.cost)[: settings.most]
    return replace(
        chart,
        questions=tuple(a.question for a in dearest),
        doubts=cell_doubts(chart, known, pages, held),
    )
