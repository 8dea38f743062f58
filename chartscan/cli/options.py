"""Options and arguments that several commands share."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from chartscan.cli.parsing import (
    ONE_OR_MORE,
    FileName,
    parse_area,
    parse_colour,
    parse_pages,
    parse_point,
    parse_repeats,
    parse_size,
    parsed,
)
from chartscan.cli.saying import say

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.reading import ReadSettings

Command = TypeVar("Command", bound=Callable[..., Any])

FILE = FileName()

chart_argument = click.argument("chart", type=FILE)
json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object and nothing else."
)
PALETTE_HELP = (
    "Your thread range (CSV or GPL), or a sample: meadowline, fenmarl-pearl, css-colours."
)
palette_option = click.option(
    "--palette", "palette_file", type=FILE, required=True, metavar="RANGE", help=PALETTE_HELP
)
palette_or_project_option = click.option(
    "--palette", "palette_file", type=FILE, metavar="RANGE", help=PALETTE_HELP
)


READING_OPTIONS = (
    click.option(
        "--size",
        callback=parsed(parse_size),
        metavar="CxR",
        help="Columns x rows of the chart.  [default: as found]",
    ),
    click.option(
        "--area",
        callback=parsed(parse_area),
        metavar="X,Y,W,H",
        help="Look for the grid in here (pixels).  [default: the whole page]",
    ),
    click.option(
        "--corners",
        callback=parsed(parse_point),
        nargs=4,
        metavar="X,Y X,Y X,Y X,Y",
        help="Outer corners of the grid in pixels: top left, top right, bottom right, bottom left."
        "  [default: as found]",
    ),
    click.option(
        "--empty",
        callback=parsed(parse_colour),
        metavar="#RRGGBB",
        help="Colour of the unstitched ground.  [default: as found]",
    ),
    click.option("--no-empty", is_flag=True, help="Every cell is stitched."),
    click.option(
        "--colours", type=ONE_OR_MORE, metavar="N", help="Number of colours.  [default: as found]"
    ),
    click.option(
        "--page",
        type=ONE_OR_MORE,
        metavar="N",
        help="Page of a PDF, from 1.  [default: 1, where it is the only one]",
    ),
    click.option(
        "--pages",
        callback=parsed(parse_pages),
        metavar="N-M",
        help="Pages of a PDF that make one chart.",
    ),
    click.option(
        "--layout",
        callback=parsed(parse_size),
        metavar="RxC",
        help="Rows x columns of pages.  [default: one row]",
    ),
    click.option(
        "--repeats",
        callback=parsed(parse_repeats),
        metavar="N,N",
        help="Columns (rows) that neighbouring pages share, a seam each; ? for one to find.",
    ),
    click.option(
        "--turn",
        type=click.Choice(("90", "180", "270")),
        callback=parsed(int),
        help="Turn the page clockwise first, by degrees.  [default: 0]",
    ),
    click.option(
        "--max-pixels",
        type=ONE_OR_MORE,
        metavar="N",
        help="Largest page taken, in pixels.  [default: 150000000]",
    ),
    click.option(
        "--fix", "fixes", type=FILE, metavar="F.csv", help="Corrections to apply.  [default: none]"
    ),
)

READING_NAMES = (
    "size",
    "area",
    "corners",
    "empty",
    "no_empty",
    "colours",
    "page",
    "pages",
    "layout",
    "repeats",
    "turn",
    "max_pixels",
    "fixes",
)


def reading_options(command: Command) -> Command:
    """Give ``command`` the options that tell the reader what a page can't say.

    The command gets them as one argument, ``settings``, for :func:`open_chart`: a
    :class:`ReadSettings`, checked, or None where nothing was told, so that the reader needn't be
    loaded for a chart file.
    """

    @wraps(command)
    def with_settings(**values: object) -> object:
        told = {name: values.pop(name) for name in READING_NAMES}
        return command(settings=_read_settings(told), **values)

    decorated: Any = with_settings
    for option in reversed(READING_OPTIONS):
        decorated = option(decorated)
    result: Command = decorated
    return result


def _read_settings(told: dict[str, Any]) -> ReadSettings | None:
    """The reader's settings from option values; a usage error where they contradict each other."""
    if not any(told.values()):
        return None
    from chartscan.reading import ReadSettings

    page = told.pop("page")
    if page is not None:
        if told["pages"]:
            raise click.UsageError("--page and --pages can't both be given")
        told["pages"] = (page,)
    try:
        return ReadSettings(**{name: value for name, value in told.items() if value})
    except ValueError as error:
        raise click.UsageError(str(error)) from error


def open_chart(path: Path, settings: ReadSettings | None = None) -> Chart:
    """The chart in ``path``: a chart file as it is, a picture or PDF read (with ``settings``).

    What the reader warns of and asks goes to standard error. Reading options with a chart file are
    a usage error: they can't change what was read already.
    """
    from chartscan.cli.progress import shown_progress
    from chartscan.tasks import charts

    if settings is not None and charts.is_chart_file(path):
        raise click.UsageError(
            f"{path} is a chart file; options such as --size, --page or --fix go with a picture"
        )
    with shown_progress() as progress:
        opened = charts.open_chart(path, settings, progress)
    warn(opened.warnings)
    name_questions(opened.chart, path if charts.is_chart_file(path) else None)
    return opened.chart


def name_questions(chart: Chart, path: Path | None) -> None:
    """Name what the reader asks, a line each on standard error, and how to answer it."""
    if not chart.questions:
        return
    from chartscan.report.questions import question_lines

    for line in question_lines(chart):
        click.echo(f"Question: {line}", err=True)
    if path is None:
        keep = "keep the reading (`chartscan read PICTURE -o CHART`), then "
        click.echo(f"To answer, {keep}`chartscan check CHART`.", err=True)
    else:
        click.echo(f"Answer with `chartscan check {path}`.", err=True)


def warn(warnings: Iterable[str]) -> None:
    """Print each warning as one line on standard error."""
    for warning in warnings:
        say(f"Warning: {' '.join(warning.split())}", err=True)


def print_json(value: object) -> None:
    """Print one JSON object on standard output."""
    click.echo(json.dumps(value, ensure_ascii=not is_unicode(), indent=1))


def is_unicode() -> bool:
    """Whether standard output takes every character."""
    return (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
