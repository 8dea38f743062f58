"""From a project's charts to the rows of its needs: match, estimate, write down.

This is the only place of the stash that reads chart files; what it writes is all that planning,
kitting and shopping look at.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from chartscan.chart import Chart, load_chart
from chartscan.colour import parse_hex
from chartscan.errors import StashError
from chartscan.files import real_place
from chartscan.palette.fabric_colour import hardly_seen
from chartscan.palette.key import first_and_second, load_strands
from chartscan.palette.load import load_palette
from chartscan.palette.matching import match
from chartscan.palette.settings import MatchSettings
from chartscan.palette.thread import Palette
from chartscan.stash.charts import ChartSource, find_chart, know_chart, known_title, source_of
from chartscan.stash.entries import joining
from chartscan.stash.kit import Kit, KitThread, assemble, supplies
from chartscan.stash.ledger import Ledger
from chartscan.stash.needs import FabricNeed, ThreadNeed, set_chart_needs
from chartscan.stash.projects import (
    COMPUTED_FROM,
    PLANNED,
    Project,
    change_project,
    charts_of,
    find_project,
    planning,
    set_charts,
    wrong_state,
)
from chartscan.stash.threads import info_of
from chartscan.yardage.estimate import estimate
from chartscan.yardage.requirement import Fabric, Factor
from chartscan.yardage.settings import EstimateSettings


@dataclass(frozen=True)
class Worked:
    """What a project's charts come to: rows for the ledger, and what the stitcher should know."""

    threads: tuple[ThreadNeed, ...]
    fabrics: tuple[FabricNeed, ...]
    warnings: tuple[str, ...]


def begin_project(
    ledger: Ledger,
    project: Project,
    charts: Sequence[str] = (),
    factor: Factor = EstimateSettings.factor,
) -> tuple[Project, Worked | None]:
    """Begin a project; its needs are worked out where it has chart files, fabric and palette.

    Args:
        ledger: an open ledger.
        project: its data.
        charts: titles of charts in the stash, or chart files, which are added to it; in the order
            of the project's parts.
        factor: the stitcher's own factor for the estimate.

    Raises:
        StashError: the name is taken, or a chart isn't known.
        ChartError, TableError, MatchError, YardageError: chart, palette or key can't be used;
            nothing was booked.
    """
    sources = [_source(ledger, told) for told in charts]
    worked = _work_out(project, sources, factor)
    with ledger.atomic(), planning(ledger, project) as made:
        set_charts(ledger, made.id, [_title(ledger, source) for source in sources])
        if worked:
            set_chart_needs(ledger, made, worked.threads, worked.fabrics)
    return made, worked


def alter_project(
    ledger: Ledger,
    name: str,
    changes: Mapping[str, Any],
    charts: Sequence[str] = (),
    factor: Factor = EstimateSettings.factor,
) -> tuple[Project, Worked | None]:
    """Change a project's data, its charts where any are told; what follows from it is worked out.

    Raises:
        StashError: no such project, or its things are set apart already.
        ChartError, TableError, MatchError, YardageError: as :func:`begin_project`.
    """
    before = find_project(ledger, name)
    if charts and before.state != PLANNED:
        raise wrong_state(before, "given other charts")
    sources = (
        [_source(ledger, told) for told in charts]
        if charts
        else [source_of(row) for row in charts_of(ledger, before.id)]
    )
    anew = bool(charts or COMPUTED_FROM & changes.keys()) and before.state == PLANNED
    worked = _work_out(replace(before, **changes), sources, factor) if anew else None
    with ledger.atomic():
        if find_project(ledger, name) != before:
            raise StashError(f"{name} was changed meanwhile; nothing was booked, try again")
        with joining(ledger, "changed", before.id):
            changed = change_project(ledger, name, changes)
            if charts:
                set_charts(ledger, changed.id, [_title(ledger, source) for source in sources])
            if anew:
                needs = worked or Worked((), (), ())
                set_chart_needs(ledger, changed, needs.threads, needs.fabrics)
    return changed, worked


def work_out_again(
    ledger: Ledger, project: Project, factor: Factor = EstimateSettings.factor
) -> Worked | None:
    """Work out a planned project's needs from its charts as they are now, and write them down."""
    sources = [source_of(row) for row in charts_of(ledger, project.id)]
    worked = _work_out(project, sources, factor)
    if worked:
        set_chart_needs(ledger, project, worked.threads, worked.fabrics)
    return worked


def _source(ledger: Ledger, told: str) -> ChartSource:
    """A chart by its title in the stash, or by its file."""
    path = Path(told)
    if not path.is_file():
        return source_of(find_chart(ledger, told))
    file = str(real_place(path))
    return ChartSource(known_title(ledger, file) or path.stem, file)


def _title(ledger: Ledger, source: ChartSource) -> str:
    know_chart(ledger, source)
    return source.title


def _work_out(project: Project, sources: Sequence[ChartSource], factor: Factor) -> Worked | None:
    """Match and estimate the charts; None while chart file, fabric or palette isn't told yet."""
    if not (project.fabric_count and project.palette and sources):
        return None
    if not all(source.file for source in sources):
        return None
    palette = load_palette(Path(project.palette))
    kits = [
        _kit(project, Path(source.file), load_chart(Path(source.file)), palette, factor)
        for source in sources
    ]
    return Worked(
        threads=tuple(_thread_need(line, factor) for kit in kits for line in kit.threads),
        fabrics=tuple(_fabric_need(project, kit) for kit in kits),
        warnings=tuple(dict.fromkeys(w for kit in kits for w in kit.warnings)),
    )


def _kit(project: Project, path: Path, chart: Chart, palette: Palette, factor: Factor) -> Kit:
    told = load_strands(Path(project.key_file), chart, palette) if project.key_file else {}
    key, partners = first_and_second(told)
    matches = match(chart, palette, MatchSettings(), key, partners=partners)
    settings = EstimateSettings(
        strands=project.strands,
        margin_mm=EstimateSettings.margin_mm if project.margin_mm is None else project.margin_mm,
        copies=project.copies,
        factor=factor,
    )
    fabric = Fabric(project.fabric_count or 0.0, project.fabric_over, project.fabric_count_down)
    needed = estimate(chart, fabric, settings, supplies(matches))
    kit = assemble(chart, matches, needed, title=path.stem)
    if not project.fabric_hex:
        return kit
    pale = hardly_seen(matches.matches, parse_hex(project.fabric_hex))
    return replace(kit, warnings=(*kit.warnings, *pale))


def _thread_need(line: KitThread, factor: Factor) -> ThreadNeed:
    uses: Sequence[int] = [use.requirement.strands for use in line.uses]
    length = line.length_mm
    return ThreadNeed(
        called=info_of(line.thread),
        skeins=line.requirement.skeins,
        high_mm=math.ceil(length.high),
        likely_mm=round(length.likely),
        low_mm=math.floor(length.low),
        strands=tuple(sorted(set(uses or [line.requirement.strands]))),
        stitches=line.requirement.stitches,
        factor=factor.value,
        class_index=line.requirement.class_index,
    )


def _fabric_need(project: Project, kit: Kit) -> FabricNeed:
    width, height = kit.requirements.cut_mm
    return FabricNeed(
        count=kit.fabric.count,
        width_mm=math.ceil(width),
        height_mm=math.ceil(height),
        pieces=project.copies,
        colour=project.fabric_colour,
    )
