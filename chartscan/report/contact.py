"""A sheet of small pictures of charts, to print and to look a catalogue through."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import PurePath
from typing import TYPE_CHECKING

from chartscan.report.html import render
from chartscan.report.stitched import StitchedSettings, data_uri, draw_stitched
from chartscan.report.units import counted

if TYPE_CHECKING:
    from PIL import Image

    from chartscan.archive.looking import Entry
    from chartscan.chart import Chart
    from chartscan.report.terminal import RGB

SMALL = StitchedSettings(longest_px=320, least_cell_px=1, most_cell_px=12, border_cells=1)
DARKEST, LIGHTEST = 40, 190  # greys of classes that the page tells no colour of


def contact_page(title: str, charts: Iterable[tuple[Entry, Chart]]) -> str:
    """A page of charts, each as stitched in the page's own colours, four to a row."""
    return render("contact.html.j2", title=title, charts=[_shown(*pair) for pair in charts])


def _shown(entry: Entry, chart: Chart) -> dict[str, str]:
    drawn = small_stitched(chart)
    words = (counted(entry.stitches, "stitch", "stitches"), counted(len(entry.colours), "colour"))
    page = "" if entry.page is None else f", page {entry.page}"
    return {
        "picture": data_uri(drawn.quantize(64).convert("P")),
        "number": str(entry.number),
        "size": f"{entry.columns} × {entry.rows}",
        "words": ", ".join(words),
        "place": "/".join(PurePath(entry.path).parts[-2:]) + page,
    }


def small_stitched(chart: Chart) -> Image.Image:
    """A chart as stitched in the page's own colours, small."""
    drawn = draw_stitched(chart, _colours(chart), settings=SMALL)
    drawn.thumbnail((SMALL.longest_px, SMALL.longest_px))
    return drawn


def _colours(chart: Chart) -> dict[int, RGB]:
    """The page's colours; where it tells none, greys, so that symbols stay apart."""
    inks = [c.index for c in chart.classes if c.kind != "empty" and c.rgb is None]
    step = (LIGHTEST - DARKEST) // max(1, len(inks))
    greys = {index: (DARKEST + n * step,) * 3 for n, index in enumerate(inks)}
    return {c.index: c.rgb for c in chart.classes if c.rgb is not None} | greys
