"""``chartscan stash wish …``: what she would like to have, for no project yet."""

from __future__ import annotations

from pathlib import Path

import click

from chartscan.cli.ledger import (
    InOrder,
    jsonable,
    line_option,
    local_day,
    note_option,
    open_stash,
    stash_option,
)
from chartscan.cli.options import json_option, print_json
from chartscan.cli.parsing import Number
from chartscan.cli.saying import say, say_list


@click.group(cls=InOrder)
def wish() -> None:
    """Keep a list of what you would like to have.

    \b
    Example: chartscan stash wish add ROS1 --skeins 2
    """


@wish.command()
@click.argument("what", nargs=-1, required=True)
@click.option("--skeins", type=Number(1, 1_000_000, whole=True), metavar="N", help="How many.")
@line_option
@note_option
@stash_option
def add(
    what: tuple[str, ...],
    skeins: int | None,
    line: str | None,
    note: str,
    stash_file: Path | None,
) -> None:
    """Wish for the thread WHAT, or for anything in words.

    \b
    Example: chartscan stash wish add "a frame of 40 cm"
    """
    from chartscan.stash.wishes import add_wish

    with open_stash(stash_file, create=True) as ledger:
        made = add_wish(ledger, " ".join(what), skeins, note, line)
    say(f"Wish {made.number}: {made.what}.")


@wish.command("list")
@json_option
@stash_option
def list_(as_json: bool, stash_file: Path | None) -> None:
    """List your wishes, the oldest first.

    \b
    Example: chartscan stash wish list
    """
    from chartscan.report.listing import Column
    from chartscan.stash.wishes import wishes

    with open_stash(stash_file) as ledger:
        found = wishes(ledger)
    if as_json:
        print_json({"wishes": [jsonable(one) for one in found]})
        return
    if not found:
        say("There are no wishes.")
    columns = (
        *(Column("No.", right=True), Column("Wish", loose=True), Column("Skeins", right=True)),
        *(Column("Owned", right=True), Column("Price", right=True), Column("Since")),
        Column("Note", loose=True),
    )
    say_list(
        columns,
        [
            [
                str(w.number),
                w.what,
                str(w.skeins or ""),
                str(w.owned or ""),
                "" if w.price is None else f"{w.price * (w.skeins or 1):.2f}",
                local_day(w.since),
                w.note,
            ]
            for w in found
        ],
    )


@wish.command()
@click.argument("number", type=Number(1, whole=True))
@note_option
@stash_option
def drop(number: int, note: str, stash_file: Path | None) -> None:
    """Drop the wish NUMBER: it has come true, or you think otherwise.

    \b
    Example: chartscan stash wish drop 3
    """
    from chartscan.stash.wishes import drop_wish

    with open_stash(stash_file) as ledger:
        dropped = drop_wish(ledger, number, note)
    say(f"No longer wished for: {dropped.what}.")
