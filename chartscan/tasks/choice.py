"""A project's choice of threads: kept, looked at, changed, whichever face it was made on."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.errors import MatchError, StashError
from chartscan.plaintext import text_key
from chartscan.remedies import Remedy
from chartscan.stash.ledger import open_ledger
from chartscan.stash.projects import (
    OPEN_STATES,
    Project,
    charts_of,
    find_project,
    list_projects,
)

if TYPE_CHECKING:  # looking for a project needs neither charts nor threads' colours
    import sqlite3

    from chartscan.chart import Chart
    from chartscan.palette import Matches, Palette
    from chartscan.stash.computing import Worked
    from chartscan.stash.ledger import Ledger
    from chartscan.stash.threads import ThreadInfo


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
                f"{project.name} has no chart file {part} with a thread range",
                Remedy.TELL_PROJECT,
                name=project.name,
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

    Only the command line: the worktable says what is worked (:func:`settle_threads`).

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

    Raises:
        StashError: no such project.
    """
    from chartscan.stash.computing import matches_of

    with open_ledger(stash) as ledger:
        return matches_of(ledger, find_project(ledger, name), part, chart, palette)


@dataclass(frozen=True)
class ProjectChart:
    """A chart of a project under way, found by its file.

    Attributes:
        project: the project's name.
        part: which of its charts, from 1.
        palette: the project's thread range, a file or a sample's name; None where none is told.
    """

    project: str
    part: int
    palette: Path | None


def project_of_chart(stash: Path, file: Path, likely: str = "") -> ProjectChart | None:
    """The project under way whose chart lies in ``file``, the one called ``likely`` before others.

    Only the worktable: the command line names the project.

    Raises:
        StashError: the stash can't be read.
    """
    from chartscan.files import real_place

    if not stash.exists():
        return None
    place = str(real_place(file))
    with open_ledger(stash) as ledger:
        found = [
            ProjectChart(p.name, row["part"], Path(p.palette) if p.palette else None)
            for p in list_projects(ledger, OPEN_STATES)
            for row in charts_of(ledger, p.id)
            if row["file"] == place
        ]
    return min(found, key=lambda one: text_key(one.project) != text_key(likely), default=None)


def settle_threads(
    stash: Path,
    told: ProjectChart,
    chart: Chart,
    matches: Matches,
    data: Mapping[str, Any] | None = None,
) -> Worked | None:
    """Work a project's chart in the threads of ``matches``, and change its data, in one act.

    Only the worktable: on the command line `match` keeps a choice and `project choose` says
    what stands in for what.

    Args:
        stash: the stash's file.
        told: the project and which of its charts.
        chart: the chart.
        matches: what each of its classes is worked in, stand-ins in their places.
        data: :func:`project_data`, as far as it changes.

    Raises:
        StashError: no such project, or it isn't planned any more.
    """
    from chartscan.stash.chosen import keep_settled, load_chosen, settle
    from chartscan.stash.computing import alter_project, work_out_again
    from chartscan.stash.entries import acting
    from chartscan.tasks.fabric import learnt_factor
    from chartscan.tasks.threads import open_range

    factor = learnt_factor()
    with open_ledger(stash) as ledger, ledger.atomic():
        project = find_project(ledger, told.project)
        palette = open_range(Path(project.palette))
        before = load_chosen(ledger, project.id, palette)
        with acting(ledger, "chose", project=project.id):
            if data:
                project, _ = alter_project(ledger, project.name, data, factor=factor)
            after = settle(before, told.part, chart, matches)
            keep_settled(ledger, project.name, before, after)
            return work_out_again(ledger, project, factor)


def work_in(
    stash: Path,
    name: str,
    called: tuple[str, str | None],
    used: ThreadInfo | tuple[str, str | None],
    reason: str = "",
) -> tuple[str, ...]:
    """Work a project in another thread than is called for, and say why; what needs a look then.

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
        wanted = called_thread(ledger, name, *called)
        project = choose_thread(ledger, name, wanted, used, reason)
        return tuple(_in_its_place(ledger, project.id, wanted))


def _in_its_place(ledger: Ledger, project: int, called: sqlite3.Row) -> Iterator[str]:
    """What needs a look where a project (an id) works a thread called for (a row) in another."""
    from chartscan.colour import DIFFERENT
    from chartscan.palette.remarks import listed

    used = ledger.row(
        "SELECT n.thread, t.code, MAX(n.delta_e) AS delta_e FROM thread_needs n"
        " JOIN threads t ON t.id = n.thread WHERE n.project = ? AND n.called = ?"
        " GROUP BY n.thread",
        (project, called["id"]),
    )
    if used is None:
        return
    if used["delta_e"] is not None and used["delta_e"] > DIFFERENT:
        yield f"{used['code']} is another colour than the chart's (ΔE {used['delta_e']:.1f})"
    alike = ledger.rows(
        "SELECT DISTINCT t.code FROM thread_needs n JOIN threads t ON t.id = n.called"
        " WHERE n.project = ? AND n.thread = ? ORDER BY t.code",
        (project, used["thread"]),
    )
    if len(alike) > 1:
        codes = listed([row["code"] for row in alike])
        yield f"what calls for {codes} is all worked in {used['code']}: their colours become one"


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
