"""``chartscan blend``: two threads in one needle, where no single one is near enough."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.at_hand import Counting, at_hand_options, open_at_hand
from chartscan.cli.matching import illuminant_option, thread_json
from chartscan.cli.options import (
    json_option,
    open_chart,
    palette_option,
    print_json,
    reading_options,
    warn,
)
from chartscan.cli.parsing import ONE_OR_MORE, Number

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from chartscan.palette import Blend
    from chartscan.reading import ReadSettings
    from chartscan.tasks.threads import BlendFor


@click.command()
@click.argument("wanted")
@palette_option
@at_hand_options
@click.option(
    "--gain",
    type=Number(0),
    default=1.0,
    metavar="ΔE",
    help="How much nearer than the best single thread a blend must come.",
)
@click.option(
    "--contrast",
    type=Number(over=0),
    default=12.0,
    metavar="ΔE",
    help="Largest difference between its two threads; pairs far apart look tweedy.",
)
@click.option(
    "-n",
    "number",
    type=ONE_OR_MORE,
    default=3,
    metavar="N",
    help="How many to show for each colour.",
)
@illuminant_option
@json_option
@reading_options
def blend(
    wanted: str,
    palette_file: Path,
    counting: Counting,
    gain: float,
    contrast: float,
    number: int,
    illuminant: str,
    as_json: bool,
    settings: ReadSettings | None,
) -> None:
    """Find two-thread blends nearer than one thread.

    WANTED is a colour (#rrggbb, lab:L,a,b or a code of the palette) or a chart, of which every
    colour is looked at. One strand of each thread goes into the needle. How a blend looks is
    reckoned as the mean of the two in light, which is a model: twist and shine aren't in it, so
    stitch a sample first. Blends that you have both threads for come first.

    \b
    Example: chartscan blend '#6d7f43' --palette meadowline --owned stash.csv
    """
    from chartscan.palette import BlendSettings
    from chartscan.palette.blend import MODEL
    from chartscan.tasks import threads as tasks

    palette = tasks.open_range(palette_file, illuminant)
    owned = open_at_hand(counting, palette, quiet=as_json)
    limits = BlendSettings(gain, contrast, number)
    path = Path(wanted)
    if wanted.startswith("#") or not path.is_file():
        blends: Sequence[BlendFor] = (tasks.blends_for_colour(wanted, palette, owned, limits),)
    else:
        blends = tasks.blends_for_chart(open_chart(path, settings), palette, owned, limits)
    if as_json:
        print_json({"model": MODEL, "colours": [_blends_json(one) for one in blends]})
        return
    _print_table(blends)
    click.echo(f"Note: {MODEL}.", err=True)
    without = [one.name for one in blends if not one.found.blends]
    if without:
        warn([f"no blend comes nearer by ΔE {gain:g} for {', '.join(without)}"])


def _print_table(blends: Sequence[BlendFor]) -> None:
    from chartscan.report.terminal import console, print_fitting

    out = console()
    print_fitting(out, (_table(out, blends, ways) for ways in (None, 1)))


def _table(out: Console, colours: Sequence[BlendFor], ways: int | None) -> Table:
    """The blends as a table with as many words on how each differs."""
    from chartscan.report.terminal import add_row, swatch_pair, table

    shown = table(
        "For", "Wanted, got", "Threads", "ΔE", "How it differs", "Gain", "Apart", "Have",
        right=("ΔE", "Gain", "Apart"), whole=("For", "Wanted, got", "Threads"),
    )  # fmt: skip
    for one in colours:
        found, single = one.found, one.found.single
        pair = swatch_pair(out, one.rgb, single.rgb)
        add_row(shown, [one.name, pair, single.code, f"{found.single_delta_e:.1f}", "one thread"])
        for entry in found.blends:
            which = ", ".join(entry.direction.split(", ")[:ways])
            add_row(
                shown,
                [
                    "",
                    swatch_pair(out, one.rgb, entry.rgb),
                    f"{entry.first.code} + {entry.second.code}",
                    f"{entry.delta_e:.1f}",
                    which or entry.grade,
                    f"{entry.gain:.1f}",
                    f"{entry.contrast:.1f}",
                    "both" if entry.owned else "",
                ],
            )
    return shown


def _blends_json(one: BlendFor) -> dict[str, Any]:
    found = one.found
    return {
        "wanted": one.name,
        "rgb": list(one.rgb),
        "single": {
            **thread_json(found.single),
            "delta_e": round(found.single_delta_e, 4),
        },
        "blends": [_blend_json(entry) for entry in found.blends],
    }


def _blend_json(entry: Blend) -> dict[str, Any]:
    return {
        "threads": [thread_json(entry.first), thread_json(entry.second)],
        "rgb": list(entry.rgb),
        "lab": [round(value, 3) for value in entry.lab],
        "delta_e": round(entry.delta_e, 4),
        "grade": entry.grade,
        "direction": entry.direction,
        "gain": round(entry.gain, 4),
        "contrast": round(entry.contrast, 4),
        "owned": entry.owned,
    }
