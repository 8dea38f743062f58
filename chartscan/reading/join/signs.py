"""What the symbols of several pages look like, so that the same symbol gets the same number.

Each page numbers its symbols on its own; only their shapes tell which belong together.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.reading.cells.sampling import SHOWN_BY
from chartscan.reading.evidence import Evidence
from chartscan.reading.scale import LINES

Floats = NDArray[np.float64]
Key = tuple[str | None, int | None]


@dataclass(frozen=True)
class SignSettings:
    """How symbols are compared.

    Attributes:
        side: points a side at which a cell is looked at.
        alike: least correlation of two pictures of the same symbol.
    """

    side: int = 24
    alike: float = 0.8


def number_signs(
    pages: Sequence[Evidence], settings: SignSettings = SignSettings()
) -> list[NDArray[np.int32]]:
    """For each page, a symbol number per class, the same for the same symbol; 0 for none.

    Two classes of one page that have different symbols always get different numbers, and so do two
    in one ink: without a colour only their symbols tell them apart.
    """
    return _numbered([(page.chart, _shapes(page, settings)) for page in pages], settings)


def number_pictures(
    charts: Sequence[Chart], settings: SignSettings = SignSettings()
) -> list[NDArray[np.int32]]:
    """As :func:`number_signs`, by the pictures of symbols that chart files keep."""
    return _numbered([(chart, _kept_shapes(chart, settings)) for chart in charts], settings)


def _numbered(
    pages: Sequence[tuple[Chart, dict[Key, Floats]]], settings: SignSettings
) -> list[NDArray[np.int32]]:
    known: list[Floats] = []
    numbers: list[NDArray[np.int32]] = []
    for chart, shapes in pages:
        own = np.zeros(len(chart.classes), dtype=np.int32)
        names = list(shapes)
        likeness = np.array([[_likeness(shapes[n], k) for k in known] for n in names])
        taken: set[int] = set()
        given: dict[Key, int] = {}
        if likeness.size:
            # The best pairs first, each symbol once.
            for flat in np.argsort(-likeness, axis=None):
                i, j = divmod(int(flat), likeness.shape[1])
                if likeness[i, j] < settings.alike:
                    break
                if names[i] not in given and j not in taken:
                    given[names[i]] = j + 1
                    taken.add(j)
        for name in names:
            if name not in given:
                known.append(shapes[name])
                given[name] = len(known)
        for entry in chart.classes:
            own[entry.index] = given.get(_key(entry), 0)
        numbers.append(own)
    return numbers


def _kept_shapes(chart: Chart, settings: SignSettings) -> dict[Key, Floats]:
    """Symbol -> its picture, ground 0, ink positive, of those that the chart file keeps."""
    from PIL import Image

    shapes: dict[Key, Floats] = {}
    for entry in chart.classes:
        if entry.symbol is not None and entry.kind == "stitch" and entry.picture is not None:
            picture = Image.open(io.BytesIO(entry.picture)).convert("L")
            small = np.asarray(picture.resize((settings.side,) * 2), dtype=np.float64)
            shapes[_key(entry)] = np.abs(small - np.median(small))
    return shapes


def _key(entry: ChartClass) -> Key:
    """What a symbol is known by on its page; an ink has each class for itself."""
    return entry.symbol, entry.index if entry.rgb is None else None


def _shapes(page: Evidence, settings: SignSettings) -> dict[Key, Floats]:
    """Symbol -> its mean picture over all classes that carry it, ground 0, ink positive."""
    shapes: dict[Key, list[Floats]] = {}
    for entry in page.chart.classes:
        if entry.symbol is None or entry.kind != "stitch":
            continue
        places = np.argwhere(page.chart.cells == entry.index)
        if len(places):
            picked = places[np.linspace(0, len(places) - 1, SHOWN_BY).astype(int)]
            shapes.setdefault(_key(entry), []).append(_mean_picture(page, picked, settings))
    return {name: np.mean(pictures, axis=0) for name, pictures in shapes.items()}


def _mean_picture(page: Evidence, places: NDArray[np.intp], settings: SignSettings) -> Floats:
    """The mean of some cells as a picture (side, side), scaled to the contrast of its ink."""
    steps = np.linspace(LINES, 1 - LINES, settings.side)
    inside = np.stack(np.meshgrid(steps, steps), axis=-1)
    points = places[:, None, None, ::-1] + inside
    pixels = np.floor(page.lattice.to_pixels(points)).astype(int)
    width, height = page.page.size
    x, y = np.clip(pixels[..., 0], 0, width - 1), np.clip(pixels[..., 1], 0, height - 1)
    cells = page.page.pixels[y, x].astype(np.float64)
    ground = np.median(cells, axis=(1, 2), keepdims=True)
    off = np.abs(cells - ground).mean(axis=-1)
    picture: Floats = off.mean(axis=0)
    return picture


def _likeness(a: Floats, b: Floats) -> float:
    """Correlation of two pictures, 1 for the same; a shift of one point either way is allowed."""
    best = -1.0
    flat = b - b.mean()
    for dy in (-1, 0, 1):
        for dx in (-1, 0, 1):
            moved = np.roll(a, (dy, dx), axis=(0, 1))
            moved = moved - moved.mean()
            scale = float(np.sqrt((moved**2).sum() * (flat**2).sum()))
            if scale > 0:
                best = max(best, float((moved * flat).sum()) / scale)
    return best
