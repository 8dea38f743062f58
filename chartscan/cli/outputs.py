"""Writing what a command makes: everything or nothing, and never over what it reads."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from pathlib import Path

import click

from chartscan.cli.parsing import FileName

OUTPUT = FileName(dir_okay=False)

Product = tuple[Path, bytes]


def check_outputs(outputs: Iterable[Path | None], inputs: Iterable[Path | None]) -> None:
    """Refuse results that would overwrite what is read, or each other, before the work is done."""
    from chartscan.files import real_place

    places = [real_place(path) for path in outputs if path is not None]
    if len(set(places)) < len(places):
        raise click.UsageError("two results can't go into the same file")
    for path in inputs:
        if path is not None and real_place(path) in places:
            raise click.UsageError(f"{path} is read by this command; give another name to write to")


def write_all(products: Sequence[Product]) -> None:
    """Write every file or none: they take their names only once all of them are written."""
    from chartscan.files import replacing

    with ExitStack() as stack:
        for path, content in products:
            stack.enter_context(replacing(path)).write(content)


def say_written(paths: Iterable[Path]) -> None:
    """Name each file that was written, a line each, on standard error."""
    for path in paths:
        click.echo(f"Wrote {path}", err=True)
