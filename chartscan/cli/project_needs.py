"""``chartscan project extra`` and ``choose``: needs typed by hand, and stand-ins."""

from __future__ import annotations

from pathlib import Path

import click

from chartscan.cli.ledger import (
    NUMBER,
    line_option,
    note_option,
    open_stash,
    size_option,
    stash_option,
    stash_place,
)
from chartscan.cli.options import FILE, warn
from chartscan.cli.parsing import Number, parsed
from chartscan.cli.saying import say
from chartscan.lengths import parse_length


@click.group()
def extra() -> None:
    """Type what a project needs by hand.

    \b
    Example: chartscan project extra notion Robin "seed beads, ivory" --amount 12
    """


@extra.command()
@click.argument("project")
@click.argument("code")
@line_option
@click.option("--skeins", type=Number(1, 100_000, whole=True), metavar="N", help="Whole skeins.")
@click.option(
    "--length",
    callback=parsed(parse_length),
    metavar="LENGTH",
    help="Length of single strand instead: 12m, say.",
)
@click.option(
    "--strands", type=Number(1, 100, whole=True), default=1, metavar="N", help="In the needle."
)
@note_option
@stash_option
def thread(
    project: str,
    code: str,
    line: str | None,
    skeins: int | None,
    length: float | None,
    strands: int,
    note: str,
    stash_file: Path | None,
) -> None:
    """Add the thread CODE to what PROJECT needs.

    \b
    Example: chartscan project extra thread Robin ROS1 --skeins 1
    """
    from chartscan.stash.needs import ThreadNeed, add_thread_need, skeins_of
    from chartscan.stash.threads import ThreadInfo

    if (skeins is None) == (length is None):
        raise click.UsageError("say how much: either --skeins N or --length 12m")
    info = ThreadInfo(code, line or "")
    with open_stash(stash_file) as ledger:
        long = round(length or 0.0)
        need = ThreadNeed(
            called=info,
            skeins=skeins or skeins_of(ledger, info, long),
            high_mm=long,
            likely_mm=long,
            low_mm=long,
            strands=(strands,),
            note=note,
        )
        add_thread_need(ledger, project, need)
    say(f"{project} needs {code} too.")


@extra.command()
@click.argument("project")
@click.argument("name")
@click.option("--amount", type=NUMBER, default=1.0, metavar="N", help="How much.")
@click.option("--unit", default="", show_default=False, metavar="TEXT", help="Packet, g, m …")
@note_option
@stash_option
def notion(
    project: str, name: str, amount: float, unit: str, note: str, stash_file: Path | None
) -> None:
    """Add the notion NAME to what PROJECT needs.

    \b
    Example: chartscan project extra notion Robin "seed beads, ivory" --amount 12
    """
    from chartscan.stash.needs import add_notion_need
    from chartscan.stash.notions import NotionInfo

    with open_stash(stash_file) as ledger:
        add_notion_need(ledger, project, NotionInfo(name, unit), amount, note)
    say(f"{project} needs {amount:g} {unit or 'of'} {name} too.")


@extra.command()
@click.argument("project")
@click.option("--count", type=NUMBER, required=True, metavar="N", help="Threads per inch.")
@size_option
@click.option(
    "--pieces",
    type=Number(1, 1000, whole=True),
    default=1,
    metavar="N",
    help="How many.",
)
@click.option(
    "--colour", default="", show_default=False, metavar="NAME", help="Colour that it must have."
)
@stash_option
def fabric(
    project: str,
    count: float,
    size: tuple[int, int] | None,
    pieces: int,
    colour: str,
    stash_file: Path | None,
) -> None:
    """Add pieces of fabric, margins included, to what PROJECT needs.

    \b
    Example: chartscan project extra fabric Robin --count 28 --size 30x40cm
    """
    from chartscan.stash.needs import FabricNeed, add_fabric_need

    if size is None:
        raise click.UsageError("Missing option '--size': 30x40cm or 12x16in, say")
    with open_stash(stash_file) as ledger:
        add_fabric_need(ledger, project, FabricNeed(count, *size, pieces, colour))
    say(f"{project} needs {pieces} of {count:g} count fabric too.")


@extra.command()
@click.argument("project")
@stash_option
def drop(project: str, stash_file: Path | None) -> None:
    """Forget everything that was typed by hand for PROJECT.

    \b
    Example: chartscan project extra drop Robin
    """
    from chartscan.stash.needs import drop_hand_needs

    with open_stash(stash_file) as ledger:
        drop_hand_needs(ledger, project)
    say(f"{project} needs only what its charts say.")


@click.command()
@click.argument("project")
@click.argument("called")
@click.argument("used")
@click.option("--called-line", metavar="LINE", help="The line of the thread called for.")
@line_option
@click.option(
    "--palette", "palette_file", type=FILE, metavar="P.csv", help="Thread range that USED is of."
)
@click.option(
    "--reason", default="", show_default=False, metavar="TEXT", help="Why, to be kept with it."
)
@stash_option
def choose(
    project: str,
    called: str,
    used: str,
    called_line: str | None,
    line: str | None,
    palette_file: Path | None,
    reason: str,
    stash_file: Path | None,
) -> None:
    """Work in another thread than is called for.

    What calls for the thread CALLED is worked in USED: plan, kit, sheet and label all say so. What
    was promised of CALLED goes back into the drawer.

    \b
    Example: chartscan project choose Robin ROS1 ROS2 --reason "warmer on cream"
    """
    from chartscan.errors import MatchError
    from chartscan.stash.threads import ThreadInfo, info_of
    from chartscan.tasks import choice
    from chartscan.tasks import threads as tasks

    taken: ThreadInfo | tuple[str, str | None] = (used, line)
    if palette_file:
        try:
            taken = info_of(tasks.find_thread(tasks.open_range(palette_file), used, line or ""))
        except MatchError as error:
            raise click.UsageError(str(error)) from error
    place = stash_place(stash_file)
    look = choice.work_in(place, project, (called, called_line), taken, reason)
    say(f"{project}: {used} instead of {called}.")
    warn(look)
