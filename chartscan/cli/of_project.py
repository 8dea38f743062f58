"""``--project``: a chart, its range, fabric and threads as a project of the stash has them."""

from __future__ import annotations

from collections.abc import Callable, Collection
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from chartscan.cli.options import FILE
from chartscan.cli.parsing import ONE_OR_MORE
from chartscan.files import real_place

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.palette import Matches
    from chartscan.stash.kit import Kit
    from chartscan.tasks.choice import Laid

Command = TypeVar("Command", bound=Callable[..., Any])


def project_options(what: str) -> Callable[[Command], Command]:
    """Give a command ``--project NAME``, whose help is ``what``, and ``--part N``."""

    def decorate(command: Command) -> Command:
        command = click.option(
            "--part",
            type=ONE_OR_MORE,
            metavar="N",
            help="Which of the project's charts.  [default: the only one]",
        )(command)
        return click.option("--project", metavar="NAME", help=what)(command)

    return decorate


optional_chart_argument = click.argument("chart", type=FILE, required=False)


def told_of(names: Collection[str]) -> list[str]:
    """Which of some parameters the command line tells, as they are written there."""
    context = click.get_current_context()
    return [
        parameter.opts[0] if isinstance(parameter, click.Option) else parameter.human_readable_name
        for parameter in context.command.params
        if parameter.name in names
        and context.get_parameter_source(parameter.name) is click.core.ParameterSource.COMMANDLINE
    ]


def kit_of(project: str, part: int | None, never: Collection[str]) -> Kit:
    """The kit of a project; a usage error where the command line tells what the project says."""
    from chartscan.tasks.projects import kit_of_project

    told = told_of({"chart", "palette_file", *never})
    if told:
        raise click.UsageError(
            f"{told[0]} and --project can't both be given: the project says it"
            " (`chartscan project change` and `chartscan match --project` change it)"
        )
    return kit_of_project(own_stash(), project, part)


def keep_with(
    project: str,
    part: int,
    told: tuple[Path, Path],
    before: Laid | None,
    chart: Chart,
    matches: Matches,
) -> None:
    """Keep chosen threads with a project, which is begun, or given chart and range, as need be.

    Args:
        project: its name.
        part: which of its charts.
        told: the chart file and the range.
        before: what the project said of both; None where it isn't there yet.
        chart: the chart.
        matches: the threads.
    """
    from chartscan.cli.saying import say
    from chartscan.tasks import charts, choice, projects

    chart_file, palette_file = told
    if not charts.is_chart_file(chart_file):
        raise click.UsageError(
            f"a project keeps a chart file; make one of {chart_file} with `chartscan read`"
        )
    data = projects.project_data({"palette": palette_file})
    if before is None:
        projects.begin(own_stash(), project, data, [str(chart_file)])
    elif before.file != real_place(chart_file):
        if before.charts > 1:
            raise click.UsageError(
                f"{project} has {before.charts} charts, and part {part} is {before.file};"
                " `chartscan project change --chart` tells them all"
            )
        projects.change(own_stash(), project, data, [str(chart_file)])
    elif str(before.palette) != data["palette"]:
        projects.change(own_stash(), project, data)
    worked = choice.keep_threads(own_stash(), project, chart, matches, part)
    lacks = "" if worked else "; tell its fabric with `chartscan project change`"
    say(f"The threads are kept with the project {project}{lacks}.", err=True)


def own_stash() -> Path:
    """The stash that the command line names, else the usual one."""
    from chartscan.tasks.drawer import own_place

    return click.get_current_context().params.get("stash_file") or own_place()


def need(chart: Path | None, palette: Path | None) -> tuple[Path, Path]:
    """Chart and range, or a usage error where one is told by neither option nor project."""
    if chart is None:
        raise click.UsageError("Missing argument 'CHART' (or --project, which says it)")
    if palette is None:
        raise click.UsageError("Missing option '--palette' (or --project, which says it)")
    return chart, palette
