"""``chartscan kit``: from the picture to the kit sheet in one go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.at_hand import Counting, open_at_hand
from chartscan.cli.matching import MatchingChoices, match_chart, matching_options
from chartscan.cli.options import (
    chart_argument,
    json_option,
    open_chart,
    palette_option,
    print_json,
    reading_options,
    warn,
)
from chartscan.cli.outputs import (
    PAGE,
    PICTURE,
    TABLE,
    Product,
    check_outputs,
    overwrite_option,
    say_written,
    write_all,
)
from chartscan.cli.parsing import parse_colour, parsed
from chartscan.cli.sections import SectionedCommand
from chartscan.cli.working import need_fabric, working_options

if TYPE_CHECKING:
    from chartscan.reading import ReadSettings
    from chartscan.stash.kit import Kit
    from chartscan.yardage import EstimateSettings, Fabric


@click.command(cls=SectionedCommand, short_help="Do it all: from the picture to the kit sheet.")
@chart_argument
@palette_option
@click.option("--title", metavar="TEXT", help="What the project is called; else the file's name.")
@click.option("--sheet", type=PAGE, metavar="F.html", help="Write the kit sheet to print.")
@click.option("--label", type=PAGE, metavar="F.html", help="Write the bag label alone.")
@click.option(
    "--working",
    "working_chart",
    type=PAGE,
    metavar="F.html",
    help="Write a working chart to print.",
)
@click.option("--csv", "table", type=TABLE, metavar="F.csv", help="Write the threads as a table.")
@click.option("--picture", type=PICTURE, metavar="F.png", help="Write the design as stitched.")
@click.option(
    "--fabric-colour",
    callback=parsed(parse_colour),
    metavar="#RRGGBB",
    help="Colour of the fabric, for the picture; warns of threads hard to see on it.",
)
@click.option(
    "--fabric-name",
    default="",
    show_default=False,
    metavar="TEXT",
    help="What you call the fabric.",
)
@overwrite_option
@matching_options
@working_options
@json_option
@reading_options
def kit(
    chart: Path,
    palette_file: Path,
    title: str | None,
    sheet: Path | None,
    label: Path | None,
    working_chart: Path | None,
    table: Path | None,
    picture: Path | None,
    fabric_colour: tuple[int, int, int] | None,
    fabric_name: str,
    choices: MatchingChoices,
    counting: Counting,
    fabric: Fabric | None,
    working: EstimateSettings,
    as_json: bool,
    settings: ReadSettings | None,
) -> None:
    """Do it all: from the picture to the kit sheet.

    CHART is a picture, or a chart file that `chartscan read` made. Its stitches are counted, every
    colour gets a thread of your range, and fabric, thread and skeins are worked out. --sheet writes
    a page to print, tick off and put in the bag.

    --palette is your thread range (code,name,hex). What is free in your stash counts as at hand;
    --owned gives a list (code,skeins) in its place, --no-stash leaves it out. To try it out,
    meadowline and stash-example come along. MM can be given as 75, 7.5cm or 3in.

    \b
    Example: chartscan kit chart.png --palette meadowline --fabric 28 --over 2 --sheet kit.html
    """
    from chartscan.tasks.kit import kit_chart
    from chartscan.tasks.threads import open_range

    cloth = replace(need_fabric(fabric), rgb=fabric_colour, name=fabric_name)
    outputs = (sheet, label, working_chart, table, picture)
    check_outputs(outputs, (chart, palette_file, counting.owned_file))
    opened = open_chart(chart, settings).without(working.without)
    palette = open_range(palette_file, choices.illuminant)
    owned = open_at_hand(counting, palette, quiet=as_json)
    matches = match_chart(opened, palette, choices, owned, cloth.rgb)
    made = kit_chart(opened, matches, cloth, working, owned, title or chart.stem)
    products = _products(made, outputs)
    write_all(products)
    say_written(path for path, _ in products)
    if as_json:
        from chartscan.report.kitfile import kit_object

        print_json(kit_object(made))
        return
    from chartscan.report.kittable import print_kit

    print_kit(made)
    warn(made.warnings)


def _products(made: Kit, outputs: Sequence[Path | None]) -> list[Product]:
    """Every file that was asked for, with its bytes; in the order of the options."""
    from chartscan.tasks import papers

    make = (
        papers.kit_sheet,
        papers.kit_label,
        papers.kit_working_chart,
        papers.kit_table,
        papers.kit_picture,
    )
    asked = zip(outputs, make, strict=True)
    return [(path, paper(made).content) for path, paper in asked if path is not None]
