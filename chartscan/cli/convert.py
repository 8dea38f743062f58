"""``chartscan convert``: a thread list of one range in another."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.at_hand import Counting, at_hand_options, need_something, open_at_hand
from chartscan.cli.matching import (
    LAYOUTS,
    Layout,
    candidate_json,
    discontinued_option,
    distinct_option,
    illuminant_option,
    next_best,
    own_within_option,
    thread_json,
    thread_words,
)
from chartscan.cli.options import FILE, json_option, print_json, warn
from chartscan.cli.outputs import TABLE, check_outputs, overwrite_option, write_all
from chartscan.cli.parsing import parsed

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from chartscan.palette import Conversions


def parse_taken(text: str) -> tuple[str, str]:
    """``ROS4=FP12`` as the code called for and the one that is taken."""
    called, equals, becomes = text.partition("=")
    if not (equals and called.strip() and becomes.strip()):
        raise ValueError(f"{text!r} isn't like ROS4=FP12")
    return called.strip(), becomes.strip()


@click.command()
@click.argument("key", type=FILE)
@click.option(
    "--from",
    "from_file",
    type=FILE,
    required=True,
    metavar="A.csv",
    help="The range that the list is written in.",
)
@click.option(
    "--to",
    "to_file",
    type=FILE,
    required=True,
    metavar="B.csv",
    help="The range that it is wanted in.",
)
@at_hand_options
@own_within_option
@distinct_option
@discontinued_option
@illuminant_option
@click.option(
    "--take",
    "taken",
    multiple=True,
    callback=parsed(parse_taken),
    metavar="CODE=NEW",
    help="Take NEW for CODE, now and from now on; may be repeated.",
)
@click.option(
    "--remark", default="", show_default=False, metavar="TEXT", help="Why, to be kept with --take."
)
@click.option("--plain", "nearest_only", is_flag=True, help="Leave out your table of substitutes.")
@click.option("-o", "--output", type=TABLE, metavar="NEW.csv", help="Write the new list here.")
@overwrite_option
@json_option
def convert(
    key: Path,
    from_file: Path,
    to_file: Path,
    counting: Counting,
    own_within: float | None,
    distinct: bool,
    discontinued: bool,
    illuminant: str,
    taken: tuple[tuple[str, str], ...],
    remark: str,
    nearest_only: bool,
    output: Path | None,
    as_json: bool,
) -> None:
    """Turn a thread list of one range into another.

    KEY is a CSV with a column code (and class or line, where you have them). The new list can be
    used as a key for match and kit. What --take says is remembered in your own table of
    substitutes, with the day and your remark, and goes before what is nearest, both ways round;
    `chartscan palette substitutes` shows it. Threads that fall on one are named.

    \b
    Example: chartscan convert key.csv --from meadowline --to fenmarl-pearl -o new-key.csv
    """
    from chartscan.tasks.papers import converted_key
    from chartscan.tasks.substitutes import convert_list, own_substitutes, take_substitutes
    from chartscan.tasks.threads import how_to_choose, open_range

    check_outputs((output,), (key, from_file, to_file, counting.owned_file))
    if own_within is not None:
        need_something(counting, "--own-within")
    before, after = open_range(from_file, illuminant), open_range(to_file, illuminant)
    warn(after.warnings)
    owned = open_at_hand(counting, after, quiet=as_json)
    settings = how_to_choose(distinct=distinct, own_within=own_within, discontinued=discontinued)
    known = take_substitutes(taken, before, after, remark) if taken else own_substitutes()
    converted = convert_list(key, before, after, settings, owned, () if nearest_only else known)
    if output is not None:
        write_all([(output, converted_key(converted).content)])
    if as_json:
        print_json(_json(converted.found))
        return
    _print_table(converted.found)
    warn(converted.found.warnings)


def _json(conversions: Conversions) -> dict[str, Any]:
    return {
        "threads": [
            {
                "from": thread_json(c.called_for),
                **candidate_json(c.chosen),
                "remembered": None if c.remembered is None else c.remembered.words,
                "margin": None if c.margin is None else round(c.margin, 4),
                "alternatives": [candidate_json(other) for other in c.alternatives],
            }
            for c in conversions.threads
        ],
        "warnings": list(conversions.warnings),
        "notes": list(conversions.notes),
    }


def _print_table(conversions: Conversions) -> None:
    from chartscan.report.terminal import console, print_fitting

    out = console()
    print_fitting(out, (_table(out, conversions, layout) for layout in LAYOUTS))
    for note in conversions.notes:
        out.print(note)


def _table(out: Console, conversions: Conversions, layout: Layout) -> Table:
    """The conversions as a table that shows what ``layout`` has room for."""
    from chartscan.palette import label
    from chartscan.report.terminal import add_row, swatch_pair, table

    pair = ["Old, new"] if layout.pair else []
    words = ["How it differs"] if layout.words else []
    following = ["Next (margin)"] if layout.next else []
    heads = ("Called for", *pair, "Becomes", "ΔE", *words, *following)
    shown = table(*heads, right=("ΔE",), whole=("Old, new", "Next (margin)"))
    for conversion in conversions.threads:
        old, new = conversion.called_for, conversion.chosen
        cells: list[str | Text] = [label(old)]
        cells += [swatch_pair(out, old.rgb, new.thread.rgb)] if pair else []
        cells += [label(new.thread), f"{new.delta_e:.1f}"]
        cells += [thread_words(new, layout.ways)] if words else []
        cells += [next_best(conversion.alternatives, conversion.margin)] if following else []
        add_row(shown, cells)
    return shown
