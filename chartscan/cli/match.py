"""``chartscan match``: a thread for each colour of a chart."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.matching import (
    MatchingChoices,
    fitting,
    match_chart,
    match_json,
    matching_options,
    next_best,
    thread_words,
)
from chartscan.cli.options import (
    chart_argument,
    json_option,
    open_chart,
    palette_option,
    print_json,
    reading_options,
    warn,
)
from chartscan.cli.parsing import parse_colour, parsed
from chartscan.cli.sections import SectionedCommand

if TYPE_CHECKING:
    from rich.text import Text

    from chartscan.chart import Chart
    from chartscan.palette import Match, Matches
    from chartscan.reading import ReadSettings


@click.command(cls=SectionedCommand)
@chart_argument
@palette_option
@matching_options
@click.option(
    "--fabric-colour",
    callback=parsed(parse_colour),
    metavar="#RRGGBB",
    help="Warn of threads that can hardly be seen on this fabric.",
)
@json_option
@reading_options
def match(
    chart: Path,
    palette_file: Path,
    choices: MatchingChoices,
    fabric_colour: tuple[int, int, int] | None,
    as_json: bool,
    settings: ReadSettings,
) -> None:
    """Find a thread of your range for each colour.

    For every colour: the nearest thread, how far off it is (ΔE, CIEDE2000), in words, and which
    way. Under 0.8 few people see a difference; up to 1.8 most accept it; over 5 it is another
    colour. The margin is by how much the thread beats the next one: none, where two are equally
    near. What needs a look is told on standard error.

    \b
    Example: chartscan match chart.png --palette meadowline --distinct
    """
    from chartscan.palette import hardly_seen, load_palette

    palette = load_palette(palette_file, choices.illuminant)
    warn(palette.warnings)
    opened = open_chart(chart, settings)
    matches = match_chart(opened, palette, choices)
    warnings = list(matches.warnings)
    if fabric_colour is not None:
        warnings += hardly_seen(matches.matches, fabric_colour)
    if as_json:
        kinds = [c.kind for c in opened.classes]
        print_json(
            {
                "matches": [match_json(m, kinds[m.class_index]) for m in matches.matches],
                "warnings": warnings,
                "notes": list(matches.notes),
            }
        )
        return
    _print_table(opened, matches)
    warn(warnings)


def _print_table(chart: Chart, matches: Matches) -> None:
    from chartscan.palette import label
    from chartscan.report.terminal import add_row, console, swatch_pair, table

    out = console()
    columns = ("Class", "Chart, thread", "Thread", "ΔE", "How it differs", "Next (margin)")
    heads = fitting(out.width, columns)
    shown = table(*heads, right=("Class", "ΔE"), whole=("Chart, thread", "Next (margin)"))
    for match in matches.matches:
        kind = chart.classes[match.class_index].kind
        cells: list[str | Text] = [
            f"{match.class_index}{'' if kind == 'stitch' else f' {kind}'}",
            swatch_pair(out, match.corrected or match.rgb, match.chosen.thread.rgb),
            label(match.chosen.thread),
            _difference(match),
            _words(match),
            next_best(match.alternatives, match.margin),
        ]
        add_row(shown, cells[: len(heads)])
    out.print(shown)
    for note in matches.notes:
        out.print(note)


def _difference(match: Match) -> str:
    return "-" if match.keyed and match.rgb is None else f"{match.chosen.delta_e:.1f}"


def _words(match: Match) -> str:
    told = ["told by the key"] if match.keyed else []
    if match.rgb is not None:
        told.append(thread_words(match.chosen))
    if match.chosen.owned:
        told.append(f"you have {match.chosen.owned:.3g}")
    return ", ".join(told)
