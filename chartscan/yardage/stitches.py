"""From chart cells and part stitches to a flat list of what is worked, by thread in the needle."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, Part
from chartscan.yardage.geometry import BEAD_MM, LEGS
from chartscan.yardage.requirement import Work

Ints = NDArray[np.int64]
StrandsOf = Callable[[int, Work], int]


@dataclass(frozen=True)
class Key:
    """A thread in the needle: the class it is for and the number of strands."""

    class_index: int
    strands: int


@dataclass(frozen=True, eq=False)
class Stitches:
    """What is worked in cells, one entry per key and cell, sorted by key, row, column.

    Attributes:
        keys: threads in the needle; ``key`` indexes them.
        key: thread of each entry, shape (n,).
        row, column: its cell, shape (n,).
        full, half: its legs from corner to corner and from corner to centre, shape (n,).
        extra_mm: thread in front beyond the legs, shape (n,).
        columns: width of the chart in cells.
        works: stitches by class and kind.
    """

    keys: tuple[Key, ...]
    key: Ints
    row: Ints
    column: Ints
    full: Ints
    half: Ints
    extra_mm: NDArray[np.float64]
    columns: int
    works: dict[int, Counter[Work]]


def list_stitches(
    chart: Chart, works: dict[int, Work], triangle: Work, strands_of: StrandsOf
) -> Stitches:
    """Every stitch of ``chart`` that fills a cell or a part of it.

    Args:
        chart: the chart.
        works: stitch for a class's whole cells where it isn't a full cross.
        triangle: stitch for a triangle alone in its cell.
        strands_of: strands for a class and a kind of stitch.
    """
    stitch = np.array([c.kind == "stitch" for c in chart.classes])
    rows, columns = np.nonzero(stitch[chart.cells])
    classes = chart.cells[rows, columns].astype(np.int64)
    counts: dict[int, Counter[Work]] = {}
    keys: dict[Key, int] = {}
    legs = np.zeros((len(chart.classes), 4))  # key, full, half, extra by class
    for index, number in enumerate(np.bincount(classes, minlength=len(chart.classes)).tolist()):
        work = works.get(index, "cross")
        if number:
            counts.setdefault(index, Counter())[work] += number
            key = keys.setdefault(Key(index, strands_of(index, work)), len(keys))
            legs[index] = (key, *LEGS[work], BEAD_MM if work == "bead" else 0.0)
    whole = legs[classes]
    table = np.column_stack([whole[:, 0], rows, columns, whole[:, 1:]])
    pieces = []
    for part, work in works_of_parts(chart, triangle):
        counts.setdefault(part.class_index, Counter())[work] += 1
        key = keys.setdefault(Key(part.class_index, strands_of(part.class_index, work)), len(keys))
        pieces.append((key, part.row, part.column, *LEGS[work], 0.0))
    if pieces:
        table = np.concatenate([table, np.array(pieces, dtype=np.float64)])
    return _sorted(table, tuple(keys), chart.columns, counts)


def _sorted(
    table: NDArray[np.float64], keys: tuple[Key, ...], columns: int, works: dict[int, Counter[Work]]
) -> Stitches:
    """Sort by key, row, column and add up what one thread works in the same cell."""
    table = table[np.lexsort((table[:, 2], table[:, 1], table[:, 0]))]
    fresh = np.ones(len(table), dtype=bool)
    fresh[1:] = (table[1:, :3] != table[:-1, :3]).any(axis=1)
    starts = np.nonzero(fresh)[0]
    place = table[starts, :3].astype(np.int64)
    sums = np.add.reduceat(table[:, 3:], starts, axis=0) if len(table) else table[:, 3:]
    full, half = sums[:, 0].astype(np.int64), sums[:, 1].astype(np.int64)
    return Stitches(
        keys, place[:, 0], place[:, 1], place[:, 2], full, half, sums[:, 2], columns, works
    )


def works_of_parts(chart: Chart, triangle: Work) -> list[tuple[Part, Work]]:
    """The stitch that each part is worked as.

    A quarter is a quarter stitch. A triangle alone in its cell is ``triangle``; of two that share a
    cell, the one in front takes the three-quarter and the other a quarter (as in :mod:`geometry`).
    A chart doesn't say which is in front: the class with fewer stitches is taken, since details
    lie on grounds.
    """
    sizes = Counter(dict(enumerate(chart.counts())))
    sizes.update(part.class_index for part in chart.parts)
    by_cell: dict[tuple[int, int], list[Part]] = {}
    for part in chart.parts:
        if part.shape == "triangle":
            by_cell.setdefault((part.row, part.column), []).append(part)
    works: list[tuple[Part, Work]] = []
    for part in chart.parts:
        if part.shape == "quarter":
            works.append((part, "quarter"))
            continue
        rivals = by_cell[part.row, part.column]
        front = min(rivals, key=lambda p: (sizes[p.class_index], p.class_index, p.corner))
        if len(rivals) == 1:
            works.append((part, triangle))
        else:
            works.append((part, "three-quarter" if part is front else "quarter"))
    return works
