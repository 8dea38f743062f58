"""Projects: what can be started today, what one needs, beginning one, its bag's label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.stash.ledger import open_ledger
from chartscan.stash.paper import BagLabel
from chartscan.stash.plan import Plan, make_plan
from chartscan.stash.projects import STATES, Project, list_projects

if TYPE_CHECKING:  # looking at a plan needs neither charts nor threads' colours
    from chartscan.stash.computing import Worked
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


def bag_labels_of(stash: Path, names: Sequence[str]) -> tuple[BagLabel, ...]:
    """The labels of some projects' bags.

    Raises:
        StashError: no such project.
    """
    from chartscan.stash.labels import bag_label

    with open_ledger(stash) as ledger:
        return tuple(bag_label(ledger, name) for name in names)
