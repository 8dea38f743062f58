"""The shelf: every chart as a picture with what is open on it; what can be started today."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from chartscan.errors import ChartscanError
from chartscan.worktable import laying
from chartscan.worktable.example import example_picture
from chartscan.worktable.faults import Stale
from chartscan.worktable.kept import Kept
from chartscan.worktable.screen import Asked, Screen, Shown
from chartscan.worktable.screens.looks import has_picture, small

if TYPE_CHECKING:
    from chartscan.worktable.table import Table

MOST_SHOWN = 200  # charts: more are no shelf any more


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Every chart, the last touched first."""
    charts = [_card(table, kept) for kept in table.shelf.all()[:MOST_SHOWN]]
    return {"charts": charts, "projects": _projects(table)}


def _card(table: Table, kept: Kept) -> dict[str, Any]:
    """What the shelf says of a chart."""
    seen = has_picture(table, kept.id)
    card: dict[str, Any] = {"kept": kept, "to": "outline", "seen": seen}
    if kept.state == "read":
        chart = table.shelf.chart(kept.id)
        card |= {
            "to": "check",
            "columns": chart.columns,
            "rows": chart.rows,
            "stitches": chart.stitches,
            "questions": len(chart.questions),
            "doubts": len(chart.doubtful),
        }
    return card


def _projects(table: Table) -> list[Any]:
    """Projects in the drawer that wait; none where there is no drawer yet."""
    from chartscan.tasks.drawer import own_place
    from chartscan.tasks.projects import today

    place = table.stash or own_place()
    if not place.is_file():
        return []
    try:
        return list(today(place))
    except ChartscanError:
        return []  # the drawer's own screen says what is wrong with it


def _lay(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Lay a dropped file on the shelf; with ``more`` to come, it waits for its further pages."""
    kept = laying.lay(table, asked.text("name"), asked.data)
    return _laid(table, asked, kept)


def _page(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Put a dropped file to a chart as its next page."""
    return _laid(table, asked, laying.add_page(table, asked.chart, asked.text("name"), asked.data))


def _laid(table: Table, asked: Asked, kept: Kept) -> Mapping[str, Any]:
    if kept.files and "more" not in asked.told.data:
        laying.begin(table, kept)
    return {"chart": kept.id, "screen": "check" if kept.state == "read" else "outline"}


def _example(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Lay the example on the shelf."""
    kept = laying.lay(table, *example_picture())
    laying.begin(table, kept)
    return {"chart": kept.id, "screen": "outline"}


def _call(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Give a chart another title."""
    title = laying.plain_title(asked.text("title"))
    kept = table.shelf.change(asked.chart, asked.version, lambda k: replace(k, title=title))
    return {"version": kept.version, "title": title}


def _remove(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Take a chart off the shelf, for good."""
    if table.shelf.get(asked.chart).version != asked.version:
        raise Stale(table.shelf.get(asked.chart).version)
    laying.give_up(table, asked.chart)
    table.shelf.remove(asked.chart)
    return {}


def _progress(table: Table, asked: Asked) -> Shown:
    """How far each chart is that isn't read yet."""
    import json

    told = []
    for kept in table.shelf.all()[:MOST_SHOWN]:
        if kept.state in ("waiting", "reading"):
            standing = table.reader.standing(kept.id)
            done = standing.done if standing else None
            told.append({"chart": kept.id, "state": kept.state, "done": done})
    return Shown(json.dumps(told).encode(), "application/json")


SCREEN = Screen(
    "shelf",
    _show,
    acts={"lay": _lay, "page": _page, "example": _example, "call": _call, "remove": _remove},
    looks={"small": small, "progress": _progress},
    about_chart=False,
)
