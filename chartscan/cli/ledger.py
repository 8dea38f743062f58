"""What the commands of the stash share: finding the ledger, amounts on the command line, dates."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict, is_dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from chartscan.cli.options import FILE
from chartscan.cli.parsing import parsed
from chartscan.cli.working import parse_length, parse_piece

if TYPE_CHECKING:
    from chartscan.stash.ledger import Ledger

MOST_MM = 1_000_000  # a kilometre; more is a slip of the finger

Command = TypeVar("Command", bound=Callable[..., Any])


class InOrder(click.Group):
    """A group that lists its commands in the order of the work, not of the alphabet."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order in which they were added."""
        return list(self.commands)


stash_option = click.option(
    "--stash",
    "stash_file",
    type=FILE,
    envvar="CHARTSCAN_STASH",
    metavar="FILE",
    help="The stash to use [CHARTSCAN_STASH, else one in your own data folder].",
)
note_option = click.option("--note", default="", metavar="TEXT", help="A note for the history.")
line_option = click.option("--line", metavar="LINE", help="The maker's line of the thread.")
size_option = click.option(
    "--size",
    callback=parsed(lambda text: whole_size(text)),
    metavar="WxH",
    help="Width x height: 400x500 (mm), 40x50cm or 16x20in.",
)


class Number(click.types.FloatParamType):
    """A number from 0 to ``most``; help doesn't spell these bounds out, as click's ranges do."""

    def __init__(self, most: float, kind: type[float] | type[int] = float) -> None:
        self.name = "number"
        self._most = most
        self._kind = kind

    def convert(
        self,
        value: Any,  # noqa: ANN401 - as in click
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> float:
        """The number that ``value`` says."""
        try:
            number = self._kind(value)
        except (ValueError, OverflowError):
            whole = "a whole number" if self._kind is int else "a number"
            self.fail(f"{value!r} isn't {whole}", param, ctx)
        if math.isnan(number):
            self.fail(f"{value!r} isn't a number", param, ctx)
        if not 0 <= number <= self._most:
            self.fail(f"{value} is not in the range from 0 to {self._most:,.0f}", param, ctx)
        return number


NUMBER = Number(1e9)
WHOLE = Number(1_000_000, int)


def stash_place(path: Path | None) -> Path:
    """Where the ledger lies: at ``path``, or in the user's own data folder."""
    from chartscan.stash.ledger import default_path

    return path or default_path()


def open_stash(path: Path | None, *, create: bool = False) -> Ledger:
    """The ledger at ``path``, or the user's own; begun anew with ``create`` where there is none."""
    from chartscan.stash.ledger import open_ledger

    return open_ledger(stash_place(path), create=create)


def whole_mm(text: str) -> int:
    """A length like ``3.5m`` in whole mm; metres where no unit is given."""
    bare = text.strip().replace(",", ".")
    length = parse_length(f"{text}m" if _is_number(bare) else text)
    if not 0 <= length <= MOST_MM:
        raise ValueError(f"{text!r}: a length is 0 or more, and at most {MOST_MM // 1000} m")
    return round(length)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def whole_size(text: str) -> tuple[int, int]:
    """A size like ``40x50cm`` in whole mm, both over 0."""
    width, height = parse_piece(text)
    if not (1 <= width <= MOST_MM and 1 <= height <= MOST_MM):
        raise ValueError(f"{text!r}: width and height must be 1 mm or more, and make sense")
    return round(width), round(height)


def parse_left(text: str) -> tuple[str, int, int]:
    """``RA11=3.5m``, ``RA11=1sk`` or ``RA11=1sk+2m`` as code, whole skeins, mm of part skein."""
    code, equals, amounts = text.rpartition("=")
    skeins = length = 0
    for part in amounts.split("+"):
        word = part.strip()
        if word.endswith("sk") and word[:-2].strip().isdecimal():
            skeins += int(word[:-2])
        elif word and not word.endswith("sk") and equals and code.strip():
            length += whole_mm(word)
        else:
            raise ValueError(f"{text!r} isn't like RA11=3.5m, RA11=1sk or RA11=1sk+2m")
    return code.strip(), skeins, length


def parse_bought(text: str) -> tuple[str, float | None]:
    """``RA11`` or ``RA11=2`` as what was bought and how much of it."""
    name, equals, amount = text.rpartition("=")
    if not equals:
        return text.strip(), None
    try:
        value = float(amount.replace(",", "."))
    except ValueError:
        raise ValueError(f"{text!r} isn't like RA11 or RA11=2") from None
    if not (name.strip() and 0 <= value < 1e6):
        raise ValueError(f"{text!r} isn't like RA11 or RA11=2")
    return name.strip(), value


def parse_day(text: str) -> str:
    """An ISO date, as it is."""
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise ValueError(f"{text!r} isn't a date like 2026-12-24") from None


def parse_moment(text: str) -> datetime:
    """A date (its end) or a date and time, in this computer's zone."""
    try:
        moment = datetime.fromisoformat(text.strip())
        if len(text.strip()) <= len("2026-12-24"):
            moment = datetime.combine(moment.date(), time.max)
        return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        raise ValueError(f"{text!r} isn't a date like 2026-12-24 or 2026-12-24T18:30") from None


def jsonable(value: object) -> Any:  # noqa: ANN401 - JSON may be any of its types
    """A value of the stash as JSON: dataclasses as objects, tuples as lists."""
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    return value
