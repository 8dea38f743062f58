"""Whether symbols are printed in one ink on paper: then their classes have no colour of their own.

What a dense symbol leaves of its cell is the grey of its ink, and a reversed one stands on ink; no
thread is meant by either. The rim of the cells tells: between symbol and grid lines it shows the
ground, which is paper, or that ink, or a colour.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import count

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.colour import srgb_to_lab
from chartscan.colour.contrast import WHITE
from chartscan.reading.cells.light import Light, balanced
from chartscan.reading.cells.sampling import SHOWN_BY, pixels_at
from chartscan.reading.filters import median
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class InkSettings:
    """How grounds and inks are told.

    Attributes:
        places: places looked at along each side of a cell.
        rims: places from the side that a rim lies at: thin grid lines end before the first, all
            but the largest symbols before the second. Paper at either will do.
        paper: ΔE (CIE 1976) from paper within which a rim is paper; tints on paper begin at 10.
        ink: ΔE from the symbols' ink within which a ground is that ink; thin strokes are paler.
    """

    places: int = 16
    rims: tuple[int, ...] = (1, 2)
    paper: float = 8.0
    ink: float = 20.0


def in_one_ink(
    page: Page,
    lattice: Lattice,
    chart: Chart,
    light: Light | None = None,
    settings: InkSettings = InkSettings(),
) -> Chart:
    """``chart`` without colours for its symbols, where all of them are printed in one ink."""
    symbols = [c for c in chart.classes if c.kind == "stitch" and c.symbol is not None]
    looks = [_look(page, lattice, chart, entry, light, settings) for entry in symbols]
    paper = _paper(page, lattice, chart, light, settings)
    if not _is_one_ink([look for look in looks if look is not None], paper, settings):
        return chart
    inked = {entry.index for entry in symbols}
    classes = tuple(replace(c, rgb=None) if c.index in inked else c for c in chart.classes)
    return replace(chart, classes=_named_apart(classes))


def _named_apart(classes: tuple[ChartClass, ...]) -> tuple[ChartClass, ...]:
    """Classes without a colour, no two of which go by one symbol's name: that is all they have.

    Shapes that are much alike share a name for the sake of one symbol on several colours.
    """
    used: set[str | None] = set()
    free = (f"symbol {number}" for number in count(1))
    taken = {entry.symbol for entry in classes}
    named = []
    for entry in classes:
        symbol = entry.symbol
        if entry.rgb is None and symbol is not None and symbol in used:
            symbol = next(name for name in free if name not in taken)
        used.add(symbol)
        named.append(replace(entry, symbol=symbol))
    return tuple(named)


def _is_one_ink(looks: list[Floats], paper: Floats, settings: InkSettings) -> bool:
    """Whether some symbols stand on paper, and all others on the ink of those."""
    grounds = [_rims(look, settings) for look in looks]
    on_paper = [_apart(rims, paper).min() <= settings.paper for rims in grounds]
    if not any(on_paper):
        return False
    strokes = np.concatenate(
        [look.reshape(-1, 3) for look, bare in zip(looks, on_paper, strict=True) if bare]
    )
    ink = strokes[int(_apart(strokes, paper).argmax())]
    return all(
        bare or _apart(rims, ink).min() <= settings.ink
        for rims, bare in zip(grounds, on_paper, strict=True)
    )


def _paper(
    page: Page, lattice: Lattice, chart: Chart, light: Light | None, settings: InkSettings
) -> Floats:
    """CIELAB of bare paper, shape (3,)."""
    for entry in (entry for entry in chart.classes if entry.kind == "empty"):
        look = _look(page, lattice, chart, entry, light, settings)
        if look is not None:
            return np.asarray(median(look.reshape(-1, 3), axis=0))
    return srgb_to_lab(np.array(WHITE))


def _apart(colours: Floats, other: Floats) -> Floats:
    """ΔE (CIE 1976) of each colour."""
    return np.asarray(np.linalg.norm(colours - other, axis=-1))


def _rims(look: Floats, settings: InkSettings) -> Floats:
    """The median colour along each rim, shape (rims, 3)."""
    found = []
    for near in settings.rims:
        far = settings.places - 1 - near
        ring = np.concatenate([look[near], look[far], look[:, near], look[:, far]])
        found.append(median(ring, axis=0))
    return np.array(found)


def _look(
    page: Page,
    lattice: Lattice,
    chart: Chart,
    entry: ChartClass,
    light: Light | None,
    settings: InkSettings,
) -> Floats | None:
    """CIELAB of a class's cells, the median over them, shape (places, places, 3)."""
    found = np.argwhere(chart.cells == entry.index)
    if entry.kind not in ("stitch", "empty") or not len(found):
        return None
    some = found[:: -(-len(found) // SHOWN_BY)]
    along = (np.arange(settings.places) + 0.5) / settings.places
    seen = pixels_at(page, *np.moveaxis(lattice.inside(some, along), -1, 0))
    colours = seen.astype(np.float32)
    if light is not None:
        shades = light.at_each(some[:, ::-1].astype(np.float64) + 0.5)[:, None, None]
        colours = balanced(colours, shades)
    return srgb_to_lab(np.clip(median(colours, axis=0), 0, 255))
