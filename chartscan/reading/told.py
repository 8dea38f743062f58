"""What a stitcher told the reader, as corrections that a later reading follows too."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from chartscan.chart import Act, Chart
from chartscan.chart.corrections.acts import (
    Colours,
    Corners,
    Ground,
    Size,
    Turn,
)
from chartscan.chart.corrections.lines import line_of
from chartscan.chart.corrections.standing import class_refs
from chartscan.progress import Progress, part_of, silent
from chartscan.reading.evidence import Evidence
from chartscan.reading.page.page import digest_of
from chartscan.reading.read import Reading, ReadSettings, joined, read_page
from chartscan.reading.reopen.reopened import Reopened
from chartscan.reading.review.symbols import with_pictures

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
    return told


def with_told(settings: ReadSettings, before: Chart | None, images: Sequence[Path]) -> ReadSettings:
    """``settings`` with what was told an earlier reading; places of pixels on its picture only."""
    if before is None:
        return settings
    told = settings_of(before, settings)
    if settings.corners is None and told.corners is not None:
        same = [digest_of(path) for path in images[:1]] == [before.source.get("sha256")]
        return told if same else replace(told, corners=None)
    return told


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
    """Read the cells of pages whose grids are known: classes and marks, as ``settings`` say."""
    each = replace(settings, size=None)
    evidence: list[Evidence] = []
    for page in opened.pages:
        first, last = (n / len(opened.pages) for n in (len(evidence), len(evidence) + 1))
        partly = part_of(progress, first, last)
        part = len(opened.pages) > 1
        evidence.append(read_page(page.page, each, page.lattice, partly, part=part))
    layout = None
    if len(evidence) > 1:
        rows = len({page.kept.origin[0] for page in opened.pages})
        layout = rows, len(evidence) // rows
    warnings = [warning for read in evidence for warning in read.page.warnings]
    reading = joined(evidence, warnings, replace(settings, layout=layout))
    return replace(reading, chart=with_pictures(reading.chart, reading.evidence))
