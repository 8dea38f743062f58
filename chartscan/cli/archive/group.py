"""The group of commands on archives."""

from __future__ import annotations

import click

from chartscan.cli.archive.join import join
from chartscan.cli.archive.list import list_
from chartscan.cli.archive.missed import missed
from chartscan.cli.archive.read import read
from chartscan.cli.ledger import InOrder


@click.group(cls=InOrder)
def archive() -> None:
    """Read whole folders of pages; find charts in them.

    A catalogue is one file, made by `archive read`, and beside it a folder of chart files; every
    other command takes those.

    \b
    Example: chartscan archive read scans/ --into guild.catalogue
    """


for _member in (read, list_, join, missed):
    archive.add_command(_member)
