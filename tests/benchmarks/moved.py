"""Each number of the reader's settings moved by a quarter either way: which change a reading?

python -m tests.benchmarks.moved --room lattice --group hard-scan --count 2 --minutes 20

Settings are default values of the stages. They are moved where they stand, one number at a time, in
this process only; the table has a line a number, with how many pages read otherwise and how many of
them became right or wrong by it.
"""

from __future__ import annotations

import argparse
import dataclasses
import importlib
import json
import pkgutil
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import numpy as np

import chartscan.reading
from chartscan.errors import ChartscanError
from chartscan.reading import read_pages
from tests.drawing.corpus import draw

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

QUARTERS = (0.75, 1.25)
GROUPS = ("clean", "mild-scan", "medium-scan", "medium-photo", "symbols-one-ink")
FIRST = 97_001


def settings_of(room: str) -> dict[str, Any]:
    """Every settings value that is a default of a function in a room, by its class's name."""
    found: dict[int, Any] = {}
    package = importlib.import_module(f"chartscan.reading.{room}")
    for module in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        for value in vars(importlib.import_module(module.name)).values():
            defaults = (*(getattr(value, "__defaults__", None) or ()),)
            defaults += (*(getattr(value, "__kwdefaults__", None) or {}).values(),)
            for default in defaults:
                if dataclasses.is_dataclass(default) and type(default).__module__.startswith(
                    chartscan.reading.__name__
                ):
                    found[id(default)] = default
    return {f"{type(one).__name__}-{n}": one for n, one in enumerate(found.values())}


def numbers_of(value: DataclassInstance) -> Iterator[tuple[Any, str]]:
    """The settings value and name of every number in it, those of values within it too."""
    for field in dataclasses.fields(value):
        inner = getattr(value, field.name)
        if dataclasses.is_dataclass(inner) and not isinstance(inner, type):
            yield from numbers_of(inner)
        elif type(inner) in (int, float):
            yield value, field.name


def moved(number: float, times: float) -> float:
    """A number times a quarter more or less; a whole one by one at least."""
    if isinstance(number, int):
        step = max(1, round(abs(number) * abs(times - 1)))
        return number + step if times > 1 else number - step
    return number * times


def read(path: Path) -> tuple[Any, ...]:
    """What a page is read as, to be compared."""
    try:
        chart = read_pages([path]).chart
    except (
        ChartscanError,
        ValueError,
        IndexError,
        ZeroDivisionError,
        np.linalg.LinAlgError,
    ) as error:
        return (type(error).__name__,)
    return chart.cells.tolist(), chart.parts, chart.lines, chart.knots


def right(got: tuple[Any, ...], truth: dict[str, Any]) -> bool:
    """Whether the size is; classes are numbered otherwise, and are judged by ``tests.accuracy``."""
    return len(got) > 1 and (len(got[0][0]), len(got[0])) == (truth["columns"], truth["rows"])


def main(arguments: Sequence[str]) -> int:
    """Print the table; exit status 0."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.moved", description=__doc__)
    parser.add_argument("--room", default="lattice", help="folder of chartscan/reading")
    parser.add_argument("--group", action="append", help=f"default: {', '.join(GROUPS)}")
    parser.add_argument("--count", type=int, default=1, help="pages per group")
    parser.add_argument("--seed", type=int, default=FIRST, help="number of the first page")
    parser.add_argument("--minutes", type=float, default=30.0, help="after which it stops")
    parser.add_argument("--only", default="", help="settings classes whose name begins so")
    told = parser.parse_args(arguments)
    until = time.monotonic() + 60 * told.minutes
    with TemporaryDirectory() as folder:
        pages = []
        for group in told.group or GROUPS:
            for seed in range(told.seed, told.seed + told.count):
                place = Path(folder) / f"{group}-{seed}"
                draw(group, seed).write(place)
                truth = json.loads((place / "truth.json").read_text(encoding="utf-8"))
                path = place / (truth.get("images") or [truth["image"]])[0]
                pages.append((path, truth, read(path)))
        sys.stdout.write("| number | value | moved to | pages read otherwise | size lost, won |\n")
        sys.stdout.write("|---|---|---|---|---|\n")
        for name, value in settings_of(told.room).items():
            if name.startswith(told.only):
                _move_all(name.partition("-")[0], value, pages, until)
    return 0


def _move_all(
    name: str,
    value: DataclassInstance,
    pages: Sequence[tuple[Path, dict[str, Any], tuple[Any, ...]]],
    until: float,
) -> None:
    for holder, field in numbers_of(value):
        usual = getattr(holder, field)
        for times in QUARTERS:
            if time.monotonic() > until:
                return
            object.__setattr__(holder, field, moved(usual, times))
            try:
                again = [(read(path), truth, before) for path, truth, before in pages]
            finally:
                object.__setattr__(holder, field, usual)
            other = sum(got != before for got, _, before in again)
            lost = sum(right(before, t) and not right(got, t) for got, t, before in again)
            won = sum(right(got, t) and not right(before, t) for got, t, before in again)
            sys.stdout.write(
                f"| {name}.{field} | {usual:g} | {moved(usual, times):g} | {other} of {len(pages)} "
                f"| {lost}, {won} |\n"
            )
            sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
