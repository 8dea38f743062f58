"""From a project's charts to the rows of its needs: match, estimate, write down.

This is the only place of the stash that reads chart files; what it writes is all that planning,
kitting and shopping look at.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from chartscan.chart import Chart, load_chart
from chartscan.errors import StashError
from chartscan.palette.key import load_key
from chartscan.palette.load import load_palette
from chartscan.palette.matching import match
from chartscan.palette.settings import MatchSettings
from chartscan.palette.thread import Palette
from chartscan.stash.kit import Kit, KitThread, assemble, supplies
from chartscan.stash.ledger import Ledger
from chartscan.stash.needs import FabricNeed, ThreadNeed, set_chart_needs
from chartscan.stash.projects import PLANNED, Project, charts_of, find_project
from chartscan.stash.threads import info_of
from chartscan.yardage.estimate import estimate
from chartscan.yardage.requirement import Fabric
from chartscan.yardage.settings import EstimateSettings, Factor


@dataclass(frozen=True)
class Computed:
    """What was computed: threads and fabric written down, and what the stitcher should know."""

    threads: int
    fabrics: int
    warnings: tuple[str, ...]


def compute_needs(ledger: Ledger, name: str, factor: Factor = EstimateSettings.factor) -> Computed:
    """Work out what the charts of a project need, and write it down in place of what was there.

    The charts are read before the ledger is locked; extras typed by hand stay.

    Args:
        ledger: an open ledger.
        name: a planned project with chart files, a palette and a fabric.
        factor: the stitcher's own factor for the estimate.

    Raises:
        StashError: something of that is missing, or the project isn't planned any more.
        ChartError, TableError, MatchError, YardageError: chart, palette or key can't be used.
    """
    project = find_project(ledger, name)
    _refuse_incomplete(project)
    files = _chart_files(ledger, project)
    palette = load_palette(Path(project.palette))
    kits = [_kit(project, path, load_chart(path), palette, factor) for path in files]
    threads = [_thread_need(t, factor) for kit in kits for t in kit.threads]
    fabrics = [_fabric_need(project, kit) for kit in kits]
    with ledger.atomic():
        current = find_project(ledger, name)
        if current != project:
            raise StashError(f"{name} was changed meanwhile; compute its needs again")
        set_chart_needs(ledger, project, threads, fabrics)
    warnings = dict.fromkeys(w for kit in kits for w in kit.warnings)
    return Computed(len(threads), len(fabrics), tuple(warnings))


def _refuse_incomplete(project: Project) -> None:
    if project.state != PLANNED:
        raise StashError(f"{project.name} is {project.state}; its needs are computed while planned")
    lacking = [
        words
        for words, there in (
            ("a fabric (--fabric COUNT)", project.fabric_count),
            ("a thread range (--palette FILE)", project.palette),
        )
        if not there
    ]
    if lacking:
        raise StashError(f"{project.name} has no {' and no '.join(lacking)} yet")


def _chart_files(ledger: Ledger, project: Project) -> list[Path]:
    rows = charts_of(ledger, project.id)
    if not rows:
        raise StashError(f"{project.name} has no chart yet (--chart); or type its needs by hand")
    paper = [row["title"] for row in rows if not row["file"]]
    if paper:
        raise StashError(
            f"{project.name}: of {', '.join(paper)} there is no chart file; `chartscan read` makes"
            " one, or type the needs by hand"
        )
    return [Path(row["file"]) for row in rows]


def _kit(project: Project, path: Path, chart: Chart, palette: Palette, factor: Factor) -> Kit:
    key = load_key(Path(project.key_file), chart, palette) if project.key_file else None
    matches = match(chart, palette, MatchSettings(), key)
    settings = EstimateSettings(
        strands=project.strands,
        margin_mm=EstimateSettings.margin_mm if project.margin_mm is None else project.margin_mm,
        copies=project.copies,
        factor=factor,
    )
    fabric = Fabric(project.fabric_count or 0.0, project.fabric_over, project.fabric_count_down)
    needed = estimate(chart, fabric, settings, supplies(matches))
    return assemble(chart, matches, needed, title=path.stem)


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
