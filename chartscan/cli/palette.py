"""``chartscan palette``: thread ranges looked over, measured from a picture, compared."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.matching import illuminant_option, thread_json
from chartscan.cli.options import FILE, json_option, print_json, warn
from chartscan.cli.outputs import (
    TABLE,
    check_outputs,
    overwrite_option,
    say_written,
    write_all,
)
from chartscan.cli.palette_measure import measure
from chartscan.cli.parsing import Number

if TYPE_CHECKING:
    from chartscan.palette import Comparison, Twins

SHOWN = 20  # rows of a table on the terminal; --json has them all


@click.group()
def palette() -> None:
    """Check, measure and compare thread ranges.

    A thread range is a CSV: code,name,hex or code,name,L,a,b, and line, status, metres, strands
    and price where you know them.
    """


palette.add_command(measure)


@palette.command(name="list")
@json_option
def list_samples(as_json: bool) -> None:
    """List the sample ranges that come with the program.

    Their names can be given wherever a thread range is asked for.

    \b
    Example: chartscan palette list
    """
    from chartscan.palette.samples import EXAMPLES
    from chartscan.report.terminal import add_row, console, table
    from chartscan.tasks.threads import known_ranges

    if as_json:
        print_json({"palettes": known_ranges(), "examples": EXAMPLES})
        return
    shown = table("Name", "What it is", whole=("Name",))
    for name, text in {**known_ranges(), **EXAMPLES}.items():
        add_row(shown, [name, text])
    console().print(shown)


@palette.command()
@click.argument("palette_file", metavar="PALETTE", type=FILE)
@click.option(
    "--within",
    type=Number(over=0),
    default=0.8,
    metavar="ΔE",
    help="Call two threads near-twins up to this difference; under 0.8 few people tell them apart.",
)
@illuminant_option
@json_option
def check(palette_file: Path, within: float, illuminant: str, as_json: bool) -> None:
    """Look a thread range over: bad rows, duplicates, near-twins.

    Bad rows and codes that stand twice are refused, all of them named. Told are threads that few
    people tell apart, and colours that no screen shows as they are.

    \b
    Example: chartscan palette check meadowline --within 1.8
    """
    from chartscan.palette import beyond_screen, find_twins, load_palette

    threads = load_palette(palette_file, illuminant)
    twins, beyond = find_twins(threads, within), beyond_screen(threads)
    gone = sum(t.status == "discontinued" for t in threads.threads)
    several = sum(bool(t.colours) for t in threads.threads)
    if as_json:
        print_json(
            {
                "threads": len(threads.threads),
                "lines": sorted({t.line for t in threads.threads if t.line}),
                "discontinued": gone,
                "variegated": several,
                "twins": [_twins_json(pair) for pair in twins],
                "beyond_screen": [t.code for t in beyond],
            }
        )
        return
    said = [f"{len(threads.threads)} threads"]
    said += [f"{count} {name}" for count, name in ((gone, "discontinued"), (several, "variegated"))]
    click.echo(f"{palette_file}: {', '.join(said)}")
    if twins:
        _print_twins(twins, within)
    else:
        click.echo(f"No two are within ΔE {within:g} of each other.")
    if beyond:
        codes = ", ".join(t.code for t in beyond)
        warn([f"screens can't show {len(beyond)} of the colours as they are: {codes}"])


@palette.command()
@click.option("--forget", metavar="CODE", help="Drop what stands there for this thread.")
@json_option
def substitutes(forget: str | None, as_json: bool) -> None:
    """Show your own table of substitutes.

    `convert --take` writes it: which thread of one range you take for which of another, since
    when, and why. It is a CSV in your data folder (CHARTSCAN_SUBSTITUTES names another).

    \b
    Example: chartscan palette substitutes
    """
    from chartscan.report.terminal import add_row, console, table
    from chartscan.tasks.substitutes import forget_substitute, own_substitutes

    rows = own_substitutes() if forget is None else forget_substitute(forget)
    if as_json:
        told = [
            {"called": s.called, "becomes": s.becomes, "date": s.date, "remark": s.remark}
            for s in rows
        ]
        print_json({"substitutes": told})
        return
    if not rows:
        click.echo("Your table of substitutes is empty; `chartscan convert --take` fills it.")
        return
    shown = table("For", "You take", "Since", "Remark", whole=("For", "You take", "Since"))
    for row in rows:
        add_row(shown, [" ".join(row.called), " ".join(row.becomes), row.date, row.remark])
    console().print(shown)


@palette.command()
@click.argument("first", type=FILE)
@click.argument("second", type=FILE)
@illuminant_option
@json_option
def compare(first: Path, second: Path, illuminant: str, as_json: bool) -> None:
    """Compare two palettes by code: two measurements of one range, say.

    Told are the mean, the 95th percentile and the largest ΔE (CIEDE2000), and which codes stand in
    one of them only.

    \b
    Example: chartscan palette compare may.csv june.csv
    """
    from chartscan.palette import compare_palettes, load_palette

    result = compare_palettes(load_palette(first, illuminant), load_palette(second, illuminant))
    if as_json:
        print_json(_comparison_json(result))
        return
    _print_comparison(result)
    for path, missing in ((second, result.only_first), (first, result.only_second)):
        if missing:
            warn([f"{path} lacks {', '.join(t.code for t in missing)}"])


@palette.command()
@click.argument("first", type=FILE)
@click.argument("second", type=FILE)
@click.option("-o", "--output", type=TABLE, required=True, metavar="F.csv", help="The range.")
@click.option(
    "--alike",
    "within",
    type=Number(over=0),
    default=2.5,
    metavar="ΔE",
    help="Leave out and name threads that the two saw differ by more.",
)
@illuminant_option
@overwrite_option
def join(first: Path, second: Path, output: Path, within: float, illuminant: str) -> None:
    """Join two measurements of one range.

    Threads that both sittings saw alike are taken at the mean of the two, those that only one saw
    as it saw them. What differs by more than --alike is named, to be measured again.

    \b
    Example: chartscan palette join may.csv june.csv -o mine.csv
    """
    from chartscan.palette import load_palette
    from chartscan.palette.join import join_palettes, range_csv

    check_outputs((output,), (first, second))
    made = join_palettes(load_palette(first, illuminant), load_palette(second, illuminant), within)
    write_all([(output, range_csv(made.palette).encode("utf-8"))])
    _print_comparison(made.comparison)
    if made.apart:
        codes = ", ".join(thread.code for thread in made.apart)
        warn([f"the two don't agree on {codes}, which were left out: measure them again"])
    say_written([output])


def _print_twins(twins: Sequence[Twins], within: float) -> None:
    from chartscan.report.terminal import add_row, console, swatch_pair, table

    out = console()
    shown = table("Colours", "Thread", "Its twin", "ΔE", right=("ΔE",))
    for pair in twins[:SHOWN]:
        add_row(
            shown,
            [
                swatch_pair(out, pair.first.rgb, pair.second.rgb),
                f"{pair.first.code} {pair.first.name}".strip(),
                f"{pair.second.code} {pair.second.name}".strip(),
                "the same" if pair.same else f"{pair.delta_e:.2f}",
            ],
        )
    out.print(shown)
    more = f", {SHOWN} of them shown" if len(twins) > SHOWN else ""
    click.echo(f"{len(twins)} pairs within ΔE {within:g}{more}.")


def _print_comparison(result: Comparison) -> None:
    from chartscan.report.terminal import add_row, console, swatch_pair, table

    out = console()
    shown = table("First, second", "Code", "ΔE", "How the second differs", right=("ΔE",))
    for entry in result.threads[:SHOWN]:
        pair = swatch_pair(out, entry.first.rgb, entry.second.rgb)
        add_row(shown, [pair, entry.first.code, f"{entry.delta_e:.2f}", entry.direction])
    out.print(shown)
    count = len(result.threads)
    more = f"; the {SHOWN} most different are shown" if count > SHOWN else ""
    click.echo(
        f"{count} thread{'s' * (count != 1)} in both{more}. ΔE: mean {result.mean:.2f}, "
        f"95 in 100 within {result.percentile_95:.2f}, largest {result.largest:.2f}."
    )


def _comparison_json(result: Comparison) -> dict[str, Any]:
    return {
        "mean": round(result.mean, 4),
        "percentile_95": round(result.percentile_95, 4),
        "largest": round(result.largest, 4),
        "threads": [
            {
                "code": entry.first.code,
                "line": entry.first.line,
                "delta_e": round(entry.delta_e, 4),
                "direction": entry.direction,
            }
            for entry in result.threads
        ],
        "only_first": [t.code for t in result.only_first],
        "only_second": [t.code for t in result.only_second],
    }


def _twins_json(pair: Twins) -> dict[str, Any]:
    return {
        "threads": [thread_json(pair.first), thread_json(pair.second)],
        "delta_e": round(pair.delta_e, 4),
        "same": pair.same,
    }
