"""``chartscan worktable``: the whole job on a page of the browser."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(short_help="Open the whole job as a page in your browser.")
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="FOLDER",
    help="Where its charts are kept.  [default: CHARTSCAN_WORKTABLE, else in your own data folder]",
)
@click.option(
    "--stash",
    type=click.Path(path_type=Path, dir_okay=False),
    envvar="CHARTSCAN_STASH",
    metavar="FILE",
    help="The stash to use.  [default: CHARTSCAN_STASH, else one in your own data folder]",
)
@click.option(
    "--catalogue",
    type=click.Path(path_type=Path, dir_okay=False),
    envvar="CHARTSCAN_CATALOGUE",
    metavar="FILE",
    help="An archive's catalogue to take charts from.  [default: CHARTSCAN_CATALOGUE, else none]",
)
@click.option("--no-browser", is_flag=True, help="Say the address and open nothing.")
def worktable(
    folder: Path | None, stash: Path | None, catalogue: Path | None, no_browser: bool
) -> None:
    """Open the whole job as a page in your browser: read, check, choose threads, print.

    The page is served by this computer to this computer only; nothing is sent anywhere. It ends by
    its own button, after a quarter of an hour in which nobody used it, or with Ctrl-C. A second
    start opens the page of the first.

    \b
    Example: chartscan worktable
    """
    from chartscan.errors import OutputError

    try:
        from chartscan.worktable.lock import default_folder
        from chartscan.worktable.server import run

        opening = _say if no_browser else _open
        run(folder or default_folder(), opening, stash=stash, catalogue=catalogue)
    except ModuleNotFoundError as error:
        if error.name not in ("werkzeug", "waitress"):
            raise
        raise OutputError(
            f"the worktable needs the package {error.name}; "
            "install the extra: pip install 'chartscan[worktable]'"
        ) from error


def _open(address: str) -> None:
    """Open ``address`` in the browser; say it where there is none."""
    import webbrowser

    if not webbrowser.open(address):
        _say(address)


def _say(address: str) -> None:
    click.echo(f"The worktable is at {address}", err=True)
    click.echo("The key in it works once, within a minute. Ctrl-C ends the table.", err=True)
