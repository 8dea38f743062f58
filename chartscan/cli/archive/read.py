"""``chartscan archive read``: from folders of pages to a catalogue."""

from __future__ import annotations

from contextlib import AbstractContextManager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.archive.options import STATES
from chartscan.cli.options import FILE, json_option, print_json, warn
from chartscan.cli.parsing import ONE_OR_MORE, Number
from chartscan.cli.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable

    from chartscan.archive.engine import Crew
    from chartscan.archive.values import State
    from chartscan.tasks.archive import ArchiveRun

GIB = 2**30
OVER_NOUGHT = Number(over=0)

into_option = click.option(
    "--into", "catalogue", type=FILE, required=True, metavar="CATALOGUE", help="The catalogue."
)


@click.command()
@click.argument("folders", metavar="FOLDER...", nargs=-1, required=True, type=FILE)
@into_option
@click.option(
    "--workers", type=ONE_OR_MORE, metavar="N", help="Processes here.  [default: one a core]"
)
@click.option(
    "--scheduler",
    metavar="tcp://HOST:PORT",
    help="Use the workers of this Dask scheduler instead (needs the extra archive).",
)
@click.option(
    "--seen-as",
    type=FILE,
    metavar="FOLDER",
    help="Where the workers see the one FOLDER that is read, if not under its own name.",
)
@click.option("--send", is_flag=True, help="Send the workers the bytes; they share no folder.")
@click.option(
    "--seconds",
    type=OVER_NOUGHT,
    default=300,
    metavar="S",
    help="Time that one page may take.",
)
@click.option(
    "--memory",
    "memory_gib",
    type=OVER_NOUGHT,
    default=4,
    metavar="GIB",
    help="Memory that a worker may take for it.",
)
@click.option(
    "--retry",
    "again",
    type=click.Choice(STATES),
    multiple=True,
    help="Read pages of this kind again; may be repeated.",
)
@json_option
def read(
    folders: tuple[Path, ...],
    catalogue: Path,
    workers: int | None,
    scheduler: str | None,
    seen_as: Path | None,
    send: bool,
    seconds: float,
    memory_gib: float,
    again: tuple[State, ...],
    as_json: bool,
) -> None:
    """Read all charts in folders into a catalogue.

    Finds pictures and PDF pages in each FOLDER and below, tells charts from other pages, reads
    the charts, and keeps what it made of each page. Stopped or killed, call it the same way
    again: nothing is read twice. Called later, it reads what has come in since.

    A page that takes its worker down, or too much time or memory, is tried once more and then set
    aside (`chartscan archive missed` says which, `--retry aside` tries those again).

    \b
    Example: chartscan archive read scans/ --into guild.catalogue
    """
    from chartscan.archive.values import Limits
    from chartscan.cli.progress import shown_progress
    from chartscan.tasks.archive import ArchiveSettings, read_archive

    _check(folders, scheduler, workers, seen_as, send=send)
    settings = ArchiveSettings(
        limits=Limits(seconds, int(memory_gib * GIB)),
        again=again,
        seen_as=seen_as,
        send=send,
    )
    with shown_progress() as progress:
        run = read_archive(folders, catalogue, _crew(workers, scheduler), settings, progress)
    warn(run.remarks)
    if as_json:
        print_json(
            {
                "files": run.files,
                "booked": {state: run.pages.get(state, 0) for state in STATES},
                "before": run.before,
                "kept": run.kept,
                "proposed": run.proposed,
            }
        )
    else:
        say(f"{catalogue}: {_words(run)}")


def _check(
    folders: tuple[Path, ...],
    scheduler: str | None,
    workers: int | None,
    seen_as: Path | None,
    *,
    send: bool,
) -> None:
    if scheduler is not None and workers is not None:
        raise click.UsageError("--workers are those of this machine; --scheduler has its own")
    if seen_as is not None and (send or len(folders) > 1):
        raise click.UsageError("--seen-as goes with one FOLDER, and not with --send")


def _crew(workers: int | None, scheduler: str | None) -> Callable[[], AbstractContextManager[Crew]]:
    if scheduler is not None:
        from chartscan.archive.cluster import cluster

        return partial(cluster, scheduler)
    from chartscan.archive.processes import processes

    return partial(processes, workers)


def _words(run: ArchiveRun) -> str:
    from chartscan.report.units import counted

    done = run.pages
    read = sum(done.values())
    words = [
        f"{counted(run.files, 'file')} found",
        f"{counted(read, 'page')} booked" + (f", {run.before:,} before" if run.before else ""),
        counted(done.get("chart", 0), "chart"),
    ]
    named = (("refused", "not readable as a chart"), ("unreadable", "unreadable"))
    for state, said in (*named, ("aside", "set aside")):
        if done.get(state):
            words.append(f"{done[state]:,} {said}")
    words += [f"{counted(run.kept, 'page')} corrected or joined by you, kept"] if run.kept else []
    if run.proposed:
        words.append(f"{counted(run.proposed, 'chart')} on several pages to join (archive list)")
    return "; ".join(words)
