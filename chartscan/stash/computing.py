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
from chartscan.lengths import to_cut
from chartscan.palette.fabric_colour import hardly_seen
from chartscan.palette.key import load_strands
from chartscan.palette.load import load_palette
from chartscan.palette.ownership import Owned
from chartscan.palette.picks import match_picked
from chartscan.palette.thread import Match, Matches, Palette
from chartscan.remedies import Remedy
from chartscan.stash.charts import ChartSource, find_chart, know_chart, known_title, source_of
from chartscan.stash.chosen import (
    Chosen,
    Marked,
    drop_chosen,
    keep_chosen,
    load_chosen,
    marked_of,
    stood_in,
)
from chartscan.stash.entries import joining
from chartscan.stash.kit import Kit, KitThread, assemble, supplies
from chartscan.stash.ledger import Ledger
from chartscan.stash.needs import FabricNeed, ThreadNeed, set_chart_needs
from chartscan.stash.owned import threads_for
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

CHOSEN_FROM = frozenset({"palette", "key_file"})  # they tell anew which threads are worked


@dataclass(frozen=True)
class Worked:
    """What a project's charts come to: rows for the ledger, and what the stitcher should know.

    Attributes:
        threads: what each thread is needed for.
        fabrics: the pieces to cut.
        warnings: what needs a look.
        chosen: the threads of each chart's classes.
    """

    threads: tuple[ThreadNeed, ...]
    fabrics: tuple[FabricNeed, ...]
    warnings: tuple[str, ...]
    chosen: tuple[tuple[Marked, ...], ...] = ()


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
    worked = _work_out(ledger, project, sources, factor)
    with ledger.atomic(), planning(ledger, project) as made:
        set_charts(ledger, made.id, [_title(ledger, source) for source in sources])
        if worked:
            set_chart_needs(ledger, made, worked.threads, worked.fabrics)
            _keep_key(ledger, made, worked)
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
    otherwise = bool(charts or CHOSEN_FROM & changes.keys())  # the choice is told anew by them
    after = replace(before, **changes)
    worked = None
    if anew:
        worked = _work_out(ledger, after, sources, factor, kept=not otherwise)
    with ledger.atomic():
        if find_project(ledger, name) != before:
            raise StashError(f"{name} was changed meanwhile; nothing was booked, try again")
        with joining(ledger, "changed", before.id):
            changed = change_project(ledger, name, changes)
            if otherwise and anew:
                drop_chosen(ledger, changed.id)
            if charts:
                set_charts(ledger, changed.id, [_title(ledger, source) for source in sources])
            if anew:
                needs = worked or Worked((), (), ())
                set_chart_needs(ledger, changed, needs.threads, needs.fabrics)
                _keep_key(ledger, changed, needs)
    return changed, worked


def _keep_key(ledger: Ledger, project: Project, worked: Worked) -> None:
    """Keep what a project's key names, so that the file isn't needed any more."""
    if not project.key_file:
        return
    kept = {
        row["part"]
        for row in ledger.rows(
            "SELECT DISTINCT part FROM class_threads WHERE project = ?", (project.id,)
        )
    }
    for part, marked in enumerate(worked.chosen, start=1):
        if part not in kept:
            keep_chosen(ledger, project.name, part, marked)


def work_out_again(
    ledger: Ledger, project: Project, factor: Factor = EstimateSettings.factor
) -> Worked | None:
    """Work out a planned project's needs from its charts as they are now, and write them down."""
    sources = [source_of(row) for row in charts_of(ledger, project.id)]
    worked = _work_out(ledger, project, sources, factor)
    if worked:
        set_chart_needs(ledger, project, worked.threads, worked.fabrics)
    return worked


def kits_of(ledger: Ledger, name: str, factor: Factor = EstimateSettings.factor) -> tuple[Kit, ...]:
    """What each chart of a project takes, with the threads that were chosen for it.

    At hand is what is free, and what the project has set apart already.

    Raises:
        StashError: no such project, or its chart files, fabric or range aren't told.
        ChartError, TableError, MatchError, YardageError: as :func:`begin_project`.
    """
    project = find_project(ledger, name)
    sources = [source_of(row) for row in charts_of(ledger, project.id)]
    _need_all(project, sources)
    palette = load_palette(Path(project.palette))
    chosen = load_chosen(ledger, project.id, palette)
    owned = threads_for(ledger, project.name)
    several = len(sources) > 1
    kits = []
    for part, source in enumerate(sources, start=1):
        chart = load_chart(Path(source.file))
        matches = _matches(project, part, chart, palette, chosen, owned)
        title = f"{project.name}: {source.title}" if several else project.name
        kits.append(_kit(replace(project, name=title), chart, matches, factor, owned))
    return tuple(kits)


def matches_of(
    ledger: Ledger, project: Project, part: int, chart: Chart, palette: Palette
) -> Matches:
    """The threads chosen for one chart of a project."""
    chosen = load_chosen(ledger, project.id, palette)
    return _matches(project, part, chart, palette, chosen, threads_for(ledger, project.name))


def _need_all(project: Project, sources: Sequence[ChartSource]) -> None:
    lacking = [
        what
        for what, there in (
            ("a chart file", bool(sources) and all(source.file for source in sources)),
            ("a thread range", bool(project.palette)),
            ("a fabric", project.fabric_count is not None),
        )
        if not there
    ]
    if lacking:
        raise StashError(
            f"{project.name} lacks {', '.join(lacking)}", Remedy.TELL_PROJECT, name=project.name
        )


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


def _work_out(
    ledger: Ledger,
    project: Project,
    sources: Sequence[ChartSource],
    factor: Factor,
    *,
    kept: bool = True,
) -> Worked | None:
    """Match and estimate the charts; None while chart file, fabric or palette isn't told yet.

    With ``kept`` by what was chosen class by class. Threads are those called for: what stands in
    for one is put in its place where the needs are written down.
    """
    if not (project.fabric_count and project.palette and sources):
        return None
    if not all(source.file for source in sources):
        return None
    palette = load_palette(Path(project.palette))
    chosen = Chosen()
    if kept and project.id:
        chosen = replace(load_chosen(ledger, project.id, palette), stand_ins={})
    charts = [load_chart(Path(source.file)) for source in sources]
    matched = [
        _matches(project, part, chart, palette, chosen)
        for part, chart in enumerate(charts, start=1)
    ]
    both = list(zip(charts, matched, strict=True))
    kits = [_kit(project, chart, matches, factor) for chart, matches in both]
    return Worked(
        threads=tuple(_thread_need(line, factor) for kit in kits for line in kit.threads),
        fabrics=tuple(_fabric_need(project, kit) for kit in kits),
        warnings=tuple(dict.fromkeys(w for kit in kits for w in kit.warnings)),
        chosen=tuple(marked_of(chart, matches) for chart, matches in both),
    )


def _matches(
    project: Project,
    part: int,
    chart: Chart,
    palette: Palette,
    chosen: Chosen,
    owned: Owned | None = None,
) -> Matches:
    """A thread for each class: as chosen, else as the project's key tells, else by colour."""
    found = chosen.picks(part, chart)
    by_key = project.key_file and part not in chosen.parts
    told = load_strands(Path(project.key_file), chart, palette) if by_key else {}
    matches = match_picked(chart, palette, told=told, owned=owned, picks=found.picks)
    others, why = stood_in(matches, chosen)
    if others:
        picks = {**found.picks, **others}
        matches = match_picked(chart, palette, told=told, owned=owned, picks=picks)
    lost = [
        f"the thread {' + '.join(t.code for t in pick.threads)} was chosen for a class that is gone"
        for pick in found.lost
    ]
    notes = (*matches.notes, *why)
    return replace(matches, warnings=(*lost, *matches.warnings), notes=notes)


def _kit(
    project: Project,
    chart: Chart,
    matches: Matches,
    factor: Factor,
    owned: Owned | None = None,
) -> Kit:
    settings = EstimateSettings(
        strands=project.strands,
        margin_mm=EstimateSettings.margin_mm if project.margin_mm is None else project.margin_mm,
        copies=project.copies,
        factor=factor,
    )
    fabric = Fabric(
        count=project.fabric_count or 0.0,
        over=project.fabric_over,
        count_down=project.fabric_count_down,
        rgb=parse_hex(project.fabric_hex) if project.fabric_hex else None,
        name=project.fabric_colour,
    )
    needed = estimate(chart, fabric, settings, supplies(matches))
    kit = assemble(chart, matches, needed, owned, title=project.name)
    if not project.fabric_hex:
        return kit
    pale = hardly_seen(matches.matches, parse_hex(project.fabric_hex))
    return replace(kit, warnings=(*kit.warnings, *pale))


def _thread_need(line: KitThread, factor: Factor) -> ThreadNeed:
    uses: Sequence[int] = [use.requirement.strands for use in line.uses]
    length = line.length_mm
    matches = [use.match for use in line.uses] or [line.match]
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
        wanted=tuple(dict.fromkeys(rgb for rgb in map(_wanted, matches) if rgb)),
        delta_e=max((m.chosen.delta_e for m in matches if m.rgb is not None), default=None),
    )


def _wanted(match: Match) -> tuple[int, int, int] | None:
    """The colour that a thread is to show by itself."""
    return None if match.blended else match.corrected or match.rgb


def _fabric_need(project: Project, kit: Kit) -> FabricNeed:
    width, height = kit.requirements.cut_mm
    return FabricNeed(
        count=kit.fabric.count,
        width_mm=int(to_cut(width)),
        height_mm=int(to_cut(height)),
        pieces=project.copies,
        colour=project.fabric_colour,
    )
