"""``chartscan count``: how many stitches of each colour, and is it what was expected."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.options import (
    chart_argument,
    json_option,
    open_chart,
    print_json,
    reading_options,
)
from chartscan.cli.parsing import Number, parse_size, parsed
from chartscan.cli.sections import SectionedCommand

if TYPE_CHECKING:
    from chartscan.chart import Chart, ChartClass
    from chartscan.reading import ReadSettings


@click.command(cls=SectionedCommand, short_help="Count the stitches of each colour and in all.")
@chart_argument
@reading_options
@click.option(
    "--expect-size",
    callback=parsed(parse_size),
    metavar="CxR",
    help="Fail unless the chart has this many columns x rows.",
)
@click.option(
    "--expect-stitches",
    type=Number(0, whole=True),
    metavar="N",
    help="Fail unless the chart has this many whole stitches.",
)
@json_option
def count(
    chart: Path,
    settings: ReadSettings | None,
    expect_size: tuple[int, int] | None,
    expect_stitches: int | None,
    as_json: bool,
) -> None:
    """Count the stitches of each colour and in all.

    CHART is a chart file, or a picture that is read first. Whole stitches are counted by cells;
    part stitches, backstitch and knots stand apart from them.

    \b
    Example: chartscan count chart.json --expect-size 120x90 --expect-stitches 5316
    """
    from chartscan.tasks.charts import expect

    found = open_chart(chart, settings)
    if as_json:
        print_json(count_object(found))
    else:
        _print_table(found)
    expect(found, str(chart), expect_size, expect_stitches)


def count_object(chart: Chart) -> dict[str, Any]:
    """The counts as one JSON object; lines are counted by their length in cells."""
    from chartscan.report.questions import questions_object
    from chartscan.tasks.charts import count_chart

    return {
        "columns": chart.columns,
        "rows": chart.rows,
        "stitches": chart.stitches,
        "part_stitches": len(chart.parts),
        "doubtful": len(chart.doubtful),
        "questions": questions_object(chart),
        "classes": [
            {
                "index": c.entry.index,
                "kind": c.entry.kind,
                "rgb": list(c.entry.rgb) if c.entry.rgb is not None else None,
                "symbol": c.entry.symbol,
                **({"name": c.entry.name} if c.entry.name is not None else {}),
                "count": round(c.number, 4) if c.entry.kind == "line" else int(c.number),
            }
            for c in count_chart(chart)
        ],
    }


def _print_table(chart: Chart) -> None:
    from chartscan.report.terminal import add_row, console, hex_colour, swatch, table, true_colour
    from chartscan.tasks.charts import count_chart

    target = console()
    block = [""] if true_colour(target) else []
    counts = count_chart(chart)
    named = ["Name"] if any(counted.entry.name for counted in counts) else []
    heads = ("Class", *block, "Colour", "Symbol", *named, "Kind", "Count")
    rows = table(*heads, right=("Class", "Count"))
    for counted in counts:
        entry = counted.entry
        add_row(
            rows,
            [
                str(entry.index),
                *(swatch(target, entry.rgb) for _ in block),
                hex_colour(entry.rgb) if entry.rgb else "-",
                entry.symbol or "",
                *(entry.name or "" for _ in named),
                entry.kind,
                _amount(entry, counted.number),
            ],
        )
    target.print(rows)
    target.print(_summary(chart))


def _amount(entry: ChartClass, number: float) -> str:
    return f"{number:,.1f} cells long" if entry.kind == "line" else f"{number:,.0f}"


def _summary(chart: Chart) -> str:
    """The totals in words."""
    from chartscan.report.units import counted

    colours = sum(entry.kind == "stitch" for entry in chart.classes)
    words = [
        f"{chart.columns} × {chart.rows} cells",
        f"{counted(chart.stitches, 'whole stitch', 'whole stitches')}"
        f" in {counted(colours, 'class', 'classes')}",
    ]
    if chart.parts:
        words.append(counted(len(chart.parts), "part stitch", "part stitches"))
    if chart.lines:
        cells = sum(line.length for line in chart.lines)
        words.append(f"{cells:,.1f} cells of backstitch")
    if chart.knots:
        words.append(counted(len(chart.knots), "knot"))
    if chart.doubtful:
        words.append(counted(len(chart.doubtful), "doubtful cell"))
    return ", ".join(words)
