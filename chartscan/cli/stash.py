"""``chartscan stash …``: what is owned, what went, what is promised."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.ledger import (
    NUMBER,
    WHOLE,
    InOrder,
    open_stash,
    size_option,
    stash_option,
    stash_place,
    whole_mm,
)
from chartscan.cli.options import json_option, print_json
from chartscan.cli.outputs import PAGE, check_outputs, overwrite_option, say_written, write_all
from chartscan.cli.parsing import parse_colour, parsed
from chartscan.cli.saying import say, say_list
from chartscan.cli.stash_add import add
from chartscan.cli.stash_files import backup, check, export, import_, join, learn, restore
from chartscan.cli.stash_find import find, put, unused
from chartscan.cli.stash_mend import forget, merge, rename
from chartscan.cli.stash_past import as_of, history, reverse
from chartscan.cli.stash_went import count_again, cut, lose, use
from chartscan.cli.stash_wish import wish

if TYPE_CHECKING:
    from chartscan.stash.paper import FabricLabel, StashList, StashNotion, StashThread
    from chartscan.stash.rules import Rules
    from chartscan.stash.worth import Worth


@click.group(cls=InOrder)
def stash() -> None:
    """Keep what you own: threads, fabric, notions, charts.

    Nothing is overwritten: what you own is the sum of what came and went, and anything booked can
    be taken back.

    \b
    Example: chartscan stash add thread ROS1 --palette meadowline --skeins 2
    """


@click.command("near-fabric")
@click.argument("colour", callback=parsed(parse_colour))
@click.option("--count", type=NUMBER, metavar="N", help="Threads per inch that it must have.")
@size_option
@stash_option
def near_fabric(
    colour: tuple[int, int, int],
    count: float | None,
    size: tuple[int, int] | None,
    stash_file: Path | None,
) -> None:
    """Find the free pieces nearest in colour.

    COLOUR (#rrggbb) is that of a fabric that can't be had any more.

    \b
    Example: chartscan stash near-fabric '#e8dfc8' --count 28
    """
    from chartscan.report.listing import Cell, Column, Swatch
    from chartscan.report.units import size as size_words
    from chartscan.report.window import shows_true_colour
    from chartscan.stash.fabrics import nearest_pieces

    with open_stash(stash_file) as ledger:
        found = nearest_pieces(ledger, colour, count=count, size_mm=size)
    shown = shows_true_colour()
    columns = (
        *(Column("Fabric"), Column("Colour"), Column("Count", right=True)),
        *(Column("Size"), Column("ΔE", right=True), Column("It is", loose=True)),
    )
    rows: list[list[Cell]] = [
        [
            near.fabric.name,
            Swatch(near.fabric.rgb, shown),
            f"{near.fabric.count:g}",
            size_words(near.fabric.size_mm or (0.0, 0.0)),
            f"{near.delta_e:.1f}",
            ", ".join(w for w in (near.grade, near.direction) if w),
        ]
        for near in found
    ]
    if not rows:
        say("Of no free piece the colour is known.")
    say_list(columns, rows)


# ---------------------------------------------------------------------------- looking


@click.command("list")
@click.argument(
    "what", type=click.Choice(["threads", "fabric", "notions", "charts", "all"]), default="all"
)
@click.option(
    "--order",
    type=click.Choice(["colour", "code", "place", "age"]),
    default="colour",
    help="In which order threads are shown; by age the oldest first.",
)
@click.option("--sheet", type=PAGE, metavar="F.html", help="Write the list to print.")
@click.option("--labels", type=PAGE, metavar="F.html", help="Write fabric labels to print.")
@overwrite_option
@json_option
@stash_option
def list_(
    what: str,
    order: str,
    sheet: Path | None,
    labels: Path | None,
    as_json: bool,
    stash_file: Path | None,
) -> None:
    """List what you own, threads in order of colour.

    \b
    Example: chartscan stash list --sheet stash.html
    """
    from chartscan.cli.ledger import jsonable
    from chartscan.tasks import papers
    from chartscan.tasks.drawer import look_into

    check_outputs((sheet, labels), (stash_place(stash_file),))
    drawer = look_into(stash_place(stash_file))
    owned, charts = drawer.owned, drawer.charts
    products = [(sheet, papers.drawer_list(owned).content)] if sheet else []
    products += [(labels, papers.fabric_labels(owned.fabrics).content)] if labels else []
    write_all(products)
    say_written(path for path, _ in products)
    if as_json:
        more = {"charts": charts, "worth": drawer.worth}
        print_json({**jsonable(owned), **{k: [jsonable(v) for v in vs] for k, vs in more.items()}})
    else:
        _print_list(owned, what, order)
        _print_worth(drawer.worth, what)
        if what in ("charts", "all") and charts:
            say("\n".join(["Charts", *(f"  {source.where}" for source in charts)]))


def _ordered(threads: Sequence[StashThread], order: str) -> list[StashThread]:
    """Threads in the order asked for; by colour is how they come."""
    from chartscan.plaintext import text_key, thread_order

    def by_code(thread: StashThread) -> tuple[str, str]:
        return thread_order(thread.line, thread.code)

    def by_place(thread: StashThread) -> tuple[bool, str, tuple[str, str]]:
        return not thread.places, text_key(" ".join(thread.places)), by_code(thread)

    if order == "colour":
        return list(threads)
    if order == "age":
        return sorted(threads, key=lambda thread: (thread.since, by_code(thread)))
    return sorted(threads, key=by_place if order == "place" else by_code)


def _print_threads(threads: Sequence[StashThread], order: str) -> None:
    from chartscan.cli.ledger import local_day
    from chartscan.report.listing import Cell, Column, Swatch
    from chartscan.report.units import amount, counted
    from chartscan.report.window import shows_true_colour

    shown = shows_true_colour()
    columns = (
        *(Column("Thread"), Column("Name", loose=True), Column("Colour")),
        *(Column("Skeins", right=True), Column("Parts (m)", right=True, loose=True)),
        *(Column("Promised", right=True), Column("Place", loose=True), Column("Since")),
    )
    rows: list[list[Cell]] = []
    for t in _ordered(threads, order):
        promised = [f"{t.promised_skeins}"] * bool(t.promised_skeins)
        promised += [f"{amount(t.promised_metres)} m"] * bool(t.promised_metres)
        parts = " + ".join(amount(m) for m in t.part_metres)
        numbers = [str(t.skeins), parts, " + ".join(promised)]
        since = local_day(t.since) if order == "age" else ""
        named = f"{t.line} {t.code}".strip()
        rows.append([named, t.name, Swatch(t.rgb, shown), *numbers, ", ".join(t.places), since])
    say_list(columns, rows)
    skeins = counted(sum(t.skeins for t in threads), "skein")
    metres = amount(sum(sum(t.part_metres) for t in threads))
    say(f"{counted(len(threads), 'thread')}: {skeins}, and {metres} m on opened ones.")


def _print_list(owned: StashList, what: str, order: str) -> None:
    from chartscan.report.units import counted

    if what in ("threads", "all") and owned.threads:
        _print_threads(owned.threads, order)
    if what in ("fabric", "all") and owned.fabrics:
        _print_fabrics(owned.fabrics)
        say(f"{counted(len(owned.fabrics), 'piece')} of fabric.")
    if what in ("notions", "all") and owned.notions:
        _print_notions(owned.notions)


def _print_fabrics(fabrics: Sequence[FabricLabel]) -> None:
    from chartscan.report.listing import Column
    from chartscan.report.units import size_cm

    columns = (
        *(Column("Fabric"), Column("Count", right=True), Column("Colour", loose=True)),
        *(Column("Fibre", loose=True), Column("Size"), Column("For", loose=True)),
    )
    rows = [
        [f.label, f"{f.count:g}", f.colour, f.fibre, size_cm(f.size_mm), f.project] for f in fabrics
    ]
    say_list(columns, rows)


def _print_notions(notions: Sequence[StashNotion]) -> None:
    from chartscan.report.listing import Column
    from chartscan.report.units import amount

    columns = (
        *(Column("Notion", loose=True), Column("Owned", right=True)),
        *(Column("Promised", right=True), Column("Note", loose=True)),
    )
    rows = [
        [n.name, f"{n.owned:g} {n.unit}", amount(n.promised) * bool(n.promised), n.note]
        for n in notions
    ]
    say_list(columns, rows)


def _print_worth(values: Sequence[Worth], what: str) -> None:
    """What is listed is worth, where anything of it has a price."""
    told = [w for w in values if w.priced and what in (w.kind, "all")]
    words = [
        f"{w.kind} {w.value:,.2f}" + (f" ({w.unpriced} without a price)" if w.unpriced else "")
        for w in told
    ]
    if told:
        total = f"{sum(w.value for w in told):,.2f} in all: " if len(told) > 1 else ""
        say(f"Worth {total}{', '.join(words)}.")


# ---------------------------------------------------------------------------- rules


@click.command()
@click.option("--keep-back", type=WHOLE, metavar="N", help="Skeins that always stay.")
@click.option(
    "--fresh-unless-more-than",
    type=WHOLE,
    metavar="N",
    help="A fresh skein of each colour unless more than N are free; 0 takes what is there.",
)
@click.option("--parts/--no-parts", "parts_count", default=None, help="Count part skeins.")
@click.option(
    "--smallest-part",
    "smallest_part_mm",
    callback=parsed(whole_mm),
    metavar="M",
    help="Metres below which a part skein isn't counted.",
)
@click.option(
    "--same-dye-lot/--any-dye-lot", default=None, help="One dye lot for each colour of a project."
)
@click.option(
    "--share/--no-share",
    "share_skeins",
    default=None,
    help="Divide a skein among projects where another one needs its rest.",
)
@json_option
@stash_option
def rules(as_json: bool, stash_file: Path | None, **changes: int | bool | None) -> None:
    """Show or change your rules for taking from it.

    What isn't told stays as it was. At first nothing is kept back, what is free is taken, part
    skeins count from 1 m on, dye lots are any, and skeins stay whole.

    \b
    Example: chartscan stash rules --fresh-unless-more-than 1 --keep-back 1
    """
    from chartscan.cli.ledger import jsonable
    from chartscan.stash.rules import change_rules, load_rules

    told = any(value is not None for value in changes.values())
    with open_stash(stash_file, create=told) as ledger:
        kept = change_rules(ledger, **changes) if told else load_rules(ledger)
    if as_json:
        print_json(jsonable(kept))
    else:
        say(_rules_words(kept))


def _rules_words(kept: Rules) -> str:
    fresh = kept.fresh_unless_more_than
    parts = (
        f"counted from {kept.smallest_part_mm / 1000:g} m" if kept.parts_count else "not counted"
    )
    taken = f"a fresh skein of each colour unless more than {fresh} are free"
    rows = (
        ("Keep back", f"{kept.keep_back} skeins of each thread"),
        ("Take", taken if fresh else "what is free"),
        ("Part skeins", parts),
        ("Dye lots", "one for each colour of a project" if kept.same_dye_lot else "any"),
        ("Skeins", "may be divided among projects" if kept.share_skeins else "stay whole"),
    )
    return "\n".join(f"{name + ':':<13}{words}" for name, words in rows)


for _member in (
    *(add, find, list_, put, unused, wish, use, lose, count_again, cut, rename, merge, forget),
    *(near_fabric, rules, history, as_of, reverse),
    *(import_, export, learn, backup, restore, join, check),
):
    stash.add_command(_member)
