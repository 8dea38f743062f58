"""``chartscan stash use``, ``lose``, ``count-again`` and ``cut``: what went, what was found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from chartscan.cli.ledger import (
    NUMBER,
    WHOLE,
    line_option,
    metre_amount,
    note_option,
    open_stash,
    skein_amount,
    stash_option,
    whole_size,
)
from chartscan.cli.parsing import parsed
from chartscan.cli.saying import say

if TYPE_CHECKING:
    from chartscan.stash.amounts import ThreadAmount
    from chartscan.stash.entries import Act, EntryKind

Command = TypeVar("Command", bound=Callable[..., Any])


@dataclass(frozen=True)
class Gone:
    """How much of what went, as told; field names are option names."""

    line: str | None = None
    skeins: ThreadAmount | None = None
    metres: ThreadAmount | None = None
    dye_lot: str | None = None
    amount: float | None = None
    unit: str | None = None


OPTIONS = (
    line_option,
    click.option(
        "--skeins", callback=parsed(skein_amount), metavar="N", help="Skeins: 2 or 1/2, say."
    ),
    click.option(
        "--metres", callback=parsed(metre_amount), metavar="M", help="Length: 2.5 (m) or 3yd, say."
    ),
    click.option("--dye-lot", metavar="LOT", help="Of this dye lot."),
    click.option("--amount", type=NUMBER, metavar="N", help="Amount of a notion."),
    click.option("--unit", metavar="TEXT", help="The notion's unit, where it has several."),
)


def gone_options(command: Command) -> Command:
    """Give ``command`` the options on how much went; it gets them as one :class:`Gone`."""

    @wraps(command)
    def with_gone(**values: object) -> object:
        told: Any = {field.name: values.pop(field.name) for field in fields(Gone)}
        return command(gone=Gone(**told), **values)

    decorated: Any = with_gone
    for option in reversed(OPTIONS):
        decorated = option(decorated)
    result: Command = decorated
    return result


@click.command()
@click.argument("kind", type=click.Choice(("thread", "fabric", "notion", "chart")))
@click.argument("name")
@gone_options
@note_option
@stash_option
def use(kind: str, name: str, gone: Gone, note: str, stash_file: Path | None) -> None:
    """Book what was used outside any project.

    KIND is thread, fabric, notion or chart, NAME its code, label, name or title.

    \b
    Example: chartscan stash use thread ROS1 --metres 2.5 --note "mended a cuff"
    """
    _book(kind, name, "used", gone, note, stash_file)


@click.command()
@click.argument("kind", type=click.Choice(("thread", "fabric", "notion", "chart")))
@click.argument("name")
@gone_options
@note_option
@stash_option
def lose(kind: str, name: str, gone: Gone, note: str, stash_file: Path | None) -> None:
    """Book what was lost, spoilt or given away.

    \b
    Example: chartscan stash lose fabric F3 --note "scorched"
    """
    _book(kind, name, "lost", gone, note, stash_file)


def _book(
    kind: str, name: str, what: EntryKind, gone: Gone, note: str, stash_file: Path | None
) -> None:
    from chartscan.stash.entries import acting

    if kind == "thread" and gone.skeins is None and gone.metres is None:
        raise click.UsageError("say how much: --skeins N or --metres M")
    if kind == "notion" and gone.amount is None:
        raise click.UsageError("say how much: --amount N")
    with open_stash(stash_file) as ledger, acting(ledger, what, note=note) as act:
        _take(act, kind, name, what, gone)
    say(f"Booked: {kind} {name} {what}.")


def _take(act: Act, kind: str, name: str, what: EntryKind, gone: Gone) -> None:
    from chartscan.stash.amounts import total
    from chartscan.stash.charts import find_chart
    from chartscan.stash.fabrics import take_piece
    from chartscan.stash.notions import find_notion, take_notion
    from chartscan.stash.threads import find_thread, putup_mm, take_thread

    if kind == "thread":
        thread = find_thread(act.ledger, name, gone.line)["id"]
        told = total([amount for amount in (gone.skeins, gone.metres) if amount is not None])
        skeins, lengths = told.in_stock(putup_mm(act.ledger, thread))
        if not skeins and not lengths:
            raise click.UsageError("nothing went: say how much")
        take_thread(act, thread, what, skeins=skeins, dye_lot=gone.dye_lot)
        for length in lengths:
            take_thread(act, thread, what, length_mm=length, dye_lot=gone.dye_lot)
    elif kind == "fabric":
        take_piece(act, name, what)
    elif kind == "notion":
        stock = find_notion(act.ledger, name, gone.unit)["stock"]
        take_notion(act, stock, gone.amount or 0.0, what)
    else:
        act.put(find_chart(act.ledger, name)["stock"], what, owned=-1)


@click.command("count-again")
@click.argument("kind", type=click.Choice(("thread", "notion")))
@click.argument("name")
@line_option
@click.option("--skeins", type=WHOLE, metavar="N", help="Whole skeins found.")
@click.option(
    "--left",
    "parts",
    multiple=True,
    callback=parsed(metre_amount),
    metavar="M",
    help="A part skein found: 2.5 (m), 3yd or 1/2sk; one for each; 0 for none.",
)
@click.option("--dye-lot", default="", show_default=False, metavar="LOT", help="Of this dye lot.")
@click.option("--amount", type=NUMBER, metavar="N", help="Amount of a notion found.")
@click.option("--unit", metavar="TEXT", help="The notion's unit, where it has several.")
@note_option
@stash_option
def count_again(
    kind: str,
    name: str,
    line: str | None,
    skeins: int | None,
    parts: tuple[ThreadAmount, ...],
    dye_lot: str,
    amount: float | None,
    unit: str | None,
    note: str,
    stash_file: Path | None,
) -> None:
    """Book what a count of the drawer found.

    What is set apart in bags isn't counted.

    \b
    Example: chartscan stash count-again thread ROS1 --skeins 3 --left 2.5
    """
    from chartscan.stash.amounts import total
    from chartscan.stash.entries import acting
    from chartscan.stash.notions import count_notion, find_notion
    from chartscan.stash.threads import count_thread, find_thread, putup_mm

    if amount is None if kind == "notion" else skeins is None and not parts:
        raise click.UsageError("say what you found: --skeins N, --left M or --amount N")
    with open_stash(stash_file) as ledger, acting(ledger, "counted", note=note) as act:
        if amount is not None and kind == "notion":
            count_notion(act, find_notion(ledger, name, unit)["stock"], amount)
        else:
            thread = find_thread(ledger, name, line)["id"]
            whole, lengths = total(parts).in_stock(putup_mm(ledger, thread))
            if whole:
                raise click.UsageError("--left is less than a skein; --skeins counts whole ones")
            found = lengths if parts else None
            count_thread(act, thread, skeins=skeins, parts_mm=found, dye_lot=dye_lot)
    say(f"Booked the count of {name}.")


@click.command()
@click.argument("label")
@click.argument("sizes", nargs=-1, required=True, callback=parsed(whole_size))
@note_option
@stash_option
def cut(label: str, sizes: tuple[tuple[int, int], ...], note: str, stash_file: Path | None) -> None:
    """Cut a free piece of fabric into smaller ones.

    LABEL is the piece, SIZES are those of all that comes of it, the rest included.

    \b
    Example: chartscan stash cut F2 30x40cm 20x40cm
    """
    from chartscan.stash.entries import acting
    from chartscan.stash.fabrics import cut_piece

    with open_stash(stash_file) as ledger, acting(ledger, "cut", note=note) as act:
        labels = cut_piece(act, label, sizes)
    say(f"Cut {label} into {', '.join(labels)}.")
