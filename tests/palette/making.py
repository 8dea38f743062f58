"""Small charts and palettes for the tests of this wing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.chart import Chart, ChartClass, Kind, Knot, Line
from chartscan.colour import lab_to_srgb, parse_hex, round_rgb, srgb_to_lab
from chartscan.palette import Palette, Thread


def thread(code: str, colour: str, **fields: object) -> Thread:
    """A thread of the colour ``#rrggbb``."""
    rgb = parse_hex(colour)
    lightness, a, b = srgb_to_lab(rgb).tolist()
    made: Thread = Thread(code, "", (lightness, a, b), rgb, **fields)  # type: ignore[arg-type]  # fields of Thread
    return made


def palette_of_lab(lab: ArrayLike) -> Palette:
    """Threads T000, T001 … of these CIELAB colours."""
    rows: NDArray[np.float64] = np.asarray(lab, dtype=np.float64)
    return Palette(
        tuple(
            Thread(f"T{i:03d}", "", (row[0], row[1], row[2]), round_rgb(lab_to_srgb(row)))
            for i, row in enumerate(rows.tolist())
        )
    )


def chart_of(colours: Sequence[str | None], kinds: Sequence[Kind] | None = None) -> Chart:
    """A chart whose class 0 is empty and whose classes 1 … have these colours.

    Class k has k cells, 10 cells of backstitch, or one knot.
    """
    kinds = kinds or ["stitch"] * len(colours)
    classes = [ChartClass(0, "empty", (255, 255, 255))]
    cells = [0] * 10
    lines, knots = [], []
    for index, (colour, kind) in enumerate(zip(colours, kinds, strict=True), 1):
        symbol = None if colour else f"sign {index}"
        classes.append(ChartClass(index, kind, parse_hex(colour) if colour else None, symbol))
        if kind == "stitch":
            cells += [index] * index
        elif kind == "line":
            lines.append(Line(index, ((0, 0), (10, 0))))
        else:
            knots.append(Knot(index, 0.5, 0.5))
    return Chart(np.array([cells]), tuple(classes), lines=tuple(lines), knots=tuple(knots))


def random_lab(count: int, seed: int) -> NDArray[np.float64]:
    """Colours such as dyed cotton has, (count, 3)."""
    rng = np.random.default_rng(seed)
    return np.stack([rng.uniform(15, 95, count), *rng.normal(0, 25, (2, count))], axis=-1)
