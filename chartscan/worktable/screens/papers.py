"""Papers: kit sheet, label and lists of one chart, seen in a frame, then printed or saved."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from chartscan.csvtable import TableText
from chartscan.files import replacing
from chartscan.tasks import choice, fabric, kit, papers, projects
from chartscan.worktable.jobs import CHART
from chartscan.worktable.kitting import (
    Prepared,
    make_kit,
    prepare,
    project_named,
    stash_of,
)
from chartscan.worktable.linked import PROJECT
from chartscan.worktable.screen import Asked, Screen, Shown

if TYPE_CHECKING:
    from chartscan.stash.kit import Kit
    from chartscan.tasks.papers import Paper
    from chartscan.worktable.kept import Kept
    from chartscan.worktable.table import Table

KEY_NAME = "key.csv"  # the threads chosen, beside the chart that they were chosen for
Make = Callable[["Table", Prepared, "Kit"], "Paper"]


def _shopping(table: Table, made: Prepared, needed: Kit) -> Paper:
    return papers.shopping_sheet(kit.shopping_of(needed, _has_fabric(table, made, needed)))


def _shopping_table(table: Table, made: Prepared, needed: Kit) -> Paper:
    return papers.shopping_table(kit.shopping_of(needed, _has_fabric(table, made, needed)))


def _has_fabric(table: Table, made: Prepared, needed: Kit) -> bool:
    place = stash_of(table)
    cut = needed.requirements.cut_mm
    return place.exists() and bool(
        fabric.pieces_that_fit(place, needed.fabric, cut, made.choices.copies)
    )


def _key_sheet(table: Table, made: Prepared, needed: Kit) -> Paper:
    """The key, with what was chosen filled in and room for the rest."""
    chosen = papers.key_of(made.matches)
    told = TableText(chosen.content.decode(), chosen.name)
    return papers.key_sheet(made.chart, needed.title, told, typed=False)


SEEN: Mapping[str, Make] = {
    "sheet": lambda table, made, needed: papers.kit_sheet(needed),
    "label": lambda table, made, needed: papers.kit_label(needed),
    "working": lambda table, made, needed: papers.kit_working_chart(needed),
    "shopping": _shopping,
    "key_sheet": _key_sheet,
}
"""Papers that are seen and printed."""

SAVED: Mapping[str, Make] = {
    "threads": lambda table, made, needed: papers.kit_table(needed),
    "list": _shopping_table,
    "key": lambda table, made, needed: papers.key_of(made.matches),
    "picture": lambda table, made, needed: papers.kit_picture(needed),
    "chart": lambda table, made, needed: papers.chart_file(made.chart),
}
"""Papers for other programs, that are only saved."""


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    kept = table.shelf.get(asked.chart)
    made = prepare(table, kept.id)
    return {
        "kept": kept,
        "seen": tuple(SEEN),
        "saved": tuple(SAVED),
        "open": len(made.open),
        "project": made.linked.told.project if made.linked else project_named(kept),
    }


def _make(table: Table, asked: Asked) -> Paper:
    name = asked.text("paper")
    make = {**SEEN, **SAVED}.get(name)
    if make is None:
        raise ValueError(f"there is no paper {name!r}")
    kept = table.shelf.get(asked.chart)
    made = prepare(table, kept.id)
    return make(table, made, make_kit(table, made, kept.title))


def _lay(table: Table, asked: Asked) -> Mapping[str, Any]:
    """A paper laid out for a frame; it is made anew each time."""
    paper = _make(table, asked)
    return {"path": table.papers.lay(paper.content.decode()), "name": paper.name}


def _save(table: Table, asked: Asked) -> Shown:
    """The bytes of a paper, to be saved."""
    paper = _make(table, asked)
    return Shown(paper.content, paper.media, name=paper.name)


def _plan(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Keep the choice as a project of the drawer, or bring the one made of it up to date."""
    name = asked.text("name").strip()
    if not name:
        raise ValueError("a project has a name")
    missing = 0

    def change(kept: Kept) -> Kept:
        nonlocal missing
        made = prepare(table, kept.id)
        data = {**projects.project_data(_data(table, made)), "name": name}
        if made.linked is not None:
            choice.settle_threads(stash_of(table), made.linked.told, made.chart, made.matches, data)
        else:
            _plan_chart(table, kept, made, data)
        missing = len(projects.plan(stash_of(table), name).missing)
        return replace(kept, choices={**kept.choices, PROJECT: {"name": name}})

    kept = table.shelf.change(asked.chart, asked.version, change)
    return {"version": kept.version, "missing": missing}


def _plan_chart(table: Table, kept: Kept, made: Prepared, data: dict[str, Any]) -> None:
    """Make a project of a chart, or give the one that was made of it this chart again."""
    folder, before = table.shelf.folder(kept.id), project_named(kept)
    with replacing(folder / KEY_NAME) as stream:
        stream.write(papers.key_of(made.matches).content)
    data |= projects.project_data({"key_file": folder / KEY_NAME})
    chart = [str(folder / CHART)]
    if before:
        projects.change(stash_of(table), before, data, chart)
    else:
        name = data.pop("name")
        projects.begin(stash_of(table), name, data, chart)


def _data(table: Table, made: Prepared) -> dict[str, Any]:
    """A project's data from what was chosen."""
    choices = made.choices
    return {
        "palette": table.ranges.place(choices.range),
        "fabric_count": choices.count,
        "fabric_over": choices.over,
        "fabric_hex": choices.cloth,
        "copies": choices.copies,
        "strands": choices.strands,
        "margin_mm": round(choices.margin_mm),
    }


SCREEN = Screen("papers", _show, acts={"lay": _lay, "plan": _plan}, looks={"save": _save})
