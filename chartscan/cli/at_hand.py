"""What counts as at hand: the stash by itself, a list in its place, or nothing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial, wraps
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


_STASH = partial(
    click.option,
    "--stash",
    "stash_file",
    type=FILE,
    envvar="CHARTSCAN_STASH",
    metavar="FILE",
)
_BY_RULE = (
    click.option(
        "--owned",
        "owned_file",
        type=FILE,
        metavar="LIST.csv",
        help="What you have (code,skeins), in place of your stash.",
    ),
    _STASH(help="The stash whose free threads count.  [default: CHARTSCAN_STASH, else your own]"),
    click.option("--no-stash", is_flag=True, help="Count nothing as at hand."),
    click.option(
        "--own-stash", is_flag=True, hidden=True, help="What is the rule now; once it was asked so."
    ),
)
_IF_ASKED = (
    click.option(
        "--owned",
        "owned_file",
        type=FILE,
        metavar="LIST.csv",
        help="Only what needs nothing bought beside what you have (code,skeins).",
    ),
    _STASH(help="The same by a stash: its threads, and its cloth unless --piece says."),
    click.option("--own-stash", is_flag=True, help="The same with the stash in your data folder."),
)


def at_hand_options(command: Command) -> Command:
    """Give ``command`` the options on what counts as at hand, as one argument ``counting``.

    Where nothing is told your own stash counts.
    """
    return _with_counting(command, _BY_RULE, by_rule=True)


def asked_at_hand_options(command: Command) -> Command:
    """The same for a command that looks at what is at hand only where it is asked to."""
    return _with_counting(command, _IF_ASKED, by_rule=False)


def _with_counting(
    command: Command, options: Sequence[Callable[[Any], Any]], *, by_rule: bool
) -> Command:
    @wraps(command)
    def with_counting(**values: Any) -> object:  # noqa: ANN401 - click passes any option value
        told = {name: values.pop(name, None) for name in AT_HAND_NAMES}
        return command(counting=_counting(told, by_rule=by_rule), **values)

    decorated: Any = with_counting
    for option in reversed(options):
        decorated = option(decorated)
    result: Command = decorated
    return result


def _counting(told: dict[str, Any], *, by_rule: bool) -> Counting:
    """A stash that is asked for must be there; one that is only usual needn't."""
    from chartscan.tasks.drawer import own_place

    source = click.get_current_context().get_parameter_source("stash_file")
    named = source is click.core.ParameterSource.COMMANDLINE
    if told["no_stash"] and named:
        raise click.UsageError("--stash and --no-stash can't both be given")
    asked = named or (told["own_stash"] and not by_rule)
    if by_rule and (told["owned_file"] is not None or told["no_stash"]):
        return Counting(told["owned_file"])
    stash = told["stash_file"] or own_place()
    counts = asked or (by_rule and stash.exists())
    return Counting(told["owned_file"], stash if counts else None)


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
