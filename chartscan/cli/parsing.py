"""Values written on the command line: sizes, areas, corners, colours, pages."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

UNKNOWN = "?"  # of a number that is to be found
MOST_PAGES = 200  # of one chart: a slip of the finger shouldn't read a whole book


class FileName(click.Path):
    """A file's name as a path; "" would be this folder, and no system takes a NUL in a name."""

    def __init__(self, *, dir_okay: bool = True, file_okay: bool = True) -> None:
        super().__init__(path_type=Path, dir_okay=dir_okay, file_okay=file_okay)

    def convert(
        self,
        value: Any,  # noqa: ANN401 - as in click
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Any:  # noqa: ANN401 - as in click
        """The path that ``value`` names."""
        if not str(value) or "\0" in str(value):
            self.fail(f"{str(value)!r} can't be a file's name", param, ctx)
        return super().convert(value, param, ctx)


class Number(click.types.FloatParamType):
    """A number within bounds, whole or not; decimal commas are taken too.

    What is wrong with one is said in words, and help isn't burdened with the bounds: click's own
    ranges write ``x>=1`` in both places.
    """

    name = "number"

    def __init__(
        self,
        least: float | None = None,
        most: float | None = None,
        *,
        over: float | None = None,
        whole: bool = False,
    ) -> None:
        self._kind: type[int] | type[float] = int if whole else float
        self._least, self._most, self._over = least, most, over

    def convert(
        self,
        value: Any,  # noqa: ANN401 - as in click
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> float:
        """The number that ``value`` says."""
        try:
            number = self._kind(str(value).replace(",", "."))
        except ValueError:
            self.fail(f"{str(value)!r} isn't {self._wanted()}", param, ctx)
        if not self._fits(number):
            self.fail(f"{str(value)!r} isn't {self._wanted()}", param, ctx)
        return number

    def _fits(self, number: float) -> bool:
        """Whether it lies within the bounds; what is no number at all lies within none."""
        return (
            (self._least is None or number >= self._least)
            and (self._most is None or number <= self._most)
            and (self._over is None or number > self._over)
        )

    def _wanted(self) -> str:
        """What it should have been, in words."""
        words = "a whole number" if self._kind is int else "a number"
        if self._over is not None:
            return f"{words} over {self._over:g}"
        if self._least is None:
            return words
        if self._most is None:
            return f"{words} of {self._least:g} or more"
        return f"{words} from {self._least:g} to {self._most:,.0f}"


ONE_OR_MORE = Number(1, whole=True)
ANY_WHOLE = Number(whole=True)
ANY_NUMBER = Number()
"""Numbers whose bounds are known where they are used, and told there."""


def parsed(
    parse: Callable[[str], object],
) -> Callable[[click.Context, click.Parameter, object], object]:
    """An option's callback: ``parse`` takes the text and raises ValueError saying what is wrong."""

    def callback(ctx: click.Context, param: click.Parameter, value: object) -> object:
        try:
            if isinstance(value, tuple):
                return tuple(parse(str(text)) for text in value)
            return None if value is None else parse(str(value))
        except ValueError as error:
            raise click.BadParameter(str(error), ctx, param) from error

    return callback


def parse_size(text: str) -> tuple[int, int]:
    """``120x90`` (or ×) as two whole numbers over 0."""
    match = re.fullmatch(r"\s*(\d{1,6})\s*[xX×]\s*(\d{1,6})\s*", text)
    if not match:
        raise ValueError(f"{text!r} isn't like 120x90")
    if not (int(match[1]) and int(match[2])):
        raise ValueError(f"{text!r}: both numbers must be at least 1")
    return int(match[1]), int(match[2])


def parse_area(text: str) -> tuple[float, float, float, float]:
    """``x,y,width,height`` in pixels."""
    values = _numbers(text)
    if len(values) != 4 or min(values) < 0 or not (values[2] and values[3]):
        raise ValueError(f"{text!r} isn't like 40,60,1200,900 (x, y, width, height in pixels)")
    return values[0], values[1], values[2], values[3]


def parse_point(text: str) -> tuple[float, float]:
    """``x,y`` in pixels."""
    values = _numbers(text)
    if len(values) != 2:
        raise ValueError(f"{text!r} isn't like 40,60 (x, y in pixels)")
    return values[0], values[1]


def _numbers(text: str) -> list[float]:
    try:
        values = [float(part) for part in text.split(",")]
    except ValueError:
        return []
    return values if all(map(math.isfinite, values)) else []


def parse_colour(text: str) -> tuple[int, int, int]:
    """``#rrggbb`` or ``#rgb``, with or without the ``#``."""
    digits = text.strip().removeprefix("#")
    if re.fullmatch(r"[0-9a-fA-F]{3}", digits):
        digits = "".join(2 * digit for digit in digits)
    if not re.fullmatch(r"[0-9a-fA-F]{6}", digits):
        raise ValueError(f"{text!r} isn't a colour like #f4efe6")
    red, green, blue = bytes.fromhex(digits)
    return red, green, blue


def parse_repeats(text: str) -> tuple[int | None, ...]:
    """``2`` or ``2,?,0`` as numbers of repeated columns or rows, a seam each; ``?`` as None."""
    found: list[int | None] = []
    for part in (part.strip() for part in text.split(",")):
        if part != UNKNOWN and not re.fullmatch(r"\d{1,4}", part):
            raise ValueError(f"{text!r} isn't like 2 or 2,?,0")
        found.append(None if part == UNKNOWN else int(part))
    return tuple(found)


def parse_pages(text: str) -> tuple[int, ...]:
    """``2-5`` or ``1,3,6-8`` as page numbers from 1, in the order written."""
    numbers: list[int] = []
    for part in text.split(","):
        match = re.fullmatch(r"\s*(\d{1,6})\s*(?:-\s*(\d{1,6})\s*)?", part)
        if not match:
            raise ValueError(f"{text!r} isn't like 2-5 or 1,3,6-8")
        first, last = int(match[1]), int(match[2] or match[1])
        if not 1 <= first <= last:
            raise ValueError(f"{part.strip()!r} doesn't run upwards from 1")
        if len(numbers) + last - first >= MOST_PAGES:
            raise ValueError(f"{text!r} is over {MOST_PAGES} pages")
        numbers += range(first, last + 1)
    if len(set(numbers)) < len(numbers):
        raise ValueError(f"{text!r} names a page twice")
    return tuple(numbers)
