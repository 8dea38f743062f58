"""What a stitcher told the reader, as corrections that a later reading follows too."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from chartscan.chart import Chart
from chartscan.chart.corrections.acts import (
    Act,
    Colours,
    Corners,
    Ground,
    Size,
    Turn,
)
from chartscan.chart.corrections.lines import line_of
from chartscan.chart.corrections.standing import class_refs
from chartscan.entry import Entry, numbers, whole
from chartscan.errors import ChartError
from chartscan.progress import Progress, part_of, silent
from chartscan.reading.evidence import Evidence
from chartscan.reading.page.page import digest_of
from chartscan.reading.read import Reading, ReadSettings, joined, read_page
from chartscan.reading.reopen.reopened import Reopened
from chartscan.reading.review.symbols import with_pictures
from chartscan.reading.several import PageTold

FOLLOWED = (Size, Corners, Turn, Colours)
"""What a reading can be told; to look harder (``look-again``) it has no way yet."""
GRID = (Size, Corners, Turn)
"""What is told of the grid; a reading that follows it starts there."""


def settings_of(chart: Chart, settings: ReadSettings = ReadSettings()) -> ReadSettings:
    """``settings`` with what was told of a chart, where they don't say otherwise themselves."""
    told = settings
    for act in chart.corrections:
        match act:
            case Size() if settings.size is None:
                told = replace(told, size=(act.columns, act.rows))
            case Corners() if settings.corners is None:
                told = replace(told, corners=act.points)
            case Turn() if not settings.turn:
                told = replace(told, turn=act.degrees)
            case Colours() if settings.colours is None:
                told = replace(told, colours=act.number)
            case _:
                continue
    each, repeats = _of_pages(chart)
    return replace(told, each=told.each or each, repeats=told.repeats or repeats)


def keep_of_pages(chart: Chart, told: ReadSettings) -> Chart:
    """The chart with what was told of its single pages and their seams, in its source."""
    kept: dict[str, object] = {}
    if any(page != PageTold() for page in told.each):
        kept["each"] = [
            {
                "size": page.size and list(page.size),
                "corners": page.corners and [list(corner) for corner in page.corners],
                "turn": page.turn,
            }
            for page in told.each
        ]
    if any(number is not None for number in told.repeats):
        kept["repeats"] = list(told.repeats)
    return replace(chart, source={**chart.source, **kept}) if kept else chart


def _of_pages(chart: Chart) -> tuple[tuple[PageTold, ...], tuple[int | None, ...]]:
    """What was told of the pages and seams of a chart; ChartError where that is damaged."""
    source = Entry(chart.source, "the source")
    try:
        each = tuple(map(page_told, source.entries("each", "page")))
        repeats = tuple(
            None if number is None else whole(number, "a repeat")
            for number in source.list_or_empty("repeats")
        )
    except ValueError as error:
        raise ChartError(f"the chart doesn't say what was told of its pages ({error})") from error
    return each, repeats


def page_told(entry: Entry) -> PageTold:
    """What a JSON object tells of one page; ValueError where it makes no sense."""
    size = [whole(side, "a side") for side in entry.list_or_empty("size")]
    corners = [numbers(corner, 2, "a corner") for corner in entry.list_or_empty("corners")]
    if len(size) not in (0, 2) or len(corners) not in (0, 4):
        raise ValueError(f"{entry.words} has no such size or corners")
    return PageTold(
        size=(size[0], size[1]) if size else None,
        corners=tuple((x, y) for x, y in corners) or None,
        turn=entry.whole("turn") if entry.data.get("turn") is not None else None,
    )


def with_told(settings: ReadSettings, before: Chart | None, images: Sequence[Path]) -> ReadSettings:
    """``settings`` with what was told an earlier reading; places of pixels on its picture only."""
    if before is None:
        return settings
    told = settings_of(before, settings)
    if _same_pages(before, images):
        return told
    return replace(told, corners=settings.corners, each=settings.each, repeats=settings.repeats)


def _same_pages(before: Chart, images: Sequence[Path]) -> bool:
    """Whether these are the files, in the same order, that a chart was read from."""
    sources = before.source.get("pages") or [before.source]
    files = list(dict.fromkeys(str(page.get("sha256")) for page in sources))
    return [digest_of(path) for path in images] == files


def kept_told(chart: Chart, told: ReadSettings, said: ReadSettings | None) -> list[Act]:
    """What this reading was told, as corrections to keep: ``said`` is what is new of ``told``."""
    acts: list[Act] = []
    if told.size is not None:
        acts.append(Size(*told.size))
    if told.corners is not None:
        acts.append(Corners(tuple((float(x), float(y)) for x, y in told.corners)))
    if told.turn:
        acts.append(Turn(told.turn))
    if told.colours is not None:
        acts.append(Colours(told.colours))
    if said is not None and said.no_empty:
        acts.append(Ground(()))
    if said is not None and said.empty is not None:
        read = chart.as_read or chart
        bare = [c.index for c in read.classes if c.kind == "empty"]
        refs = class_refs(read)
        acts += [Ground(tuple(refs[index] for index in bare))] if bare else []
    return acts


def unfollowed(chart: Chart) -> tuple[Size | Corners | Turn | Colours, ...]:
    """What was told of a chart that its reading hasn't followed."""
    stitched = sum(c.kind == "stitch" for c in (chart.as_read or chart).classes)
    followed = {
        Size(chart.columns, chart.rows),
        Colours(stitched),
        Turn(int(chart.source.get("turn", 0))),
    }
    told = chart.source.get("told", ())
    return tuple(
        act
        for act in chart.corrections
        if isinstance(act, FOLLOWED) and act not in followed and line_of(act) not in told
    )


def grid_is_told(chart: Chart) -> bool:
    """Whether something was told of the grid that the reading hasn't followed."""
    return any(isinstance(act, GRID) for act in unfollowed(chart))


def read_classes(opened: Reopened, settings: ReadSettings, progress: Progress = silent) -> Reading:
    """Read the cells of pages whose grids are known: classes and marks, as ``settings`` say.

    Marks don't come with another number of colours: where none were seen they aren't looked for.
    Two classes that are told to be one would seem to hold cells with something over them.
    """
    each = replace(settings, size=None, each=())
    marked = _may_be_marked(opened.chart.as_read or opened.chart)
    evidence: list[Evidence] = []
    for page in opened.pages:
        first, last = (n / len(opened.pages) for n in (len(evidence), len(evidence) + 1))
        partly = part_of(progress, first, last)
        part = len(opened.pages) > 1
        evidence.append(read_page(page.page, each, page.lattice, partly, part=part, marked=marked))
    layout = None
    if len(evidence) > 1:
        rows = len({page.kept.origin[0] for page in opened.pages})
        layout = rows, len(evidence) // rows
    warnings = [warning for read in evidence for warning in read.page.warnings]
    reading = joined(evidence, warnings, replace(settings, layout=layout))
    return replace(reading, chart=with_pictures(reading.chart, reading.evidence))


def _may_be_marked(read: Chart) -> bool:
    """Whether a reading has part stitches, lines or knots, or something that may be one."""
    from chartscan.reading.doubt.cells import BY_MARKS

    asked = any(question.kind == "marks" for question in read.questions)
    seen = any(doubt.reason in BY_MARKS for doubt in read.doubts)
    return bool(asked or seen or read.parts or read.lines or read.knots)
