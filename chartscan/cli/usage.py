"""``chartscan usage``: what finished work really took, to learn the stitcher's own factor from."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.options import FILE
from chartscan.cli.parsing import ANY_WHOLE, Number, parsed
from chartscan.cli.saying import say
from chartscan.cli.working import skein_options
from chartscan.errors import YardageError
from chartscan.lengths import parse_length

if TYPE_CHECKING:
    from chartscan.yardage.calibration import Book


@click.group()
def usage() -> None:
    """Record what finished work took, to learn from it.

    Some stitchers pull tighter or leave longer ends than others. From a few records of what your
    work really took, your own factor is estimated and used in estimates and kits from then on.

    \b
    Example: chartscan usage add "Robin" --estimate robin.json --skeins 4 --left 0.5
    """


@usage.command()
@click.argument("name")
@click.option(
    "--estimate",
    "estimate_file",
    type=FILE,
    metavar="E.json",
    help="What `estimate --json` (or `kit --json`) printed.",
)
@click.option(
    "--class",
    "class_index",
    type=Number(0, whole=True),
    metavar="N",
    help="Only this class of the estimate.",
)
@click.option(
    "--estimated",
    callback=parsed(parse_length),
    metavar="LENGTH",
    help="The likely length instead of a file: 23.5m, say; single strand.",
)
@click.option(
    "--used",
    callback=parsed(parse_length),
    metavar="LENGTH",
    help="What it took: 26m, say; single strand.",
)
@click.option(
    "--skeins",
    type=Number(over=0),
    metavar="N",
    help="Skeins that you began with.",
)
@click.option(
    "--left",
    type=Number(0),
    default=0.0,
    metavar="N",
    help="Skeins left, parts as fractions.",
)
@skein_options
def add(
    name: str,
    estimate_file: Path | None,
    class_index: int | None,
    estimated: float | None,
    used: float | None,
    skeins: float | None,
    left: float,
    metres: float,
    divides: int,
) -> None:
    """Record what the work NAME took.

    That is what was estimated, and what was used.

    \b
    Example: chartscan usage add "Robin" --estimated 23.5m --used 26m
    """
    from chartscan.yardage import Supply
    from chartscan.yardage.calibration import Record, add_record

    if (estimate_file is None) == (estimated is None):
        raise click.UsageError("give either --estimate FILE or --estimated LENGTH")
    if (used is None) == (skeins is None):
        raise click.UsageError("give either --used LENGTH or --skeins N with --left N")
    if used is None:
        used = ((skeins or 0.0) - left) * Supply(metres, divides).strand_mm
    if estimated is None and estimate_file is not None:
        estimated = _estimated_in(estimate_file, class_index)
    record = Record(name, estimated or 0.0, used, date.today().isoformat())
    _change(add_record(_book(), record))
    say(f"Recorded {name}: {100 * record.ratio:.0f} % of what was estimated.")
    _say_factor(_book())


@usage.command("list")
def list_records() -> None:
    """List the records and the factor they give.

    \b
    Example: chartscan usage list
    """
    from chartscan.report.terminal import add_row, console, table
    from chartscan.report.units import metres

    book = _book()
    if book.records:
        numbers = ("No.", "Estimated", "Used", "Ratio")
        rows = table("No.", "Date", "Work", *numbers[1:], right=numbers)
        for number, r in enumerate(book.records, 1):
            lengths = [metres(r.estimated_mm), metres(r.used_mm)]
            add_row(rows, [str(number), r.date, r.name, *lengths, f"{r.ratio:.2f}"])
        console().print(rows)
    _say_factor(book)


@usage.command()
@click.argument("number", type=ANY_WHOLE, required=False)
def undo(number: int | None) -> None:
    """Take back record NUMBER, or the last one.

    \b
    Example: chartscan usage undo 2
    """
    from chartscan.yardage.calibration import remove_record

    book, record = remove_record(_book(), number)
    _change(book)
    say(f"Took back {record.name}.")
    _say_factor(book)


@usage.command()
def off() -> None:
    """Leave your own factor out of estimates; the records stay.

    \b
    Example: chartscan usage off
    """
    _switch(on=False)


@usage.command()
def on() -> None:
    """Use your own factor in estimates again.

    \b
    Example: chartscan usage on
    """
    _switch(on=True)


def _switch(*, on: bool) -> None:
    from dataclasses import replace

    book = replace(_book(), on=on)
    _change(book)
    _say_factor(book)


def _book() -> Book:
    from chartscan.yardage.calibration import load_book, usage_path

    return load_book(usage_path())


def _change(book: Book) -> None:
    from chartscan.yardage.calibration import save_book, usage_path

    save_book(book, usage_path())


def _say_factor(book: Book) -> None:
    from chartscan.report.units import counted
    from chartscan.yardage.calibration import estimate_factor

    if not book.records:
        say("No records yet: estimates are as they come.")
        return
    factor = estimate_factor(book.records)
    state = "used in estimates" if book.on else "switched off"
    low, high = factor.between
    say(
        f"Your own factor is {factor.value:.3f} ({low:.2f} to {high:.2f}),"
        f" from {counted(factor.records, 'record')}; {state}."
    )


def _estimated_in(path: Path, class_index: int | None) -> float:
    """The likely length in an estimate's JSON, less the factor that was in it."""
    from chartscan.files import is_special

    try:
        if is_special(path):
            raise YardageError(f"{path}: isn't a plain file; save the estimate to disk first")
        data = json.loads(path.read_text(encoding="utf-8"))
        parts = [data["totals"]]
        if class_index is not None:
            parts = [t for t in data["threads"] if t["class"] == class_index]
        lengths = [float(part["length_mm"]["likely"]) for part in parts]
        factor = float(data.get("factor", 1.0))
    except OSError as error:
        raise YardageError(f"{path}: can't be opened ({error.strerror})") from error
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise YardageError(f"{path}: isn't what `chartscan estimate --json` prints") from error
    if not lengths:
        raise YardageError(f"{path}: has no class {class_index}")
    return sum(lengths) / factor
