"""``chartscan archive join``: pages of a catalogue made into one chart."""

from __future__ import annotations

from pathlib import Path

import click

from chartscan.cli.archive.options import catalogue_argument
from chartscan.cli.options import warn
from chartscan.cli.parsing import ONE_OR_MORE, parse_size, parsed
from chartscan.cli.saying import say


@click.command()
@catalogue_argument
@click.argument("charts", metavar="CHART...", nargs=-1, required=True, type=ONE_OR_MORE)
@click.option(
    "--layout",
    callback=parsed(parse_size),
    metavar="RxC",
    help="Rows x columns of pages.  [default: one row]",
)
@click.option("--apart", is_flag=True, help="Give each page its own chart again; not one chart.")
def join(
    catalogue: Path, charts: tuple[int, ...], layout: tuple[int, int] | None, apart: bool
) -> None:
    """Join pages that make one chart.

    `archive list` proposes which: one chart of a proposal, by its number, stands for all of it. Or
    name the charts yourself, in reading order. The pages are read again together, what repeats
    counts once, and the whole takes their place in the catalogue. --apart takes that back, and
    declines a proposal, which isn't made again.

    \b
    Example: chartscan archive join guild.catalogue 12
    """
    from chartscan.cli.progress import shown_progress
    from chartscan.tasks.together import join_charts, take_apart

    if apart:
        if len(charts) > 1 or layout is not None:
            raise click.UsageError("--apart takes one chart, which stands for all of it")
        whole = take_apart(catalogue, charts[0])
        say(f"charts {_named(whole.charts)} stay apart")
        return
    with shown_progress() as progress:
        whole, warnings = join_charts(catalogue, charts, layout, progress)
    warn(warnings)
    say(f"charts {_named(whole.charts)} are one now, number {whole.charts[0]}")


def _named(charts: tuple[int, ...]) -> str:
    return ", ".join(map(str, charts[:-1])) + f" and {charts[-1]}"
