"""The outline: where the grid lies on the page, and what the reader is told of it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from chartscan.entry import Entry, number, numbers, whole
from chartscan.remedies import Remedy
from chartscan.worktable import laying
from chartscan.worktable.jobs import MOST_LEAVES
from chartscan.worktable.kept import Kept
from chartscan.worktable.screen import Asked, Screen, Shown
from chartscan.worktable.screens.looks import about_pages, first, has_leaf, has_picture, leaf, tile

if TYPE_CHECKING:
    from chartscan.worktable.table import Table

MOST_CELLS = 5000  # a side, as told: no cloth is that wide
TURNS = (0, 90, 180, 270)  # degrees, clockwise
MOST_PAGES = 60  # of one chart


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    kept = table.shelf.get(asked.chart)
    of = int(kept.told.get("of", 0))
    sheets = about_pages(table, kept.id)
    return {
        "kept": kept,
        "remedies": [remedy for remedy in kept.remedies if remedy in tuple(Remedy)],
        "own": kept.refusal[1:] if kept.refusal.startswith("@") else "",
        "pick": of if kept.state in ("waiting", "refused") else 0,
        "picked": kept.told.get("pages", (1,)),
        "leaves": [(n, has_leaf(table, kept.id, n)) for n in range(1, min(of, MOST_LEAVES) + 1)],
        "told": kept.told,
        "sheets": sheets if len(sheets) > 1 and kept.state in ("read", "refused") else [],
    }


def _state(table: Table, asked: Asked) -> Shown:
    """How far the reading is, and where the grid lies on each page."""
    kept = table.shelf.get(asked.chart)
    standing = table.reader.standing(kept.id)
    told = {
        "state": kept.state,
        "version": kept.version,
        "ahead": standing.ahead if standing else 0,
        "done": standing.done if standing else 0,
        "pages": about_pages(table, kept.id),
        "leaves": sum(has_leaf(table, kept.id, n) for n in range(1, MOST_LEAVES + 1)),
        "seen": has_picture(table, kept.id),
        "told": dict(kept.told),
    }
    return Shown(json.dumps(told).encode(), "application/json")


def _read(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Have the chart read with what is told."""
    kept = table.shelf.get(asked.chart)
    told = check_told(Entry(asked.told.object_or_empty("told"), "what is told"), kept)
    kept = laying.read_again(table, asked.chart, asked.version, told)
    return {"version": kept.version}


def check_told(entry: Entry, kept: Kept) -> dict[str, Any]:
    """What a page told of grids, seams, colours and pages; ValueError where it makes no sense."""
    told: dict[str, Any] = {"of": kept.told["of"]} if "of" in kept.told else {}
    told |= _check_grid(entry)
    each = [_check_grid(page) for page in entry.entries("each", "page")]
    if each:
        told["each"] = each
    repeats = entry.list_or_empty("repeats")
    if repeats:
        told["repeats"] = [
            None if one is None else _between(whole(one, "a repeat"), 0, MOST_CELLS, "a repeat")
            for one in repeats
        ]
    if max(len(each), len(repeats)) > MOST_PAGES:
        raise ValueError(f"a chart has at most {MOST_PAGES} pages")
    if entry.data.get("colours"):
        told["colours"] = _between(entry.whole("colours"), 1, MOST_CELLS, "the colours")
    pages = entry.list_or_empty("pages")
    if pages:
        if len(pages) > MOST_PAGES:
            raise ValueError(f"a chart has at most {MOST_PAGES} pages")
        told["pages"] = [_between(whole(page, "a page"), 1, MOST_CELLS, "a page") for page in pages]
    layout = entry.list_or_empty("layout")
    if layout:
        told["layout"] = [
            _between(side, 1, MOST_PAGES, "a layout") for side in _wholes(layout, 2, "the layout")
        ]
    return told


def _check_grid(entry: Entry) -> dict[str, Any]:
    """What is told of the grid, on one page or the only one: size, corners, turn."""
    told: dict[str, Any] = {}
    size = entry.list_or_empty("size")
    if size:
        told["size"] = [
            _between(side, 1, MOST_CELLS, "a side") for side in _wholes(size, 2, "the size")
        ]
    corners = entry.list_or_empty("corners")
    if corners:
        if len(corners) != 4:
            raise ValueError("there are four corners")
        told["corners"] = [list(numbers(corner, 2, "a corner")) for corner in corners]
    if entry.data.get("turn"):
        if entry.whole("turn") not in TURNS:
            raise ValueError("a page is turned by 0, 90, 180 or 270 degrees")
        told["turn"] = entry.whole("turn")
    return told


def _wholes(values: list[Any], length: int, words: str) -> tuple[int, ...]:
    if len(values) != length:
        raise ValueError(f"{words} is {length} numbers")
    return tuple(whole(value, words) for value in values)


def _between(value: int, least: int, most: int, words: str) -> int:
    if not least <= number(value, words) <= most:
        raise ValueError(f"{words} is from {least} to {most}")
    return value


def _stop(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Stop reading the chart."""
    laying.give_up(table, asked.chart)
    return {}


def _order(table: Table, asked: Asked) -> Mapping[str, Any]:
    """Read the files of a chart in another order: their places now, from 0.

    What was told of a page goes along with it; what was told of the seams is told no more.
    """
    kept = table.shelf.get(asked.chart)
    order = _wholes(asked.told.list_or_empty("order"), len(kept.files), "the order")
    if sorted(order) != list(range(len(kept.files))):
        raise ValueError("the order names each page once")
    told = {name: value for name, value in kept.told.items() if name != "repeats"}
    if len(told.get("each", ())) == len(order):
        told["each"] = [told["each"][place] for place in order]
    kept = table.shelf.change(
        asked.chart,
        asked.version,
        lambda k: replace(k, files=tuple(k.files[place] for place in order)),
    )
    return {"version": laying.read_again(table, kept.id, kept.version, told).version}


SCREEN = Screen(
    "outline",
    _show,
    acts={"read": _read, "stop": _stop, "order": _order},
    looks={"state": _state, "first": first, "leaf": leaf, "tile": tile},
)
