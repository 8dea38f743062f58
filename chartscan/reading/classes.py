"""Which cells are one class: the same ground and the same glyph; and which class is empty."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import ChartClass
from chartscan.colour import round_rgb, srgb_to_lab
from chartscan.reading.cells import Cells
from chartscan.reading.cluster import ClusterSettings, by_size, cluster
from chartscan.reading.glyphs import BLANK, GlyphSettings, group_glyphs

Labels = NDArray[np.intp]


@dataclass(frozen=True)
class ClassSettings:
    """How cells are sorted into classes.

    Attributes:
        grounds: how ground colours are grouped on a page that isn't exact, in CIELAB units.
        glyphs: how glyphs are told apart.
        pale: least CIELAB L of an empty ground; fabric is shown pale.
        vivid: greatest CIELAB chroma of an empty ground.
        near: CIELAB distance within which a class has the colour of the page's margin.
        margin: what that is worth, beside the parts of the outermost and of all cells it holds.
        common: part of all cells from which on it is worth that in full.
        believed: how much of these a class needs together to be taken for empty.
    """

    grounds: ClusterSettings = ClusterSettings(separation=4.5, floor=0.6, least=1.6, most=300)
    glyphs: GlyphSettings = GlyphSettings()
    pale: float = 70.0
    vivid: float = 25.0
    near: float = 4.0
    margin: float = 0.5
    common: float = 0.1
    believed: float = 0.5


@dataclass(frozen=True)
class Told:
    """What the stitcher says about the classes: the empty ground, and the number of colours."""

    empty: tuple[int, int, int] | None = None
    no_empty: bool = False
    colours: int | None = None


@dataclass(frozen=True)
class Classes:
    """Cells sorted into classes.

    Attributes:
        cells: class index per cell, shape (rows, columns).
        classes: the classes, the empty ground first where there is one, then by falling count.
        glyphs: glyph number of each class, or BLANK.
    """

    cells: NDArray[np.int32]
    classes: tuple[ChartClass, ...]
    glyphs: tuple[int, ...]


def classify(
    cells: Cells,
    margin: NDArray[np.float64] | None,
    told: Told = Told(),
    settings: ClassSettings = ClassSettings(),
) -> Classes:
    """Sort cells by ground colour and glyph.

    Args:
        cells: what each cell holds.
        margin: sRGB of the page around the grid; None where there is no margin to see.
        told: what the stitcher knows.
        settings: tolerances.
    """
    grounds = _grounds(cells, told.colours, settings)
    glyphs = group_glyphs(cells, settings.glyphs)
    both = by_size((grounds * (glyphs.max() + 2) + glyphs + 1).ravel()).reshape(grounds.shape)
    first = np.unique(both, return_index=True)[1]
    colours = np.array([_colour(cells, both == k) for k in range(len(first))])
    shapes = glyphs.ravel()[first]
    empty = None if told.no_empty else _empty(both, colours, shapes, margin, told, settings)
    return _assemble(both, colours, shapes, empty)


def _grounds(cells: Cells, wanted: int | None, settings: ClassSettings) -> Labels:
    flat = cells.ground.reshape(-1, 3)
    if cells.exact:
        packed = flat.astype(np.int64) @ np.array([65536, 256, 1])
        labels = np.unique(packed, return_inverse=True)[1]
        return labels.reshape(cells.ground.shape[:2])
    labels = cluster(srgb_to_lab(flat), settings.grounds, wanted=wanted and wanted + 1)
    return labels.reshape(cells.ground.shape[:2])


def _colour(cells: Cells, where: NDArray[np.bool_]) -> NDArray[np.float64]:
    result: NDArray[np.float64] = np.median(cells.ground[where], axis=0)
    return result


def _empty(
    labels: Labels,
    colours: NDArray[np.float64],
    shapes: Labels,
    margin: NDArray[np.float64] | None,
    told: Told,
    settings: ClassSettings,
) -> int | None:
    """Index of the class that is empty ground; None where every class is stitched."""
    blank = np.flatnonzero(shapes == BLANK)
    if not blank.size:
        return None
    lab = srgb_to_lab(colours[blank])
    if told.empty is not None:
        return int(blank[np.linalg.norm(lab - srgb_to_lab(told.empty), axis=1).argmin()])
    ring = np.concatenate([labels[0], labels[-1], labels[1:-1, 0], labels[1:-1, -1]])
    outer = np.bincount(ring, minlength=len(colours))[blank] / ring.size
    overall = np.bincount(labels.ravel(), minlength=len(colours))[blank] / labels.size
    score = outer + overall
    if margin is not None:
        alike = np.linalg.norm(lab - srgb_to_lab(margin), axis=1) < settings.near
        score += settings.margin * alike * np.minimum(1, overall / settings.common)
    pale = (lab[:, 0] >= settings.pale) & (np.hypot(lab[:, 1], lab[:, 2]) <= settings.vivid)
    if (shapes != BLANK).any():
        score += settings.margin  # where stitches carry symbols, a cell without one is bare
    score[~pale] = 0
    best = int(score.argmax())
    return int(blank[best]) if score[best] >= settings.believed else None


def _assemble(
    labels: Labels, colours: NDArray[np.float64], shapes: Labels, empty: int | None
) -> Classes:
    order = [k for k in range(len(colours)) if k != empty]
    if empty is not None:
        order.insert(0, empty)
    new = np.empty(len(colours), dtype=np.int32)
    new[order] = np.arange(len(order))
    inked = [k for k in order if shapes[k] != BLANK]
    one_ink = bool(inked) and empty is not None and _alike(colours[inked], colours[empty])
    classes = []
    for index, k in enumerate(order):
        red, green, blue = round_rgb(colours[k])
        symbol = None if shapes[k] == BLANK else f"symbol {shapes[k] + 1}"
        bare = one_ink and symbol is not None
        classes.append(
            ChartClass(
                index,
                "empty" if k == empty else "stitch",
                None if bare else (red, green, blue),
                symbol,
            )
        )
    return Classes(new[labels], tuple(classes), tuple(int(shapes[k]) for k in order))


def _alike(colours: NDArray[np.float64], other: NDArray[np.float64]) -> bool:
    return bool((np.linalg.norm(srgb_to_lab(colours) - srgb_to_lab(other), axis=1) <= 6).all())
