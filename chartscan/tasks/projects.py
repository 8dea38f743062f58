"""Projects: what can be started today, what one needs, beginning one, its bag's label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.errors import StashError
from chartscan.remedies import Remedy
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
    from chartscan.stash.computing import Worked
    from chartscan.stash.kit import Kit
    from chartscan.stash.ledger import Ledger
    from chartscan.stash.paper import BagLabel
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
        raise StashError(f"{name} has {len(kits)} charts", Remedy.SAY_PART)
    if not 1 <= (part or 1) <= len(kits):
        raise StashError(f"{name} has no part {part}; it has {len(kits)}")
    return kits[(part or 1) - 1]


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
