"""``chartscan stash add …``: what came into the house."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.ledger import (
    NUMBER,
    WHOLE,
    line_option,
    metre_amount,
    note_option,
    size_option,
    skein_amount,
    stash_option,
    stash_place,
    whole_mm,
)
from chartscan.cli.options import FILE
from chartscan.cli.parsing import Number, parse_colour, parsed
from chartscan.cli.saying import say
from chartscan.errors import MatchError

if TYPE_CHECKING:
    from chartscan.stash.amounts import ThreadAmount


@click.group()
def add() -> None:
    """Book what you bought or were given.

    \b
    Example: chartscan stash add thread ROS1 KIL2 --palette meadowline --skeins 2
    """


@add.command()
@click.argument("codes", nargs=-1, required=True)
@line_option
@click.option(
    "--skeins",
    callback=parsed(skein_amount),
    metavar="N",
    help="Skeins of each: 2, 1 1/2 or 0,5; what isn't whole is a part skein.  [default: 1]",
)
@click.option(
    "--left",
    "parts",
    multiple=True,
    callback=parsed(metre_amount),
    metavar="M",
    help="What is left on a part skein: 3.5 (metres), 4yd or 1/2sk; may be repeated.",
)
@click.option(
    "--dye-lot", default="", show_default=False, metavar="LOT", help="Dye lot on the band."
)
@click.option("--name", default="", show_default=False, metavar="TEXT", help="Colour name.")
@click.option("--colour", callback=parsed(parse_colour), metavar="#RRGGBB", help="Colour.")
@click.option("--metres", callback=parsed(whole_mm), metavar="M", help="Length of a whole skein.")
@click.option(
    "--strands", type=Number(1, 100, whole=True), metavar="N", help="Strands it divides into."
)
@click.option("--price", type=NUMBER, metavar="N", help="Price of one skein.")
@click.option(
    "--palette",
    "palette_file",
    type=FILE,
    metavar="P.csv",
    help="Thread range to take name, colour, length and price from.",
)
@note_option
@stash_option
def thread(
    codes: tuple[str, ...],
    line: str | None,
    skeins: ThreadAmount | None,
    parts: tuple[ThreadAmount, ...],
    dye_lot: str,
    palette_file: Path | None,
    note: str,
    stash_file: Path | None,
    **told: object,
) -> None:
    """Add skeins of the threads CODES; a code may be repeated.

    \b
    Example: chartscan stash add thread ROS1 KIL2 --palette meadowline --skeins 2
    """
    from chartscan.stash.amounts import ThreadAmount, total
    from chartscan.tasks import drawer
    from chartscan.tasks.threads import open_range

    default = ThreadAmount() if parts else ThreadAmount((Fraction(1),))
    amount = total([default if skeins is None else skeins, *parts])
    if not any((*amount.skeins, *amount.lengths_mm)):
        raise click.UsageError("--skeins 0 adds nothing; give --left for a part skein")
    palette = open_range(palette_file) if palette_file else None
    try:
        infos = drawer.describe_threads(codes, line or "", palette, told)
    except MatchError as error:
        raise click.UsageError(str(error)) from error
    added = drawer.add_threads(stash_place(stash_file), infos, amount, dye_lot, note)
    say(f"Added {', '.join(i.code for i in infos)}.")
    unheard = [thread.code for thread in added if thread.new]
    if unheard and palette is None:
        say(
            f"New here, without a name or colour: {', '.join(unheard)}."
            " (--palette tells them; `stash merge thread` mends a slip.)"
        )


@add.command()
@click.option("--count", type=NUMBER, required=True, metavar="N", help="Threads per inch.")
@click.option("--count-down", type=NUMBER, metavar="N", help="Threads per inch downwards.")
@size_option
@click.option(
    "--pieces",
    type=Number(1, 1000, whole=True),
    default=1,
    metavar="N",
    help="How many.",
)
@click.option(
    "--colour", default="", show_default=False, metavar="NAME", help="Name of the colour."
)
@click.option("--hex", "rgb", callback=parsed(parse_colour), metavar="#RRGGBB", help="Its colour.")
@click.option("--fibre", default="", show_default=False, metavar="TEXT", help="Cotton, linen …")
@click.option(
    "--label",
    default="",
    show_default=False,
    metavar="TEXT",
    help="Your own number for it.  [default: F1, F2 …]",
)
@note_option
@stash_option
def fabric(
    count: float,
    count_down: float | None,
    size: tuple[int, int] | None,
    pieces: int,
    colour: str,
    rgb: tuple[int, int, int] | None,
    fibre: str,
    label: str,
    note: str,
    stash_file: Path | None,
) -> None:
    """Add pieces of fabric.

    \b
    Example: chartscan stash add fabric --count 28 --colour ivory --fibre linen --size 50x70cm
    """
    from chartscan.tasks.drawer import add_fabric, describe_piece

    if size is None:
        raise click.UsageError("Missing option '--size': 50x70cm or 20x28in, say")
    if label and pieces > 1:
        raise click.UsageError("--label names one piece; leave it out for several")
    piece = describe_piece(
        count, size, colour, rgb, fibre, count_down=count_down, label=label, note=note
    )
    labels = add_fabric(stash_place(stash_file), piece, pieces, note)
    say(f"Added fabric {', '.join(labels)}.")


@add.command(short_help="Add beads, metallics, pearl cotton, charms, needles.")
@click.argument("name")
@click.option("--amount", type=NUMBER, default=1.0, metavar="N", help="Amount.")
@click.option("--unit", default="", show_default=False, metavar="TEXT", help="Packet, g, m …")
@click.option("--price", type=NUMBER, metavar="N", help="Price of one unit.")
@note_option
@stash_option
def notion(
    name: str, amount: float, unit: str, price: float | None, note: str, stash_file: Path | None
) -> None:
    """Add beads, metallics, pearl cotton, charms, needles or whatever NAME is.

    \b
    Example: chartscan stash add notion "seed beads, ivory" --amount 2 --unit packet
    """
    from chartscan.tasks.drawer import add_notion

    add_notion(stash_place(stash_file), name, amount, unit, price, note)
    say(f"Added {amount:g} {unit or 'of'} {name}.")


@add.command()
@click.argument("title")
@click.option("--file", "chart_file", type=FILE, metavar="C.json", help="The chart file.")
@click.option("--book", default="", show_default=False, metavar="TEXT", help="Book or magazine.")
@click.option(
    "--issue",
    default="",
    show_default=False,
    metavar="TEXT",
    help="Number or date of the magazine.",
)
@click.option("--page", default="", show_default=False, metavar="TEXT", help="Page or pages.")
@click.option(
    "--place", default="", show_default=False, metavar="TEXT", help="Folder, box or shelf."
)
@click.option(
    "--copies", type=WHOLE, metavar="N", help="Paper copies.  [default: 1; 0 with --file]"
)
@note_option
@stash_option
def chart(
    title: str,
    chart_file: Path | None,
    book: str,
    issue: str,
    page: str,
    place: str,
    copies: int | None,
    note: str,
    stash_file: Path | None,
) -> None:
    """Add the chart TITLE: its file, or where the paper is, or both.

    \b
    Example: chartscan stash add chart "Robin" --file robin.json --book "Winter birds" --page 12
    """
    from chartscan.stash.charts import ChartSource
    from chartscan.tasks.drawer import add_chart

    file = str(chart_file) if chart_file else ""
    source = ChartSource(title, file, book, issue, page, place, note)
    add_chart(stash_place(stash_file), source, copies)
    say(f"Added the chart {title}.")
