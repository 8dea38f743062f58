"""``chartscan kit``: from the picture to the kit sheet in one go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.at_hand import Counting, open_at_hand
from chartscan.cli.matching import MatchingChoices, match_chart, matching_options
from chartscan.cli.of_project import kit_of, need, optional_chart_argument, project_options
from chartscan.cli.options import (
    READING_NAMES,
    json_option,
    open_chart,
    palette_or_project_option,
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
from chartscan.cli.working import WORKING_NAMES, need_fabric, working_options

if TYPE_CHECKING:
    from chartscan.palette import Owned, Palette
    from chartscan.reading import ReadSettings
    from chartscan.stash.kit import Kit
    from chartscan.yardage import EstimateSettings, Fabric


SAID_BY_PROJECT = (
    *(field.name for field in fields(MatchingChoices)),
    *("owned_file", "no_stash", "fabric_colour", "fabric_name", *WORKING_NAMES, *READING_NAMES),
)


@click.command(cls=SectionedCommand, short_help="Do it all: from the picture to the kit sheet.")
@optional_chart_argument
@palette_or_project_option
@project_options("Print it all for this project of your stash, with the threads chosen for it.")
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
    chart: Path | None,
    palette_file: Path | None,
    project: str | None,
    part: int | None,
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

    With --project chart, range, fabric and threads are those of a project of your stash, at any
    time of its life; what it has set apart counts as at hand.

    \b
    Example: chartscan kit chart.png --palette meadowline --fabric 28 --over 2 --sheet kit.html
    Example: chartscan kit --project Robin --sheet robin.html --label bag.html
    """
    from chartscan.tasks.kit import kit_chart

    outputs = (sheet, label, working_chart, table, picture)
    if project is not None:
        check_outputs(outputs, ())
        made = kit_of(project, part, SAID_BY_PROJECT)
        made = replace(made, title=title or made.title)
    else:
        chart, palette_file = need(chart, palette_file)
        cloth = replace(need_fabric(fabric), rgb=fabric_colour, name=fabric_name)
        check_outputs(outputs, (chart, palette_file, counting.owned_file))
        opened = open_chart(chart, settings).without(working.without)
        palette, owned = _at_hand(palette_file, choices, counting, quiet=as_json)
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


def _at_hand(
    palette_file: Path, choices: MatchingChoices, counting: Counting, *, quiet: bool
) -> tuple[Palette, Owned | None]:
    from chartscan.tasks.threads import open_range

    palette = open_range(palette_file, choices.illuminant)
    return palette, open_at_hand(counting, palette, quiet=quiet)


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
