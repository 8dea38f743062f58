"""``chartscan redraw``: a clean working chart to stitch from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.options import (
    FILE,
    PALETTE_HELP,
    chart_argument,
    open_chart,
    reading_options,
)
from chartscan.cli.outputs import (
    PAGE,
    Product,
    check_outputs,
    overwrite_option,
    refuse_there,
    say_written,
    write_all,
)
from chartscan.cli.parsing import FileName
from chartscan.cli.sections import SectionedCommand

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.reading import ReadSettings
    from chartscan.report.working import Paper


@click.command(cls=SectionedCommand, short_help="Draw a clean working chart to stitch from.")
@chart_argument
@click.option("--sheet", type=PAGE, metavar="F.html", help="Write all sheets as a page to print.")
@click.option(
    "--svg",
    "folder",
    type=FileName(file_okay=False),
    metavar="FOLDER",
    help="Write each sheet as sheet-1.svg, sheet-2.svg … into this folder.",
)
@click.option("--title", metavar="TEXT", help="What stands at its head; else the file's name.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    help="The paper it is printed on.",
)
@overwrite_option
@click.option("--ink", is_flag=True, help="Draw signs in black on white, without colours.")
@click.option("--own-signs", is_flag=True, help="Draw our own signs instead of the page's symbols.")
@click.option("--key", type=FILE, metavar="F.csv", help="Name threads in the key (class,code).")
@click.option("--palette", "palette_file", type=FILE, metavar="RANGE", help=PALETTE_HELP)
@reading_options
def redraw(
    chart: Path,
    sheet: Path | None,
    folder: Path | None,
    title: str | None,
    paper: Paper,
    ink: bool,
    own_signs: bool,
    key: Path | None,
    palette_file: Path | None,
    settings: ReadSettings | None,
) -> None:
    """Draw a clean working chart to stitch from.

    CHART is a chart file, or a picture that is read first. The chart is drawn anew from what was
    read: large cells with the page's own symbols or ours, backstitch, part stitches and knots,
    numbers every ten, arrows at the middle, a key on every sheet. Two rows and columns are repeated
    from sheet to sheet, shaded, so that none is stitched twice.

    A chart is somebody's work: draw what you have bought or may use, for your own stitching.

    \b
    Example: chartscan redraw chart.json --sheet working.html
    """
    from chartscan.report.working import WorkingSettings
    from chartscan.tasks import papers

    if sheet is None and folder is None:
        raise click.UsageError("say where to: --sheet F.html, --svg FOLDER or both")
    if (key is None) != (palette_file is None):
        raise click.UsageError("--key and --palette go together: the key's codes are of that range")
    check_outputs((sheet,), (chart, key, palette_file))
    if folder is not None:
        refuse_there(sorted(folder.glob("sheet-*.svg")))
    opened = open_chart(chart, settings)
    names = _names(opened, key, palette_file)
    how = WorkingSettings(paper=paper, ink=ink, own_signs=own_signs)
    head = title or chart.stem
    products: list[Product] = []
    if sheet is not None:
        products.append((sheet, papers.working_chart(opened, head, names, how).content))
    if folder is not None:
        drawn = papers.working_sheets(opened, head, names, how)
        products += [(folder / one.name, one.content) for one in drawn]
    write_all(products)
    say_written(path for path, _ in products)


def _names(chart: Chart, key: Path | None, palette_file: Path | None) -> dict[int, str]:
    """What each class is called in the key: the code and name of its thread."""
    if key is None or palette_file is None:
        return {}
    from chartscan.tasks.threads import named_threads, open_range

    named = named_threads(key, chart, open_range(palette_file))
    return {index: f"{thread.code} {thread.name}".strip() for index, thread in named.items()}
