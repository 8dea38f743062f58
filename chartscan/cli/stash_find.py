"""``chartscan stash find`` and ``put``: do I own it, and where?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.ledger import jsonable, line_option, note_option, open_stash, stash_option
from chartscan.cli.options import json_option, print_json
from chartscan.cli.parsing import Number
from chartscan.cli.saying import say

if TYPE_CHECKING:
    from chartscan.stash.finding import Found, Heap

THINGS = click.Choice(("thread", "fabric", "notion", "chart"))


@click.command()
@click.argument("words", nargs=-1, required=True, metavar="WHAT")
@click.option("--kind", type=THINGS, help="Only things of this kind.")
@click.option(
    "--number",
    "-n",
    type=Number(1, 1000, whole=True),
    default=20,
    metavar="N",
    help="How many at most.",
)
@json_option
@stash_option
def find(
    words: tuple[str, ...], kind: str | None, number: int, as_json: bool, stash_file: Path | None
) -> None:
    """Find what you own, and where it lies.

    WHAT is a code, a part of a name, a box or drawer, or a colour (#20527a) to which the nearest
    threads are shown. Capitals, blanks and accents don't matter.

    \b
    Example: chartscan stash find cornfield
    Example: chartscan stash find '#20527a'
    """
    from chartscan.stash.finding import KINDS, colour_of, find_by_colour, find_things

    text = " ".join(words)
    rgb = colour_of(text)
    with open_stash(stash_file) as ledger:
        if rgb is None:
            kinds = tuple(k for k in KINDS if kind in (None, k))
            found = find_things(ledger, text, kinds)
        else:
            found = find_by_colour(ledger, rgb, number)
    if as_json:
        print_json({"found": [_json(one) for one in found]})
        return
    if not found:
        say(f"Nothing in the stash is called {text!r}, nor lies in a place of that name.")
    for one in found[:number]:
        say("\n".join(_lines(one)))
    if len(found) > number:
        say(f"… and {len(found) - number} more (-n {len(found)})")


@click.command()
@click.option(
    "--years",
    type=Number(0, 100),
    default=2.0,
    show_default=True,
    metavar="N",
    help="For how long nothing has moved.",
)
@json_option
@stash_option
def unused(years: float, as_json: bool, stash_file: Path | None) -> None:
    """Show what has lain unused for years.

    Of these something is free, and nothing was bought, set apart, given back or used for that
    long. Counting the drawer moves nothing.

    \b
    Example: chartscan stash unused --years 3
    """
    from datetime import timedelta

    from chartscan.cli.ledger import local_day
    from chartscan.report.units import counted
    from chartscan.stash.idle import lying_idle

    with open_stash(stash_file) as ledger:
        found = lying_idle(ledger, ledger.clock() - timedelta(days=DAYS_OF_YEAR * years))
    if as_json:
        print_json({"unused": [{"since": i.since, **_json(i.thing)} for i in found]})
        return
    for idle in found:
        head, *lines = _lines(idle.thing)
        say("\n".join([f"{head}: since {local_day(idle.since)}", *lines]))
    say(f"{counted(len(found), 'thing')} unused for {years:g} years.")


DAYS_OF_YEAR = 365.25


def _json(one: Found) -> dict[str, Any]:
    return {**jsonable(one), "owned": one.owned}


def _lines(one: Found) -> list[str]:
    """A thing, and a line for every place where some of it is."""
    near = "" if one.delta_e is None else f" (ΔE {one.delta_e:.1f})"
    head = ", ".join(part for part in (one.label, one.name) if part) + near
    lines = [head if one.owned else f"{head}: none owned"]
    lines += [f"  {_heap(heap, one.unit)}" for heap in one.heaps]
    lines += [f"  needed by {', '.join(one.wanted_by)}"] * bool(one.wanted_by)
    return lines


def _heap(heap: Heap, unit: str) -> str:
    from chartscan.report.units import amount, in_unit

    words = [in_unit(heap.skeins, unit)] * bool(heap.skeins)
    words += [f"{amount(metres)} m" for metres in heap.metres]
    what = " + ".join(words) or "the file"
    lot = f", lot {heap.dye_lot}" * bool(heap.dye_lot)
    if heap.project:
        bag = f" ({heap.place})" * bool(heap.place)
        return f"{what}{lot}: set apart for {heap.project}{bag}"
    return f"{what}{lot}: {heap.place or 'place not told'}"


@click.command()
@click.argument("kind", type=THINGS)
@click.argument("name")
@click.argument("place")
@line_option
@click.option("--dye-lot", metavar="LOT", help="Only skeins of this dye lot.")
@click.option("--unit", metavar="TEXT", help="The notion's unit, where it has several.")
@note_option
@stash_option
def put(
    kind: str,
    name: str,
    place: str,
    line: str | None,
    dye_lot: str | None,
    unit: str | None,
    note: str,
    stash_file: Path | None,
) -> None:
    """Say in which box or drawer a thing lies.

    KIND is thread, fabric, notion or chart, NAME its code, label, name or title.

    \b
    Example: chartscan stash put thread ROS1 "box 2"
    """
    from chartscan.stash.mistyped import put_in_place

    with open_stash(stash_file) as ledger:
        put_in_place(ledger, kind, name, place, line=line, dye_lot=dye_lot, unit=unit, note=note)
    say(f"{name} lies in {place}." if place else f"{name} lies nowhere in particular.")
