"""Lines that a person (or an answer) tells, taken as corrections of a chart."""

from __future__ import annotations

from collections.abc import Sequence

from chartscan.chart.corrections.acts import Act, Split
from chartscan.chart.corrections.apply import apply
from chartscan.chart.corrections.bench import Lost
from chartscan.chart.corrections.parse import parse, split_words
from chartscan.chart.corrections.replay import replay
from chartscan.chart.corrections.standing import Standing, bench_of
from chartscan.chart.model import Chart
from chartscan.errors import ChartError

UNDO = "undo"
INSTEAD = "instead"
OPTIONS = {"--empty": "ground", "--no-empty": "ground none"}
"""Options of `chartscan read` that are said otherwise as a correction."""


def tell(chart: Chart, lines: Sequence[str]) -> Chart:
    """The chart after further corrections, each a line (:mod:`chartscan.chart.corrections.parse`).

    ``undo 7`` leaves the seventh correction out, ``undo`` the last, ``undo 3-5,7`` several;
    ``instead 7 set 12,30 4`` puts another in its place. All class and correction numbers are those
    of the chart as it is before the first line.

    Raises:
        ChartError: lines that can't be understood or followed; all of them are named, and nothing
            is corrected.
    """
    standing = Standing(chart)
    kept: list[Act | None] = list(chart.corrections)
    new: list[Act] = []
    bad: list[str] = []
    for line in lines:
        try:
            _take(line, standing, kept, new)
        except ValueError as error:
            bad.append(f"{line!r}: {error}")
    if not bad:
        bad = _unfit(chart, lines, new)
    if bad:
        raise ChartError("; ".join(bad))
    return replay(chart, (*(act for act in kept if act is not None), *new))


def _take(line: str, standing: Standing, kept: list[Act | None], new: list[Act]) -> None:
    """Take one line into the lists; ValueError where it makes no sense."""
    line = _as_correction(line)
    words = split_words(line)
    if words[:1] == [UNDO]:
        for number in _numbers(words[1:], len(kept)):
            kept[number] = None
    elif words[:1] == [INSTEAD] and len(words) > 2:
        (number,) = _numbers(words[1:2], len(kept))
        kept[number] = parse(line.split(maxsplit=2)[2], standing)
    else:
        act = parse(line, standing)
        if needs_picture(act):
            raise ValueError("which cells are the other class must be told, or seen on the picture")
        new.append(act)


def needs_picture(act: Act) -> bool:
    """Whether an act is to be worked out on the picture before it can be followed."""
    return isinstance(act, Split) and not act.blocks


def _as_correction(line: str) -> str:
    """An option of `chartscan read` as the correction that says the same."""
    option, space, rest = line.partition(" ")
    if not option.startswith("--"):
        return line
    return OPTIONS.get(option, option[2:]) + space + rest


def _numbers(words: Sequence[str], count: int) -> list[int]:
    """Places in the list of corrections, from 0; the last where none is told."""
    if not count:
        raise ValueError("there are no corrections")
    if not words:
        return [count - 1]
    found: list[int] = []
    for text in ",".join(words).split(","):
        first, dash, last = text.partition("-")
        if not first.isdecimal() or (dash and not last.isdecimal()):
            raise ValueError(f"{text!r} isn't the number of a correction, like 7 or 3-5")
        span = range(int(first), int(last or first) + 1)
        if not span or span[0] < 1 or span[-1] > count:
            raise ValueError(f"there is no correction {text}; there are 1 to {count}")
        found += [number - 1 for number in span]
    return found


def _unfit(chart: Chart, lines: Sequence[str], new: Sequence[Act]) -> list[str]:
    """What is wrong with acts that have no place in the chart, one after another."""
    bench = bench_of(chart)
    bad = []
    told = [line for line in lines if line.split()[:1] not in ([UNDO], [INSTEAD])]
    for line, act in zip(told, new, strict=True):
        try:
            apply(bench, act)
        except Lost as error:
            bad.append(f"{line!r}: {error}")
    return bad
