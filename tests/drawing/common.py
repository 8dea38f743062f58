"""What the recipes of all groups share: sizes, glyphs for a design, a sample of one picture."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.drawing.files import picture
from tests.drawing.render import Page
from tests.drawing.sample import Rng, Sample
from tests.drawing.style import Design, Style
from tests.drawing.symbols import choose
from tests.drawing.truth import centres_of, truth_of


def size(rng: Rng, low: int = 20, high: int = 110) -> tuple[int, int]:
    """Rows and columns, small charts more often than large ones."""
    side = np.exp(rng.uniform(np.log(low), np.log(high)))
    shape = rng.uniform(0.7, 1.4)
    return max(5, int(side * shape)), max(5, int(side / shape))


def fits(rows: int, columns: int, pitch: float, most: float = 14e6) -> float:
    """``pitch``, lowered where the page would go over ``most`` pixels."""
    return float(max(4, min(pitch, (most / (rows * columns)) ** 0.5)))


def single(page: Page, chart: Design, style: Style, kind: str = "PNG", quality: int = 95) -> Sample:
    """A sample of one picture without marks."""
    truth = truth_of(chart, colours_printed=not style.one_ink, ground=style.ground)
    name = "image." + {"PNG": "png", "JPEG": "jpg"}[kind]
    options = {"quality": quality} if kind == "JPEG" else {}
    truth |= {"image": name, "centres": centres_of(page)}
    truth["score_colour"] = kind == "PNG" and not style.one_ink and not chart.symbols
    return Sample({name: picture(page.pixels, kind, **options)}, truth)


def ringed(chart: Design, wide: int = 1) -> Design:
    """The design with ``wide`` rows and columns of empty cells round it."""
    return replace(chart, cells=np.pad(chart.cells, wide))


def with_symbols(
    rng: Rng,
    chart: Design,
    side: int,
    names: tuple[str, ...] = (),
    share: float = 0.0,
    soft: float = 0.0,
    whole: bool = True,
) -> Design:
    """A glyph for every class of ``chart``, distinct at ``side`` pixels.

    ``share`` is the chance that a class goes without, or borrows: its neighbour's colour under
    another glyph, or its neighbour's glyph on another ground. ``soft`` and ``whole`` are those of
    :func:`tests.drawing.symbols.choose`.
    """
    wanted = chart.classes - 1
    names = names or choose(rng, wanted, side, soft, whole)
    if len(names) < wanted:
        chart = fewer(chart, len(names))
        wanted = chart.classes - 1
    symbols: list[str | None] = [None, *names[:wanted]]
    colours = chart.colours.copy()
    for i in range(2, wanted + 1):
        if rng.random() < share:
            kind = int(rng.integers(3))
            if kind == 0:
                symbols[i] = None
            elif kind == 1 and symbols[i - 1] is not None:
                colours[i] = colours[i - 1]
            else:
                symbols[i] = symbols[i - 1]
    taken = {(tuple(c), s) for c, s in zip(colours.tolist(), symbols, strict=True)}
    if len(taken) < len(symbols):
        return with_symbols(rng, chart, side, names)
    return replace(chart, colours=colours, symbols=tuple(symbols))


def fewer(chart: Design, classes: int) -> Design:
    """The design with only ``classes`` stitch classes; the others join them."""
    cells = np.where(chart.cells > 0, (chart.cells - 1) % classes + 1, 0).astype(np.int32)
    return Design(cells, chart.colours[: classes + 1])
