"""``chartscan stash history``, ``as-of`` and ``reverse``: looking back and taking back."""

from __future__ import annotations

import re
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.ledger import (
    jsonable,
    line_option,
    local_day,
    note_option,
    open_stash,
    parse_moment,
    stash_option,
    stash_place,
)
from chartscan.cli.options import json_option, print_json
from chartscan.cli.parsing import Number, parsed
from chartscan.cli.saying import say, say_list

if TYPE_CHECKING:
    from chartscan.stash.lookback import HistoryEntry


@click.command()
@click.option("--project", metavar="NAME", help="Only what was done for this project.")
@click.option("--thread", "code", metavar="CODE", help="Only this thread.")
@line_option
@click.option(
    "--last",
    type=Number(1, 1_000_000, whole=True),
    default=50,
    metavar="N",
    help="How many entries.",
)
@json_option
@stash_option
def history(
    project: str | None,
    code: str | None,
    line: str | None,
    last: int,
    as_json: bool,
    stash_file: Path | None,
) -> None:
    """Show what was booked, the newest at the bottom.

    \b
    Example: chartscan stash history --thread ROS1
    """
    from chartscan.report.listing import Column
    from chartscan.tasks.drawer import came_and_went

    found = came_and_went(stash_place(stash_file), project, code, line, last)
    if as_json:
        print_json({"entries": [jsonable(entry) for entry in found]})
        return
    columns = (
        *(Column("No."), Column("Day"), Column("What", loose=True), Column("Thing", loose=True)),
        *(Column("Owned", right=True), Column("Promised", right=True), Column("For", loose=True)),
    )
    say_list(columns, [_history_row(e) for e in found])


def _history_row(e: HistoryEntry) -> list[str]:
    from chartscan.report.units import in_unit

    told = ("changed", "moved")
    what = e.act if e.kind in told else e.kind
    if e.reversed_by is not None:
        what = f"{what} (taken back by {e.reversed_by})"
    elif e.act in ("undone", "reversed"):
        what = e.act if e.kind in told else f"{e.kind}, {e.act}"
    marks = [in_unit(v, e.unit, sign=True) if v else "" for v in (e.owned, e.promised)]
    why = ": ".join(w for w in (e.project, e.note) if w)
    return [e.number, local_day(e.time), what, e.thing, *marks, why]


@click.command("as-of")
@click.argument("moment", callback=parsed(parse_moment), metavar="DATE")
@json_option
@stash_option
def as_of(moment: datetime, as_json: bool, stash_file: Path | None) -> None:
    """Show what there was on a day.

    At the end of DATE (2026-12-24), or at a time of it (2026-12-24T18:30).

    \b
    Example: chartscan stash as-of 2026-12-24
    """
    from chartscan.report.listing import Column
    from chartscan.report.units import in_unit
    from chartscan.stash.lookback import as_of as standings

    with open_stash(stash_file) as ledger:
        found = standings(ledger, moment)
    if as_json:
        print_json({"moment": moment.isoformat(), "stock": [jsonable(s) for s in found]})
        return
    if not found:
        say("Nothing was there then.")
        return
    columns = (
        *(Column("Thing", loose=True), Column("Owned", right=True)),
        Column("Promised", right=True),
    )
    say_list(
        columns,
        [[s.thing, in_unit(s.owned, s.unit), f"{s.promised:g}" * bool(s.promised)] for s in found],
    )


@click.command()
@click.argument("number", metavar="NO.")
@click.option("--look", is_flag=True, help="Only say what would be taken back.")
@note_option
@stash_option
def reverse(number: str, look: bool, note: str, stash_file: Path | None) -> None:
    """Take back an entry of the history.

    NO. is 12 for the whole of it, 12.3 for its third line. What is taken back is said first; at a
    terminal you are asked before it is done.

    \b
    Example: chartscan stash reverse 12 --note "wrong code"
    """
    from chartscan.report.units import in_unit
    from chartscan.stash.lookback import act_lines
    from chartscan.tasks.drawer import take_back

    match = re.fullmatch(r"(\d{1,12})(?:\.(\d{1,9}))?", number)
    if not match:
        raise click.UsageError(f"{number!r} isn't the number of an entry like 12 or 12.3")
    act, line = int(match[1]), int(match[2]) if match[2] else None
    with open_stash(stash_file) as ledger:
        lines = [e for e in act_lines(ledger, act) if line is None or e.number == number]
    for entry in lines:
        changes = [v for v in (entry.owned, entry.promised) if v]
        marks = [in_unit(v, entry.unit, sign=True) for v in changes]
        day = local_day(entry.time)
        what = f"{entry.kind} {entry.thing}" if marks else entry.thing
        say(f"  {entry.number}  {day}  {what}  {', '.join(marks)}".rstrip())
    if look:
        return
    if sys.stdin.isatty():
        click.confirm("Take this back?", abort=True)
    done = take_back(stash_place(stash_file), act, line, note)
    say(f"Took back {number}; booked as {done.number}.")
    if done.learning:
        say(done.learning)
