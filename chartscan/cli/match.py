"""``chartscan match``: a thread for each colour of a chart."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.at_hand import Counting, open_at_hand
from chartscan.cli.matching import (
    LAYOUTS,
    Layout,
    MatchingChoices,
    match_chart,
    match_json,
    matching_options,
    next_best,
    own_best,
    thread_words,
)
from chartscan.cli.of_project import (
    keep_with,
    need,
    optional_chart_argument,
    own_stash,
    project_options,
    told_of,
)
from chartscan.cli.options import (
    json_option,
    open_chart,
    palette_or_project_option,
    print_json,
    reading_options,
    warn,
)
from chartscan.cli.parsing import parse_colour, parsed
from chartscan.cli.saying import say
from chartscan.cli.sections import SectionedCommand

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from chartscan.chart import Chart
    from chartscan.palette import Match, Matches
    from chartscan.reading import ReadSettings


NEXT, YOURS = "Next (margin)", "Yours"
CHOOSING = tuple(field.name for field in fields(MatchingChoices))


@click.command(cls=SectionedCommand)
@optional_chart_argument
@palette_or_project_option
@project_options("Keep the threads with this project of your stash, begun where it isn't there.")
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
    chart: Path | None,
    palette_file: Path | None,
    project: str | None,
    part: int | None,
    choices: MatchingChoices,
    counting: Counting,
    fabric_colour: tuple[int, int, int] | None,
    as_json: bool,
    settings: ReadSettings | None,
) -> None:
    """Find a thread of your range for each colour.

    For every colour: the nearest thread, how far off it is (ΔE, CIEDE2000), in words, and which
    way. Under 0.8 few people see a difference; up to 1.8 most accept it; over 5 it is another
    colour. Where there is room for it, the next best thread stands beside, and the margin by which
    it is beaten: none, where two are equally near; or, where it is known what you have, the nearest
    of yours and its ΔE, for a colour whose thread you haven't. What needs a look is told on
    standard error.

    With --project the threads are kept with that project: kit, estimate, plan, sheet and label go
    by them. Where nothing else is told, those that are kept are shown.

    \b
    Example: chartscan match chart.png --palette meadowline --distinct
    Example: chartscan match chart.json --palette meadowline --own-within 2 --project Robin
    """
    from chartscan.report.cautions import matches_bleeding
    from chartscan.tasks.choice import laid_out, threads_of
    from chartscan.tasks.threads import open_range

    told = bool(told_of(("chart", "palette_file", *CHOOSING)))
    laid = None if project is None else laid_out(own_stash(), project, part or 1)
    if laid is not None:
        chart, palette_file = chart or laid.file, palette_file or laid.palette
    chart, palette_file = need(chart, palette_file)
    palette = open_range(palette_file, choices.illuminant)
    warn(palette.warnings)
    opened = open_chart(chart, settings)
    if project is not None and laid is not None and laid.chosen and not told:
        matches = threads_of(own_stash(), project, opened, palette, part or 1)
    else:
        owned = open_at_hand(counting, palette, quiet=as_json)
        matches = match_chart(opened, palette, choices, owned, fabric_colour)
        if project is not None:
            keep_with(project, part or 1, (chart, palette_file), laid, opened, matches)
            matches = threads_of(own_stash(), project, opened, palette, part or 1)
    if as_json:
        from chartscan.report.questions import questions_object

        kinds = [c.kind for c in opened.classes]
        print_json(
            {
                "matches": [match_json(m, kinds[m.class_index]) for m in matches.matches],
                "warnings": list(matches.warnings),
                "questions": questions_object(opened),
                "notes": list(matches.notes),
            }
        )
        return
    _print_table(opened, matches)
    warn(matches.warnings)
    bleeding = matches_bleeding(matches, fabric_colour)
    if bleeding:
        say(f"Mind: {bleeding}", err=True)


def _print_table(chart: Chart, matches: Matches) -> None:
    from chartscan.report.terminal import console, print_fitting

    out = console()
    print_fitting(out, (_table(out, chart, matches, layout) for layout in LAYOUTS))
    for note in matches.notes:
        out.print(note)


def _table(out: Console, chart: Chart, matches: Matches, layout: Layout) -> Table:
    """The matches as a table that shows what ``layout`` has room for."""
    from chartscan.palette import label
    from chartscan.report.terminal import add_row, swatch, swatch_pair, table
    from chartscan.report.units import at_hand

    colour = "Chart, thread" if layout.pair else "Chart"
    have = ["Have"] if any(m.chosen.owned is not None for m in matches.matches) else []
    words = ["How it differs"] if layout.words else []
    beside = YOURS if any(m.own for m in matches.matches) else NEXT
    following = [beside] if layout.next else []
    right = ("Class", "ΔE", "Have")
    heads = ("Class", colour, "Thread", "ΔE", *have, *words, *following)
    shown = table(*heads, right=right, whole=(colour, beside))
    for match in matches.matches:
        kind, wanted = chart.classes[match.class_index].kind, match.corrected or match.rgb
        cells: list[str | Text] = [
            f"{match.class_index}{'' if kind == 'stitch' else f' {kind}'}",
            swatch_pair(out, wanted, match.chosen.thread.rgb if match.chosen.thread.told else None)
            if layout.pair
            else swatch(out, wanted),
            " + ".join(label(thread) for thread in (match.chosen.thread, match.blended) if thread),
            _difference(match),
        ]
        cells += [at_hand(match.chosen.owned) if match.chosen.owned else ""] if have else []
        cells += [_words(match, layout.ways)] if words else []
        cells += [_beside(match, beside)] if following else []
        add_row(shown, cells)
    return shown


def _beside(match: Match, head: str) -> str:
    if head == YOURS:
        return own_best(match.own)
    return next_best(match.alternatives, match.margin)


def _difference(match: Match) -> str:
    return "-" if match.rgb is None else f"{match.chosen.delta_e:.1f}"


def _words(match: Match, ways: int | None) -> str:
    if not match.chosen.thread.told:
        return "name it in a key"
    told = ["as chosen" if match.picked else "told by the key"] if match.keyed else []
    if match.rgb is not None:
        told.append(thread_words(match.chosen, ways))
    return ", ".join(told)
