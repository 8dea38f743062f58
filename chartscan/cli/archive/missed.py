"""``chartscan archive missed``: pages that are no charts, or none that could be read."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.archive.options import STATES, catalogue_argument
from chartscan.cli.options import json_option, print_json
from chartscan.cli.saying import say

if TYPE_CHECKING:
    from chartscan.archive.values import State

MISSED: tuple[State, ...] = ("refused", "unreadable", "aside")
"""What is listed unless one kind is asked for: `other` are most pages of a magazine."""


@click.command()
@catalogue_argument
@click.option(
    "--kind",
    type=click.Choice([state for state in STATES if state != "chart"]),
    help="Which pages.  [default: all but `other`]",
)
@json_option
def missed(catalogue: Path, kind: State | None, as_json: bool) -> None:
    """List the pages that aren't among the charts, and why.

    `aside`: took time, memory or their worker down, twice. `unreadable`: can't be opened.
    `refused`: looked like charts and couldn't be read. `other`: no charts by a quick look.

    \b
    Example: chartscan archive missed guild.catalogue --kind refused
    """
    from dataclasses import asdict

    from chartscan.report.units import counted
    from chartscan.tasks.catalogue import count_pages, list_missed

    kinds = (kind,) if kind else MISSED
    pages = [page for one in kinds for page in list_missed(catalogue, one)]
    if as_json:
        print_json({"pages": [asdict(page) for page in pages], "counts": count_pages(catalogue)})
        return
    for page in pages:
        where = page.path if page.page is None else f"{page.path}, page {page.page}"
        said = f"{where}: {page.reason}" if page.reason else where
        say(said if kind else f"{page.state}: {said}")
    counts = count_pages(catalogue)
    charts = counted(counts["chart"], "chart")
    rest = [f"{number:,} {state}" for state, number in counts.items() if state != "chart"]
    say(", ".join([charts, *rest]), err=True)
