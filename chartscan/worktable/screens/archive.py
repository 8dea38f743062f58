"""Archive: the charts of a catalogue, looked through by conditions; one is laid on the shelf."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.errors import ArchiveError
from chartscan.worktable import laying
from chartscan.worktable.faults import Missing
from chartscan.worktable.screen import Asked, Screen, Shown

if TYPE_CHECKING:
    from chartscan.archive.looking import Conditions, Entry
    from chartscan.worktable.table import Table

MOST_SHOWN = 60  # charts at a time: typing narrows them sooner than scrolling does
JSON = "application/json"
PNG = "image/png"


def _is_there(table: Table) -> bool:
    return table.catalogue is not None


def _catalogue(table: Table) -> Path:
    """The catalogue that the table was started with; Missing where there is none."""
    if table.catalogue is None:
        raise Missing("catalogue")
    return table.catalogue


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    return {"name": _catalogue(table).stem}


def _list(table: Table, asked: Asked) -> Shown:
    """The first charts that meet what was typed, and how many there are."""
    from chartscan.tasks.catalogue import count_charts, list_charts

    catalogue, wanted = _catalogue(table), _conditions(asked)
    told = {
        "rows": [_card(entry) for entry in islice(list_charts(catalogue, wanted), MOST_SHOWN)],
        "all": count_charts(catalogue, wanted),
        "together": [list(whole) for whole in _together(catalogue)],
    }
    return Shown(json.dumps(told).encode(), JSON)


def _conditions(asked: Asked) -> Conditions:
    from chartscan.tasks.catalogue import at_most

    columns, rows, colours = (
        asked.whole_text(name) if asked.told.data.get(name) else None
        for name in ("columns", "rows", "colours")
    )
    words = str(asked.told.data.get("words", "")).strip()
    return at_most(columns, rows, colours, words)


def _card(entry: Entry) -> dict[str, Any]:
    page = "" if entry.page is None else f" {entry.page}"
    return {
        "number": entry.number,
        "name": Path(entry.path).name + page,
        "folder": Path(entry.path).parent.name,
        "columns": entry.columns,
        "rows": entry.rows,
        "stitches": entry.stitches,
        "colours": len(entry.colours),
        "questions": len(entry.questions),
        "pages": entry.pages,
    }


def _together(catalogue: Path) -> list[tuple[int, ...]]:
    """Charts that seem to be one, by number."""
    from chartscan.tasks.together import list_proposals

    return [whole.charts for whole in list_proposals(catalogue)]


def _entry(table: Table, number: int) -> Entry:
    from chartscan.tasks.catalogue import show_charts

    for entry in show_charts(_catalogue(table), (number,)):
        return entry
    raise Missing(str(number))


def _small(table: Table, asked: Asked) -> Shown:
    """A chart as stitched: drawn from its chart file, so that no picture is decoded here."""
    from chartscan.chart import load_chart
    from chartscan.tasks.papers import small_picture

    entry = _entry(table, asked.whole_text("number"))
    return Shown(small_picture(load_chart(entry.chart_file)).content, PNG)


def _take(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Lay a chart on the shelf: its page, to be read there, or the chart as the catalogue has it.

    A page of a PDF, a joined chart, one that was corrected, and one whose page is gone come as
    chart files.
    """
    from chartscan.chart import load_chart

    entry = _entry(table, asked.told.whole("number"))
    page = Path(entry.path)
    single = entry.page is None and entry.pages == 1
    try:
        if single and page.is_file() and not load_chart(entry.chart_file).corrections:
            kept = laying.lay(table, page.name, page.read_bytes())
            laying.begin(table, kept)
            return {"chart": kept.id, "screen": "outline"}
        kept = laying.lay(table, entry.chart_file.name, entry.chart_file.read_bytes())
    except OSError as error:
        raise ArchiveError(f"{page.name}: can't be read ({error.strerror or error})") from error
    title = laying.title_of(page.name)
    kept = table.shelf.change(kept.id, None, lambda k: replace(k, title=title))
    return {"chart": kept.id, "screen": "check"}


SCREEN = Screen(
    "archive",
    _show,
    acts={"take": _take},
    looks={"list": _list, "small": _small},
    about_chart=False,
    is_there=_is_there,
)
