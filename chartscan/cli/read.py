"""``chartscan read``: from pictures of a chart to a chart file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.options import FILE, name_questions, reading_options, warn
from chartscan.cli.outputs import (
    OUTPUT,
    PICTURE,
    Product,
    check_outputs,
    overwrite_option,
    write_all,
)
from chartscan.cli.sections import SectionedCommand

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.reading import Reading, ReadSettings
    from chartscan.tasks.corrections import ReadAgain


@click.command(cls=SectionedCommand, short_help="Read a picture of a chart into a chart file.")
@click.argument("images", metavar="IMAGE...", nargs=-1, required=True, type=FILE)
@click.option("-o", "--output", type=OUTPUT, help="The chart file; standard output if left out.")
@click.option("--review", type=PICTURE, metavar="F.png", help="Draw the reading over the page.")
@click.option("--glyphs", type=PICTURE, metavar="F.png", help="Draw a sheet of all the symbols.")
@click.option(
    "--key-template",
    type=OUTPUT,
    metavar="F.csv",
    help="Write a key to fill in; keeps what is filled in already.",
)
@click.option(
    "--check-print",
    is_flag=True,
    help="Compare with the printed key and axis numbers (needs tesseract).",
)
@overwrite_option
@click.option("--afresh", is_flag=True, help="Drop the corrections of the chart file.")
@reading_options
def read(
    images: tuple[Path, ...],
    settings: ReadSettings | None,
    output: Path | None,
    review: Path | None,
    glyphs: Path | None,
    key_template: Path | None,
    check_print: bool,
    afresh: bool,
) -> None:
    """Read a picture of a chart into a chart file.

    IMAGE is a PNG, JPEG, WebP, TIFF, BMP, GIF or PDF: an export, a scan or a photograph. Several
    pages make one chart, in reading order (--layout where they stand in more than one row);
    rows or columns that pages repeat count once.

    Look at the --review picture before you trust a reading: doubtful cells are ringed in it.
    `chartscan check` asks what the reader isn't sure of, `chartscan correct` takes what you see.
    Both keep what you say in the chart file; read into the same file again, with other options or
    from another scan, it is carried over (--afresh drops it).

    A chart is somebody's work: read what you have bought or may use, for your own stitching.

    \b
    Example: chartscan read page.png -o chart.json --review check.png
    """
    from chartscan.cli.progress import shown_progress
    from chartscan.tasks import charts, corrections

    fixes = settings.fixes if settings else None
    check_outputs((output, review, glyphs, key_template), (*images, fixes))
    before = None if afresh or output is None else _earlier(output)
    with shown_progress() as progress:
        done = corrections.read_over(images, settings, before, progress)
    reading = done.reading
    products = _products(reading, review, glyphs, key_template)
    compared = charts.compare_print(reading) if check_print else ()
    _write(reading.chart, output, products)
    warn((*reading.warnings, *compared))
    click.echo(summary(reading.chart, output), err=True)
    if done.carried or done.adrift:
        click.echo(_carried(done), err=True)
    name_questions(reading.chart, output)


def _earlier(path: Path) -> Chart | None:
    """The chart that a file holds by now, whose corrections are to be kept."""
    from chartscan.chart import load_chart
    from chartscan.errors import ChartError
    from chartscan.tasks.charts import is_chart_file

    if not is_chart_file(path):
        return None
    try:
        return load_chart(path)
    except ChartError as error:
        raise ChartError(f"{error}, or with --afresh over what is there") from error


def _carried(done: ReadAgain) -> str:
    """What became of the corrections of the earlier reading."""
    from chartscan.report.units import counted

    if not done.adrift:
        return f"{counted(done.carried, 'correction')} carried over"
    return (
        f"{done.carried} of {counted(done.carried + done.adrift, 'correction')} carried over;"
        f" {done.adrift} without a sure place, asked about (--afresh drops them all)"
    )


def summary(chart: Chart, output: Path | None) -> str:
    """One line on what was read: size, stitches, classes, marks, doubts."""
    stitch_classes = sum(c.kind == "stitch" for c in chart.classes)
    said = [
        f"{chart.columns}×{chart.rows} cells",
        f"{_many(chart.stitches, 'stitch', 'es')} in {_many(stitch_classes, 'class', 'es')}",
    ]
    said += [
        _many(len(marks), name, "s")
        for marks, name in (
            (chart.parts, "part stitch piece"),
            (chart.lines, "backstitch line"),
            (chart.knots, "knot"),
        )
        if marks
    ]
    doubts = len(chart.doubtful)
    said.append(
        f"{_many(doubts, 'doubtful cell', 's')}: look at --review" if doubts else "no doubts"
    )
    return (f"{output}: " if output else "") + "; ".join(said)


def _many(number: int, noun: str, plural: str) -> str:
    return f"{number:,} {noun}{plural if number != 1 else ''}"


def _products(
    reading: Reading,
    review: Path | None,
    glyphs: Path | None,
    key_template: Path | None,
) -> list[Product]:
    """Every further file that was asked for, with its bytes."""
    from chartscan.tasks import papers

    products: list[Product] = []
    if review:
        products.append((review, papers.review_picture(reading).content))
    if glyphs:
        products.append((glyphs, papers.symbol_sheet(reading).content))
    if key_template:
        products.append((key_template, _key(reading.chart, key_template)))
    return products


def _key(chart: Chart, path: Path) -> bytes:
    """The key to fill in; what stands in an older one of that name is kept."""
    from chartscan.tasks import papers

    return papers.key_to_fill_in(chart, path if path.is_file() else None).content


def _write(chart: Chart, output: Path | None, products: list[Product]) -> None:
    """Write everything or nothing: files take their names only once all of them are written."""
    from chartscan.tasks.papers import chart_file

    made = chart_file(chart).content
    if output is not None:
        products = [(output, made), *products]
    write_all(products)
    if output is None:
        click.echo(made.decode("utf-8"), nl=False)
