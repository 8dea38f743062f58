"""What counts as at hand: the stash by itself, a list in its place, or nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from chartscan.cli.options import FILE, warn
from chartscan.cli.saying import say

if TYPE_CHECKING:
    from chartscan.palette import Owned, Palette

Command = TypeVar("Command", bound=Callable[..., Any])

AT_HAND_NAMES = ("owned_file", "stash_file", "no_stash", "own_stash")


@dataclass(frozen=True)
class Counting:
    """What the command line says is to be counted as at hand.

    Attributes:
        owned_file: a list ``code,skeins`` that takes the place of the stash.
        stash: the stash whose free threads count; None where nothing of one does.
    """

    owned_file: Path | None = None
    stash: Path | None = None

    @property
    def anything(self) -> bool:
        """Whether there is anything to look into."""
        return self.owned_file is not None or self.stash is not None


_OPTIONS = (
    click.option(
        "--owned",
        "owned_file",
        type=FILE,
        metavar="LIST.csv",
        help="What you have (code,skeins), in place of your stash.",
    ),
    click.option(
        "--stash",
        "stash_file",
        type=FILE,
        envvar="CHARTSCAN_STASH",
        metavar="FILE",
        help="The stash whose free threads count.  [default: CHARTSCAN_STASH, else your own]",
    ),
    click.option("--no-stash", is_flag=True, help="Count nothing as at hand."),
    click.option(
        "--own-stash", is_flag=True, hidden=True, help="What is the rule now; once it was asked so."
    ),
)


def at_hand_options(command: Command) -> Command:
    """Give ``command`` the options on what counts as at hand, as one argument ``counting``."""

    @wraps(command)
    def with_counting(**values: Any) -> object:  # noqa: ANN401 - click passes any option value
        told = {name: values.pop(name) for name in AT_HAND_NAMES}
        return command(counting=_counting(told), **values)

    decorated: Any = with_counting
    for option in reversed(_OPTIONS):
        decorated = option(decorated)
    result: Command = decorated
    return result


def _counting(told: dict[str, Any]) -> Counting:
    """A stash that the command line names must be there; one that is only usual needn't."""
    from chartscan.tasks.drawer import own_place

    source = click.get_current_context().get_parameter_source("stash_file")
    named = source is click.core.ParameterSource.COMMANDLINE
    if told["no_stash"] and named:
        raise click.UsageError("--stash and --no-stash can't both be given")
    if told["owned_file"] is not None or told["no_stash"]:
        return Counting(told["owned_file"])
    stash = told["stash_file"] or own_place()
    return Counting(stash=stash if named or stash.exists() else None)


def open_at_hand(counting: Counting, palette: Palette, *, quiet: bool = False) -> Owned | None:
    """What is at hand of a range; what was counted, and codes unknown, are told on stderr.

    Args:
        counting: what is to be counted.
        palette: the range.
        quiet: don't say what was counted: the product is for another program.
    """
    from chartscan.tasks.threads import at_hand

    found = at_hand(palette, counting.owned_file, counting.stash)
    if found.counted and not quiet:
        say(found.counted, err=True)
    warn(found.warnings)
    return found.owned


def need_something(counting: Counting, option: str) -> None:
    """A usage error where ``option`` asks for what is at hand and nothing says what that is."""
    if not counting.anything:
        raise click.UsageError(f"{option} needs --owned or a stash: what do you have?")
