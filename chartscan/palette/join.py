"""A range measured at two sittings, joined: what both saw alike is taken, the rest is named."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from chartscan.colour import format_hex, lab_to_srgb, round_rgb
from chartscan.csvtable import table_text
from chartscan.palette.compare import Comparison, compare_palettes
from chartscan.palette.thread import Palette, Thread

APART = 2.5
"""ΔE00 up to which two sittings saw one thread: as far off as a thread is found in the worst case
on drawn cards (``tests/benchmarks/test_measuring.py``). Farther apart one of them is wrong."""


@dataclass(frozen=True)
class Joined:
    """Two measurements of a range as one.

    Attributes:
        palette: every thread that both saw alike, at the mean of the two in Lab, and those that
            only one saw; in the order of the first, then of the second.
        apart: threads left out because the two don't agree, the most different first.
        comparison: how the two differ.
    """

    palette: Palette
    apart: tuple[Thread, ...]
    comparison: Comparison


def join_palettes(first: Palette, second: Palette, apart: float = APART) -> Joined:
    """Join two measurements of one range.

    Args:
        first: goes before the second in what it says of a thread besides its colour.
        second: the other.
        apart: ΔE00 beyond which a thread is left out and named.

    Raises:
        MatchError: they have no code in common.
    """
    compared = compare_palettes(first, second)
    doubtful = tuple(c.first for c in compared.threads if c.delta_e > apart)
    means = {c.first: _mean(c.first, c.second) for c in compared.threads if c.delta_e <= apart}
    kept = [means.get(t, t) for t in first.threads if t not in doubtful]
    return Joined(
        Palette((*kept, *compared.only_second), f"{first.source} and {second.source}"),
        doubtful,
        compared,
    )


def _mean(first: Thread, second: Thread) -> Thread:
    lab = np.mean([first.lab, second.lab], axis=0)
    lightness, a, b = (float(value) for value in lab)
    return replace(first, lab=(lightness, a, b), rgb=round_rgb(lab_to_srgb(lab)))


_COLUMNS: Mapping[str, Callable[[Thread], str]] = {
    "code": lambda t: t.code,
    "name": lambda t: t.name,
    "L": lambda t: f"{t.lab[0]:.2f}",
    "a": lambda t: f"{t.lab[1]:.2f}",
    "b": lambda t: f"{t.lab[2]:.2f}",
    "hex": lambda t: " ".join(map(format_hex, t.colours)),
    "line": lambda t: t.line,
    "status": lambda t: t.status,
    "metres": lambda t: _number(t.metres),
    "strands": lambda t: _number(t.strands),
    "price": lambda t: _number(t.price),
    "kind": lambda t: t.kind,
    "size": lambda t: _number(t.size),
    "cut": lambda t: _number(t.working_mm),
    "tail": lambda t: _number(t.tail_mm),
    "needle": lambda t: _number(t.in_needle),
    "hand": lambda t: _number(None if t.hand == 1 else t.hand),
}
_ALWAYS = 5  # columns that stand even where nothing fills them: code, name, L, a, b


def range_csv(palette: Palette) -> str:
    """A thread range as CSV; columns in which no thread says anything are left out."""
    names = [
        name
        for at, (name, of) in enumerate(_COLUMNS.items())
        if at < _ALWAYS or any(of(t) not in ("", "current") for t in palette.threads)
    ]
    return table_text(names, [[_COLUMNS[name](t) for name in names] for t in palette.threads])


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"
