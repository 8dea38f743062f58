"""A question with what it may cost, and the words that all kinds of questions share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, Question
from chartscan.chart.doubts import MOST_CELLS

Place = tuple[int, int]


@dataclass(frozen=True)
class Asked:
    """A question, and the cells that are wrong on average if it isn't put: cells × chance."""

    question: Question
    cost: float


def named(chart: Chart, index: int) -> str:
    """A class as a person knows it: "class 4, #d4d4d9, 1,055 cells"."""
    entry = chart.classes[index]
    count = int((chart.cells == index).sum())
    looks = [entry.symbol] if entry.symbol is not None else []
    if entry.rgb is not None:
        looks.append("#{:02x}{:02x}{:02x}".format(*entry.rgb))
    return ", ".join([f"class {index}", *looks, f"{count:,} cell{'s' if count != 1 else ''}"])


def sentence(text: str) -> str:
    """The text with a capital letter in front and a full stop behind."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?")) else ".")


def listed(words: Sequence[str]) -> str:
    """Words as a list in a sentence: "a, b and c"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def spread(cells: NDArray[np.bool_], most: int = MOST_CELLS) -> tuple[Place, ...]:
    """At most so many of the cells (rows, columns), evenly over their order on the chart."""
    return places(np.argwhere(cells), most)


def places(found: NDArray[np.intp], most: int = MOST_CELLS) -> tuple[Place, ...]:
    """At most so many of (row, column) places, evenly over their order."""
    if len(found) > most:
        found = found[np.linspace(0, len(found) - 1, most).astype(np.intp)]
    return tuple((int(row), int(column)) for row, column in found)


def alternating(one: Iterable[Place], two: Iterable[Place]) -> tuple[Place, ...]:
    """Places of two classes in turn, to be seen side by side."""
    mixed = [place for pair in zip(one, two, strict=False) for place in pair]
    return tuple(mixed[:MOST_CELLS])
