"""Pictures that several screens fetch: all were made by the reader's process, and lie as files."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.worktable.faults import Missing
from chartscan.worktable.jobs import FIRST, LOOK, SMALL, leaf_name
from chartscan.worktable.screen import Asked, Shown
from chartscan.worktable.tiles import ABOUT, tile_name

if TYPE_CHECKING:
    from chartscan.worktable.table import Table

TILED = re.compile(r"flat|page-[1-9][0-9]{0,2}")  # the pictures of a chart that are cut into tiles
JPEG = "image/jpeg"


def small(table: Table, asked: Asked) -> Shown:
    """The picture of a chart on the shelf."""
    return _file(table, asked, SMALL)


def first(table: Table, asked: Asked) -> Shown:
    """The first picture of a page, seen before it is read."""
    return _file(table, asked, FIRST)


def leaf(table: Table, asked: Asked) -> Shown:
    """One page of a file of many, small."""
    return _file(table, asked, leaf_name(asked.whole_text("number")))


def tile(table: Table, asked: Asked) -> Shown:
    """One tile of a large picture."""
    numbers = (asked.whole_text(name) for name in ("level", "across", "down"))
    return _file(table, asked, f"{_tiled(asked)}/{tile_name(*numbers)}")


def about_picture(table: Table, chart_id: str, name: str) -> dict[str, Any] | None:
    """What is known of a tiled picture of a chart; None where there is no such picture."""
    path = table.shelf.folder(chart_id) / LOOK / name / ABOUT
    try:
        told: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        return told
    except (OSError, ValueError):
        return None


def has_picture(table: Table, chart_id: str) -> bool:
    """Whether there is a picture of a chart yet, or at all."""
    return (table.shelf.folder(chart_id) / LOOK / SMALL).is_file()


def has_leaf(table: Table, chart_id: str, number: int) -> bool:
    """Whether there is a small picture of that page of a file of many yet."""
    return (table.shelf.folder(chart_id) / LOOK / leaf_name(number)).is_file()


def about_pages(table: Table, chart_id: str) -> list[dict[str, Any]]:
    """What is known of each page's picture, in order."""
    found: list[dict[str, Any]] = []
    while (told := about_picture(table, chart_id, f"page-{len(found) + 1}")) is not None:
        found.append(told)
    return found


def _tiled(asked: Asked) -> str:
    name = asked.text("of")
    if not TILED.fullmatch(name):
        raise ValueError(f"there is no picture {name!r}")
    return name


def _file(table: Table, asked: Asked, name: str) -> Shown:
    """A file of a chart's pictures; ``name`` is made here, never told."""
    path = Path(table.shelf.folder(asked.chart) / LOOK / name)
    try:
        return Shown(path.read_bytes(), JPEG)
    except OSError as error:
        raise Missing(name) from error
