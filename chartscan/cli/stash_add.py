"""``chartscan stash add …``: what came into the house."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.ledger import (
    NUMBER,
    WHOLE,
    line_option,
    note_option,
    open_stash,
    size_option,
    stash_option,
    whole_mm,
)
from chartscan.cli.options import FILE
from chartscan.cli.parsing import Number, parse_colour, parsed

if TYPE_CHECKING:
    from chartscan.stash.threads import ThreadInfo


@click.group()
def add() -> None:
    """Book what you bought or were given.

    \b
    Example: chartscan stash add thread RA11 RB32 --palette meadowline --skeins 2
    """


@add.command()
@click.argument("codes", nargs=-1, required=True)
@line_option
@click.option("--skeins", type=WHOLE, metavar="N", help="Whole skeins of each [1].")
@click.option(
    "--left",
    "parts",
    multiple=True,
    callback=parsed(whole_mm),
    metavar="M",
    help="Metres left on a part skein (3.5, say); may be repeated.",
)
@click.option("--dye-lot", default="", metavar="LOT", help="Dye lot on the band.")
@click.option("--name", default="", metavar="TEXT", help="Colour name.")
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
    skeins: int | None,
    parts: tuple[int, ...],
    dye_lot: str,
    palette_file: Path | None,
    note: str,
    stash_file: Path | None,
    **told: object,
) -> None:
    """Add skeins of the threads CODES; a code may be repeated.

    \b
    Example: chartscan stash add thread RA11 RB32 --palette meadowline --skeins 2
    """
    from chartscan.stash.entries import acting
    from chartscan.stash.threads import add_thread

    whole = skeins if skeins is not None else 0 if parts else 1
    if not whole and not parts:
        raise click.UsageError("--skeins 0 adds nothing; give --left for a part skein")
    infos = _infos(codes, line, palette_file, told)
    with open_stash(stash_file, create=True) as ledger, acting(ledger, "bought", note=note) as act:
        for info in infos:
            add_thread(act, info, skeins=whole, parts_mm=parts, dye_lot=dye_lot)
    click.echo(f"Added {', '.join(i.code for i in infos)}.")


def _infos(
    codes: tuple[str, ...], line: str | None, palette_file: Path | None, told: dict[str, Any]
) -> list[ThreadInfo]:
    from dataclasses import replace

    from chartscan.colour import format_hex
    from chartscan.palette import find_thread, load_palette
    from chartscan.stash.threads import CENTS, ThreadInfo, info_of

    price, colour = told["price"], told["colour"]
    changes: dict[str, Any] = {
        "name": told["name"] or None,
        "putup_mm": told["metres"],
        "strands": told["strands"],
        "hex": format_hex(colour) if isinstance(colour, tuple) else None,
        "price": round(price * CENTS) if isinstance(price, float) else None,
    }
    changes = {name: value for name, value in changes.items() if value is not None}
    palette = load_palette(palette_file) if palette_file else None
    infos = []
    for code in codes:
        info = ThreadInfo(code, line or "")
        if palette is not None:
            try:
                info = info_of(find_thread(palette, code, line or ""))
            except ValueError as error:
                raise click.UsageError(f"{palette_file}: {error}") from error
        infos.append(replace(info, **changes))
    return infos


@add.command()
@click.option("--count", type=NUMBER, required=True, metavar="N", help="Threads per inch.")
@click.option("--count-down", type=NUMBER, metavar="N", help="Threads per inch downwards.")
@size_option
@click.option(
    "--pieces", type=Number(1, 1000, whole=True), default=1, metavar="N", help="How many [1]."
)
@click.option("--colour", default="", metavar="NAME", help="Name of the colour.")
@click.option("--hex", "rgb", callback=parsed(parse_colour), metavar="#RRGGBB", help="Its colour.")
@click.option("--fibre", default="", metavar="TEXT", help="Cotton, linen …")
@click.option("--label", default="", metavar="TEXT", help="Your own number for it [F1, F2 …].")
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
    from chartscan.colour import format_hex
    from chartscan.stash.entries import acting
    from chartscan.stash.fabrics import Piece, add_piece

    if size is None:
        raise click.UsageError("Missing option '--size': 50x70cm or 20x28in, say")
    if label and pieces > 1:
        raise click.UsageError("--label names one piece; leave it out for several")
    piece = Piece(
        count, *size, count_down, colour, format_hex(rgb) if rgb else None, fibre, label, note
    )
    with open_stash(stash_file, create=True) as ledger, acting(ledger, "bought", note=note) as act:
        labels = [add_piece(act, piece) for _ in range(pieces)]
    click.echo(f"Added fabric {', '.join(labels)}.")


@add.command(short_help="Add beads, metallics, pearl cotton, charms, needles.")
@click.argument("name")
@click.option("--amount", type=NUMBER, default=1.0, show_default=True, metavar="N", help="Amount.")
@click.option("--unit", default="", metavar="TEXT", help="Packet, g, m …")
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
    from chartscan.stash.entries import acting
    from chartscan.stash.notions import NotionInfo, add_notion
    from chartscan.stash.threads import CENTS

    info = NotionInfo(name, unit, None if price is None else round(price * CENTS))
    with open_stash(stash_file, create=True) as ledger, acting(ledger, "bought", note=note) as act:
        add_notion(act, info, amount)
    click.echo(f"Added {amount:g} {unit or 'of'} {name}.")


@add.command()
@click.argument("title")
@click.option("--file", "chart_file", type=FILE, metavar="C.json", help="The chart file.")
@click.option("--book", default="", metavar="TEXT", help="Book or magazine.")
@click.option("--issue", default="", metavar="TEXT", help="Number or date of the magazine.")
@click.option("--page", default="", metavar="TEXT", help="Page or pages.")
@click.option("--place", default="", metavar="TEXT", help="Folder, box or shelf.")
@click.option("--copies", type=WHOLE, metavar="N", help="Paper copies [1; 0 with --file].")
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
    from chartscan.chart import load_chart
    from chartscan.files import real_place
    from chartscan.stash.charts import ChartSource, add_chart
    from chartscan.stash.entries import acting

    if chart_file is not None:
        load_chart(chart_file)  # refuses what is no chart file before anything is booked
    file = str(real_place(chart_file)) if chart_file else ""
    number = copies if copies is not None else 0 if chart_file else 1
    source = ChartSource(title, file, book, issue, page, place, note)
    with open_stash(stash_file, create=True) as ledger, acting(ledger, "bought", note=note) as act:
        add_chart(act, source, number)
    click.echo(f"Added the chart {title}.")
