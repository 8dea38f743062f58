"""Cells sorted by what fills them alone, where marks over them were taken for symbols."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import ChartClass
from chartscan.reading.cells.glyphs import BLANK
from chartscan.reading.cells.sampling import SHOWN_BY, rim_places
from chartscan.reading.classes.sorting import Sorted
from chartscan.reading.classes.usual import FEW
from chartscan.reading.marks.fills import FillSettings, Mask, most_common, nearest, plain_cells
from chartscan.reading.marks.patches import INSIDE, MIDDLE, Patches
from chartscan.reading.scale import THIN_LINES


@dataclass(frozen=True)
class PlainSettings:
    """When cells are sorted anew.

    Attributes:
        alike: share of the plain cells that must have the usual colour of their class.
        beyond: share of the cells with symbols whose ink must come there for them to be lines.
    """

    alike: float = 0.97
    beyond: float = 0.8


def hang_together(
    patches: Patches,
    cells: NDArray[np.int32],
    classes: tuple[ChartClass, ...],
    tolerance: float,
    fills: FillSettings,
    settings: PlainSettings = PlainSettings(),
) -> bool:
    """Whether the cells of each class have one fill, and those of a symbol the same symbol.

    Most cells of a symbol have most of its ink; cells that marks lie over differ in all of theirs.
    """
    middle, plain = _plain(patches, tolerance, fills)
    unlike = 0
    for index in np.unique(cells[plain]):
        seen = middle[plain & (cells == index)]
        unlike += int((np.abs(seen - most_common(seen)).max(axis=1) > tolerance).sum())
    if unlike > (1 - settings.alike) * plain.sum():
        return False
    inside = patches.by_cell(patches.offsets(*INSIDE))
    inked, same = 0, 0.0
    for entry in classes:
        if entry.symbol is None:
            continue
        row, column = np.nonzero(cells == entry.index)
        some = np.unique(np.linspace(0, len(row) - 1, SHOWN_BY).astype(np.intp))
        ink = _ink(inside[row[some], column[some]], tolerance)
        symbol = ink.mean(axis=0) > 0.5
        both, either = (ink & symbol).sum(axis=1), (ink | symbol).sum(axis=1)
        inked += len(row)
        same += len(row) * float((2 * both >= np.maximum(either, 1)).mean())
    return 2 * same >= inked


def reach_out(
    patches: Patches,
    cells: NDArray[np.int32],
    classes: tuple[ChartClass, ...],
    tolerance: float,
    settings: PlainSettings = PlainSettings(),
) -> bool:
    """Whether symbols run to the sides of most cells that have them, where lines go on beyond.

    Symbols are set inside their cells; blackwork may repeat itself from cell to cell as they do.
    Only symbols on grounds that other cells show without are looked at.
    """
    symbols = [c for c in classes if c.symbol is not None]
    bare = np.array([c.rgb for c in classes if c.symbol is None and c.rgb is not None])
    row, column = np.nonzero(np.isin(cells, [c.index for c in symbols]))
    grounds = [c.rgb for c in symbols if c.rgb is not None]
    if not len(row) or (grounds and not len(bare)):
        return False
    if any(np.abs(bare - ground).max(axis=1).min() > tolerance for ground in grounds):
        return False
    some = np.unique(np.linspace(0, len(row) - 1, 4 * SHOWN_BY).astype(np.intp))
    reach = patches.offsets(THIN_LINES, 1 - THIN_LINES)
    ring = rim_places(len(reach))
    ink = _ink(patches.by_cell(reach)[row[some], column[some]], tolerance)
    return bool(ink[:, ring.ravel()].any(axis=1).mean() >= settings.beyond)


def sort_fills(
    patches: Patches,
    tolerance: float,
    fills: FillSettings,
) -> Sorted | None:
    """Every cell by the fill most of it shows, of those that plain cells have.

    None where too few cells are plain to tell.
    """
    middle, plain = _plain(patches, tolerance, fills)
    if plain.mean() < fills.quiet:
        return None
    colours: list[NDArray[np.float64]] = []
    left = middle[plain]
    while len(left):
        colours.append(most_common(left))
        left = left[np.abs(left - colours[-1]).max(axis=1) > tolerance]
        if len(colours) * FEW > plain.sum():  # it is shaded rather than filled
            return None
    table = np.array(colours)
    inside = patches.by_cell(patches.offsets(*INSIDE))
    rows, columns, places, _ = inside.shape
    label, near = nearest(inside.reshape(-1, 3), table, tolerance)
    cell = np.repeat(np.arange(rows * columns), places)
    count = np.bincount(
        cell[near] * len(table) + label[near], minlength=rows * columns * len(table)
    )
    labels = count.reshape(rows * columns, -1).argmax(axis=1)
    used, order = np.unique(labels, return_inverse=True)
    rank = np.argsort(np.argsort(-np.bincount(order), kind="stable"), kind="stable")
    ranked = rank[order].reshape(rows, columns)
    blank = np.full(len(used), BLANK, dtype=np.intp)
    doubtful = np.zeros((rows, columns), dtype=np.bool_)
    return Sorted(ranked, table[used][np.argsort(rank)], blank, doubtful)


def _plain(
    patches: Patches, tolerance: float, fills: FillSettings
) -> tuple[NDArray[np.float64], Mask]:
    """The colour in the middle of every cell (rows, columns, 3), and which cells are plain."""
    middle = np.median(patches.by_cell(patches.offsets(*MIDDLE)), axis=2)
    flat = np.rint(middle).astype(np.int16)
    return middle, plain_cells(patches, flat, tolerance, fills)[2]


def _ink(samples: NDArray[np.int16], tolerance: float) -> Mask:
    """Which samples (n, m, 3) of each cell differ from its commonest colour: (n, m)."""
    ground = np.array([most_common(cell) for cell in samples]).reshape(-1, 1, 3)
    ink: Mask = np.abs(samples - ground).max(axis=-1) > 2 * tolerance
    return ink
