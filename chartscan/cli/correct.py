"""``chartscan correct``: say what is otherwise than it was read, and have it kept."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.options import FILE, chart_argument, warn
from chartscan.cli.outputs import ANY_NEW, TABLE, check_outputs, overwrite_option, write_all
from chartscan.cli.sections import SectionedCommand

if TYPE_CHECKING:
    from chartscan.chart import Chart

picture_option = click.option(
    "--picture",
    "pictures",
    type=FILE,
    multiple=True,
    metavar="IMAGE",
    help="The picture that it was read from, if it doesn't lie beside the chart file.",
)
result_option = click.option(
    "-o", "--output", type=ANY_NEW, help="Write the chart here and leave CHART as it is."
)


@click.command(cls=SectionedCommand, short_help="Correct a reading; what you say is kept.")
@chart_argument
@click.argument("corrections", metavar="[CORRECTION]...", nargs=-1)
@click.option("--from", "table", type=FILE, metavar="F.csv", help="Take corrections from a table.")
@click.option("--to", "kept", type=TABLE, metavar="F.csv", help="Write corrections as a table.")
@click.option("--again", is_flag=True, help="Read the picture again, as told, from there on.")
@picture_option
@result_option
@overwrite_option
def correct(
    chart: Path,
    corrections: tuple[str, ...],
    table: Path | None,
    kept: Path | None,
    again: bool,
    pictures: tuple[Path, ...],
    output: Path | None,
) -> None:
    """Correct a reading; what you say is kept.

    CHART is a chart file. Each CORRECTION is a line in quotes; without one, all that were made are
    listed. Rows and columns count from 1; classes are said by number (as `chartscan count` lists
    them), "#rrggbb", symbol, @row,column of one of their cells, empty, or "new word".

    \b
    set 12,30 4              a cell; several: set 12-14,31-33 empty
    one 3 5                  3 and 5 are one class; apart 3 5: they aren't
    split 5                  it is two, as the page has it; or: split 5 12,30 12,31
    ground 4                 it is bare fabric; ground none: all is stitched
    name 4 "deep water"      also colour 4 #aabbcc, symbol 4 v, kind 4 knot
    part 12,30 triangle "top left" 4
    line 6 2,3 4,3           backstitch; knot 7 12.5,30; take line 2,3 4,3 (x,y in cells)
    size 60x58               also corners X,Y X,Y X,Y X,Y, turn 90, colours 7 (then --again)
    undo 3                   leaves the third out; undo: the last
    instead 3 set 12,31 4    puts another in its place

    Corrections hold on to the page: when `chartscan read` reads it again into the same file, they
    are carried over.

    \b
    Example: chartscan correct chart.json "one 3 5" "set 12,30 4"
    """
    from chartscan.tasks import corrections as tasks

    check_outputs((output, kept), (table, *pictures, *([chart] if output is not None else [])))
    made = before = open_chart_file(chart)
    shown = pictures or tasks.pictures_beside(before, chart.parent)
    if table is not None:
        made = tasks.load_table(made, table)
    made = tasks.correct_chart(made, corrections, shown)
    if again:
        made = _read_again(made, shown)
    products = [(kept, tasks.table_of(made))] if kept is not None else []
    if made != before or output is not None:
        from chartscan.chart import dump_chart

        products.append((output or chart, dump_chart(made).encode("utf-8")))
    write_all(products)
    if corrections or table is not None or again or output is not None:
        click.echo(standing(made, output or chart), err=True)
    elif kept is None:
        _list(made)
    say_what_is_left(made, output or chart)


def open_chart_file(path: Path) -> Chart:
    """The chart in a chart file; a usage error where it is a picture."""
    from chartscan.chart import load_chart
    from chartscan.tasks.charts import is_chart_file

    if path.exists() and not is_chart_file(path):
        raise click.UsageError(f"{path} isn't a chart file; `chartscan read` makes one of it")
    return load_chart(path)


def standing(chart: Chart, path: Path) -> str:
    """One line on how many corrections a chart has and what is open."""
    from chartscan.report.units import counted

    said = [
        counted(len(chart.corrections), "correction") if chart.corrections else "as it was read"
    ]
    if chart.questions:
        said.append(f"{counted(len(chart.questions), 'question')} open (`chartscan check`)")
    return f"{path}: {', '.join(said)}"


def say_what_is_left(chart: Chart, path: Path) -> None:
    """Say how the picture is read again, where something was told that only that can follow."""
    from chartscan.tasks.corrections import needs_reading

    if needs_reading(chart):
        click.echo(
            f"Read the picture again with `chartscan correct {path} --again`: "
            "what was told of size, corners, turn or colours isn't followed yet.",
            err=True,
        )


def _read_again(chart: Chart, pictures: tuple[Path, ...]) -> Chart:
    from chartscan.cli.progress import shown_progress
    from chartscan.tasks import corrections as tasks

    if not pictures:
        raise click.UsageError("--again needs --picture: the picture isn't beside the chart file")
    with shown_progress() as progress:
        done = tasks.follow(chart, pictures, progress)
    warn(done.reading.warnings)
    return done.reading.chart


def _list(chart: Chart) -> None:
    """Every correction with its number."""
    from chartscan.chart.corrections.lines import line_of

    for number, act in enumerate(chart.corrections, 1):
        click.echo(f"{number}  {line_of(act)}")
    if not chart.corrections:
        click.echo("No corrections yet.", err=True)
