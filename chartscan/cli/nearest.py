"""``chartscan nearest``: the threads, or the fabrics, nearest to one colour."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.at_hand import Counting, at_hand_options, need_something, open_at_hand
from chartscan.cli.matching import (
    candidate_json,
    discontinued_option,
    illuminant_option,
    thread_json,
    thread_words,
)
from chartscan.cli.options import FILE, PALETTE_HELP, json_option, print_json, warn
from chartscan.cli.parsing import ONE_OR_MORE, Number, parse_size, parsed

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from chartscan.palette import Candidate, FabricCandidate, Wanted


@click.command()
@click.argument("colour")
@click.option("--palette", "palette_file", type=FILE, metavar="RANGE", help=PALETTE_HELP)
@click.option(
    "--line",
    default="",
    show_default=False,
    metavar="NAME",
    help="Line of the code, where several have it.",
)
@click.option(
    "-n",
    "number",
    type=ONE_OR_MORE,
    default=5,
    metavar="N",
    help="How many to show.",
)
@at_hand_options
@click.option("--owned-only", is_flag=True, help="Only threads you have.")
@discontinued_option
@illuminant_option
@click.option(
    "--fabrics",
    "fabric_file",
    type=FILE,
    metavar="LIST.csv",
    help="Look for the nearest fabric of this list (name,hex,count) instead.",
)
@click.option(
    "--count",
    "fabric_count",
    type=Number(over=0),
    metavar="N",
    help="Threads per inch the fabric must have.",
)
@click.option(
    "--cut",
    "fabric_cut",
    callback=parsed(parse_size),
    metavar="WxH",
    help="Piece the fabric must hold, in mm.",
)
@json_option
def nearest(
    colour: str,
    palette_file: Path | None,
    line: str,
    number: int,
    counting: Counting,
    owned_only: bool,
    discontinued: bool,
    illuminant: str,
    fabric_file: Path | None,
    fabric_count: float | None,
    fabric_cut: tuple[int, int] | None,
    as_json: bool,
) -> None:
    """Find the threads nearest to one colour.

    COLOUR is #rrggbb, lab:L,a,b (under D65), or a code of the palette: one that is discontinued,
    say. Discontinued threads are shown only where you have some, or with --all.

    \b
    Example: chartscan nearest '#6d7f43' --palette meadowline --owned stash.csv
    Example: chartscan nearest HAW2 --palette meadowline -n 3
    """
    from chartscan.palette import Palette
    from chartscan.tasks import threads as tasks

    if palette_file is None and fabric_file is None:
        raise click.UsageError("--palette is missing: which threads are there to choose from?")
    if owned_only:
        need_something(counting, "--owned-only")
    if fabric_file is None and (fabric_count or fabric_cut):
        raise click.UsageError("--count and --cut go with --fabrics")
    palette = tasks.open_range(palette_file, illuminant) if palette_file else Palette(())
    warn(palette.warnings)
    if fabric_file is not None:
        wanted, fabrics = tasks.nearest_cloth(
            colour, palette, fabric_file, number, fabric_count, fabric_cut, line
        )
        _show_fabrics(wanted, fabrics, as_json)
        return
    wanted, threads = tasks.nearest(
        colour,
        palette,
        number,
        open_at_hand(counting, palette, quiet=as_json),
        line=line,
        owned_only=owned_only,
        discontinued=discontinued,
    )
    _show_threads(wanted, threads, as_json)


def _show_threads(wanted: Wanted, threads: Sequence[Candidate], as_json: bool) -> None:
    if as_json:
        print_json(
            {"colour": _wanted_json(wanted), "threads": [candidate_json(c) for c in threads]}
        )
        return
    from chartscan.report.terminal import console, print_fitting

    out = console()
    print_fitting(out, (_table(out, wanted, threads, ways) for ways in (None, 1, 0)))


def _table(out: Console, wanted: Wanted, threads: Sequence[Candidate], ways: int | None) -> Table:
    """The threads as a table with as many words on how each differs."""
    from chartscan.report.terminal import add_row, swatch_pair, table

    known = any(c.owned is not None for c in threads)
    heads = ["Wanted, thread", "Code", "Name", "ΔE", "How it differs"]
    heads += ["Have"] if known else []
    shown = table(*heads, right=("ΔE", "Have"), whole=("Wanted, thread", "Code"))
    for candidate in threads:
        thread = candidate.thread
        words = thread_words(candidate, ways)
        have = [f"{candidate.owned:.3g}" if candidate.owned else ""] if known else []
        pair = swatch_pair(out, wanted.rgb, thread.rgb)
        delta_e = f"{candidate.delta_e:.1f}"
        add_row(shown, [pair, thread.code, thread.name, delta_e, words, *have])
    return shown


def _show_fabrics(wanted: Wanted, fabrics: Sequence[FabricCandidate], as_json: bool) -> None:
    if as_json:
        print_json({"colour": _wanted_json(wanted), "fabrics": [_fabric_json(c) for c in fabrics]})
        return
    from chartscan.report.terminal import add_row, console, swatch_pair, table

    out = console()
    shown = table(
        "Wanted, fabric",
        "Fabric",
        "Count",
        "Size, cm",
        "ΔE",
        "How it differs",
        right=("Count", "ΔE"),
    )
    for candidate in fabrics:
        fabric = candidate.fabric
        size = " × ".join(f"{side / 10:g}" for side in fabric.size_mm) if fabric.size_mm else ""
        words = ", ".join(filter(None, (candidate.grade, candidate.direction)))
        pair = swatch_pair(out, wanted.rgb, fabric.rgb)
        count = f"{fabric.count:g}" if fabric.count else ""
        add_row(shown, [pair, fabric.name, count, size, f"{candidate.delta_e:.1f}", words])
    out.print(shown)


def _wanted_json(wanted: Wanted) -> dict[str, Any]:
    if wanted.thread is not None:
        return thread_json(wanted.thread)
    return {"rgb": list(wanted.rgb), "lab": [round(value, 3) for value in wanted.lab]}


def _fabric_json(candidate: FabricCandidate) -> dict[str, Any]:
    fabric = candidate.fabric
    return {
        "name": fabric.name,
        "rgb": list(fabric.rgb),
        "count": fabric.count,
        "size_mm": None if fabric.size_mm is None else list(fabric.size_mm),
        "fibre": fabric.fibre,
        "delta_e": round(candidate.delta_e, 4),
        "grade": candidate.grade,
        "direction": candidate.direction,
    }
