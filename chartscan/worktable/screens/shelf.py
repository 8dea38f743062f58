"""The shelf: every chart as a picture with what is open on it; what can be started today."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from chartscan.errors import ChartscanError
from chartscan.worktable import laying
from chartscan.worktable.example import example_picture
from chartscan.worktable.faults import Stale
from chartscan.worktable.jobs import SMALL_PX
from chartscan.worktable.kept import Kept
from chartscan.worktable.kitting import stash_of
from chartscan.worktable.screen import Asked, Screen, Shown
from chartscan.worktable.screens.looks import has_picture, small

if TYPE_CHECKING:
    from chartscan.stash.today import TodayProject
    from chartscan.worktable.table import Table

OPEN_STATES = ("planned", "kitted", "in work")  # of projects
MOST_SHOWN = 200  # charts: more are no shelf any more


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Every chart, the last touched first."""
    charts = [_card(table, kept) for kept in table.shelf.all()[:MOST_SHOWN]]
    projects = _projects(table)
    return {
        "charts": charts,
        "ready": [project for project in projects if project["ready"]],
        "waiting": [project for project in projects if not project["ready"]],
    }


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


def _projects(table: Table) -> list[dict[str, Any]]:
    """Projects of the drawer that wait or are in work; none where there is no drawer yet."""
    from chartscan.tasks.projects import all_projects, drawn_projects, today

    place = stash_of(table)
    if not place.is_file():
        return []
    try:
        waiting = {project.name: project for project in today(place)}
        all_open = all_projects(place, OPEN_STATES)[:MOST_SHOWN]
        drawn = drawn_projects(place)
    except ChartscanError:
        return []  # the drawer's own screen says what is wrong with it
    charts = {_project_of(kept): kept.id for kept in table.shelf.all()}
    return [
        {
            "name": project.name,
            "deadline": project.deadline,
            "place": project.place,
            "ready": project.name in waiting and waiting[project.name].ready,
            "known": project.name in waiting and waiting[project.name].known,
            "in_work": project.name not in waiting,
            "lacks": _lacking(waiting[project.name]) if project.name in waiting else [],
            "drawn": project.name in drawn,
            "chart": charts.get(project.name, ""),
        }
        for project in all_open
    ]


def _lacking(project: TodayProject) -> list[tuple[str, int]]:
    """What a project lacks, each with the name of its words and how much of it."""
    lacks = project.lacks
    told = {
        "skeins": lacks.skeins,
        "fabrics": lacks.fabrics,
        "notions": lacks.notions,
        "charts": lacks.charts,
    }
    return [(f"drawer.lacks_{name}", number) for name, number in told.items() if number]


def _project_of(kept: Kept) -> str:
    """The name of the project that was made of a chart; "" where none was."""
    return str(kept.choices.get("project", {}).get("name", ""))


def _project(table: Table, asked: Asked) -> Shown:
    """A small picture of the design of a project."""
    from chartscan.tasks.projects import design_picture

    place, name = stash_of(table), asked.text("name")
    key = ("project", place, place.stat().st_mtime_ns if place.is_file() else 0, name)
    return Shown(table.lately.get(key, lambda: design_picture(place, name, SMALL_PX)), "image/png")


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
    looks={"small": small, "progress": _progress, "project": _project},
    about_chart=False,
)
