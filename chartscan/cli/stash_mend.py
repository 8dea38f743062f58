"""``chartscan stash rename``, ``merge`` and ``forget``: what was mistyped is put right."""

from __future__ import annotations

from pathlib import Path

import click

from chartscan.cli.ledger import line_option, note_option, open_stash, stash_option
from chartscan.cli.saying import say

unit_option = click.option(
    "--unit", metavar="TEXT", help="The notion's unit, where it has several."
)


@click.command()
@click.argument("kind", type=click.Choice(("thread", "fabric", "notion", "chart")))
@click.argument("name")
@click.argument("new")
@line_option
@click.option("--new-line", metavar="LINE", help="Another line of the thread, too.")
@unit_option
@note_option
@stash_option
def rename(
    kind: str,
    name: str,
    new: str,
    line: str | None,
    new_line: str | None,
    unit: str | None,
    note: str,
    stash_file: Path | None,
) -> None:
    """Give a thing another code, label, name or title.

    Everything of it stays: stock, promises, needs and history.

    \b
    Example: chartscan stash rename thread ROSS1 ROS1
    """
    from chartscan.stash import mistyped

    with open_stash(stash_file) as ledger:
        if kind == "thread":
            mistyped.rename_thread(ledger, name, line, new_code=new, new_line=new_line, note=note)
        elif kind == "fabric":
            mistyped.rename_piece(ledger, name, new, note)
        elif kind == "notion":
            mistyped.rename_notion(ledger, name, new, unit, note)
        else:
            mistyped.rename_chart(ledger, name, new, note)
    say(f"{name} is called {new} now.")


@click.command()
@click.argument("kind", type=click.Choice(("thread", "notion")))
@click.argument("wrong")
@click.argument("right")
@click.option("--wrong-line", metavar="LINE", help="The line of the thread WRONG.")
@line_option
@unit_option
@note_option
@stash_option
def merge(
    kind: str,
    wrong: str,
    right: str,
    wrong_line: str | None,
    line: str | None,
    unit: str | None,
    note: str,
    stash_file: Path | None,
) -> None:
    """Bring two together that are one.

    All that is known, owned, promised and needed of WRONG becomes RIGHT's. `stash reverse` takes
    it back.

    \b
    Example: chartscan stash merge thread ROSS1 ROS1
    """
    from chartscan.stash import mistyped

    with open_stash(stash_file) as ledger:
        if kind == "thread":
            mistyped.merge_threads(
                ledger, wrong, right, wrong_line=wrong_line, right_line=line, note=note
            )
        else:
            mistyped.merge_notions(ledger, wrong, right, unit, note)
    say(f"{wrong} is {right} now.")


@click.command()
@click.argument("kind", type=click.Choice(("thread", "notion", "chart")))
@click.argument("name")
@line_option
@unit_option
@note_option
@stash_option
def forget(
    kind: str,
    name: str,
    line: str | None,
    unit: str | None,
    note: str,
    stash_file: Path | None,
) -> None:
    """Forget a thing of which nothing is owned or needed.

    Its history stays; adding it again brings it back.

    \b
    Example: chartscan stash forget thread ROSS1
    """
    from chartscan.stash import mistyped

    with open_stash(stash_file) as ledger:
        if kind == "thread":
            mistyped.forget_thread(ledger, name, line, note)
        else:
            mistyped.forget_thing(ledger, kind, name, unit, note)
    say(f"{name} is forgotten.")
