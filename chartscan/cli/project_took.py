"""``chartscan project took``: what a project used up."""

from __future__ import annotations

from pathlib import Path

import click

from chartscan.cli.ledger import jsonable, local_day, open_stash, stash_option
from chartscan.cli.options import json_option, print_json
from chartscan.cli.saying import say, say_list


@click.command()
@click.argument("name")
@json_option
@stash_option
def took(name: str, as_json: bool, stash_file: Path | None) -> None:
    """Show what a project took.

    What was used up for it, as it was booked when it ended, and what that is worth by the prices
    known now.

    \b
    Example: chartscan project took Robin
    """
    from chartscan.report.listing import Column
    from chartscan.report.units import in_unit
    from chartscan.stash.took import what_it_took

    with open_stash(stash_file) as ledger:
        found = what_it_took(ledger, name)
    if as_json:
        print_json(jsonable(found))
        return
    days = [local_day(moment) for moment in (found.begun, found.ended) if moment]
    say(f"{found.project.name}, {found.project.state}{': ' * bool(days)}{' to '.join(days)}")
    if not found.things:
        say("Nothing is used up yet; `chartscan project plan` shows what is set apart.")
    columns = (
        *(Column("Took"), Column("Name", loose=True), Column("Amount", right=True)),
        *(Column("Skeins", right=True), Column("Price", right=True)),
    )
    say_list(
        columns,
        [
            [
                t.thing,
                t.name,
                f"{t.amount:,.1f} m" if t.unit == "m" else in_unit(t.amount, t.unit),
                "" if t.skeins is None else f"{t.skeins:.3g}",
                "" if t.price is None else f"{t.price:.2f}",
            ]
            for t in found.things
        ],
    )
    if found.price is not None:
        unpriced = sum(t.price is None for t in found.things)
        say(f"Worth {found.price:.2f}" + f", {unpriced} without a price" * bool(unpriced) + ".")
