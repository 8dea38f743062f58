"""Options and arguments that several commands share."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from chartscan.chart import Chart

Command = TypeVar("Command", bound=Callable[..., Any])

FILE = click.Path(path_type=Path)

chart_argument = click.argument("chart", type=FILE)
json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object and nothing else."
)
palette_option = click.option(
    "--palette", "palette_file", type=FILE, required=True, help="Your thread range (CSV or GPL)."
)


def open_chart(path: Path) -> Chart:
    """The chart in ``path``: a chart file as it is, a picture or PDF read with the defaults."""
    from chartscan.chart import load_chart

    if is_chart_file(path):
        return load_chart(path)
    from chartscan.reading import read_pages

    return read_pages([path]).chart


def is_chart_file(path: Path) -> bool:
    """Whether ``path`` starts like JSON; a file that can't be opened is left to its reader."""
    try:
        with path.open("rb") as stream:
            return stream.read(64).lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{")
    except OSError:
        return False


def print_json(value: object) -> None:
    """Print one JSON object on standard output."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))
