"""``chartscan project kit``, ``release``, ``start``, ``finish``, ``give-up`` and ``undo``."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.ledger import (
    note_option,
    open_stash,
    parse_left,
    stash_option,
    stash_place,
    whole_size,
)
from chartscan.cli.options import warn
from chartscan.cli.outputs import PAGE, check_outputs, overwrite_option
from chartscan.cli.parsing import parsed
from chartscan.cli.saying import say
from chartscan.errors import YardageError

if TYPE_CHECKING:
    from chartscan.stash.amounts import ThreadAmount
    from chartscan.stash.finishing import UsedThread
    from chartscan.stash.offcuts import CutOut

name_argument = click.argument("name")


@click.command()
@name_argument
@click.option("--partly", is_flag=True, help="Set apart what is there though something is missing.")
@click.option(
    "--divide/--whole",
    "divide",
    default=None,
    help="Divide a skein where another planned project needs its rest, or keep skeins whole"
    "  [default: by your rules; whole unless you changed them]",
)
@note_option
@stash_option
def kit(name: str, partly: bool, divide: bool | None, note: str, stash_file: Path | None) -> None:
    """Set everything for a project apart.

    Nothing is ever promised twice. With everything set apart, NAME is kitted. The bag gets whole
    skeins unless you divide them.

    \b
    Example: chartscan project kit Robin
    """
    from chartscan.report.cautions import MIXED_LOTS
    from chartscan.report.units import length
    from chartscan.stash.kitting import divided
    from chartscan.stash.kitting import kit as set_apart

    with open_stash(stash_file) as ledger:
        after = set_apart(ledger, name, partly=partly, divide=divide, note=note)
        cut_off = divided(ledger, after.project)
    for part in cut_off:
        of = "a skein" if part.whole else "the opened skein"
        say(
            f"{part.thread}: take {length(part.bag_mm)} off {of} for the bag; the other"
            f" {length(part.rest_mm)} stay in the drawer"
        )
    if after.missing:
        say(f"Set apart what is there for {name}; it still lacks:")
        say("\n".join(f"  {line}" for line in after.missing))
    else:
        place = f" (bag: {after.project.place})" if after.project.place else ""
        say(f"{name} is {after.project.state}: everything is set apart{place}.")
    if any(len(thread.held.lots) > 1 for thread in after.threads):
        say(MIXED_LOTS)


@click.command()
@name_argument
@note_option
@stash_option
def release(name: str, note: str, stash_file: Path | None) -> None:
    """Put what is set apart back into the drawer.

    \b
    Example: chartscan project release Robin
    """
    from chartscan.stash.kitting import release as put_back

    with open_stash(stash_file) as ledger:
        state = put_back(ledger, name, note).state
    say(f"{name} is {state}; nothing is set apart for it.")


@click.command()
@name_argument
@click.option("--short", is_flag=True, help="Begin though something is still lacking.")
@note_option
@stash_option
def start(name: str, short: bool, note: str, stash_file: Path | None) -> None:
    """Take the kitted project NAME into work.

    With --short also one that still lacks something: what is lacking stays on the shopping list,
    and `project today` reminds you.

    \b
    Example: chartscan project start Robin
    """
    from chartscan.stash.kitting import start as take_up
    from chartscan.stash.plan import make_plan

    with open_stash(stash_file) as ledger:
        take_up(ledger, name, note, short=short)
        missing = make_plan(ledger, name).missing if short else ()
    say(f"{name} is in work.")
    for line in missing:
        say(f"  still to come: {line}")


left_option = click.option(
    "--left",
    multiple=True,
    callback=parsed(parse_left),
    metavar="CODE=M",
    help="What is left: ROS1=3.5m, ROS1=1/2sk or ROS1=1sk+2m; may be repeated.",
)


@click.command()
@name_argument
@left_option
@click.option(
    "--fabric-left",
    multiple=True,
    callback=parsed(whole_size),
    metavar="WxH",
    help="A piece of its fabric that is left; may be repeated.",
)
@note_option
@stash_option
def finish(
    name: str,
    left: tuple[tuple[str, ThreadAmount], ...],
    fabric_left: tuple[tuple[int, int], ...],
    note: str,
    stash_file: Path | None,
) -> None:
    """Finish a project; what is left goes back.

    Of a thread that --left doesn't name, what the estimate calls likely is taken as used. What you
    measured teaches the estimate your own hand (`chartscan usage`).

    \b
    Example: chartscan project finish Robin --left ROS1=3.5m --left KIL2=1/2sk
    """
    from chartscan.report.units import counted
    from chartscan.stash.finishing import finish as end
    from chartscan.stash.finishing import sum_left

    with open_stash(stash_file) as ledger:
        rests = sum_left(ledger, name, left)
        used = end(ledger, name, rests, fabric_left=fabric_left, note=note)
    say(
        f"{name} is finished. What is left of {counted(len(used), 'thread')} is back in the drawer."
    )
    guessed = sum(not u.measured for u in used)
    if guessed:
        of = "them" if guessed == len(used) else f"{guessed} of them"
        say(f"What was used of {of} is by the estimate, not measured.")
    _teach(name, used)


def _teach(name: str, used: list[UsedThread]) -> None:
    """Record what was measured for the stitcher's own factor; the finish stands without it."""
    from chartscan.stash.finishing import usage_record
    from chartscan.yardage.calibration import add_record, load_book, save_book, usage_path

    record = usage_record(name, used, date.today().isoformat())
    if record is None:
        return
    try:
        save_book(add_record(load_book(usage_path()), record), usage_path())
    except YardageError as error:
        warn([f"not recorded for your own factor: {error}"])
        return
    say(f"Recorded for your own factor: {100 * record.ratio:.0f} % of the estimate.")


@click.command()
@name_argument
@click.argument("label", required=False)
@click.argument("sizes", nargs=-1, callback=parsed(whole_size))
@click.option(
    "--rest",
    multiple=True,
    callback=parsed(whole_size),
    metavar="WxH",
    help="A piece that is left and goes back into the drawer; may be repeated.",
)
@click.option("--plan", type=PAGE, metavar="F.html", help="Only draw the plan; nothing is cut.")
@overwrite_option
@note_option
@stash_option
def cut(
    name: str,
    label: str | None,
    sizes: tuple[tuple[int, int], ...],
    rest: tuple[tuple[int, int], ...],
    plan: Path | None,
    note: str,
    stash_file: Path | None,
) -> None:
    """Cut the fabric in a bag; the rest goes back.

    What NAME needs is cut off each piece in its bag, sets in one block; what is worth keeping of
    the rest goes back into the drawer as new pieces. Or tell what you cut: of the piece LABEL the
    SIZES stay in the bag, and each --rest goes back. --plan draws to scale how it is to be cut,
    also before anything is set apart.

    \b
    Example: chartscan project cut Robin --plan cuts.html
    Example: chartscan project cut Robin
    """
    from chartscan.stash.fabrics import cut_for_project
    from chartscan.stash.offcuts import cut_out
    from chartscan.stash.projects import find_project

    if label and not sizes:
        raise click.UsageError("say what was cut of it: 30x40cm, say")
    if plan:
        if label:
            raise click.UsageError("--plan draws the program's own plan; leave LABEL out")
        _draw_plan(name, plan, stash_file)
        return
    with open_stash(stash_file) as ledger:
        if label:
            number = find_project(ledger, name).id
            kept, left = cut_for_project(ledger, number, label, sizes, rest, note)
            back = f"; back in the drawer: {', '.join(left)}" if left else ""
            say(f"In the bag of {name}: {', '.join(kept)}{back}.")
        else:
            _say_cuts(cut_out(ledger, name, note=note))


def _draw_plan(name: str, plan: Path, stash_file: Path | None) -> None:
    from chartscan.errors import StashError
    from chartscan.files import write_text
    from chartscan.report.cutplan import cut_plan_lines, cut_plan_page, to_buy_lines
    from chartscan.stash.offcuts import plan_cuts

    check_outputs((plan,), (stash_place(stash_file),))
    with open_stash(stash_file) as ledger:
        cutting = plan_cuts(ledger, name)
    if not cutting.pieces:
        raise StashError(f"{name}: no piece of fabric serves it; see `chartscan project plan`")
    write_text(plan, cut_plan_page(name, cutting))
    say(f"Wrote {plan}. Wash and press what may shrink, and measure it, before you cut.", err=True)
    for piece in cutting.pieces:
        say("\n  ".join(cut_plan_lines(piece)))
    for line in to_buy_lines(cutting):
        say(line)


def _say_cuts(cuts: list[CutOut]) -> None:
    from chartscan.report.units import size_cm

    for done in cuts:
        say(f"{done.label}: cut {done.kept[0]}, {size_cm(done.kept[1])}, for the bag")
        for offcut, size in done.offcuts:
            say(f"  back in the drawer: {offcut}, {size_cm(size)}")
        if done.waste_mm2:
            say(f"  waste: {done.waste_mm2 / 100:.0f} cm²")


@click.command("give-up")
@name_argument
@left_option
@note_option
@stash_option
def give_up(
    name: str,
    left: tuple[tuple[str, ThreadAmount], ...],
    note: str,
    stash_file: Path | None,
) -> None:
    """Give a project up; its things go back.

    All that is set apart for NAME goes back into the drawer; of a thread that some was used of,
    --left tells what is left.

    \b
    Example: chartscan project give-up Robin --note "moths"
    """
    from chartscan.stash.finishing import give_up as drop
    from chartscan.stash.finishing import sum_left

    with open_stash(stash_file) as ledger:
        drop(ledger, name, sum_left(ledger, name, left), note)
    say(f"{name} is given up; its things are back in the drawer.")


@click.command()
@name_argument
@note_option
@stash_option
def undo(name: str, note: str, stash_file: Path | None) -> None:
    """Take back what was done last for a project.

    \b
    Example: chartscan project undo Robin
    """
    from chartscan.stash.kitting import undo_last
    from chartscan.stash.projects import find_project
    from chartscan.tasks.learning import unteach

    with open_stash(stash_file) as ledger:
        what = undo_last(ledger, name, note)
        state = find_project(ledger, name).state
    say(f"Took back: {what.name}. {name} is {state}.")
    learning = unteach(name, what.time) if what.name == "finished" else ""
    if learning:
        say(learning)
