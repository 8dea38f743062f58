"""Writing what a command makes: everything or nothing, and never over what it reads."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import click

from chartscan.cli.parsing import FileName

Product = tuple[Path, bytes]

_OVERWRITE = "chartscan.overwrite"
_THERE = "chartscan.there"  # new files by name that are there already


class NewFile(FileName):
    """A file to write, of the kind that the command makes; one that is there is asked about.

    :func:`check_outputs` refuses it, unless ``--overwrite`` is given.

    Attributes:
        endings: what such files end in; a name without an ending is taken as it is.
        otherwise: what to do where another kind is wanted.
    """

    def __init__(self, *endings: str, otherwise: str = "") -> None:
        super().__init__(dir_okay=False)
        self.endings = endings
        self.otherwise = otherwise

    def convert(
        self,
        value: Any,  # noqa: ANN401 - as in click
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Any:  # noqa: ANN401 - as in click
        """The path that ``value`` names; its ending says what such a file holds."""
        path = super().convert(value, param, ctx)
        ending = path.suffix.lower()
        if self.endings and ending and ending not in self.endings:
            self.fail(f"{path}: what is written is no {ending[1:]} file; {self.otherwise}")
        if ctx is not None and path.is_file():
            ctx.meta.setdefault(_THERE, []).append(path)
        return path


OUTPUT = FileName(dir_okay=False)  # what an older file of the same name is carried on in
PAGE = NewFile(
    *(".html", ".htm"),
    otherwise="name a page (.html), and print it to PDF from your browser if you want one",
)
TABLE = NewFile(*(".csv", ".txt"), otherwise="name a table (.csv), which every spreadsheet opens")
PICTURE = NewFile(".png", otherwise="name a picture (.png)")
ANY_NEW = NewFile()


def _remember(ctx: click.Context, _param: click.Parameter, value: bool) -> None:
    ctx.meta[_OVERWRITE] = value


overwrite_option = click.option(
    "--overwrite",
    is_flag=True,
    is_eager=True,  # known before any file's name is looked at
    expose_value=False,
    callback=_remember,
    help="Write over files that are there already.",
)


def check_outputs(outputs: Iterable[Path | None], inputs: Iterable[Path | None]) -> None:
    """Refuse results that would overwrite what is read, each other, or a :class:`NewFile`.

    It is called before the work is done.
    """
    from chartscan.files import real_place

    places = [real_place(path) for path in outputs if path is not None]
    if len(set(places)) < len(places):
        raise click.UsageError("two results can't go into the same file")
    for path in inputs:
        if path is not None and real_place(path) in places:
            raise click.UsageError(f"{path} is read by this command; give another name to write to")
    refuse_there(click.get_current_context().meta.get(_THERE, ()))


def refuse_there(files: Iterable[Path]) -> None:
    """Refuse files that are there already, unless ``--overwrite`` is given."""
    for path in () if click.get_current_context().meta.get(_OVERWRITE) else files:
        raise click.UsageError(
            f"{path} is there already; give another name, or --overwrite to write over it"
        )


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
