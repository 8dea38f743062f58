"""``chartscan shop …``: one list over many projects, and what was bought of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.ledger import (
    jsonable,
    note_option,
    open_stash,
    parse_bought,
    stash_option,
    stash_place,
)
from chartscan.cli.options import json_option, print_json
from chartscan.cli.outputs import (
    PAGE,
    TABLE,
    check_outputs,
    overwrite_option,
    say_written,
    write_all,
)
from chartscan.cli.parsing import parsed
from chartscan.cli.saying import say, say_list

if TYPE_CHECKING:
    from chartscan.stash.paper import ShoppingList

NAMING = (
    "`chartscan key` makes a key of the chart,"
    " `chartscan project change --key` gives it to the project."
)


@click.group()
def shop() -> None:
    """Make one shopping list over many projects.

    \b
    Example: chartscan shop list Robin "Winter birds"
    """


@shop.command("list")
@click.argument("projects", nargs=-1)
@click.option("--text", "as_text", is_flag=True, help="Plain text, short lines, for a phone.")
@click.option("--csv", "table", type=TABLE, metavar="F.csv", help="Write the list as a table.")
@click.option("--sheet", type=PAGE, metavar="F.html", help="Write the list to print.")
@overwrite_option
@json_option
@stash_option
def list_(
    projects: tuple[str, ...],
    as_text: bool,
    table: Path | None,
    sheet: Path | None,
    as_json: bool,
    stash_file: Path | None,
) -> None:
    """Show what to buy.

    For PROJECTS, or for all that are planned or in work.

    \b
    Example: chartscan shop list --sheet shopping.html
    """
    from chartscan.tasks import drawer, papers

    check_outputs((table, sheet), (stash_place(stash_file),))
    shopping = drawer.shopping(stash_place(stash_file), projects)
    asked = ((table, papers.shopping_table), (sheet, papers.shopping_sheet))
    products = [(path, paper(shopping).content) for path, paper in asked if path is not None]
    write_all(products)
    say_written(path for path, _ in products)
    if as_json:
        print_json(jsonable(shopping))
    elif as_text:
        say("\n".join(_text(shopping)))
    else:
        _print(shopping)


def _text(shopping: ShoppingList) -> list[str]:
    """Short lines with a box to tick, for a phone."""
    lines = [f"[ ] {t.skeins} x {t.line} {t.code} {t.name}".rstrip() for t in shopping.threads]
    for f in shopping.fabrics:
        width, length = (mm / 10 for mm in f.least_mm)
        named = f"{f.count:g} count {f.colour or 'any colour'}"
        lines.append(f"[ ] fabric {named} {width:g} x {length:g} cm")
    lines += [f"[ ] {n.amount:g} {n.unit} {n.name}".replace("  ", " ") for n in shopping.notions]
    return (lines or ["Nothing to buy."]) + [line for line in _footer(shopping) if line]


def _footer(shopping: ShoppingList) -> list[str]:
    from chartscan.report.cautions import ONE_LOT
    from chartscan.report.labels import offcut_words, untold_words
    from chartscan.report.units import counted

    untold = untold_words(shopping.threads)
    lines = [f"{untold} {NAMING}"] if untold else []
    lines += [offcut_words(offcut) for offcut in shopping.offcuts]
    if shopping.threads:
        lines.append(ONE_LOT)
    if shopping.saved:
        lines.append(f"Buying for all together saves {counted(shopping.saved, 'skein')}.")
    if shopping.dividing_saves:
        saves = counted(shopping.dividing_saves, "skein")
        lines.append(f"Dividing skeins among them would save {saves} (`stash rules --share`).")
    if shopping.total is not None:
        rest = (
            f", {counted(shopping.unpriced, 'line')} without a price" if shopping.unpriced else ""
        )
        lines.append(f"Total {shopping.total:.2f}{rest}")
    return lines


def _print(shopping: ShoppingList) -> None:
    from chartscan.report.listing import Cell, Column, Swatch
    from chartscan.report.units import cut
    from chartscan.report.window import shows_true_colour

    shown = shows_true_colour()
    if shopping.threads:
        columns = (
            *(Column("Thread"), Column("Name", loose=True), Column("Colour")),
            *(Column("Skeins", right=True), Column("Apart", right=True)),
            *(Column("Price", right=True), Column("For", loose=True)),
        )
        rows: list[list[Cell]] = []
        for t in shopping.threads:
            gone = " (discontinued)" if t.discontinued else ""
            price = "" if t.price is None else f"{t.price * t.skeins:.2f}"
            named = f"{t.line} {t.code}".strip()
            numbers = [str(t.skeins), str(t.apart), price]
            colour = Swatch(t.rgb, shown)
            rows.append([named, t.name + gone, colour, *numbers, ", ".join(t.projects)])
        say_list(columns, rows)
    for f in shopping.fabrics:
        named = f"{f.count:g} count {f.colour or 'any colour'}"
        price = "" if f.price is None else f", {f.price:.2f}"
        pieces = ", ".join(f"{n} of {cut((w, h))}" for w, h, n in f.cuts)
        say(f"Fabric {named}: cut {cut(f.least_mm)}{price} for {', '.join(f.projects)}")
        say(f"  gives {pieces}")
    for n in shopping.notions:
        price = "" if n.price is None else f", {n.price * n.amount:.2f}"
        amount = f"{n.amount:g} {n.unit}".strip()
        say(f"{n.name}: {amount}{price} for {', '.join(n.projects)}")
    if not (shopping.threads or shopping.fabrics or shopping.notions):
        say("Nothing to buy.")
    for line in _footer(shopping):
        say(line)


@shop.command()
@click.argument("projects", nargs=-1)
@click.option(
    "--only",
    multiple=True,
    callback=parsed(parse_bought),
    metavar="WHAT[=N]",
    help="Only this of the list: a thread's code, a notion's name, or fabric; may be repeated.",
)
@note_option
@stash_option
def bought(
    projects: tuple[str, ...],
    only: tuple[tuple[str, float | None], ...],
    note: str,
    stash_file: Path | None,
) -> None:
    """Book a list as bought, or a part of it.

    The list is that of PROJECTS, or of all that are planned or in work.

    \b
    Example: chartscan shop bought --only ROS1=2 --only fabric
    """
    from chartscan.stash.shopping import book_bought, make_list, narrow

    with open_stash(stash_file) as ledger, ledger.atomic():
        shopping = make_list(ledger, projects)
        if only:
            shopping = narrow(shopping, dict(only))
        number = book_bought(ledger, shopping, note)
    things = len(shopping.threads) + len(shopping.fabrics) + len(shopping.notions)
    say(f"Booked {things} lines of the list as bought (entry {number}).")
