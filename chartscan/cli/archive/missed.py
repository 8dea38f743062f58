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


@click.command()
@catalogue_argument
@click.option(
    "--kind",
    type=click.Choice([state for state in STATES if state != "chart"]),
    default="aside",
    help="Which pages.",
)
@json_option
def missed(catalogue: Path, kind: State, as_json: bool) -> None:
    """List the pages that aren't among the charts, and why.

    `aside`: took time, memory or their worker down, twice. `unreadable`: can't be opened.
    `refused`: looked like charts and couldn't be read. `other`: no charts by a quick look.

    \b
    Example: chartscan archive missed guild.catalogue --kind refused
    """
    from dataclasses import asdict

    from chartscan.tasks.catalogue import count_pages, list_missed

    pages = list_missed(catalogue, kind)
    if as_json:
        print_json({"pages": [asdict(page) for page in pages], "counts": count_pages(catalogue)})
        return
    for page in pages:
        where = page.path if page.page is None else f"{page.path}, page {page.page}"
        say(f"{where}: {page.reason}" if page.reason else where)
    counts = count_pages(catalogue)
    say(", ".join(f"{number:,} {state}" for state, number in counts.items()), err=True)
