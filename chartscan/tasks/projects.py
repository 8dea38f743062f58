"""Projects: what can be started today, what one needs, beginning one, its bag's label."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.errors import MatchError, StashError
from chartscan.plaintext import text_key
from chartscan.stash.ledger import open_ledger
from chartscan.stash.plan import Plan, make_plan
from chartscan.stash.projects import (
    STATES,
    Project,
    charts_of,
    find_project,
    list_projects,
)

if TYPE_CHECKING:  # looking at a plan needs neither charts nor threads' colours
    from chartscan.chart import Chart
    from chartscan.palette import Matches, Palette
    from chartscan.stash.computing import Worked
    from chartscan.stash.kit import Kit
    from chartscan.stash.ledger import Ledger
    from chartscan.stash.paper import BagLabel
    from chartscan.stash.threads import ThreadInfo
    from chartscan.stash.today import TodayProject


def today(stash: Path) -> tuple[TodayProject, ...]:
    """What can be started today, and what the other projects lack, the least first.

    Raises:
        StashError: there is no stash, or it can't be read.
    """
    from chartscan.stash.today import what_today

    with open_ledger(stash) as ledger:
        return tuple(what_today(ledger))


def all_projects(stash: Path, states: Sequence[str] = ()) -> tuple[Project, ...]:
    """The projects in some states (in any, where none is told), the nearest deadline first.

    Raises:
        StashError: there is no stash, or it can't be read.
    """
    with open_ledger(stash) as ledger:
        return tuple(list_projects(ledger, tuple(states) or STATES))


def plan(stash: Path, name: str) -> Plan:
    """What a project needs, has, and lacks.

    Raises:
        StashError: no such project.
    """
    with open_ledger(stash) as ledger:
        return make_plan(ledger, name)


def project_data(told: Mapping[str, Any]) -> dict[str, Any]:
    """What was told of a project, as the stash keeps it; None for what isn't told.

    Files are kept by their real place; a sample range stays a bare name, since its place changes
    with the installation. ``fabric_hex`` is told as sRGB.
    """
    from chartscan.colour import format_hex
    from chartscan.files import real_place
    from chartscan.palette.samples import resolve

    data = {name: value for name, value in told.items() if value is not None}
    for name in ("palette", "key_file"):
        file = data.get(name)
        if file is not None:
            data[name] = str(file if resolve(file) != file else real_place(file))
    if "fabric_hex" in data:
        data["fabric_hex"] = format_hex(data["fabric_hex"])
    return data


def begin(
    stash: Path, name: str, data: Mapping[str, Any], charts: Sequence[str] = ()
) -> Worked | None:
    """Begin a project; what it needs, where chart, fabric and range are told.

    Args:
        stash: the stash's file; begun where there is none.
        name: what the project is called.
        data: :func:`project_data`.
        charts: titles of charts in the stash, or chart files.

    Raises:
        StashError: the name is taken, or a chart isn't known.
        ChartError, TableError, MatchError, YardageError: chart, range or key can't be used.
    """
    from chartscan.stash.computing import begin_project
    from chartscan.tasks.fabric import learnt_factor

    with open_ledger(stash, create=True) as ledger:
        _, worked = begin_project(ledger, Project(name, **data), charts, learnt_factor())
    return worked


def change(
    stash: Path, name: str, data: Mapping[str, Any], charts: Sequence[str] = ()
) -> Worked | None:
    """Change a project; what it needs now, where that changes with it.

    Raises:
        StashError: no such project, or its things are set apart already.
        ChartError, TableError, MatchError, YardageError: as :func:`begin`.
    """
    from chartscan.stash.computing import alter_project
    from chartscan.tasks.fabric import learnt_factor

    with open_ledger(stash) as ledger:
        _, worked = alter_project(ledger, name, data, charts, learnt_factor())
    return worked


@dataclass(frozen=True)
class Laid:
    """One chart of a project, with what the project says of it.

    Attributes:
        file: the chart file.
        palette: the thread range, a file or a sample's name.
        chosen: the project has a choice of threads of its own already.
        charts: how many charts the project has.
    """

    file: Path
    palette: Path
    chosen: bool
    charts: int


def laid_out(stash: Path, name: str, part: int = 1) -> Laid | None:
    """A chart of a project and its range; None where there is no such project yet.

    Only the command line: the worktable has both before the project.

    Raises:
        StashError: the project has no such chart, or no range.
    """
    from chartscan.stash.charts import source_of

    if not stash.exists():
        return None
    with open_ledger(stash) as ledger:
        if all(text_key(name) != text_key(p.name) for p in list_projects(ledger)):
            return None
        project = find_project(ledger, name)
        sources = [source_of(row) for row in charts_of(ledger, project.id)]
        files = [source.file for source in sources]
        if not (1 <= part <= len(files) and files[part - 1] and project.palette):
            raise StashError(
                f"{project.name} has no chart file {part} with a thread range;"
                f" `chartscan project change '{project.name}' --chart … --palette …` tells them"
            )
        kept = ledger.value(
            "SELECT 1 FROM class_threads WHERE project = ? AND part = ?", (project.id, part)
        )
        return Laid(Path(files[part - 1]), Path(project.palette), bool(kept), len(files))


def keep_threads(
    stash: Path, name: str, chart: Chart, matches: Matches, part: int = 1
) -> Worked | None:
    """Keep the threads that were chosen for a chart with its project; what it needs now.

    What the project calls for no more goes back into the drawer in the same act.

    Only the command line: the worktable keeps a key with the project, which says the same.

    Raises:
        StashError: no such project, or it isn't planned any more.
    """
    from chartscan.stash.chosen import keep_chosen, marked_of
    from chartscan.stash.computing import work_out_again
    from chartscan.stash.entries import acting
    from chartscan.tasks.fabric import learnt_factor

    with open_ledger(stash) as ledger, ledger.atomic():
        project = find_project(ledger, name)
        with acting(ledger, "chose", project=project.id):
            keep_chosen(ledger, project.name, part, marked_of(chart, matches))
            return work_out_again(ledger, project, learnt_factor())


def threads_of(stash: Path, name: str, chart: Chart, palette: Palette, part: int = 1) -> Matches:
    """The threads of a project's chart, stand-ins in place of what they stand in for.

    Only the command line: the worktable shows the threads of a chart.

    Raises:
        StashError: no such project.
    """
    from chartscan.stash.computing import matches_of

    with open_ledger(stash) as ledger:
        return matches_of(ledger, find_project(ledger, name), part, chart, palette)


def kit_of_project(stash: Path, name: str, part: int | None = None) -> Kit:
    """The kit of a project's chart with the threads that were chosen, at any time of its life.

    Args:
        stash: the stash's file.
        name: the project.
        part: which of its charts, from 1; may be left out where there is one only.

    Only the command line: the worktable prints the papers of a chart.

    Raises:
        StashError: no such project or part, or something of it isn't told yet.
        ChartError, TableError, MatchError, YardageError: chart, range or key can't be used.
    """
    from chartscan.stash.computing import kits_of
    from chartscan.tasks.fabric import learnt_factor

    with open_ledger(stash) as ledger:
        kits = kits_of(ledger, name, learnt_factor())
    if part is None and len(kits) > 1:
        raise StashError(f"{name} has {len(kits)} charts; say which with --part")
    if not 1 <= (part or 1) <= len(kits):
        raise StashError(f"{name} has no part {part}; it has {len(kits)}")
    return kits[(part or 1) - 1]


def work_in(
    stash: Path,
    name: str,
    called: tuple[str, str | None],
    used: ThreadInfo | tuple[str, str | None],
    reason: str = "",
) -> None:
    """Work a project in another thread than is called for, and say why.

    What was promised of the one goes back into the drawer in the same act.

    Only the command line: on the worktable a class is given another thread.

    Args:
        stash: the stash's file.
        name: the project.
        called: code and line of the thread called for.
        used: the other thread, or code and line of one that the stash knows, else the project's
            own range.
        reason: why, in the stitcher's words.

    Raises:
        StashError: no such project or thread, or the project isn't planned any more.
    """
    from chartscan.stash.needs import called_thread, choose_thread
    from chartscan.stash.threads import ThreadInfo

    with open_ledger(stash) as ledger:
        if not isinstance(used, ThreadInfo):
            used = _known_thread(ledger, find_project(ledger, name), *used)
        choose_thread(ledger, name, called_thread(ledger, name, *called), used, reason)


def _known_thread(ledger: Ledger, project: Project, code: str, line: str | None) -> ThreadInfo:
    """A thread of the stash, else of the range that the project is matched to."""
    from chartscan.stash.threads import ThreadInfo, find_thread, info_of
    from chartscan.tasks import threads

    try:
        known = find_thread(ledger, code, line)
    except StashError:
        if not project.palette:
            raise
        palette = threads.open_range(Path(project.palette))
        with contextlib.suppress(MatchError):  # then it is the stash that doesn't know it
            return info_of(threads.find_thread(palette, code, line or ""))
        raise
    return ThreadInfo(known["code"], known["line"])


def drawn_projects(stash: Path) -> frozenset[str]:
    """The names of the projects that :func:`design_picture` can draw.

    Only the worktable: a terminal shows no picture.

    Raises:
        StashError: there is no stash, or it can't be read.
    """
    with open_ledger(stash) as ledger:
        return frozenset(
            project.name
            for project in list_projects(ledger, STATES)
            if any(Path(file).is_file() for file in _chart_files(ledger, project))
        )


def _chart_files(ledger: Ledger, project: Project) -> list[str]:
    from chartscan.stash.projects import charts_of

    return [row["file"] for row in charts_of(ledger, project.id) if row["file"]]


def design_picture(stash: Path, name: str, longest_px: int) -> bytes:
    """A small picture of a project's first chart in its own colours on the project's fabric, PNG.

    Only the worktable: a terminal shows no picture.

    Raises:
        StashError: no such project, or no chart file is told of it.
        ChartError: the chart file isn't there any more, or is broken.
    """
    import io

    from chartscan.chart import load_chart
    from chartscan.colour import parse_hex
    from chartscan.errors import StashError
    from chartscan.report.stitched import UNKNOWN, StitchedSettings, draw_stitched
    from chartscan.stash.projects import find_project

    with open_ledger(stash) as ledger:
        project = find_project(ledger, name)
        files = _chart_files(ledger, project)
    if not files:
        raise StashError(f"{name} has no chart file")
    chart = load_chart(Path(files[0]))
    colours = {entry.index: entry.rgb or UNKNOWN for entry in chart.classes}
    ground = parse_hex(project.fabric_hex) if project.fabric_hex else None
    small = StitchedSettings(longest_px=longest_px)
    stream = io.BytesIO()
    draw_stitched(chart, colours, ground, settings=small).save(stream, "PNG")
    return stream.getvalue()


def bag_labels_of(stash: Path, names: Sequence[str]) -> tuple[BagLabel, ...]:
    """The labels of some projects' bags.

    Raises:
        StashError: no such project.
    """
    from chartscan.stash.labels import bag_label

    with open_ledger(stash) as ledger:
        return tuple(bag_label(ledger, name) for name in names)
