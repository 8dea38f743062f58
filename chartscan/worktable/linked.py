"""A chart's project in the drawer: one choice of threads, whichever of the two it is made on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from chartscan.errors import ChartscanError
from chartscan.tasks import choice, threads
from chartscan.tasks.picks import Pick
from chartscan.worktable.jobs import CHART

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.palette import Match, Matches, Thread
    from chartscan.tasks.choice import ProjectChart

PROJECT = "project"  # of a chart's choices: the name of the project made of it


@dataclass(frozen=True)
class Linked:
    """The project that a chart belongs to.

    Attributes:
        told: which project, and which of its charts.
        matches: the threads that it works the chart in; None where they can't be told.
        trouble: why they can't, in a sentence; "" where they can.
    """

    told: ProjectChart
    matches: Matches | None = None
    trouble: str = ""


def project_of(stash: Path, folder: Path, likely: str, chart: Chart) -> Linked | None:
    """The project under way of the chart in ``folder``, ``likely`` its name; None without one.

    Raises:
        StashError: the stash can't be read.
    """
    told = choice.project_of_chart(stash, folder / CHART, likely)
    if told is None or told.palette is None:
        return None
    try:
        palette = threads.open_range(told.palette)
        return Linked(told, choice.threads_of(stash, told.project, chart, palette, told.part))
    except ChartscanError as error:
        return Linked(told, trouble=f"{told.project}: {error}")


def elsewhere(linked: Linked | None, matches: Matches) -> Mapping[int, Pick]:
    """What a chart's project works in other threads than the chart's own choices come to."""
    if linked is None or linked.matches is None:
        return {}
    own = {match.class_index: _codes(match) for match in matches.matches}
    return {
        match.class_index: Pick(_threads(match), match.keyed and not match.picked)
        for match in linked.matches.matches
        if match.chosen.thread.told and own.get(match.class_index) != _codes(match)
    }


def reasons(linked: Linked | None) -> Iterable[str]:
    """Why threads stand in for others, in words, and what else the project notes."""
    return () if linked is None or linked.matches is None else linked.matches.notes


def settle(stash: Path, linked: Linked | None, chart: Chart, matches: Matches) -> None:
    """Keep what a chart is worked in with its project, where that says otherwise.

    Raises:
        StashError: the project isn't planned any more.
    """
    if linked is not None and _all(linked.matches) != _all(matches):
        choice.settle_threads(stash, linked.told, chart, matches)


def _all(matches: Matches | None) -> Mapping[int, tuple[tuple[str, str], ...]]:
    every = () if matches is None else matches.matches
    return {m.class_index: _codes(m) for m in every if m.chosen.thread.told}


def _threads(match: Match) -> tuple[Thread, ...]:
    return tuple(thread for thread in (match.chosen.thread, match.blended) if thread)


def _codes(match: Match) -> tuple[tuple[str, str], ...]:
    return tuple((thread.line, thread.code) for thread in _threads(match))
