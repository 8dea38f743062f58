"""A question of the reader on the terminal: text, classes as swatch or symbol, numbered answers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from chartscan.plaintext import plain
from chartscan.report.terminal import hex_colour, swatch, true_colour
from chartscan.report.units import counted

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from chartscan.chart import Chart, Question

Pixels = NDArray[np.uint8]
UPPER_HALF = "▀"  # two pixels a character: its own colour above, the background's below
SHOWN = 5  # cells named, the most telling first
LEAST = 0.01  # the least chance that is told as a number
SHADES = " ░▒▓█"  # from paper to ink, where a terminal has no colours


def print_question(
    target: Console,
    chart: Chart,
    question: Question,
    number: int,
    pictures: Mapping[int, Pixels] | None = None,
    otherwise: str = "",
) -> None:
    """Print a question, the classes that it is about and its answers.

    Args:
        target: where to.
        chart: the chart that is asked about.
        question: what is asked.
        number: its number, from 1.
        pictures: what classes look like on the page, sRGB of shape (side, side, 3), even sides.
        otherwise: what to do where no answer is right; "" for nothing.
    """
    from rich.text import Text

    target.print()
    target.print(Text(f"{number}. ", style="bold").append(Text(plain(question.text))))
    counts = chart.counts()
    for index in question.classes:
        entry = chart.classes[index]
        words = [f"class {index}", entry.name or "", entry.symbol or ""]
        if entry.rgb is not None and true_colour(target):
            words.append(hex_colour(entry.rgb))
        unit = "cell long" if entry.kind == "line" else "knot" if entry.kind == "knot" else "cell"
        words.append(counted(round(counts[index]), unit, _plural(unit)))
        line = Text("   ").append(swatch(target, entry.rgb)).append("  ")
        target.print(line.append(plain(", ".join(filter(None, words)))))
        if pictures and index in pictures:
            for row in blocks(target, pictures[index]):
                target.print(Text("      ").append(row))
    if question.cells and question.kind != "ground":
        where = "; ".join(f"row {r + 1} column {c + 1}" for r, c in question.cells[:SHOWN])
        more = " …" if len(question.cells) > SHOWN else ""
        target.print(f"   look at {where}{more}")
    for place, answer in enumerate(question.answers, 1):
        target.print(f"   {place}) {plain(answer.text)} ({chance_in_words(answer.chance)})")
    if otherwise:
        target.print(f"   none of these: {otherwise}")


def chance_in_words(chance: float) -> str:
    """A chance (0 to 1) in whole per cent; nothing that is asked about is certain."""
    if chance < LEAST:
        return f"under {LEAST:.0%}"
    return f"over {1 - LEAST:.0%}" if chance > 1 - LEAST else f"{chance:.0%}"


def _plural(unit: str) -> str:
    return "cells long" if unit == "cell long" else f"{unit}s"


def blocks(target: Console, picture: Pixels) -> list[Text]:
    """A small picture in characters: half blocks in its colours, or shades of ink."""
    from rich.text import Text

    upper, lower = picture[::2], picture[1::2]
    if true_colour(target):
        return [
            Text.assemble(*((UPPER_HALF, _style(a, b)) for a, b in zip(*rows, strict=True)))
            for rows in zip(upper.tolist(), lower.tolist(), strict=True)
        ]
    light = (upper.astype(np.float64) + lower).mean(axis=2) / 2
    span = max(float(np.ptp(light)), FAINT)
    ink = np.clip((light.max() - light) / span * len(SHADES), 0, len(SHADES) - 1).astype(int)
    return [Text("".join(SHADES[i] for i in row)) for row in ink]


FAINT = 30.0  # levels of 255 under which contrast isn't stretched, so that noise makes no symbol


def _style(above: list[int], below: list[int]) -> str:
    first, second = (hex_colour((rgb[0], rgb[1], rgb[2])) for rgb in (above, below))
    return f"{first} on {second}"
