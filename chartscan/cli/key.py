"""``chartscan key``: which symbol is which thread, to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.options import FILE, chart_argument, open_chart, reading_options
from chartscan.cli.outputs import (
    OUTPUT,
    PAGE,
    Product,
    check_outputs,
    overwrite_option,
    say_written,
    write_all,
)
from chartscan.cli.sections import SectionedCommand

if TYPE_CHECKING:
    from chartscan.reading import ReadSettings


@click.command(cls=SectionedCommand, short_help="Make a key of symbols and threads to fill in.")
@chart_argument
@click.option("--sheet", type=PAGE, metavar="F.html", help="Write a key to print or type into.")
@click.option("--template", type=OUTPUT, metavar="F.csv", help="Write a key as a table.")
@click.option(
    "--told",
    type=FILE,
    metavar="F.csv",
    help="A key that is filled in, or in part; else --template, where that exists.",
)
@overwrite_option
@click.option("--title", metavar="TEXT", help="What stands at its head; else the file's name.")
@reading_options
def key(
    chart: Path,
    sheet: Path | None,
    template: Path | None,
    told: Path | None,
    title: str | None,
    settings: ReadSettings | None,
) -> None:
    """Make a key of symbols and threads to fill in.

    CHART is a chart file, or a picture that is read first. The sheet shows every class with its
    symbol, colour and count and has room for the thread: print it, or type into it in a browser and
    save the key from there. What a key says already is filled in and kept; a --template that exists
    is never emptied.

    \b
    Example: chartscan key chart.json --sheet key.html --template key.csv
    """
    from chartscan.tasks import papers

    if sheet is None and template is None:
        raise click.UsageError("say where to: --sheet F.html, --template F.csv or both")
    check_outputs((sheet, template), (chart, told))
    known = told or (template if template is not None and template.is_file() else None)
    opened = open_chart(chart, settings)
    products: list[Product] = []
    if sheet is not None:
        products.append((sheet, papers.key_sheet(opened, title or chart.stem, known).content))
    if template is not None:
        products.append((template, papers.key_to_fill_in(opened, known).content))
    write_all(products)
    say_written(path for path, _ in products)
