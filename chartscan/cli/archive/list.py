"""``chartscan archive list``: charts of a catalogue, by conditions."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.archive.options import catalogue_argument, parse_range
from chartscan.cli.at_hand import Counting, asked_at_hand_options, open_at_hand
from chartscan.cli.options import FILE, PALETTE_HELP, is_unicode, json_option
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
@asked_at_hand_options
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
    counting: Counting,
    **told: Any,  # noqa: ANN401 - click passes any option value
) -> None:
    """List the charts of a catalogue.

    All conditions must be met. With --palette and --stash (or --owned) only charts whose thread and
    cloth are at hand are listed: their kits would have nothing to buy. That takes its time for
    each chart, so give other conditions too. Charts in one ink have no colours to match and
    aren't among those. Pages that seem to make one chart are told after the list; `archive join`
    joins them.

    \b
    Example: chartscan archive list guild.catalogue --one-colour --at-most 60x80
    """
    from chartscan.report.catalogue import catalogue_json, catalogue_lines, proposal_lines
    from chartscan.tasks import papers
    from chartscan.tasks.catalogue import count_charts, list_charts, show_charts
    from chartscan.tasks.together import list_proposals

    check_outputs((sheet, table), (catalogue,))
    cloth, wanted = _cloth(told), _conditions(told)
    drawer = _drawer(told, cloth, counting, quiet=as_json)
    number = count_charts(catalogue, wanted)
    found = _at_hand(list_charts(catalogue, wanted), number, cloth, drawer)
    numbers = [entry.number for entry in found]
    listed = {*numbers}
    together = [whole for whole in list_proposals(catalogue) if listed & {*whole.charts}]
    products = []
    if table:
        entries = show_charts(catalogue, numbers)
        products.append((table, papers.catalogue_table(entries).content))
    if sheet:
        entries = show_charts(catalogue, numbers)
        products.append((sheet, papers.contact_sheet(entries, catalogue.stem).content))
    write_all(products)
    say_written(path for path, _ in products)
    entries = show_charts(catalogue, numbers)
    if as_json:
        for piece in catalogue_json(entries, together, ascii_only=not is_unicode()):
            click.echo(piece, nl=False)
        click.echo()
        return
    for line in catalogue_lines(entries, count_charts(catalogue)):
        say(line)
    for whole, line in zip(together, proposal_lines(together), strict=True):
        join = f"chartscan archive join {catalogue} {whole.charts[0]}"
        say(f"{line} `{join}` joins them; with --apart they stay as they are.")


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


def _drawer(
    told: dict[str, Any], cloth: Cloth | None, counting: Counting, *, quiet: bool
) -> Drawer | None:
    from chartscan.tasks.catalogue import Drawer
    from chartscan.tasks.threads import open_range

    if not counting.anything:
        return None
    if told["palette_file"] is None or cloth is None:
        raise click.UsageError("what is at hand needs --palette and --fabric, as a kit does")
    palette = open_range(told["palette_file"])
    owned = open_at_hand(counting, palette, quiet=quiet)
    return None if owned is None else Drawer(palette, owned, told["own_within"], counting.stash)


def _at_hand(
    entries: Iterator[Entry], number: int, cloth: Cloth | None, drawer: Drawer | None
) -> Iterator[Entry]:
    """The charts that fit on the cloth, and for which all is at hand where that was asked."""
    from chartscan.cli.progress import shown_progress
    from chartscan.tasks.catalogue import fits_cloth, stitchable

    if cloth is None:
        yield from entries
        return
    with shown_progress() as progress:
        for done, entry in enumerate(entries):
            progress("looking what is at hand", done / max(number, 1))
            fits = fits_cloth(entry, cloth) if drawer is None else stitchable(entry, cloth, drawer)
            if fits:
                yield entry
