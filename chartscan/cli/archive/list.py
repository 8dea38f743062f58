"""``chartscan archive list``: charts of a catalogue, by conditions."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.archive.options import catalogue_argument, parse_range
from chartscan.cli.at_hand import Counting, open_at_hand
from chartscan.cli.options import FILE, PALETTE_HELP, json_option, print_json
from chartscan.cli.outputs import OUTPUT, check_outputs, say_written, write_all
from chartscan.cli.parsing import ANY_NUMBER, ANY_WHOLE, Number, parse_size, parsed
from chartscan.cli.saying import say
from chartscan.cli.sections import SectionedCommand
from chartscan.cli.working import parse_piece
from chartscan.lengths import parse_length

if TYPE_CHECKING:
    from chartscan.archive.looking import Conditions, Entry
    from chartscan.tasks.catalogue import Cloth, Drawer

PER_CENT = 100


@click.command("list", cls=SectionedCommand)
@catalogue_argument
@click.option("--at-least", callback=parsed(parse_size), metavar="CxR", help="Columns x rows.")
@click.option("--at-most", callback=parsed(parse_size), metavar="CxR", help="Columns x rows.")
@click.option("--stitches", callback=parsed(parse_range), metavar="N-M", help="How many stitches.")
@click.option("--colours", callback=parsed(parse_range), metavar="N-M", help="How many colours.")
@click.option("--one-colour", is_flag=True, help="Charts in one colour only.")
@click.option(
    "--doubtful", type=Number(0, PER_CENT), metavar="%", help="At most so many doubtful cells."
)
@click.option("--within", metavar="TEXT", help="Only files that have this in their path.")
@click.option("--fabric", "count", type=ANY_NUMBER, metavar="N", help="Fabric threads per inch.")
@click.option("--over", type=ANY_WHOLE, default=1, metavar="N", help="Threads crossed (1 or 2).")
@click.option(
    "--piece",
    callback=parsed(parse_piece),
    metavar="WxH",
    help="Charts that fit on this piece of it, with margins: 40x50cm.",
)
@click.option(
    "--margin",
    "margin_mm",
    callback=parsed(parse_length),
    metavar="MM",
    help="Cloth round the design on each side.  [default: 75]",
)
@click.option("--palette", "palette_file", type=FILE, metavar="RANGE", help=PALETTE_HELP)
@click.option(
    "--owned", "owned_file", type=FILE, metavar="STASH.csv", help="What you have (code,skeins)."
)
@click.option(
    "--stash",
    "stash_file",
    type=FILE,
    metavar="FILE",
    help="Charts that need nothing bought: threads, and cloth unless --piece says, from here.",
)
@click.option("--own-stash", is_flag=True, help="The same with the stash in your data folder.")
@click.option(
    "--own-within",
    type=Number(0),
    default=2.0,
    metavar="ΔE",
    help="How near a thread of yours must be to do.",
)
@click.option("--sheet", type=OUTPUT, metavar="F.html", help="Write pictures of them to print.")
@click.option("--csv", "table", type=OUTPUT, metavar="F.csv", help="Write the list as a table.")
@json_option
def list_(
    catalogue: Path,
    sheet: Path | None,
    table: Path | None,
    as_json: bool,
    **told: Any,  # noqa: ANN401 - click passes any option value
) -> None:
    """List the charts of a catalogue.

    All conditions must be met. With --palette and --stash (or --owned) only charts whose thread and
    cloth are at hand are listed: their kits would have nothing to buy. That takes its time for
    each chart, so give other conditions too. Charts in one ink have no colours to match and
    aren't among those.

    \b
    Example: chartscan archive list guild.catalogue --one-colour --at-most 60x80
    """
    from chartscan.report.catalogue import catalogue_lines, catalogue_object
    from chartscan.tasks import papers
    from chartscan.tasks.catalogue import list_charts

    check_outputs((sheet, table), (catalogue,))
    cloth = _cloth(told)
    drawer = _drawer(told, cloth, quiet=as_json)
    entries = _at_hand(list_charts(catalogue, _conditions(told)), cloth, drawer)
    products = [(table, papers.catalogue_table(entries).content)] if table else []
    products += [(sheet, papers.contact_sheet(entries, catalogue.stem).content)] if sheet else []
    write_all(products)
    say_written(path for path, _ in products)
    if as_json:
        print_json(catalogue_object(entries))
        return
    say("\n".join(catalogue_lines(entries)))


def _conditions(told: dict[str, Any]) -> Conditions:
    from chartscan.archive.looking import ANY, Conditions

    least, most = told["at_least"] or (None, None), told["at_most"] or (None, None)
    if told["one_colour"] and told["colours"]:
        raise click.UsageError("--one-colour and --colours can't both be given")
    share = told["doubtful"]
    return Conditions(
        columns=(least[0], most[0]),
        rows=(least[1], most[1]),
        stitches=told["stitches"] or ANY,
        colours=(1, 1) if told["one_colour"] else told["colours"] or ANY,
        doubtful=None if share is None else share / PER_CENT,
        within=told["within"],
    )


def _cloth(told: dict[str, Any]) -> Cloth | None:
    from chartscan.tasks.catalogue import Cloth
    from chartscan.tasks.fabric import choose_fabric, way_of_working

    if told["count"] is None:
        if told["piece"] is not None:
            raise click.UsageError("--piece needs --fabric: of which count is it?")
        return None
    margin = {} if told["margin_mm"] is None else {"margin_mm": told["margin_mm"]}
    fabric = choose_fabric(told["count"], told["over"])
    return Cloth(fabric, way_of_working(**margin), told["piece"])


def _drawer(told: dict[str, Any], cloth: Cloth | None, *, quiet: bool) -> Drawer | None:
    from chartscan.tasks.catalogue import Drawer
    from chartscan.tasks.drawer import own_place
    from chartscan.tasks.threads import open_range

    stash = told["stash_file"] or (own_place() if told["own_stash"] else None)
    if stash is None and told["owned_file"] is None:
        return None
    if told["palette_file"] is None or cloth is None:
        raise click.UsageError("what is at hand needs --palette and --fabric, as a kit does")
    palette = open_range(told["palette_file"])
    owned = open_at_hand(Counting(told["owned_file"], stash), palette, quiet=quiet)
    if owned is None:
        raise click.UsageError("what is at hand needs --owned or --stash")
    return Drawer(palette, owned, told["own_within"], stash)


def _at_hand(
    entries: Sequence[Entry], cloth: Cloth | None, drawer: Drawer | None
) -> tuple[Entry, ...]:
    """The charts that fit on the cloth, and for which all is at hand where that was asked."""
    from chartscan.cli.progress import shown_progress
    from chartscan.tasks.catalogue import fits_cloth, stitchable

    if cloth is None:
        return tuple(entries)
    found = []
    with shown_progress() as progress:
        for number, entry in enumerate(entries):
            progress("looking what is at hand", number / len(entries))
            fits = fits_cloth(entry, cloth) if drawer is None else stitchable(entry, cloth, drawer)
            if fits:
                found.append(entry)
    return tuple(found)
