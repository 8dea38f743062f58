"""All sheets of a working chart, as SVG each, or as one page to print."""

from __future__ import annotations

from collections.abc import Mapping

from chartscan.chart import Chart
from chartscan.report.html import render
from chartscan.report.working.draw import Drawing, key_svg, sheet_svg
from chartscan.report.working.layout import lay_out
from chartscan.report.working.looks import Look, class_looks
from chartscan.report.working.settings import WorkingSettings


def working_sheets(
    chart: Chart,
    title: str,
    names: Mapping[int, str] | None = None,
    settings: WorkingSettings = WorkingSettings(),
) -> list[str]:
    """The sheets of a working chart, in reading order, as SVG; its key on each, or behind them.

    Args:
        chart: the chart.
        title: what stands at the head of every sheet.
        names: what a class is called in the key, by index: its thread, mostly.
        settings: paper, sizes, colour.

    Raises:
        ChartError: there are more classes than signs.
    """
    looks = class_looks(chart, names or {}, settings)
    layout = lay_out(chart, len(looks), settings)
    drawing = Drawing(chart, looks, layout, title, settings)
    sheets = [sheet_svg(drawing, sheet) for sheet in layout.sheets]
    if not layout.key_mm:
        sheets += [key_svg(drawing, some) for some in _pages(list(looks.values()), settings)]
    return sheets


def working_page(
    chart: Chart,
    title: str,
    names: Mapping[int, str] | None = None,
    settings: WorkingSettings = WorkingSettings(),
) -> str:
    """The working chart as one HTML page, a sheet of paper each."""
    sheets = working_sheets(chart, title, names, settings)
    return render("working.html.j2", title=title, sheets=sheets, paper=settings.paper)


def _pages(looks: list[Look], settings: WorkingSettings) -> list[list[Look]]:
    """The entries of a long key, as many on each sheet as it holds."""
    width, height = settings.room_mm
    beside = max(1, int(width / settings.key_width_mm))
    most = beside * max(1, int(height / settings.key_row_mm) - 2)
    return [looks[i : i + most] for i in range(0, len(looks), most)]
