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


NUMBER = Number(0, 1e9)
WHOLE = Number(0, 1_000_000, whole=True)


def stash_place(path: Path | None) -> Path:
    """Where the ledger lies: at ``path``, or in the user's own data folder."""
    from chartscan.tasks.drawer import own_place

    return path or own_place()


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


def parse_left(text: str) -> tuple[str, tuple[float, ...], int]:
    """``RA11=3.5m``, ``RA11=1/2sk`` or ``RA11=1sk+2m`` as code, skeins each, mm of part skein."""
    code, _, amounts = text.rpartition("=")
    skeins: list[float] = []
    length = 0
    for part in amounts.split("+"):
        word = part.strip()
        number = _skeins(word[:-2]) if word.endswith("sk") else None
        if number is not None and code.strip():
            skeins.append(number)
        elif word and not word.endswith("sk") and code.strip():
            length += whole_mm(word)
        else:
            raise ValueError(f"{text!r} isn't like RA11=3.5m, RA11=1/2sk or RA11=1sk+2m")
    return code.strip(), tuple(skeins), length


def _skeins(text: str) -> float | None:
    """``1``, ``0.5``, ``0,5`` or ``1/2``; None for anything else."""
    told = re.fullmatch(r"\s*(\d{1,6}(?:[.,]\d{1,6})?|(\d{1,6})\s*/\s*(\d{1,6}))\s*", text)
    if told is None or (told[3] and not int(told[3])):
        return None
    return int(told[2]) / int(told[3]) if told[3] else float(told[1].replace(",", "."))


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
