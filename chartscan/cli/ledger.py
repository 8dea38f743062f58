"""What the commands of the stash share: finding the ledger, amounts on the command line, dates."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import asdict, is_dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from chartscan.cli.options import FILE
from chartscan.cli.parsing import Number, parsed
from chartscan.cli.working import parse_piece
from chartscan.lengths import parse_length

if TYPE_CHECKING:
    from chartscan.stash.amounts import ThreadAmount
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
    help="The stash to use.  [default: CHARTSCAN_STASH, else one in your own data folder]",
)
note_option = click.option(
    "--note", default="", show_default=False, metavar="TEXT", help="A note for the history."
)
line_option = click.option("--line", metavar="LINE", help="The maker's line of the thread.")
size_option = click.option(
    "--size",
    callback=parsed(lambda text: whole_size(text)),
    metavar="WxH",
    help="Width x height: 400x500 (mm), 40x50cm or 16x20in.",
)


NUMBER = Number(0, 1e9)
WHOLE = Number(0, 1_000_000, whole=True)


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


def skein_amount(text: str) -> ThreadAmount:
    """An amount of thread; a number alone is skeins."""
    from chartscan.stash.amounts import parse_amount

    return parse_amount(text)


def metre_amount(text: str) -> ThreadAmount:
    """An amount of thread; a number alone is metres."""
    from chartscan.stash.amounts import parse_amount

    return parse_amount(text, bare="m")


def parse_left(text: str) -> tuple[str, ThreadAmount]:
    """``ROS1=3.5m``, ``ROS1=1/2sk`` or ``ROS1=1sk+2m`` as code and amount; bare is metres."""
    from chartscan.stash.amounts import parse_amount

    code, _, amount = text.rpartition("=")
    if not code.strip():
        raise ValueError(f"{text!r} isn't like ROS1=3.5m, ROS1=1/2sk or ROS1=1sk+2m")
    return code.strip(), parse_amount(amount, bare="m")


def parse_bought(text: str) -> tuple[str, float | None]:
    """``ROS1``, ``ROS1=2`` or ``beads=2.5`` as what was bought and how much of it."""
    name, equals, amount = text.rpartition("=")
    if not equals:
        return text.strip(), None
    told = re.fullmatch(r"\s*(\d{1,6}(?:[.,]\d{1,6})?)\s*(?:sk|skeins?)?\s*", amount)
    if told is None or not name.strip():
        raise ValueError(f"{text!r} isn't like ROS1 or ROS1=2")
    return name.strip(), float(told[1].replace(",", "."))


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


def local_day(moment: str) -> str:
    """The day of an act (UTC, ISO 8601) in this computer's zone; as it stands for the year 1."""
    try:
        return datetime.fromisoformat(moment).astimezone().date().isoformat()
    except (ValueError, OverflowError):
        return moment[:10]


def jsonable(value: object) -> Any:  # noqa: ANN401 - JSON may be any of its types
    """A value of the stash as JSON: dataclasses as objects, tuples as lists."""
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    return value
