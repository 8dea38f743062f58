"""One list of classes for several pages: the same colour and symbol is the same class."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import ChartClass
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.marks import Region
from chartscan.reading.join.overlap import WORN

Rgb = tuple[int, int, int]


@dataclass(frozen=True)
class ClassJoinSettings:
    """How far the colour of one class may differ between pages, of 255, in any channel.

    Attributes:
        exact: pages whose colours are exact.
    """

    exact: float = 1.0


@dataclass(frozen=True)
class _Known:
    """A class of the whole chart: what it is compared by."""

    entry: ChartClass
    sign: int


def unify(
    pages: Sequence[Evidence],
    signs: Sequence[NDArray[np.int32]],
    regions: Sequence[Region],
    settings: ClassJoinSettings = ClassJoinSettings(),
) -> tuple[tuple[ChartClass, ...], list[NDArray[np.int32]]]:
    """The classes of the whole, and for each page the whole's index of each of its classes.

    Two classes of one page are never made one. Classes that occur only in repeats that don't
    count (the shaded ones) are left out; they are mapped to 0.
    """
    known: list[_Known] = []
    mappings: list[NDArray[np.int32]] = []
    ground = _common_ground(pages)
    for page, numbers, region in zip(pages, signs, regions, strict=True):
        mapping = np.zeros(len(page.chart.classes), dtype=np.int32)
        used = _used(page, region)
        level = settings.exact if page.page.lossless else WORN
        entries = _with_ground(page.chart.classes, numbers, ground, level)
        pairs = sorted(
            (gap, entry.index, place)
            for entry in entries
            if entry.index in used
            for place, other in enumerate(known)
            if (gap := _gap(entry, int(numbers[entry.index]), other))
            <= (WORN if other.sign else level)
        )
        taken: set[int] = set()
        found: dict[int, int] = {}
        for _, index, place in pairs:
            if index not in found and place not in taken:
                found[index] = place
                taken.add(place)
        for entry in entries:
            if entry.index in used:
                if entry.index not in found:
                    found[entry.index] = len(known)
                    known.append(_new(entry, int(numbers[entry.index]), known))
                mapping[entry.index] = found[entry.index]
        mappings.append(mapping)
    return _empty_first(known, mappings)


def _common_ground(pages: Sequence[Evidence]) -> Rgb | None:
    """The empty ground of the whole: the one that most cells of all pages were read as."""
    votes: Counter[Rgb] = Counter()
    for page in pages:
        for entry, count in zip(page.chart.classes, page.chart.counts(), strict=True):
            if entry.kind == "empty" and entry.rgb is not None:
                votes[entry.rgb] += int(count)
    return votes.most_common(1)[0][0] if votes else None


def _with_ground(
    classes: Sequence[ChartClass], signs: NDArray[np.int32], ground: Rgb | None, level: float
) -> list[ChartClass]:
    """A page's classes, the one nearest to the common ground empty, and no other.

    A page without a margin of its own (from the middle of a chart) can't tell what is empty.
    """
    if ground is None:
        return list(classes)
    gaps = {
        c.index: max(abs(a - b) for a, b in zip(c.rgb, ground, strict=True))
        for c in classes
        if c.kind in ("empty", "stitch") and c.rgb is not None and signs[c.index] == 0
    }
    nearest = min(gaps, key=lambda index: gaps[index], default=-1)
    if nearest < 0 or gaps[nearest] > level:
        return list(classes)
    return [
        replace(c, kind="empty" if c.index == nearest else "stitch")
        if c.kind in ("empty", "stitch")
        else c
        for c in classes
    ]


def _used(page: Evidence, region: Region) -> set[int]:
    """Classes of the cells and marks of a page that count."""
    chart = page.chart
    own = chart.cells[region.first_row : region.last_row, region.first_column : region.last_column]
    used = {int(index) for index in np.unique(own)}
    used |= {part.class_index for part in chart.parts if region.owns(part.row, part.column)}
    used |= {knot.class_index for knot in chart.knots if region.holds(knot.x, knot.y)}
    used |= {
        line.class_index for line in chart.lines if any(region.holds(x, y) for x, y in line.points)
    }
    return used


def _gap(entry: ChartClass, sign: int, other: _Known) -> float:
    """Largest difference of two classes' colours in a channel; infinite for different kinds."""
    if entry.kind != other.entry.kind or sign != other.sign:
        return float("inf")
    if entry.kind == "empty":
        return 0.0
    if entry.rgb is None or other.entry.rgb is None:
        return 0.0 if entry.rgb == other.entry.rgb else float("inf")
    return float(max(abs(a - b) for a, b in zip(entry.rgb, other.entry.rgb, strict=True)))


def _new(entry: ChartClass, sign: int, known: list[_Known]) -> _Known:
    """A class of the whole; its symbol's name is kept unless another symbol has it already."""
    symbol = entry.symbol
    named = next((k.entry.symbol for k in known if sign and k.sign == sign), None)
    if named is not None:
        symbol = named
    elif symbol is not None and any(k.entry.symbol == symbol for k in known):
        symbol = f"symbol {sign}"
        while any(k.entry.symbol == symbol for k in known):
            symbol += "'"
    return _Known(ChartClass(len(known), entry.kind, entry.rgb, symbol), sign)


def _empty_first(
    known: list[_Known], mappings: list[NDArray[np.int32]]
) -> tuple[tuple[ChartClass, ...], list[NDArray[np.int32]]]:
    """Renumber so that the empty ground is class 0, as on a single page."""
    order = sorted(range(len(known)), key=lambda i: (known[i].entry.kind != "empty", i))
    new = np.empty(max(1, len(known)), dtype=np.int32)
    new[order] = np.arange(len(order))
    classes = tuple(
        ChartClass(i, known[k].entry.kind, known[k].entry.rgb, known[k].entry.symbol)
        for i, k in enumerate(order)
    )
    return classes, [new[mapping] for mapping in mappings]
