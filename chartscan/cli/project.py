"""``chartscan project …``: plan, kit up, start and finish projects."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from chartscan.cli.ledger import NUMBER, InOrder, parse_day, stash_option, stash_place
from chartscan.cli.options import FILE, warn
from chartscan.cli.parsing import Number, parse_colour, parsed
from chartscan.cli.project_life import cut, finish, give_up, kit, release, start, undo
from chartscan.cli.project_looks import label, list_, plan, today, what_if
from chartscan.cli.project_needs import choose, extra
from chartscan.cli.project_took import took
from chartscan.cli.saying import say
from chartscan.lengths import parse_length

if TYPE_CHECKING:
    from chartscan.stash.computing import Worked

Command = TypeVar("Command", bound=Callable[..., Any])


@click.group(cls=InOrder)
def project() -> None:
    """Plan, kit up, start and finish projects.

    A project is planned, kitted, in work, and finished or given up. It is kitted when chart,
    fabric, threads and notions are all there and set apart for it.

    \b
    Example: chartscan project new Robin --chart robin.json --palette meadowline --fabric 28
    """


DATA_OPTIONS = (
    click.option(
        "--chart",
        "charts",
        multiple=True,
        metavar="TITLE|FILE",
        help="A chart's title in the stash, or a chart file; repeat for the parts of a series.",
    ),
    click.option("--palette", type=FILE, metavar="P.csv", help="Thread range to match to."),
    click.option("--key", "key_file", type=FILE, metavar="K.csv", help="Threads told per class."),
    click.option("--fabric", "fabric_count", type=NUMBER, metavar="N", help="Threads per inch."),
    click.option(
        "--count-down",
        "fabric_count_down",
        type=NUMBER,
        metavar="N",
        help="Threads per inch downwards; a new project has them as across.",
    ),
    click.option(
        "--over",
        "fabric_over",
        type=Number(1, 20, whole=True),
        metavar="N",
        help="Threads crossed; in a new project 1.",
    ),
    click.option("--fabric-colour", metavar="NAME", help="Colour that the fabric must have."),
    click.option(
        "--fabric-hex", callback=parsed(parse_colour), metavar="#RRGGBB", help="Its colour."
    ),
    click.option(
        "--copies",
        type=Number(1, 10_000, whole=True),
        metavar="N",
        help="Times it is worked; a new project once.",
    ),
    click.option(
        "--strands",
        type=Number(1, 100, whole=True),
        metavar="N",
        help="Strands for crosses; in a new project by the fabric.",
    ),
    click.option(
        "--margin",
        "margin_mm",
        callback=parsed(lambda text: round(parse_length(text))),
        metavar="MM",
        help="Cloth on each side; in a new project 75.",
    ),
    click.option("--place", metavar="TEXT", help="Which bag or box it lies in."),
    click.option(
        "--start-on",
        "wished_start",
        callback=parsed(parse_day),
        metavar="DATE",
        help="Wished start.",
    ),
    click.option("--deadline", callback=parsed(parse_day), metavar="DATE", help="To be done by."),
    click.option("--note", metavar="TEXT", help="A note."),
)


def data_options(command: Command) -> Command:
    """Give ``command`` the options on a project's own data."""
    decorated: Any = command
    for option in reversed(DATA_OPTIONS):
        decorated = option(decorated)
    result: Command = decorated
    return result


def _say(worked: Worked | None, done: str) -> None:
    from chartscan.report.units import counted

    if worked is None:
        say(f"{done}.")
        return
    warn(worked.warnings)
    sizes = counted(len(worked.fabrics), "size of fabric", "sizes of fabric")
    say(f"{done}: it needs {counted(len(worked.threads), 'thread')} and {sizes}.")


@click.command()
@click.argument("name")
@data_options
@stash_option
def new(name: str, charts: tuple[str, ...], stash_file: Path | None, **told: object) -> None:
    """Begin the project NAME.

    With a chart file, a fabric and a thread range its needs are worked out at once; otherwise type
    them with `project extra`.

    \b
    Example: chartscan project new Robin --chart robin.json --palette meadowline --fabric 28
    """
    from chartscan.tasks import projects

    worked = projects.begin(stash_place(stash_file), name, projects.project_data(told), charts)
    _say(worked, f"Planned {name}")


@click.command()
@click.argument("name")
@click.option("--rename", metavar="NAME", help="A new name.")
@data_options
@stash_option
def change(
    name: str,
    rename: str | None,
    charts: tuple[str, ...],
    stash_file: Path | None,
    **told: object,
) -> None:
    """Change a project; its needs follow. What isn't told stays as it was.

    \b
    Example: chartscan project change Robin --copies 2 --deadline 2026-12-20
    """
    from chartscan.tasks import projects

    changes = projects.project_data(told) | ({"name": rename} if rename else {})
    worked = projects.change(stash_place(stash_file), name, changes, charts)
    _say(worked, f"Changed {rename or name}")


for _member in (
    *(new, change, extra, choose, plan, today, what_if, kit, label, cut, release),
    *(start, finish, give_up, undo, took, list_),
):
    project.add_command(_member)
