"""``chartscan kit``: from the picture to the kit sheet in one go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.matching import MatchingChoices, match_chart, matching_options, open_owned
from chartscan.cli.options import (
    FILE,
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
    from chartscan.palette import Owned, Palette
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
@click.option("--fabric-name", default="", metavar="TEXT", help="What you call the fabric.")
@click.option(
    "--stash",
    "stash_file",
    type=FILE,
    envvar="CHARTSCAN_STASH",
    metavar="FILE",
    help="Count what is free in this stash (`chartscan stash`) as at hand [CHARTSCAN_STASH].",
)
@click.option("--own-stash", is_flag=True, help="The same with the stash in your data folder.")
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
    stash_file: Path | None,
    own_stash: bool,
    choices: MatchingChoices,
    fabric: Fabric | None,
    working: EstimateSettings,
    as_json: bool,
    settings: ReadSettings | None,
) -> None:
    """Do it all: from the picture to the kit sheet.

    CHART is a picture, or a chart file that `chartscan read` made. Its stitches are counted, every
    colour gets a thread of your range, and fabric, thread and skeins are worked out. --sheet writes
    a page to print, tick off and put in the bag.

    --palette is your thread range (code,name,hex), --owned what you have of it (code,skeins) where
    you don't keep a stash with this program. To try it out, meadowline and stash-example come
    along. MM can be given as 75, 7.5cm or 3in.

    \b
    Example: chartscan kit chart.png --palette meadowline --fabric 28 --over 2 --sheet kit.html
    """
    from chartscan.tasks.kit import kit_chart

    cloth = replace(need_fabric(fabric), rgb=fabric_colour, name=fabric_name)
    outputs = (sheet, label, working_chart, table, picture)
    check_outputs(outputs, (chart, palette_file, choices.owned_file))
    opened = open_chart(chart, settings).without(working.without)
    palette, owned = _at_hand(palette_file, choices, _stash(stash_file, own_stash=own_stash))
    matches = match_chart(opened, palette, replace(choices, owned_file=None), owned, cloth.rgb)
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


def _stash(told: Path | None, *, own_stash: bool) -> Path | None:
    """The stash to count on; none where the environment names one that isn't begun yet."""
    from chartscan.tasks.drawer import own_place

    if told is None:
        return own_place() if own_stash else None
    source = click.get_current_context().get_parameter_source("stash_file")
    if source is click.core.ParameterSource.ENVIRONMENT and not told.exists():
        return None
    return told


def _at_hand(
    palette_file: Path, choices: MatchingChoices, stash: Path | None
) -> tuple[Palette, Owned | None]:
    """The thread range, and what is at hand of it: by the CSV, else by the stash."""
    from chartscan.tasks.threads import open_range

    palette = open_range(palette_file, choices.illuminant)
    return palette, open_owned(choices.owned_file, palette, stash)


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
